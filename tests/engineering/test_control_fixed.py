"""Fixed choices and what is wired: the plan obeys them, or says that they cannot hold."""

from engineering.control import (
    CircuitPart,
    DriverOption,
    FixedDriver,
    FixedReceiver,
    FixedTogether,
    FixedUnits,
    Output,
    Unit,
    plan_house,
)
from tests.engineering.test_control import circuit, house, parts_of, planned, receiver

CHEAP = receiver("R4", 4, cost_minor=9000)
DEAR = receiver("R2", 2, cost_minor=12000)


def _codes(plan):
    return [reason.code for reason in plan.broken]


def test_a_fixed_receiver_is_used():
    given = house([circuit("A"), circuit("B")], [CHEAP, DEAR])
    plan = planned(given, fixed=[FixedReceiver(circuit="A", receiver="R2", reason="in stock")])
    ((number, _),) = parts_of(plan, "A")
    assert next(unit for unit in plan.units if unit.number == number).reference == "R2"
    assert plan.cost_minor == 12000  # B goes along
    assert plan.is_proven
    assert not plan.broken


def test_a_fixed_receiver_that_cannot_hold_is_named_and_left_out():
    given = house(
        [circuit("A"), circuit("B", pieces=[180.0])],
        [CHEAP, receiver("R1", 1, {"switched": (0, 100)})],
    )
    fixed = [FixedReceiver(circuit="B", receiver="R1"), FixedReceiver(circuit="A", receiver="NONE")]
    plan = planned(given, fixed=fixed)
    assert _codes(plan) == ["fixed_cannot_hold", "fixed_cannot_hold"]
    assert {reason.values["circuit"] for reason in plan.broken} == {"A", "B"}
    assert plan.cost_minor == 9000


def test_circuits_are_kept_together():
    loads = [
        circuit(code, pieces=[watts])
        for code, watts in zip("ABCD", (150.0, 150.0, 40.0, 40.0), strict=True)
    ]
    given = house(loads, [receiver("R2", 2, unit_max_w=310, cost_minor=5000)])
    plan = planned(given, fixed=[FixedTogether(circuits=("A", "B"))])
    assert {number for code in "AB" for number, _ in parts_of(plan, code)} == {
        parts_of(plan, "A")[0][0]
    }
    three = planned(given, fixed=[FixedTogether(circuits=("A", "B", "C"))])
    assert _codes(three) == ["fixed_cannot_hold"]


def test_a_fixed_driver_is_used_before_and_after():
    drivers = [
        DriverOption(
            reference=name, supply_v=24, rating_w=100, cost_minor=cost, dimmed_by={"phase-dimmed"}
        )
        for name, cost in (("cheap", 1000), ("dear", 4000))
    ]
    units = [
        receiver("D4", 4, {"dc-white": (0, 60)}, supply_volts=(24.0,)),
        receiver("R4", 4, {"phase-dimmed": (0, 200)}),
    ]
    loads = [circuit("A", "dc-white", supply_v=24.0), circuit("B", "phase-dimmed", supply_v=24.0)]
    given = house(loads, units, drivers=drivers)
    free = planned(given)
    assert free.cost_minor == 20000
    before = planned(given, fixed=[FixedDriver(circuit="A", driver="dear")])
    assert before.units[0].supplies[0].reference == "dear"
    after = planned(given, fixed=[FixedDriver(circuit="B", driver="dear")])
    assert parts_of(after, "B")[0][1].supplies[0].reference == "dear"
    assert before.cost_minor == after.cost_minor == 23000
    assert _codes(planned(given, fixed=[FixedDriver(circuit="B", driver="none")])) == [
        "fixed_cannot_hold"
    ]


def test_a_fixed_number_of_units_is_met_even_where_one_stays_empty():
    given = house([circuit("A")], [CHEAP, DEAR])
    plan = planned(given, fixed=[FixedUnits(enclosure="E", receiver="R2", count=2)])
    assert [unit.reference for unit in plan.units] == ["R2", "R2"]
    assert plan.cost_minor == 24000
    assert plan.is_proven
    none = planned(given, fixed=[FixedUnits(enclosure="E", receiver="R4", count=0)])
    assert [unit.reference for unit in none.units] == ["R2"]


def test_too_few_fixed_units_cannot_hold():
    given = house([circuit(f"C{n}") for n in range(6)], [CHEAP])
    plan = planned(given, fixed=[FixedUnits(enclosure="E", receiver="R4", count=1)])
    assert _codes(plan) == ["fixed_cannot_hold"]
    assert not plan.unserved


