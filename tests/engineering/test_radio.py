"""The rule for radio paths: a rule of thumb that never promises more than 'within the rule'."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.radio import SHIELDING, Obstacle, RadioPath, radio_codes


def codes(**path):
    return [reason.code for reason in radio_codes(path=RadioPath(**path))]


def test_the_range_shrinks_by_each_obstacle():
    # Common practice, no source: masonry leaves 0.65. 30 · 0.65² = 12.675 m.
    two = {Obstacle.MASONRY: 2}
    assert codes(distance_m=12.6, range_m=30, obstacles=two) == ["within-rule"]
    beyond = radio_codes(path=RadioPath(distance_m=12.7, range_m=30, obstacles=two))
    assert [reason.code for reason in beyond] == ["beyond-rule", "prove-on-site"]
    assert beyond[0].values["range_left_m"] == pytest.approx(12.675)


@pytest.mark.parametrize("obstacle", sorted(SHIELDING))
def test_metal_is_always_proven_on_site(obstacle):
    assert codes(distance_m=1, range_m=100, obstacles={obstacle: 1}) == [
        "shielded",
        "prove-on-site",
    ]
    assert codes(distance_m=1, range_m=100, obstacles={obstacle: 0}) == ["within-rule"]


def test_an_unknown_range_is_proven_on_site():
    assert codes(distance_m=1, range_m=None) == ["range-not-known", "prove-on-site"]


@given(distance_m=st.floats(0, 60), walls=st.integers(0, 5))
def test_one_more_wall_never_helps(distance_m, walls):
    def is_within(number):
        path = {Obstacle.LIGHT_WALL: number}
        return codes(distance_m=distance_m, range_m=40, obstacles=path) == ["within-rule"]

    assert is_within(walls) or not is_within(walls + 1)


def test_bad_values_are_refused():
    with pytest.raises(ValueError, match="distance_m"):
        codes(distance_m=math.nan, range_m=3)
    with pytest.raises(ValueError, match="range_m"):
        codes(distance_m=1, range_m=0)
    with pytest.raises(ValueError, match="masonry"):
        codes(distance_m=1, range_m=1, obstacles={Obstacle.MASONRY: -1})
    path = RadioPath(distance_m=1, range_m=9, obstacles={Obstacle.MASONRY: 1})
    with pytest.raises(ValueError, match="share_left"):
        radio_codes(path=path, share_left={})
    with pytest.raises(ValueError, match="masonry"):
        radio_codes(path=path, share_left={Obstacle.MASONRY: 1.5})
