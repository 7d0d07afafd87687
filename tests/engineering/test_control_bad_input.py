"""Bad input: the plan of the rest stands, the cause is named, nothing crashes."""

import math

import pytest

from engineering.control import (
    ControlCircuit,
    DriverOption,
    EnclosureSpec,
    ReceiverOption,
    plan_house,
)
from tests.engineering.test_control import circuit, house, planned, receiver

NAN = math.nan


def test_a_contradictory_product_is_named_and_the_rest_stands():
    odd = receiver("ODD", limits={"switched": (200, 10), "motor": (0, 100)}, cost_minor=1)
    given = house([circuit("A"), circuit("B", "motor")], [odd, receiver()])
    plan = planned(given)
    assert not plan.unserved
    assert {unit.reference for unit in plan.units} == {"ODD", "R4"}
    assert [(one.code, one.values["receiver"]) for one in plan.refused] == [
        ("limits_contradictory", "ODD")
    ]
    alone = planned(house([circuit("A"), circuit("B", "motor")], [odd]))
    assert [(one.code, one.reason) for one in alone.unserved] == [("A", "limits_contradictory")]


def test_a_circuit_that_nothing_can_feed_is_named_and_the_rest_stands():
    plan = planned(house([circuit("A"), circuit("B", "digital-dimmed")], [receiver()]))
    assert [(one.code, one.reason) for one in plan.unserved] == [("B", "no_receiver_for_kind")]
    assert plan.units[0].circuits == ("A",)
    assert plan.is_proven


def test_a_piece_above_every_output_says_by_how_much():
    (lost,) = planned(house([circuit(pieces=[250.0, 20.0])], [receiver()])).unserved
    assert lost.reason == "piece_above_output"
    assert (lost.values["heaviest_piece_w"], lost.values["most_w"]) == (250.0, 200)


def test_no_products_at_all():
    plan = planned(house([circuit("A"), circuit("B")], []))
    assert [one.reason for one in plan.unserved] == ["no_receiver_for_kind"] * 2
    assert (plan.cost_minor, plan.units, plan.is_proven) == (0, (), True)


def test_no_circuits_at_all():
    plan = planned(house([], [receiver()]))
    assert (plan.cost_minor, plan.bound_minor, plan.is_proven, plan.units) == (0, 0, True, ())


@pytest.mark.parametrize("exact", [True, False])
def test_an_enclosure_without_room(exact):
    given = house(
        [circuit("A"), circuit("B")],
        [receiver(width=4)],
        [EnclosureSpec(reference="E", capacity=0)],
    )
    plan = planned(given, exact=exact)
    assert [one.reason for one in plan.unserved] == ["no_room", "no_room"]
    assert plan.cost_minor == 0


def test_a_dc_unit_without_any_driver():
    given = house(
        [circuit("A", "dc-white", supply_v=24.0)],
        [receiver("D4", limits={"dc-white": (0, 60)}, supply_volts=(24.0,))],
    )
    assert [one.reason for one in planned(given).unserved] == ["no_driver"]


def test_a_repeated_code_is_named():
    given = house([circuit("A", pieces=[10.0]), circuit("A", pieces=[20.0])], [receiver()])
    plan = plan_house(**given)
    assert [(one.code, one.reason) for one in plan.unserved] == [("A", "repeated_code")]
    assert plan.units[0].load_w == 10.0


def test_references_that_stand_twice_are_refused():
    with pytest.raises(ValueError, match="receivers must each have their own reference"):
        plan_house(**house([], [receiver(), receiver()]))


@pytest.mark.parametrize(
    "bad",
    [
        {"headroom": NAN},
        {"headroom": -1},
        {"headroom_method": "none"},
        {"mains_v": 0},
        {"headroom": 1, "headroom_method": "reserved"},
    ],
)
def test_planning_refuses_bad_settings(bad):
    with pytest.raises(ValueError, match="must be"):
        plan_house(**house([circuit()], [receiver()]), **bad)


@pytest.mark.parametrize(
    "bad",
    [
        {"code": ""},
        {"load_kind": "candle"},
        {"pieces_w": ()},
        {"pieces_w": (0.0,)},
        {"pieces_w": (NAN,)},
        {"pieces_w": (math.inf,)},
        {"channels": 0},
        {"load_nature": "magic"},
        {"supply_v": -24.0},
        {"current_ma": 350.0},
        {"current_ma": 350.0, "forward_v": 3.0, "supply_v": 24.0},
        {"power_factor": 1.1},
        {"channel_shares": (0.5, 0.5)},
        {"channels": 2, "channel_shares": (0.5, 0.6)},
        {"enclosure": ""},
    ],
)
def test_a_circuit_refuses_bad_values(bad):
    fields = {"code": "A", "load_kind": "switched", "pieces_w": (1.0,), "enclosure": "E", **bad}
    with pytest.raises(ValueError, match=r"must|come together|not both"):
        ControlCircuit(**fields)


@pytest.mark.parametrize(
    "bad",
    [
        {"reference": ""},
        {"outputs": 0},
        {"outputs": 2.5},
        {"limits": {"candle": (0, 1)}},
        {"limits": {"switched": (NAN, 1)}},
        {"limits": {"switched": (0, -1)}},
        {"limits": {"switched": (0, 1, 2)}},
        {"nature_limits": {("switched", "magic"): (0, 1)}},
        {"unit_max_w": 0},
        {"cost_minor": -1},
        {"cost_minor": 1.0},
        {"limits_in": "kW"},
        {"output_max_a": 4},
        {"pieces_max": {"switched": 0}},
        {"supply_volts": (0,)},
    ],
)
def test_a_receiver_refuses_bad_values(bad):
    fields = {
        "reference": "R",
        "outputs": 4,
        "limits": {"switched": (0, 1)},
        "unit_max_w": 4,
        "cost_minor": 1,
        **bad,
    }
    with pytest.raises(ValueError, match=r"must|need"):
        ReceiverOption(**fields)


def test_huge_and_tiny_values_do_not_break_it():
    given = house(
        [circuit("A", pieces=[1e-5]), circuit("B", pieces=[1e6])],
        [receiver(limits={"switched": (0, 2e6)}, unit_max_w=1e7, cost_minor=10**9)],
        drivers=[DriverOption(reference="P", supply_v=24, rating_w=1e6, cost_minor=0)],
    )
    plan = planned(given)
    assert (plan.cost_minor, plan.is_proven) == (10**9, True)
