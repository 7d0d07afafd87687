"""From circuits' ways and unit choices to a cover problem, and back to what each unit holds."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from engineering.control_units import UnitChoice, grains
from engineering.control_ways import Bundle, Task
from engineering.unit_cover import CoverProblem, CoverUnit, SideColumn
from engineering.unit_patterns import Frame, Item

BundleKey = tuple[int, int, tuple[int, ...], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldFrame:
    """Room left in units that are wired already: the unit choice, outputs and load left, how many such."""

    choice: int
    outputs: int
    load: int
    count: int
    route_caps: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What limits an enclosure as a whole. None = not limited. Counts of units are beside the held ones."""

    width_left: float | None = None
    load_left: int | None = None
    spare_share: float = 0.0
    held_outputs: int = 0
    held_used: int = 0
    unit_counts: Mapping[str, int] = field(default_factory=dict)

    @property
    def couples(self) -> bool:
        """Whether it ties units of all kinds together."""
        return self.width_left is not None or self.load_left is not None or self.spare_share > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskGroup:
    """Interchangeable tasks, their side columns in the order of the ways, and that of serving none."""

    tasks: tuple[Task, ...]
    side_columns: tuple[int, ...] = ()
    unserved_column: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EnclosureCover:
    """A cover problem with what its numbers mean.

    `unit_places` gives for each unit of the problem its unit choice and its held frame (or None).
    `fixed_cost` is the drivers' cost of ways without an alternative. `penalties` are the costs in the
    objective that are not money, by side column; `extra_outputs` counts a unit's outputs for the ties.
    """

    problem: CoverProblem
    groups: tuple[TaskGroup, ...]
    keys: tuple[BundleKey, ...]
    unit_places: tuple[tuple[int, int | None], ...]
    fixed_cost: int
    penalties: Mapping[int, int]
    new_outputs: tuple[int, ...]
    widths: tuple[float, ...]
    width_left: float | None
    width_row: int | None = None


class _Rows:
    """Link rows as they are gathered."""

    def __init__(self) -> None:
        self.bounds: list[tuple[float, float]] = []

    def add(self, least: float, most: float) -> int:
        self.bounds.append((least, most))
        return len(self.bounds) - 1


def build_cover(
    *,
    tasks: Sequence[Task],
    choices: Sequence[UnitChoice],
    held: Sequence[HeldFrame],
    bounds: Bounds,
    route_caps: Mapping[str, int],
) -> EnclosureCover:
    """Return the cover problem of an enclosure, or of a part of it that stands apart."""
    groups = _group(tasks)
    builder = _Builder(choices=choices, held=held, bounds=bounds, route_caps=route_caps)
    return builder.build(groups)


def _group(tasks: Sequence[Task]) -> list[tuple[Task, ...]]:
    """Return tasks of equal ways together, in a fixed order."""
    groups: dict[object, list[Task]] = {}
    for task in sorted(tasks, key=lambda task: task.circuits):
        groups.setdefault(tuple(way.key for way in task.ways), []).append(task)
    return [tuple(group) for _, group in sorted(groups.items(), key=lambda entry: repr(entry[0]))]


