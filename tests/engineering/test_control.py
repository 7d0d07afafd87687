"""What a control plan obeys: limits, splits, colour circuits, places, routes, spare, ties."""

import random

import pytest

from engineering.control import (
    ControlCircuit,
    DriverOption,
    EnclosureSpec,
    ReceiverOption,
    plan_house,
)
from tests.bench.bench_control import a_house
from tests.engineering.control_validator import faults


def circuit(code="A", kind="switched", pieces=(40.0,), **more):
    more.setdefault("enclosure", "E")
    return ControlCircuit(code=code, load_kind=kind, pieces_w=tuple(pieces), **more)


def receiver(reference="R4", outputs=4, limits=None, unit_max_w=600, cost_minor=9000, **more):
    return ReceiverOption(
        reference=reference,
        outputs=outputs,
        limits=limits or {"switched": (0, 200)},
        unit_max_w=unit_max_w,
        cost_minor=cost_minor,
        **more,
    )


def house(circuits, receivers, enclosures=None, **more):
    return {
        "circuits": circuits,
        "receivers": receivers,
        "enclosures": enclosures or [EnclosureSpec(reference="E")],
        **more,
    }


def planned(given, **more):
    """Return the plan, after the separate validator found nothing wrong with it."""
    plan = plan_house(**given, **more)
    assert faults(plan, given) == []
    return plan


def parts_of(plan, code):
    return [
        (unit.number, part)
        for unit in plan.units
        for output in unit.outputs
        for part in output.parts
        if part.circuit == code
    ]


def test_a_circuit_above_every_output_is_split_by_whole_pieces_into_the_fewest_parts():
    plan = planned(house([circuit(pieces=[60.0] * 8)], [receiver()]))
    parts = parts_of(plan, "A")
    assert sorted(len(part.pieces) for _, part in parts) == [2, 3, 3]
    assert plan.is_proven


def test_unequal_pieces_are_split_too():
    plan = planned(house([circuit(pieces=[150.0, 120.0, 80.0, 50.0])], [receiver()]))
    assert sorted(part.power_w for _, part in parts_of(plan, "A")) == [200.0, 200.0]


def test_the_split_is_chosen_that_needs_the_least_hardware():
    """Even halves (2 × 150 W) do not fit beside the other circuit on one unit of 4 × 200 W; 100 + 200 do."""
    small = receiver("R2", 2, unit_max_w=300, cost_minor=5000)
    loads = [
        circuit("A", pieces=[50.0] * 6),
        circuit("B", pieces=[200.0]),
        circuit("C", pieces=[100.0]),
    ]
    plan = planned(house(loads, [small]))
    assert plan.cost_minor == 10000
    assert plan.is_proven


def test_a_colour_circuit_sits_in_one_unit_with_its_channels_shared_out():
    given = house(
        [
            circuit("A", "dc-rgbw", [100.0], channels=4, channel_shares=(0.2, 0.2, 0.2, 0.4)),
            circuit("B", "dc-rgbw", [100.0], channels=4),
        ],
        [receiver("D6", 6, {"dc-rgbw": (0, 60)})],
    )
    plan = planned(given)
    assert len(plan.units) == 2
    assert sorted(part.power_w for _, part in parts_of(plan, "A")) == pytest.approx(
        [20, 20, 20, 40]
    )


def test_the_fullest_channel_counts():
    given = house(
        [circuit("A", "dc-rgbw", [100.0], channels=4, channel_shares=(0.1, 0.1, 0.1, 0.7))],
        [receiver("D4", 4, {"dc-rgbw": (0, 60)})],
    )
    assert [one.reason for one in planned(given).unserved] == ["piece_above_output"]


def test_a_missing_led_figure_is_not_known_and_never_the_resistive_one():
    known = receiver("K", limits={}, nature_limits={("phase-dimmed", "resistive"): (0, 400)})
    lamp = circuit("A", "phase-dimmed", load_nature="led")
    assert [one.reason for one in planned(house([lamp], [known])).unserved] == ["limit_not_known"]
    resistive = circuit("A", "phase-dimmed", load_nature="resistive")
    assert not planned(house([resistive], [known])).unserved


def test_limits_in_va_need_the_power_factor():
    unit = receiver("V", limits={"switched": (0, 100)}, limits_in="VA")
    for factor, reasons in (
        (0.9, []),
        (0.5, ["piece_above_output"]),
        (None, ["power_factor_not_known"]),
    ):
        given = house([circuit(pieces=[80.0], power_factor=factor)], [unit])
        assert [one.reason for one in planned(given).unserved] == reasons


def test_pieces_edges_and_least_load_are_kept():
    unit = receiver(
        limits={"phase-dimmed": (20, 200)},
        pieces_max={"phase-dimmed": 5},
        edges=frozenset({"trailing"}),
    )
    wrong_edge = circuit("A", "phase-dimmed", edges=frozenset({"leading"}))
    too_small = circuit("B", "phase-dimmed", [19.0])
    many = circuit("C", "phase-dimmed", [10.0] * 8)
    plan = planned(house([wrong_edge, too_small, many], [unit]))
    assert {one.code: one.reason for one in plan.unserved} == {
        "A": "edge_not_met",
        "B": "below_minimum",
    }
    assert sorted(len(part.pieces) for _, part in parts_of(plan, "C")) == [4, 4]


