"""Fewest moves from an earlier plan, and what a fixed choice costs."""

import random
import subprocess
import sys
from dataclasses import replace

import pytest

from engineering.control import (
    ControlCircuit,
    EnclosureSpec,
    FixedReceiver,
    FixedTogether,
    FixedUnits,
    ReceiverOption,
    plan_house,
)
from engineering.control_fixed_cost import cost_of_fixed
from tests.bench.bench_control import a_house
from tests.engineering.control_validator import faults


def seats(plan):
    return {
        (part.circuit, part.pieces, part.channel): (unit.enclosure, unit.number, output.number)
        for unit in plan.units
        for output in unit.outputs
        for part in output.parts
    }


def moves(plan, previous):
    before = seats(previous)
    return sum(before[key] != seat for key, seat in seats(plan).items() if key in before)


def result(plan):
    return plan.cost_minor, len(plan.units), plan.spare_outputs


def recoded(units, codes):
    """Return the units with other codes for their circuits."""
    return [
        replace(
            unit,
            outputs=tuple(
                replace(
                    output,
                    parts=tuple(
                        replace(part, circuit=codes[part.circuit]) for part in output.parts
                    ),
                )
                for output in unit.outputs
            ),
        )
        for unit in units
    ]


@pytest.mark.parametrize("seed", range(4))
def test_an_earlier_plan_that_is_as_good_is_kept_wholly(seed):
    given = a_house(seed=seed, circuits=40)
    codes = [circuit.code for circuit in given["circuits"]]
    others = random.Random(seed).sample(codes, len(codes))
    turned = [replace(c, code=n) for c, n in zip(given["circuits"], others, strict=True)]
    # Planned under other codes, the circuits sit elsewhere; an equally good plan for these codes.
    elsewhere = plan_house(**{**given, "circuits": turned})
    units = recoded(elsewhere.units, dict(zip(others, codes, strict=True)))
    free, kept = plan_house(**given), plan_house(**given, previous=units)
    previous = replace(
        elsewhere,
        enclosures=tuple(
            replace(one, units=tuple(u for u in units if u.enclosure == one.reference))
            for one in elsewhere.enclosures
        ),
    )
    assert result(kept) == result(free)
    assert not faults(kept, given)
    assert moves(free, previous) > 10
    assert moves(kept, previous) == 0


def test_after_one_more_circuit_fewer_move_and_nothing_else_changes():
    found = []
    for seed in range(4):
        given = a_house(seed=seed, circuits=40)
        more = {
            **given,
            "circuits": [replace(given["circuits"][0], code="A000"), *given["circuits"]],
        }
        previous = plan_house(**given)
        free, kept = plan_house(**more), plan_house(**more, previous=previous.units)
        assert result(kept) == result(free)
        assert kept.is_proven == free.is_proven
        assert not faults(kept, more)
        found.append((moves(kept, previous), moves(free, previous)))
    assert all(with_it <= without for with_it, without in found)
    assert sum(with_it < without for with_it, without in found) >= 3


def test_the_order_of_the_earlier_units_does_not_matter():
    given = a_house(seed=2, circuits=40)
    previous = plan_house(**given).units
    circuits = given["circuits"][3:]
    plan = plan_house(**{**given, "circuits": circuits}, previous=previous)
    assert plan == plan_house(**{**given, "circuits": circuits}, previous=previous[::-1])


def test_an_earlier_plan_that_names_a_circuit_twice_does_no_harm():
    given = a_house(seed=1, circuits=40)
    previous = plan_house(**given).units
    twice = [*previous, *(replace(unit, number=unit.number + 50) for unit in previous)]
    assert result(plan_house(**given, previous=twice)) == result(plan_house(**given))


def test_wired_units_keep_their_numbers_against_an_earlier_plan():
    given = a_house(seed=3, circuits=10)
    wired = plan_house(**given).units[:1]
    earlier = [replace(unit, number=1) for unit in plan_house(**given).units]
    plan = plan_house(**given, held=wired, previous=earlier)
    numbers = [(unit.enclosure, unit.number) for unit in plan.units]
    assert len(set(numbers)) == len(numbers)
    assert [unit.is_held for unit in plan.units].count(True) == 1


def lamp(code, enclosure="E"):
    return ControlCircuit(code=code, load_kind="switched", pieces_w=(60.0,), enclosure=enclosure)


def option(reference, outputs, cost):
    return ReceiverOption(
        reference=reference,
        outputs=outputs,
        limits={"switched": (0, 200)},
        unit_max_w=200.0 * outputs,
        cost_minor=cost,
    )


OPTIONS = [option("R2", 2, 5000), option("S2", 2, 6500), option("R4", 4, 9000)]
PLACES = [EnclosureSpec(reference="E"), EnclosureSpec(reference="F")]


@pytest.mark.parametrize(
    ("choice", "cost"),
    [
        (FixedReceiver(circuit="A", receiver="R2"), 0),
        (FixedReceiver(circuit="A", receiver="S2"), 1500),
        (FixedTogether(circuits=("A", "B")), 0),
        (FixedUnits(enclosure="E", receiver="R4", count=1), 4000),
    ],
)
def test_a_fixed_choice_costs_the_difference_to_the_plan_without_it(choice, cost):
    found = cost_of_fixed(
        choice=choice,
        circuits=[lamp("A"), lamp("B"), lamp("C", "F")],
        enclosures=PLACES,
        receivers=OPTIONS,
        fixed=[choice],
    )
    assert found.is_proven
    assert found.holds
    assert found.cost_minor == found.least_minor == found.most_minor == cost


def test_a_choice_that_cannot_hold_has_no_cost():
    found = cost_of_fixed(
        choice=FixedReceiver(circuit="A", receiver="none"),
        circuits=[lamp("A")],
        enclosures=PLACES,
        receivers=OPTIONS,
    )
    assert not found.holds
    assert not found.is_proven


def test_the_cost_of_one_choice_leaves_the_others_fixed():
    other = FixedReceiver(circuit="A", receiver="S2")
    found = cost_of_fixed(
        choice=FixedReceiver(circuit="B", receiver="S2"),
        circuits=[lamp("A"), lamp("B")],
        enclosures=PLACES,
        receivers=OPTIONS,
        fixed=[other],
    )
    # With A on an S2 already, B costs nothing more there.
    assert found.cost_minor == 0


def test_the_solver_prints_nothing():
    script = (
        "from tests.bench.bench_control import a_house\n"
        "from engineering.control import plan_house\n"
        "print('before')\n"
        "plan_house(**a_house(seed=0, circuits=10))\n"
        "print('after')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout == "before\nafter\n"
    assert done.stderr == ""