class _Builder:
    def __init__(
        self,
        *,
        choices: Sequence[UnitChoice],
        held: Sequence[HeldFrame],
        bounds: Bounds,
        route_caps: Mapping[str, int],
    ) -> None:
        self.choices = choices
        self.held = held
        self.bounds = bounds
        self.route_caps = route_caps
        self.rows = _Rows()
        self.sides: list[SideColumn] = []
        self.penalties: dict[int, int] = {}
        self.fixed_cost = 0

    def build(self, groups: Sequence[tuple[Task, ...]]) -> EnclosureCover:
        self.keys = _keys(groups)
        self.places = {key: place for place, key in enumerate(self.keys)}
        self.demand = Counter[int]()
        self.most = Counter[int]()
        self._count_items(groups)
        width_row, load_row, spare_row = self._enclosure_rows()
        penalty = self._penalty(groups)
        may_go_unserved = self.bounds.width_left is not None or self.bounds.load_left is not None
        may_go_unserved = may_go_unserved or bool(self.bounds.unit_counts)
        made = tuple(
            self._group_columns(
                tasks, width_row, load_row, spare_row, penalty if may_go_unserved else None
            )
            for tasks in groups
        )
        if spare_row is not None:
            self._spare_row_end(spare_row, made)
        units, unit_places = self._units(width_row, spare_row)
        return EnclosureCover(
            problem=CoverProblem(
                items=self._items(),
                demand=tuple(self.demand[place] for place in range(len(self.keys))),
                units=tuple(units),
                sides=tuple(self.sides),
                links=tuple(self.rows.bounds),
            ),
            groups=made,
            keys=self.keys,
            unit_places=tuple(unit_places),
            fixed_cost=self.fixed_cost,
            penalties=self.penalties,
            new_outputs=tuple(
                self.choices[choice].receiver.outputs if frame is None else 0
                for choice, frame in unit_places
            ),
            widths=tuple(
                self.choices[choice].width if frame is None else 0.0
                for choice, frame in unit_places
            ),
            width_left=self.bounds.width_left,
            width_row=width_row,
        )

    def _count_items(self, groups: Sequence[tuple[Task, ...]]) -> None:
        for tasks in groups:
            wants = [_wants(way.bundles, self.places) for way in tasks[0].ways]
            for place in {place for want in wants for place in want}:
                self.most[place] += len(tasks) * max(want[place] for want in wants)

    def _enclosure_rows(self) -> tuple[int | None, int | None, int | None]:
        width_row = load_row = spare_row = None
        if self.bounds.width_left is not None:
            width_row = self.rows.add(-math.inf, max(0.0, self.bounds.width_left))
        if self.bounds.load_left is not None:
            load_row = self.rows.add(-math.inf, max(0.0, self.bounds.load_left / 1e6))
        if self.bounds.spare_share > 0:
            spare_row = self.rows.add(0.0, math.inf)
        return width_row, load_row, spare_row

    def _dearest(self) -> int:
        return 1 + max((choice.cost_minor for choice in self.choices), default=0)

    def _penalty(self, groups: Sequence[tuple[Task, ...]]) -> int:
        """Return a cost above that of any plan that serves everything."""
        outputs = sum(key[0] * self.most[self.places[key]] for key in self.keys)
        ways = sum(len(tasks) * max(way.cost_minor for way in tasks[0].ways) for tasks in groups)
        spare = math.ceil(outputs * (1 + self.bounds.spare_share)) + 1
        fixed = sum(self.bounds.unit_counts.values())
        return ways + self._dearest() * (outputs + 2 * spare + fixed + 1)

    def _group_columns(
        self,
        tasks: tuple[Task, ...],
        width_row: int | None,
        load_row: int | None,
        spare_row: int | None,
        penalty: int | None,
    ) -> TaskGroup:
        ways = tasks[0].ways
        if len(ways) == 1 and penalty is None:
            for place, pieces in _wants(ways[0].bundles, self.places).items():
                self.demand[place] += pieces * len(tasks)
            self.fixed_cost += ways[0].cost_minor * len(tasks)
            return TaskGroup(tasks=tasks)
        row = self.rows.add(len(tasks), len(tasks))
        columns = []
        for way in ways:
            links = {row: 1.0}
            if width_row is not None and way.width:
                links[width_row] = way.width
            if load_row is not None:
                links[load_row] = sum(bundle.load for bundle in way.bundles) / 1e6
            if spare_row is not None:
                links[spare_row] = -(1 + self.bounds.spare_share) * _outputs(way.bundles)
            columns.append(len(self.sides))
            self.sides.append(
                SideColumn(
                    cost=way.cost_minor,
                    wants=dict(_wants(way.bundles, self.places)),
                    links=links,
                    most=len(tasks),
                )
            )
        unserved = None
        if penalty is not None:
            unserved = len(self.sides)
            self.penalties[unserved] = penalty
            self.sides.append(SideColumn(cost=penalty, links={row: 1.0}, most=len(tasks)))
        return TaskGroup(tasks=tasks, side_columns=tuple(columns), unserved_column=unserved)

    def _spare_row_end(self, row: int, groups: Sequence[TaskGroup]) -> None:
        """Ask for outputs: those used by tasks without a choice, and the share to keep spare."""
        firm = sum(
            _outputs(task.ways[0].bundles)
            for group in groups
            if not group.side_columns
            for task in group.tasks
        )
        wanted = (1 + self.bounds.spare_share) * (firm + self.bounds.held_used)
        self.rows.bounds[row] = (wanted - self.bounds.held_outputs - 1e-6, math.inf)
        # Spare outputs that cannot be had cost more than any unit, but less than a circuit unserved.
        missing = len(self.sides)
        self.penalties[missing] = self._dearest()
        most = math.ceil(max(0.0, wanted) + 2 * sum(self.most.values()) + 1)
        self.sides.append(SideColumn(cost=self._dearest(), links={row: 1.0}, most=most))

    def _items(self) -> tuple[Item, ...]:
        return tuple(
            Item(outputs=key[0], load=key[1], demand=self.most[place], route=key[3])
            for place, key in enumerate(self.keys)
        )

    def _units(
        self, width_row: int | None, spare_row: int | None
    ) -> tuple[list[CoverUnit], list[tuple[int, int | None]]]:
        units: list[CoverUnit] = []
        places: list[tuple[int, int | None]] = []
        count_rows = {
            reference: self.rows.add(count, count)
            for reference, count in sorted(self.bounds.unit_counts.items())
        }
        for number, choice in enumerate(self.choices):
            eligible = self._eligible(number, choice.receiver.outputs, grains(choice.capacity_w))
            links: dict[int, float] = {}
            if choice.receiver.reference in count_rows:
                links[count_rows[choice.receiver.reference]] = 1.0
            may_be_empty = bool(links) or spare_row is not None
            if choice.blocked or not (eligible or may_be_empty):
                continue
            if width_row is not None:
                links[width_row] = choice.width
            if spare_row is not None:
                links[spare_row] = choice.receiver.outputs
            frame = Frame(
                outputs=choice.receiver.outputs,
                capacity=grains(choice.capacity_w),
                route_caps=self.route_caps,
            )
            units.append(
                CoverUnit(
                    frame=frame,
                    cost=choice.cost_minor,
                    eligible=eligible,
                    links=links,
                    may_be_empty=may_be_empty,
                )
            )
            places.append((number, None))
        self._held_units(units, places)
        return units, places

    def _held_units(self, units: list[CoverUnit], places: list[tuple[int, int | None]]) -> None:
        for place, held in enumerate(self.held):
            eligible = self._eligible(held.choice, held.outputs, held.load)
            if not eligible:
                continue
            frame = Frame(outputs=held.outputs, capacity=held.load, route_caps=held.route_caps)
            row = self.rows.add(-math.inf, held.count)
            units.append(CoverUnit(frame=frame, cost=0, eligible=eligible, links={row: 1.0}))
            places.append((held.choice, place))

    def _eligible(self, choice: int, outputs: int, load: int) -> tuple[int, ...]:
        return tuple(
            place
            for place, key in enumerate(self.keys)
            if choice in key[2] and key[0] <= outputs and key[1] <= load
        )


def _keys(groups: Sequence[tuple[Task, ...]]) -> tuple[BundleKey, ...]:
    keys = {bundle.key for tasks in groups for way in tasks[0].ways for bundle in way.bundles}
    return tuple(sorted(keys))


def _wants(bundles: Sequence[Bundle], places: Mapping[BundleKey, int]) -> Counter[int]:
    return Counter(places[bundle.key] for bundle in bundles)


def _outputs(bundles: Sequence[Bundle]) -> int:
    return sum(bundle.outputs for bundle in bundles)
