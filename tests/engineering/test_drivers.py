"""Drivers: ratings, choices, runs, and drivers after an output within a plan."""

import math

import pytest

from engineering.control import (
    ControlCircuit,
    DriverOption,
    EnclosureSpec,
    ReceiverOption,
    plan_house,
)
from engineering.drivers import NoDriverError, choose, required_rating_w, split_run, usable_w
from tests.engineering.control_validator import faults

NAN = math.nan


def _driver(reference="P", rating_w=60, cost_minor=2000, **more):
    more.setdefault("supply_v", None if "current_ma" in more else 24)
    return DriverOption(reference=reference, rating_w=rating_w, cost_minor=cost_minor, **more)


@pytest.mark.parametrize("method", ["added", "reserved"])
def test_usable_power_is_the_required_rating_turned_round(method):
    for load_w in (0.1, 7, 86.4):
        rating = required_rating_w(load_w=load_w, headroom=0.3, method=method)
        assert usable_w(rating_w=rating, headroom=0.3, method=method) == pytest.approx(load_w)


@pytest.mark.parametrize(
    "bad",
    [
        {"load_w": NAN},
        {"load_w": -1},
        {"load_w": math.inf},
        {"load_w": 1, "headroom": NAN},
        {"load_w": 1, "headroom": -0.1},
        {"load_w": 1, "headroom": 1.0, "method": "reserved"},
        {"load_w": 1, "method": "guessed"},
    ],
)
def test_a_rating_refuses_bad_values(bad):
    with pytest.raises(ValueError, match="must be"):
        required_rating_w(**bad)


def test_choose_takes_the_cheapest_then_the_fewest_then_the_least_loaded():
    cheap = _driver("A", 60, 2000)
    assert choose(load_w=100, supply_v=24, drivers=[cheap]).count == 2
    one = choose(load_w=100, supply_v=24, drivers=[cheap, _driver("B", 120, 4000)])
    assert (one.reference, one.count, one.cost_minor) == ("B", 1, 4000)
    roomy = choose(load_w=40, supply_v=24, drivers=[cheap, _driver("C", 80, 2000)])
    assert roomy.reference == "C"
    assert roomy.share_loaded == 0.5


def test_choose_counts_a_load_that_is_exactly_enough_as_enough():
    assert choose(load_w=50, supply_v=24, drivers=[_driver(rating_w=60)]).count == 1
    assert choose(load_w=50.01, supply_v=24, drivers=[_driver(rating_w=60)]).count == 2


def test_choose_needs_equal_volts_and_the_least_load():
    with pytest.raises(NoDriverError, match="no driver of 12 V"):
        choose(load_w=10, supply_v=12, drivers=[_driver(), _driver("K", current_ma=350)])
    with pytest.raises(NoDriverError):
        choose(load_w=5, supply_v=24, drivers=[_driver(min_load_w=10)])


def test_choose_does_not_depend_on_the_order():
    drivers = [_driver("B", 60, 2000), _driver("A", 60, 2000), _driver("C", 61, 2001)]
    found = {choose(load_w=30, supply_v=24, drivers=order) for order in (drivers, drivers[::-1])}
    assert len(found) == 1
    assert found.pop().reference == "A"


@pytest.mark.parametrize(
    "bad",
    [
        {"reference": ""},
        {"rating_w": 0},
        {"rating_w": NAN},
        {"cost_minor": -1},
        {"cost_minor": 1.5},
        {"efficiency": 1.1},
        {"efficiency": 0},
        {"supply_v": 24, "current_ma": 350},
        {"supply_v": None},
        {"min_load_w": NAN},
    ],
)
def test_a_driver_refuses_bad_values(bad):
    fields = {"reference": "P", "rating_w": 60, "cost_minor": 1, "supply_v": 24, **bad}
    with pytest.raises(ValueError, match=r"must be|must not|either"):
        DriverOption(**fields)


def test_runs_are_the_fewest_and_even():
    assert split_run(length_m=5, max_run_m=5, cut_m=0.05) == (5.0,)
    assert split_run(length_m=5.05, max_run_m=5, cut_m=0.05) == (2.55, 2.5)
    assert split_run(length_m=0.12, max_run_m=5, cut_m=0.05) == (0.15,)
    with pytest.raises(ValueError, match="up to max_run_m"):
        split_run(length_m=1, max_run_m=0.04, cut_m=0.05)


RECEIVER = ReceiverOption(
    reference="R4",
    outputs=4,
    limits={"phase-dimmed": (0, 200), "switched": (0, 200), "digital-dimmed": (0, 200)},
    unit_max_w=600,
    cost_minor=9000,
)