def test_fixed_choices_about_nothing_are_named():
    plan = planned(
        house([circuit("A")], [CHEAP]),
        fixed=[
            FixedReceiver(circuit="Z", receiver="R4"),
            FixedUnits(enclosure="Z", receiver="R4", count=1),
        ],
    )
    assert _codes(plan) == ["fixed_unknown", "fixed_unknown"]


def test_what_is_wired_stays_and_new_circuits_use_its_spare_outputs():
    first = house([circuit(code) for code in "ABC"], [CHEAP, DEAR])
    wired = planned(first, fixed=[FixedUnits(enclosure="E", receiver="R2", count=2)]).units
    now = house([circuit(code) for code in "ABCD"], [CHEAP, DEAR])
    plan = planned(now, held=wired)
    assert [unit.is_held for unit in plan.units] == [True, True]
    for unit in wired:
        for output in unit.outputs:
            for part in output.parts:
                after = next(one for one in plan.units if one.number == unit.number)
                assert after.outputs[output.number - 1].parts[0].circuit == part.circuit
    assert plan.cost_minor == 24000
    assert plan.is_proven
    more = planned(house([circuit(code) for code in "ABCDEF"], [CHEAP, DEAR]), held=wired)
    assert more.cost_minor == 33000


def test_a_wired_circuit_that_outgrew_its_output_is_named_and_planned_anew():
    first = house([circuit("A"), circuit("B")], [CHEAP])
    wired = planned(first).units
    grown = house([circuit("A", pieces=[150.0, 150.0]), circuit("B")], [CHEAP])
    plan = planned(grown, held=wired)
    assert _codes(plan) == ["held_changed"]
    heavier = planned(
        house([circuit("A", pieces=[250.0, 10.0][:1]), circuit("B")], [CHEAP]), held=wired
    )
    assert _codes(heavier) == ["held_cannot_hold"]
    assert [one.reason for one in heavier.unserved] == ["piece_above_output"]
    gone = planned(house([circuit("B")], [CHEAP]), held=wired)
    assert _codes(gone) == ["held_gone"]
    assert gone.units[0].spare_outputs == 3


def test_wired_units_of_products_off_the_list_are_named():
    wired = planned(house([circuit("A")], [CHEAP])).units
    plan = planned(house([circuit("A")], [DEAR]), held=wired)
    assert _codes(plan) == ["held_unknown_product"]
    assert [unit.reference for unit in plan.units] == ["R2"]


def test_nonsense_that_is_held_never_crashes():
    part = CircuitPart(circuit="A", pieces=(7,), power_w=1.0, channel=3)
    wired = Unit(
        enclosure="E", number=1, reference="R4", outputs=(Output(number=9, parts=(part,)),)
    )
    other = Unit(
        enclosure="E", number=2, reference="R4", outputs=(Output(number=1, parts=(part,)),)
    )
    plan = planned(house([circuit("A")], [CHEAP]), held=[wired, other])
    assert sorted(_codes(plan)) == ["held_changed", "held_unknown_product"]
    assert not plan.unserved


def test_a_held_dc_unit_keeps_its_driver_and_its_room():
    drivers = [
        DriverOption(reference=name, supply_v=24, rating_w=rating, cost_minor=cost)
        for name, rating, cost in (("P60", 60, 1000), ("P120", 120, 900))
    ]
    units = [receiver("D4", 4, {"dc-white": (0, 60)}, supply_volts=(24.0,))]
    first = house([circuit("A", "dc-white", supply_v=24.0)], units, drivers=drivers[:1])
    wired = plan_house(**first).units
    loads = [
        circuit("A", "dc-white", supply_v=24.0),
        circuit("B", "dc-white", [20.0], supply_v=24.0),
    ]
    plan = planned(house(loads, units, drivers=drivers), held=wired)
    # 40 W are on a driver that carries 50 W: 20 W more need a unit of their own.
    assert [unit.supplies[0].reference for unit in plan.units] == ["P60", "P120"]


def test_a_route_may_not_end_on_the_unit_that_holds_it():
    wired = planned(house([circuit("S1", route="stair")], [CHEAP])).units
    loads = [circuit("S1", route="stair"), circuit("S2", route="stair"), circuit("X")]
    plan = planned(house(loads, [CHEAP]), held=wired)
    assert len(plan.units) == 2
