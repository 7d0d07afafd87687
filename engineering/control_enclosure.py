"""One enclosure's plan: gather, solve part by part, assemble."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from engineering.control_assemble import Assembler, Filled, fill_units, supplies_cost
from engineering.control_cover import Bounds, EnclosureCover, build_cover
from engineering.control_fixed import Gathered, KnownWays, fixed_reason, gather_tasks, unit_counts
from engineering.control_formers import FormerUnits
from engineering.control_held import HeldState, HeldUnit, held_frames, read_held, route_caps
from engineering.control_plan import EnclosurePlan, Reason, Unit, Unserved
from engineering.control_problem import (
    ControlCircuit,
    DriverOption,
    EnclosureSpec,
    FixedChoice,
    FixedDriver,
    FixedUnits,
    ReceiverOption,
)
from engineering.control_quick import quick_cover
from engineering.control_solve import KnownCovers, Solved, solve_enclosure
from engineering.control_units import Headroom, UnitChoice, grains, unit_choices
from engineering.control_ways import Task
from engineering.unit_cover import CoverLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class EnclosureTask:
    """What one enclosure's plan is made from.

    `known` and `solved` are shared by enclosures: what has been found out about circuits that are alike, and
    about parts of enclosures. They do not change the outcome.
    """

    spec: EnclosureSpec
    circuits: Sequence[ControlCircuit]
    receivers: Sequence[ReceiverOption]
    drivers: Sequence[DriverOption]
    fixed: Sequence[FixedChoice]
    held: Sequence[Unit]
    headroom: Headroom
    mains_v: float
    exact: bool
    limits: CoverLimits
    previous: Sequence[Unit] = ()
    known: dict[object, KnownWays] = field(default_factory=dict)
    solved: KnownCovers = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """An enclosure's plan and the choices that cannot hold."""

    plan: EnclosurePlan
    broken: tuple[Reason, ...]


Through = Callable[[EnclosureTask, Callable[[], Outcome]], Outcome]
"""Gives the outcome of a task: by the function, or what it kept of an equal task."""


@dataclass(slots=True, kw_only=True)
class _Sum:
    """What the parts of an enclosure add up to."""

    filled: list[Filled] = field(default_factory=list)
    unserved: list[str] = field(default_factory=list)
    bound: int = 0
    is_proven: bool = True
    are_ties_proven: bool = True
    spare_lacking: int = 0


def plan_enclosure(*, task: EnclosureTask) -> Outcome:
    """Return the plan of one enclosure.

    Fixed counts of units that would leave a circuit unserved cannot hold: they are named and left out.
    """
    outcome = _plan(task)
    has_counts = any(
        isinstance(one, FixedUnits) and one.enclosure == task.spec.reference for one in task.fixed
    )
    if not has_counts or not outcome.plan.unserved:
        return outcome
    without = [one for one in task.fixed if not isinstance(one, FixedUnits)]
    free = _plan(replace(task, fixed=without))
    if len(free.plan.unserved) >= len(outcome.plan.unserved):
        return outcome
    named = [
        fixed_reason(code="fixed_cannot_hold", choice=one)
        for one in sorted(
            (one for one in task.fixed if isinstance(one, FixedUnits)),
            key=lambda one: (one.enclosure, one.receiver),
        )
        if one.enclosure == task.spec.reference
    ]
    return Outcome(plan=free.plan, broken=(*free.broken, *named))


def _plan(task: EnclosureTask) -> Outcome:
    return _Planner(task).plan()


