"""Fixed choices: how they narrow the ways to serve circuits, and which of them cannot hold."""

from __future__ import annotations

import itertools
import math
import operator
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from engineering.control_plan import Reason, Unserved
from engineering.control_problem import (
    ControlCircuit,
    FixedChoice,
    FixedDriver,
    FixedReceiver,
    FixedTogether,
    FixedUnits,
)
from engineering.control_units import Headroom, UnitChoice
from engineering.control_ways import Task, Way, distinct, merged, ways_for
from engineering.drivers import DriverOption

_MOST_WAYS = 60

KnownWays = dict[object, Task | Unserved]
"""What circuits of one likeness come to, under one choice of units."""


@dataclass(slots=True, kw_only=True)
class Gathered:
    """Tasks to solve, circuits that nothing can feed, and fixed choices that cannot hold."""

    tasks: list[Task] = field(default_factory=list)
    unserved: list[Unserved] = field(default_factory=list)
    broken: list[Reason] = field(default_factory=list)


def fixed_reason(*, code: str, choice: FixedChoice) -> Reason:
    """Return what says that a fixed choice cannot hold."""
    match choice:
        case FixedReceiver():
            values = {"circuit": choice.circuit, "receiver": choice.receiver}
        case FixedDriver():
            values = {"circuit": choice.circuit, "driver": choice.driver}
        case FixedTogether():
            return Reason(code=code, values={"circuits": tuple(sorted(choice.circuits))})
        case FixedUnits():
            return Reason(
                code=code,
                values={
                    "enclosure": choice.enclosure,
                    "receiver": choice.receiver,
                    "count": choice.count,
                },
            )
    return Reason(code=code, values=dict(values))


def gather_tasks(
    *,
    circuits: Sequence[ControlCircuit],
    choices: Sequence[UnitChoice],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
    fixed: Sequence[FixedChoice],
    known: KnownWays,
) -> Gathered:
    """Return the tasks of one enclosure's circuits under the fixed choices.

    A fixed choice that cannot hold is named and its circuits are planned freely, so that the plan of the
    rest stands. `known` keeps what circuits that differ in their code alone come to.
    """
    gathered = Gathered()
    tasks: dict[str, Task] = {}
    for circuit in circuits:
        own = [choice for choice in fixed if _concerns(choice, circuit.code)]
        found = _free_task(circuit, choices, drivers, headroom, known)
        if isinstance(found, Unserved):
            gathered.unserved.append(found)
            gathered.broken += [fixed_reason(code="circuit_unserved", choice=one) for one in own]
            continue
        for choice in sorted(own, key=repr):
            narrowed = _narrow(circuit, found, choice, choices, drivers, headroom)
            if narrowed is None:
                gathered.broken.append(fixed_reason(code="fixed_cannot_hold", choice=choice))
            else:
                found = narrowed
        tasks[circuit.code] = found
    _keep_together(tasks, [c for c in fixed if isinstance(c, FixedTogether)], choices, gathered)
    # Kept-together circuits share one task; a task is known by its circuits.
    gathered.tasks = list({task.circuits: task for task in tasks.values()}.values())
    return gathered


def _concerns(choice: FixedChoice, code: str) -> bool:
    return isinstance(choice, FixedReceiver | FixedDriver) and choice.circuit == code


_likeness = operator.attrgetter(
    *(name for name in ControlCircuit.__dataclass_fields__ if name not in ("code", "enclosure"))
)


def _free_task(
    circuit: ControlCircuit,
    choices: Sequence[UnitChoice],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
    known: KnownWays,
) -> Task | Unserved:
    """Return the ways of a circuit; circuits that differ in their code alone share the work."""
    likeness = _likeness(circuit)
    if likeness not in known:
        known[likeness] = ways_for(
            circuit=circuit, choices=choices, drivers=drivers, headroom=headroom
        )
    return renamed(found=known[likeness], code=circuit.code)


def renamed(*, found: Task | Unserved, code: str) -> Task | Unserved:
    """Return one circuit's ways, or its refusal, as those of another circuit that is like it."""
    if isinstance(found, Unserved):
        return Unserved(code=code, reason=found.reason, values=found.values)
    return Task(
        circuits=(code,),
        ways=tuple(way.for_circuit(code) for way in found.ways),
        is_complete=found.is_complete,
    )


