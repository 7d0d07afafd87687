"""Room in an enclosure: units, drivers before them, and drivers after their outputs unless they stand apart."""

import itertools
import random
from dataclasses import replace

import pytest

from engineering.control import (
    ControlCircuit,
    DriverOption,
    EnclosureSpec,
    FixedDriver,
    FixedTogether,
    ReceiverOption,
    plan_house,
)
from tests.engineering.control_validator import faults

DIMS = frozenset({"analogue-dimmed"})


def unit(reference="R4", outputs=4, cost_minor=9000, width=4.0):
    return ReceiverOption(
        reference=reference, outputs=outputs, limits={"analogue-dimmed": (0, 500)},
        unit_max_w=2000, cost_minor=cost_minor, width=width,
    )  # fmt: skip


def driver(reference="D", cost_minor=3000, width=2.0, rating_w=100.0):
    return DriverOption(
        reference=reference, rating_w=rating_w, cost_minor=cost_minor, supply_v=24.0,
        dimmed_by=DIMS, width=width,
    )  # fmt: skip


def tape(code, watts=40.0, pieces=1, **more):
    return ControlCircuit(
        code=code, load_kind="analogue-dimmed", pieces_w=(watts,) * pieces, enclosure="E",
        supply_v=24.0, **more,
    )  # fmt: skip


def house(circuits, drivers, *, units=None, capacity=None, **more):
    return {
        "circuits": circuits,
        "receivers": units or [unit()],
        "drivers": drivers,
        "enclosures": [EnclosureSpec(reference="E", capacity=capacity)],
        **more,
    }


def planned(given, **more):
    plan = plan_house(**given, **more)
    assert faults(plan, given) == []
    return plan


def drivers_of(plan):
    return sorted(
        supply.reference
        for each in plan.units
        for output in each.outputs
        for part in output.parts
        for supply in part.supplies
    )


def test_drivers_after_outputs_take_room_in_the_enclosure():
    loads = [tape("A"), tape("B")]
    enough = planned(house(loads, [driver()], capacity=8))
    assert not enough.unserved and enough.enclosures[0].width_used == 8
    short = planned(house(loads, [driver()], capacity=7))
    assert [(one.code, one.reason) for one in short.unserved] == [("B", "no_room")]
    assert short.enclosures[0].width_used == 6


def test_drivers_that_stand_apart_take_none():
    loads = [tape("A", drivers_apart=True), tape("B", drivers_apart=True)]
    plan = planned(house(loads, [driver()], capacity=4))
    assert not plan.unserved and plan.enclosures[0].width_used == 4


def test_a_dearer_driver_is_taken_where_only_it_fits():
    drivers = [driver("wide", 3000, 3.0), driver("slim", 3600, 1.0)]
    loads = [tape("A"), tape("B")]
    assert drivers_of(planned(house(loads, drivers))) == ["wide", "wide"]
    assert drivers_of(planned(house(loads, drivers, capacity=10))) == ["wide", "wide"]
    assert drivers_of(planned(house(loads, drivers, capacity=9))) == ["slim", "wide"]
    tight = planned(house(loads, drivers, capacity=6))
    assert drivers_of(tight) == ["slim", "slim"] and tight.is_proven


def test_every_driver_of_a_part_counts():
    plan = planned(house([tape("A", 80.0, pieces=3)], [driver()], capacity=10))
    assert plan.enclosures[0].width_used == 10  # the unit's 4, and three drivers of 2


def test_what_is_wired_keeps_its_room():
    first = planned(house([tape("A"), tape("B")], [driver()], capacity=8))
    more = house([tape("A"), tape("B"), tape("C")], [driver()], capacity=8)
    plan = planned(more, held=first.units)
    assert [(one.code, one.reason) for one in plan.unserved] == [("C", "no_room")]
    wider = planned({**more, "enclosures": [EnclosureSpec(reference="E", capacity=10)]},
                    held=first.units)  # fmt: skip
    assert not wider.unserved