class _Planner:
    def __init__(self, task: EnclosureTask) -> None:
        self.task = task
        self.circuits = {circuit.code: circuit for circuit in task.circuits}
        named = {one.driver for one in task.fixed if isinstance(one, FixedDriver)}
        named |= {supply.reference for unit in task.held for supply in unit.supplies}
        is_limited = task.spec.capacity is not None
        self.likeness = (task.spec.ip_needed, tuple(sorted(named)), is_limited)
        # Where no width is asked about, that of drivers after the outputs must not part equal ways.
        self.drivers = (
            task.drivers if is_limited else [replace(one, width=0.0) for one in task.drivers]
        )
        self.driver_widths = {one.reference: one.width for one in task.drivers}
        self.choices = unit_choices(
            enclosure=task.spec,
            receivers=task.receivers,
            drivers=task.drivers,
            headroom=task.headroom,
            named_drivers=named,
        )

    def plan(self) -> Outcome:
        task = self.task
        held = read_held(
            held=task.held,
            circuits=self.circuits,
            choices=self.choices,
            drivers=self.drivers,
            headroom=task.headroom,
        )
        gathered = gather_tasks(
            circuits=[c for c in task.circuits if c.code not in held.circuits],
            choices=self.choices,
            drivers=self.drivers,
            headroom=task.headroom,
            fixed=[one for one in task.fixed if not self._is_met_by_held(one, held)],
            known=task.known.setdefault(self.likeness, {}),
        )
        bounds, broken = self._bounds(held)
        total = self._solve(gathered, held, bounds)
        units = Assembler(
            enclosure=task.spec.reference,
            circuits=self.circuits,
            choices=self.choices,
            headroom=task.headroom,
        ).units(total.filled, held.units)
        plan = self._enclosure_plan(units, gathered, held, total, bounds)
        return Outcome(plan=plan, broken=(*held.broken, *gathered.broken, *broken))

    def _is_met_by_held(self, one: FixedChoice, held: HeldState) -> bool:
        """Say whether what is wired settles a fixed choice, since wiring stands above wishes."""
        codes = getattr(one, "circuits", None) or (getattr(one, "circuit", ""),)
        return any(code in held.circuits for code in codes)

    def _bounds(self, held: HeldState) -> tuple[Bounds, list[Reason]]:
        spec, choices = self.task.spec, self.choices
        held_choices = [choices[unit.choice] for unit in held.units]
        width_left = load_left = None
        if spec.capacity is not None:
            width_left = spec.capacity - sum(choice.width for choice in held_choices)
            width_left -= math.fsum(unit.drivers_width for unit in held.units)
        if spec.protective_a is not None:
            most = grains(spec.protective_a * self.task.mains_v)
            load_left = most - sum(unit.load for unit in held.units)
        counts, broken = unit_counts(
            fixed=self.task.fixed,
            enclosure=spec.reference,
            held=Counter(choice.receiver.reference for choice in held_choices),
            usable={choice.receiver.reference for choice in choices if not choice.blocked},
        )
        if width_left is not None:
            self._drop_counts_without_room(counts, width_left, broken)
        bounds = Bounds(
            width_left=width_left,
            load_left=load_left,
            spare_share=spec.spare_share,
            held_outputs=sum(choice.receiver.outputs for choice in held_choices),
            held_used=sum(len(unit.used) for unit in held.units),
            unit_counts=counts,
        )
        return bounds, broken

    def _drop_counts_without_room(
        self, counts: dict[str, int], width_left: float, broken: list[Reason]
    ) -> None:
        room = width_left
        for reference in sorted(counts):
            widths = [c.width for c in self.choices if c.receiver.reference == reference]
            need = counts[reference] * min(widths, default=0.0)
            if need > room:
                broken.append(
                    Reason(
                        code="fixed_cannot_hold",
                        values={
                            "enclosure": self.task.spec.reference,
                            "receiver": reference,
                            "count": counts.pop(reference),
                        },
                    )
                )
            else:
                room -= need

    def _solve(self, gathered: Gathered, held: HeldState, bounds: Bounds) -> _Sum:
        free = Counter(self._route(task) for task in gathered.tasks)
        free.pop("", None)
        new_caps, held_caps = route_caps(units=held.units, circuits=self.circuits, free=free)
        frames, members = held_frames(units=held.units, choices=self.choices, caps=held_caps)
        total = _Sum()
        formers = FormerUnits(
            previous=self.task.previous,
            choices=self.choices,
            taken={unit.number for unit in held.units},
        )
        for tasks, counts in _components(gathered.tasks, self.choices, bounds):
            cover = build_cover(
                tasks=tasks,
                choices=self.choices,
                held=frames,
                bounds=replace(bounds, unit_counts=counts),
                route_caps=new_caps,
            )
            self._add(total, cover, members, tasks, formers)
        return total

    def _route(self, task: Task) -> str:
        return next((bundle.route for bundle in task.ways[0].bundles if bundle.route), "")

    def _add(
        self,
        total: _Sum,
        cover: EnclosureCover,
        members: Mapping[int, Sequence[HeldUnit]],
        tasks: Sequence[Task],
        formers: FormerUnits,
    ) -> None:
        solved = solve_enclosure(
            cover=cover,
            exact=self.task.exact,
            limits=self.task.limits,
            solved=self.task.solved,
        )
        if solved is None:
            total.unserved += [code for one in tasks for code in one.circuits]
            total.is_proven = total.are_ties_proven = False
            return
        filled, unserved = fill_units(
            cover=cover, solved=solved.cover, members=members, formers=formers
        )
        total.filled += filled
        total.unserved += unserved
        penalty = sum(cost * solved.cover.sides[n] for n, cost in cover.penalties.items())
        bound = solved.bound - penalty + cover.fixed_cost
        is_complete = all(one.is_complete for one in tasks)
        if not is_complete:
            bound = self._bound_without(cover, tasks)
        total.bound += max(0, bound)
        total.is_proven = total.is_proven and solved.is_proven and is_complete
        total.are_ties_proven = total.are_ties_proven and solved.are_ties_proven and is_complete
        total.spare_lacking += _spare_lacking(cover, solved)

    def _bound_without(self, cover: EnclosureCover, tasks: Sequence[Task]) -> int:
        """Return a bound that leaves out circuits whose ways were not all weighed."""
        sure = [one for one in tasks if one.is_complete]
        rest = build_cover(
            tasks=sure, choices=self.choices, held=(), bounds=Bounds(), route_caps={}
        )
        if not sure or cover.penalties or any(h is not None for _, h in cover.unit_places):
            return 0
        quick = quick_cover(cover=rest)
        return quick.bound + rest.fixed_cost if quick is not None else 0

    def _enclosure_plan(
        self,
        units: tuple[Unit, ...],
        gathered: Gathered,
        held: HeldState,
        total: _Sum,
        bounds: Bounds,
    ) -> EnclosurePlan:
        cost = sum(unit.cost_minor for unit in units) + supplies_cost(units=units)
        held_cost = sum(self.choices[unit.choice].cost_minor for unit in held.units)
        held_cost += supplies_cost(units=_only(units, held.circuits))
        bound = min(cost, total.bound + held_cost)
        reasons = []
        if total.spare_lacking:
            reasons.append(Reason(code="spare_not_met", values={"outputs": total.spare_lacking}))
        reasons += self._route_reasons(units)
        return EnclosurePlan(
            reference=self.task.spec.reference,
            units=units,
            cost_minor=cost,
            bound_minor=cost if total.is_proven else bound,
            is_proven=total.is_proven,
            are_ties_proven=total.are_ties_proven,
            width_used=math.fsum(self._width(unit) for unit in units),
            unserved=self._unserved(gathered, total, bounds),
            reasons=tuple(reasons),
        )

    def _width(self, unit: Unit) -> float:
        """Return the width of a unit with its drivers, but for those that stand apart."""
        return self._own_width(unit) + math.fsum(
            supply.count * self.driver_widths[supply.reference]
            for output in unit.outputs
            for part in output.parts
            if not self.circuits[part.circuit].drivers_apart
            for supply in part.supplies
        )

    def _own_width(self, unit: Unit) -> float:
        driver = unit.supplies[0].reference if unit.supplies else ""
        for choice in self.choices:
            own = choice.driver.reference if choice.driver else ""
            if choice.receiver.reference == unit.reference and own == driver:
                return choice.width
        return 0.0

    def _unserved(self, gathered: Gathered, total: _Sum, bounds: Bounds) -> tuple[Unserved, ...]:
        served_only_by_room = bounds.width_left is not None or bounds.load_left is None
        code = "no_room" if served_only_by_room else "protective_device_full"
        spec = self.task.spec
        values = {"enclosure": spec.reference}
        left_out = [Unserved(code=one, reason=code, values=dict(values)) for one in total.unserved]
        return tuple(sorted([*gathered.unserved, *left_out], key=lambda one: one.code))

    def _route_reasons(self, units: Sequence[Unit]) -> list[Reason]:
        """Name routes that hang on one unit all the same, because they are one circuit."""
        routes: dict[str, set[int]] = {}
        for unit in units:
            for code in unit.circuits:
                if self.circuits[code].route:
                    routes.setdefault(self.circuits[code].route, set()).add(unit.number)
        return [
            Reason(code="route_on_one_unit", values={"route": route, "unit": min(numbers)})
            for route, numbers in sorted(routes.items())
            if len(numbers) == 1
        ]