def test_damp_places_take_only_units_of_their_ip():
    dry, damp = receiver("DRY", ip="IP20"), receiver("WET", ip="IP65", cost_minor=20000)
    place = [EnclosureSpec(reference="E", ip_needed="IP44")]
    assert planned(house([circuit()], [dry, damp], place)).units[0].reference == "WET"
    plan = planned(house([circuit()], [dry, receiver("UNKNOWN")], place))
    assert [one.reason for one in plan.unserved] == ["ip_not_met"]


def test_where_there_is_no_room_as_many_as_can_be_are_served():
    loads = [circuit(f"C{n}", pieces=[200.0]) for n in range(5)]
    units = [
        receiver("R2", 2, cost_minor=5000, width=2),
        receiver("R4", 4, cost_minor=30000, width=3, unit_max_w=800),
    ]
    plan = planned(house(loads, units, [EnclosureSpec(reference="E", capacity=4)]))
    assert len(plan.unserved) == 1
    assert plan.unserved[0].reason == "no_room"
    assert plan.is_proven


def test_a_protective_device_limits_the_enclosure():
    loads = [circuit(f"C{n}", pieces=[150.0]) for n in range(5)]
    plan = planned(house(loads, [receiver()], [EnclosureSpec(reference="E", protective_a=2)]))
    assert len(plan.unserved) == 2
    assert {one.reason for one in plan.unserved} == {"protective_device_full"}


def test_spare_outputs_are_kept_and_named_where_they_cannot_be():
    loads = [circuit(f"C{n}") for n in range(4)]
    unit = receiver(width=4)
    kept = planned(house(loads, [unit], [EnclosureSpec(reference="E", spare_share=0.2)]))
    assert (len(kept.units), kept.spare_outputs) == (2, 4)
    tight = EnclosureSpec(reference="E", spare_share=0.2, capacity=4)
    plan = planned(house(loads, [unit], [tight]))
    assert not plan.unserved
    assert [reason.code for reason in plan.enclosures[0].reasons] == ["spare_not_met"]


def test_an_exit_route_never_hangs_on_one_unit():
    loads = [circuit("S1", route="stair"), circuit("S2", route="stair"), circuit("X")]
    plan = planned(house(loads, [receiver()]))
    assert len(plan.units) == 2
    assert plan.cost_minor == 18000
    alone = planned(house([circuit("S1", route="stair")], [receiver()]))
    assert [reason.code for reason in alone.enclosures[0].reasons] == ["route_on_one_unit"]


def test_ties_go_to_fewer_units_and_then_to_more_spare():
    loads = [circuit(f"C{n}") for n in range(4)]
    two, four, six = (
        receiver(f"R{n}", n, cost_minor=cost, unit_max_w=900)
        for n, cost in ((2, 4500), (4, 9000), (6, 9000))
    )
    plan = planned(house(loads, [two, four]))
    assert [unit.reference for unit in plan.units] == ["R4"]
    plan = planned(house(loads, [two, four, six]))
    assert [unit.reference for unit in plan.units] == ["R6"]
    assert plan.are_ties_proven


def test_enclosures_are_planned_apart():
    loads = [circuit("A", enclosure="E"), circuit("B", enclosure="F"), circuit("C", enclosure="G")]
    places = [EnclosureSpec(reference="E"), EnclosureSpec(reference="F")]
    plan = planned(house(loads[:2], [receiver()], places))
    assert [len(one.units) for one in plan.enclosures] == [1, 1]
    lost = plan_house(**house(loads, [receiver()], places))
    assert [(one.code, one.reason) for one in lost.unserved] == [("C", "no_such_enclosure")]


def test_a_unit_never_mixes_voltages():
    driver = {"rating_w": 200, "cost_minor": 1000}
    given = house(
        [circuit("A", "dc-white", supply_v=12.0), circuit("B", "dc-white", supply_v=24.0)],
        [
            receiver(
                "D4",
                limits={"dc-white": (0, 100)},
                supply_volts=(12.0, 24.0),
                unit_max_a=5,
                output_max_a=4,
            )
        ],
        drivers=[
            DriverOption(reference="P12", supply_v=12, **driver),
            DriverOption(reference="P24", supply_v=24, **driver),
        ],
    )
    plan = planned(given)
    assert sorted(unit.supplies[0].volts for unit in plan.units) == [12, 24]
    assert planned({**given, "drivers": given["drivers"][:1]}).unserved[0].reason == "no_driver"


@pytest.mark.parametrize("seed", range(4))
def test_same_input_same_answer_whatever_the_order_of_rows(seed):
    given = a_house(seed=seed, circuits=30)
    plan = planned(given)
    rng = random.Random(seed)
    for name in ("circuits", "enclosures", "receivers", "drivers"):
        rng.shuffle(given[name])
    assert plan_house(**given) == plan


@pytest.mark.parametrize("seed", range(3))
def test_invented_houses_of_120_circuits_break_no_limit(seed):
    given = a_house(seed=seed, circuits=120)
    plan = planned(given)
    quick = planned(given, exact=False)
    assert not plan.unserved
    assert plan.is_proven
    assert quick.bound_minor <= plan.bound_minor <= plan.cost_minor <= quick.cost_minor


def test_past_the_limit_of_work_the_best_plan_stands_with_its_bound():
    from engineering.control import CoverLimits

    given = a_house(seed=4, circuits=120)
    plan = planned(given, limits=CoverLimits(trials=1, patterns=1, nodes=1))
    assert not plan.is_proven
    assert 0 < plan.bound_minor < plan.cost_minor
    assert plan.cost_minor >= planned(given).cost_minor