def test_without_a_limit_widths_change_nothing():
    drivers = [driver("wide", 3000, 3.0), driver("slim", 3000, 1.0), driver("none", 3200, 0.0)]
    loads = [tape(code) for code in "ABCDE"]
    plan = planned(house(loads, drivers))
    bare = plan_house(**house(loads, [replace(one, width=0.0) for one in drivers]))
    assert plan.cost_minor == bare.cost_minor and plan.is_proven


def test_circuits_kept_together_bring_the_room_of_all_their_drivers():
    loads = [tape("A"), tape("B")]
    fixed = [FixedTogether(circuits=("A", "B"))]
    assert not planned(house(loads, [driver()], capacity=8, fixed=fixed)).unserved
    assert len(planned(house(loads, [driver()], capacity=7, fixed=fixed)).unserved) == 2


def test_a_fixed_driver_too_wide_leaves_its_circuit_without_room():
    drivers = [driver("wide", 3000, 9.0), driver("slim", 3600, 1.0)]
    fixed = [FixedDriver(circuit="A", driver="wide")]
    plan = planned(house([tape("A")], drivers, capacity=6, fixed=fixed))
    assert [one.reason for one in plan.unserved] == ["no_room"]


def exhaustive(loads, drivers, units, capacity):
    """Return the least (unserved, cost) over every choice of circuits served, drivers and units."""
    found = []
    choices = [(None, *drivers)] * len(loads)
    for chosen in itertools.product(*choices):
        served = [one for one in chosen if one is not None]
        for counts in itertools.product(*(range(len(loads) + 1) for _ in units)):
            outputs = sum(n * one.outputs for n, one in zip(counts, units, strict=True))
            if outputs < len(served):
                continue
            width = sum(n * one.width for n, one in zip(counts, units, strict=True))
            width += sum(one.width for one in served)
            if width <= capacity:
                cost = sum(n * one.cost_minor for n, one in zip(counts, units, strict=True))
                cost += sum(one.cost_minor for one in served)
                found.append((len(loads) - len(served), cost))
    return min(found)


@pytest.mark.parametrize("seed", range(60))
def test_the_plan_is_as_good_as_an_exhaustive_search_with_widths(seed):
    rng = random.Random(f"widths/{seed}")
    loads = [tape(f"C{n}", 40.0) for n in range(rng.randint(1, 4))]
    drivers = [
        driver(f"D{n}", rng.randint(20, 60) * 100, float(rng.randint(0, 3)))
        for n in range(rng.randint(1, 3))
    ]
    units = [
        unit(f"R{n}", rng.randint(1, 4), rng.randint(40, 120) * 100, float(rng.randint(1, 4)))
        for n in range(rng.randint(1, 2))
    ]
    capacity = rng.randint(1, 12)
    given = house(loads, drivers, units=units, capacity=capacity)
    plan = planned(given)
    assert plan.is_proven
    assert (len(plan.unserved), plan.cost_minor) == exhaustive(loads, drivers, units, capacity)
    quick = planned(given, exact=False)
    assert quick.bound_minor <= quick.cost_minor
    if len(quick.unserved) == len(plan.unserved):
        assert quick.bound_minor <= plan.cost_minor <= quick.cost_minor


@pytest.mark.parametrize("seed", range(20))
def test_a_quick_plan_breaks_no_width_in_a_large_enclosure(seed):
    rng = random.Random(f"quick/{seed}")
    loads = [tape(f"C{n:02}", float(rng.randint(10, 80))) for n in range(40)]
    drivers = [driver("D1", 2500, 3.0), driver("D2", 3100, 2.0), driver("D3", 4500, 1.0, 200.0)]
    units = [unit(), unit("R8", 8, 15000, 6.0)]
    given = house(loads, drivers, units=units, capacity=rng.randint(20, 160))
    plan = planned(given, exact=False)
    assert plan.units
    assert not plan.are_ties_proven, "the quick way gave up, and the exact one answered"