def _house(circuit, drivers, **more):
    fields = {"code": "A", "load_kind": "phase-dimmed", "enclosure": "E", **circuit}
    return {
        "circuits": [ControlCircuit(**fields)],
        "enclosures": [EnclosureSpec(reference="E")],
        "receivers": [RECEIVER],
        "drivers": drivers,
        **more,
    }


def _supply(house):
    plan = plan_house(**house)
    assert faults(plan, house) == []
    assert not plan.unserved
    (output,) = [o for unit in plan.units for o in unit.outputs if o.parts]
    (supply,) = output.parts[0].supplies
    return supply, output, plan


def test_runs_of_tape_share_drivers_after_the_output():
    house = _house(
        {"pieces_w": (48.0,) * 3, "supply_v": 24.0},
        [
            _driver("S", 60, 3000, dimmed_by={"phase-dimmed"}),
            _driver("L", 120, 5000, dimmed_by={"phase-dimmed"}),
        ],
    )
    supply, _, plan = _supply(house)
    # Three of 60 W (9000) against two of 120 W with two runs and one (10000).
    assert (supply.reference, supply.count, supply.share_loaded) == ("S", 3, 0.8)
    assert plan.cost_minor == 9000 + 9000


def test_a_driver_must_be_dimmed_as_the_output_dims():
    plain = _driver("N", 100, 1000)
    dimmed = _driver("D", 100, 3000, dimmed_by={"phase-dimmed"})
    circuit = {"pieces_w": (48.0,), "supply_v": 24.0}
    assert _supply(_house(circuit, [plain, dimmed]))[0].reference == "D"
    assert (
        _supply(_house({**circuit, "load_kind": "switched"}, [plain, dimmed]))[0].reference == "N"
    )
    plan = plan_house(**_house(circuit, [plain]))
    assert [one.reason for one in plan.unserved] == ["no_driver"]


def test_the_output_carries_the_drivers_loss():
    house = _house(
        {"pieces_w": (90.0,), "supply_v": 24.0},
        [_driver("P", 120, 1000, efficiency=0.9, dimmed_by={"phase-dimmed"})],
    )
    _, output, _ = _supply(house)
    assert output.power_w == pytest.approx(100)


def test_a_dearer_driver_with_less_loss_is_taken_where_it_saves_a_receiver():
    """Joint choice: the cheap driver's loss would need a second unit."""
    drivers = [
        _driver("lossy", 240, 1000, efficiency=0.75, dimmed_by={"phase-dimmed"}),
        _driver("good", 240, 1500, efficiency=1.0, dimmed_by={"phase-dimmed"}),
    ]
    house = _house({"pieces_w": (150.0,), "supply_v": 24.0}, drivers)
    house["circuits"] = [
        ControlCircuit(
            code=code, load_kind="phase-dimmed", pieces_w=(150.0,), supply_v=24.0, enclosure="E"
        )
        for code in "ABCD"
    ]
    plan = plan_house(**house)
    assert faults(plan, house) == []
    assert plan.is_proven
    # All lossy: 4 × 200 W = 800 W in two units. Three good and one lossy: 650 W; four good: 600 W in one.
    assert plan.cost_minor == 9000 + 4 * 1500
    assert len(plan.units) == 1


@pytest.mark.parametrize(
    ("pieces", "window", "count"),
    [(6, (9, 20), 1), (7, (9, 20), 2), (12, (9, 20), 2), (13, (9, 20), 3), (2, (9, 20), None)],
)
def test_constant_current_strings_stay_in_the_forward_window(pieces, window, count):
    driver = _driver(
        "K",
        40,
        2500,
        current_ma=350,
        forward_min_v=window[0],
        forward_max_v=window[1],
        dimmed_by={"phase-dimmed"},
    )
    house = _house({"pieces_w": (1.1,) * pieces, "current_ma": 350.0, "forward_v": 3.2}, [driver])
    if count is None:
        assert [one.reason for one in plan_house(**house).unserved] == ["no_driver"]
    else:
        assert _supply(house)[0].count == count


def test_currents_must_be_equal():
    driver = _driver("K", 40, 2500, current_ma=700, forward_max_v=40, dimmed_by={"phase-dimmed"})
    house = _house({"pieces_w": (1.1,) * 4, "current_ma": 350.0, "forward_v": 3.2}, [driver])
    assert [one.reason for one in plan_house(**house).unserved] == ["no_driver"]


def test_the_reserved_form_asks_for_more():
    drivers = [
        _driver("P90", 90, 1000, dimmed_by={"phase-dimmed"}),
        _driver("P87", 87, 900, dimmed_by={"phase-dimmed"}),
    ]
    house = _house({"pieces_w": (72.0,), "supply_v": 24.0}, drivers)
    assert _supply(house)[0].reference == "P87"
    assert _supply({**house, "headroom_method": "reserved"})[0].reference == "P90"
