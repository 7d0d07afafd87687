"""Driver ratings for LED tape against several public guides (20 % headroom is common practice; no standard
sets it). Guides state it two ways: 1.2 × the load, or the load ÷ 0.8."""

import pytest

from engineering.control import DriverOption
from engineering.drivers import choose, required_rating_w


@pytest.mark.parametrize(
    ("watts_per_m", "length_m", "load_w", "rating_w"),
    [
        (14.4, 5, 72, 86.4),
        (10, 5, 50, 60),
        (14, 5, 70, 84),
        (14.4, 15, 216, 259.2),
    ],
)
def test_tape_driver_is_rated_a_fifth_above_the_load(watts_per_m, length_m, load_w, rating_w):
    """Source: several public LED-tape guides."""
    assert watts_per_m * length_m == pytest.approx(load_w)
    assert required_rating_w(load_w=watts_per_m * length_m) == pytest.approx(rating_w, rel=0.005)


def test_the_other_way_of_stating_it_gives_90_w_for_72_w():
    """Source: the same guides, load ÷ 0.8."""
    assert required_rating_w(load_w=72, headroom=0.2, method="reserved") == pytest.approx(90)


def test_72_w_of_tape_takes_a_90_w_driver():
    """Source: the same guides; the sizes on offer are invented."""
    drivers = [
        DriverOption(reference=f"{watts} W", rating_w=watts, supply_v=24, cost_minor=30 * watts)
        for watts in (75, 90, 150)
    ]
    found = choose(load_w=72, supply_v=24, drivers=drivers)
    assert (found.reference, found.count) == ("90 W", 1)
    assert found.share_loaded == pytest.approx(0.8)