def _narrow(
    circuit: ControlCircuit,
    task: Task,
    choice: FixedChoice,
    choices: Sequence[UnitChoice],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
) -> Task | None:
    """Return the task under a fixed receiver or driver, or None where that cannot hold."""
    if isinstance(choice, FixedReceiver):
        usable = _numbers(c.receiver.reference == choice.receiver for c in choices)
        return _usable(task, usable)
    assert isinstance(choice, FixedDriver)
    if circuit.supply_place == "before":
        usable = _numbers(
            c.driver is not None and c.driver.reference == choice.driver for c in choices
        )
        return _usable(task, usable)
    if circuit.supply_place != "after":
        return None
    chosen = [driver for driver in drivers if driver.reference == choice.driver]
    found = ways_for(circuit=circuit, choices=choices, drivers=chosen, headroom=headroom)
    if isinstance(found, Unserved):
        return None
    # A fixed driver must not open a split that is closed to the free plan.
    parts = min(way.part_count for way in task.ways)
    allowed = {number for way in task.ways for b in way.bundles for number in b.allowed}
    ways = tuple(way for way in found.ways if way.part_count == parts)
    kept = Task(circuits=task.circuits, ways=ways, is_complete=found.is_complete)
    return _usable(kept, frozenset(allowed))


def _numbers(claims: Iterable[bool]) -> frozenset[int]:
    return frozenset(number for number, holds in enumerate(claims) if holds)


def _usable(task: Task, usable: frozenset[int]) -> Task | None:
    ways = task.narrowed(usable)
    return Task(circuits=task.circuits, ways=ways, is_complete=task.is_complete) if ways else None


def _keep_together(
    tasks: dict[str, Task],
    fixed: Sequence[FixedTogether],
    choices: Sequence[UnitChoice],
    gathered: Gathered,
) -> None:
    for choice in sorted(fixed, key=lambda one: sorted(one.circuits)):
        here = sorted({code for code in choice.circuits if code in tasks})
        if not here:
            gathered.broken.append(fixed_reason(code="circuit_unserved", choice=choice))
            continue
        elsewhere = set(choice.circuits) - set(here)
        # By their circuits: a way with drivers holds reasons, which have no hash.
        apart = {tasks[code].circuits: tasks[code] for code in here}
        joined = _joined(list(apart.values()), choices)
        if elsewhere or joined is None:
            gathered.broken.append(fixed_reason(code="fixed_cannot_hold", choice=choice))
        else:
            tasks.update(dict.fromkeys(joined.circuits, joined))


def _joined(parts: Sequence[Task], choices: Sequence[UnitChoice]) -> Task | None:
    """Return tasks as one whose parts all sit in one unit."""
    if len(parts) == 1 and all(len(way.bundles) == 1 for way in parts[0].ways):
        return parts[0]
    ways: list[Way] = []
    steps = itertools.product(*(task.ways for task in parts))
    for combination in itertools.islice(steps, 40 * _MOST_WAYS):
        bundles = [bundle for way in combination for bundle in way.bundles]
        whole = merged(bundles=bundles, choices=choices)
        if whole is not None:
            cost = sum(way.cost_minor for way in combination)
            width = math.fsum(way.width for way in combination)
            ways.append(Way(bundles=(whole,), cost_minor=cost, width=width))
    if not ways:
        return None
    is_complete = all(task.is_complete for task in parts) and next(steps, None) is None
    differing = distinct(ways=ways)
    return Task(
        circuits=tuple(sorted(code for task in parts for code in task.circuits)),
        ways=differing[:_MOST_WAYS],
        is_complete=is_complete and len(differing) <= _MOST_WAYS,
    )


def unit_counts(
    *, fixed: Sequence[FixedChoice], enclosure: str, held: Mapping[str, int], usable: set[str]
) -> tuple[dict[str, int], list[Reason]]:
    """Return how many more units of each receiver an enclosure must get, and what cannot hold.

    `held` counts the units that are wired already, `usable` names the receivers that may stand there.
    """
    counts: dict[str, int] = {}
    broken: list[Reason] = []
    mine = [one for one in fixed if isinstance(one, FixedUnits) and one.enclosure == enclosure]
    for choice in sorted(mine, key=lambda one: (one.receiver, one.count)):
        more = choice.count - held.get(choice.receiver, 0)
        contradicts = counts.get(choice.receiver, more) != more
        if more < 0 or contradicts or (more > 0 and choice.receiver not in usable):
            broken.append(fixed_reason(code="fixed_cannot_hold", choice=choice))
        else:
            counts[choice.receiver] = more
    return counts, broken