def _only(units: Sequence[Unit], codes: set[str]) -> list[Unit]:
    """Return the units with the outputs of these circuits alone."""
    return [
        replace(
            unit,
            outputs=tuple(o for o in unit.outputs if o.parts and o.parts[0].circuit in codes),
        )
        for unit in units
    ]


def _spare_lacking(cover: EnclosureCover, solved: Solved) -> int:
    groups = {group.unserved_column for group in cover.groups}
    return sum(solved.cover.sides[n] for n in cover.penalties if n not in groups)


def _components(
    tasks: Sequence[Task], choices: Sequence[UnitChoice], bounds: Bounds
) -> list[tuple[list[Task], dict[str, int]]]:
    """Return the tasks in sets that share no unit, each with the fixed counts that concern it."""
    counts = dict(bounds.unit_counts)
    if bounds.couples:
        return [(list(tasks), counts)] if tasks or counts else []
    roots: dict[str, str] = {}

    def root(name: str) -> str:
        while roots.setdefault(name, name) != name:
            name = roots[name]
        return name

    for task in tasks:
        names = _receivers(task, choices)
        for name in names:
            first, other = sorted((root(names[0]), root(name)))
            roots[other] = first
    parts: dict[str, tuple[list[Task], dict[str, int]]] = {}
    for task in tasks:
        name = root(_receivers(task, choices)[0])
        parts.setdefault(name, ([], {}))[0].append(task)
    for reference, count in counts.items():
        parts.setdefault(root(reference), ([], {}))[1][reference] = count
    return [part for _, part in sorted(parts.items())]


def _receivers(task: Task, choices: Sequence[UnitChoice]) -> list[str]:
    numbers = {n for way in task.ways for bundle in way.bundles for n in bundle.allowed}
    return sorted({choices[number].receiver.reference for number in numbers})
