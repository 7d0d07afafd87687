"""A quick valid cover and a quick proven bound, for the edit itself."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from engineering.control_cover import EnclosureCover, TaskGroup
from engineering.unit_cover import Column, Cover, CoverUnit
from engineering.unit_patterns import Item, Pattern

_MIXES = (0.0, 0.25, 0.5, 0.75, 1.0)
_GREEDY_MIXES = (0.5, 1.0)


def quick_cover(*, cover: EnclosureCover) -> Cover | None:
    """Return a valid cover with its bound; None where the greedy way finds none."""
    best: Cover | None = None
    bound = 0
    for mix in _MIXES:
        values = _prices(cover, mix)
        bound = max(bound, _bound(cover, values))
        found = _Greedy(cover, values).run() if mix in _GREEDY_MIXES else None
        if found is not None and (best is None or found.cost < best.cost):
            best = found
    if best is None:
        return None
    return Cover(chosen=best.chosen, sides=best.sides, cost=best.cost, bound=min(best.cost, bound))


def _prices(cover: EnclosureCover, mix: float) -> list[float]:
    """Return a price per item such that no unit's content is ever worth more than the unit costs.

    In a unit each item takes a share of the outputs and a share of the load. Whatever the mix of both
    shares, those of a whole content add up to at most 1, so the least price over the units that can hold an
    item is safe. A unit that is there already costs nothing here; `_bound` takes its worth off.
    """
    items = cover.problem.items
    prices = [math.inf] * len(items)
    for unit, (_, held) in zip(cover.problem.units, cover.unit_places, strict=True):
        if held is not None:
            continue
        for place in unit.eligible:
            share = _share(items[place], unit, mix)
            prices[place] = min(prices[place], unit.cost * share)
    return [0.0 if math.isinf(price) else price for price in prices]


def _share(item: Item, unit: CoverUnit, mix: float) -> float:
    frame = unit.frame
    of_outputs = item.outputs / frame.outputs if frame.outputs else 0.0
    of_load = item.load / frame.capacity if frame.capacity else 0.0
    return mix * of_outputs + (1 - mix) * of_load


def _bound(cover: EnclosureCover, values: Sequence[float]) -> int:
    problem = cover.problem
    total = sum(value * n for value, n in zip(values, problem.demand, strict=True))
    for group in cover.groups:
        total += len(group.tasks) * min(_group_prices(cover, group, values), default=0.0)
    for number, (_, held) in enumerate(cover.unit_places):
        if held is not None:
            unit = problem.units[number]
            row = next(iter(unit.links))
            total -= problem.links[row][1] * _worth(unit, problem.items, values)
    divisor = problem.divisor
    return max(0, math.ceil(total / divisor - 1e-6)) * divisor


def _group_prices(
    cover: EnclosureCover, group: TaskGroup, values: Sequence[float]
) -> Iterator[float]:
    columns = list(group.side_columns)
    if group.unserved_column is not None:
        columns.append(group.unserved_column)
    for column in columns:
        side = cover.problem.sides[column]
        yield side.cost + sum(values[place] * n for place, n in side.wants.items())


def _worth(unit: CoverUnit, items: Sequence[Item], values: Sequence[float]) -> float:
    """Return an upper bound on the value of what a unit can hold."""
    by_outputs = max((values[p] / items[p].outputs for p in unit.eligible), default=0.0)
    return by_outputs * unit.frame.outputs


class _Greedy:
    """Fills units one after another, each time the one that is cheapest for what it takes."""

    def __init__(self, cover: EnclosureCover, values: Sequence[float]) -> None:
        self.cover = cover
        self.problem = cover.problem
        self.items = cover.problem.items
        self.values = values
        self.left = Counter({place: n for place, n in enumerate(cover.problem.demand) if n})
        self.sides = [0] * len(cover.problem.sides)
        self.chosen: Counter[Column] = Counter()
        self.width_left = math.inf if cover.width_left is None else cover.width_left
        self.orders = [self._orders(unit) for unit in self.problem.units]

    def _orders(self, unit: CoverUnit) -> tuple[list[int], list[int]]:
        """Return the items that a unit can hold, by load and by value, the greatest first."""
        items, values = self.items, self.values
        by_load = sorted(unit.eligible, key=lambda p: (-items[p].load, -items[p].outputs, p))
        by_value = sorted(unit.eligible, key=lambda p: (-values[p] / max(1, items[p].outputs), p))
        return by_load, by_value

    def run(self) -> Cover | None:
        self._choose_ways()
        self._respect_side_rows()
        self._fill_given()
        self._open_units()
        if not self._leave_unserved():
            return None
        self._shrink()
        self._mend_links()
        return self._answer()

    def _choose_ways(self) -> None:
        """Take the first way of every group."""
        for group in self.cover.groups:
            if group.side_columns:
                first = group.side_columns[0]
                self.sides[first] += len(group.tasks)
                self.width_left -= self._side_width(first) * len(group.tasks)
                for place, n in self.problem.sides[first].wants.items():
                    self.left[place] += n * len(group.tasks)

    def _respect_side_rows(self) -> None:
        """Leave the heaviest circuits unserved until rows that only circuits stand in are kept."""
        in_units = {row for unit in self.problem.units for row in unit.links}
        for row, (least, most) in enumerate(self.problem.links):
            if row in in_units or not math.isinf(least):
                continue
            while self._row_sum(row) > most + 1e-6:
                group = max(
                    (
                        g
                        for g in self.cover.groups
                        if g.side_columns and self.sides[g.side_columns[0]]
                    ),
                    key=lambda g: self.problem.sides[g.side_columns[0]].links.get(row, 0.0),
                )
                assert group.unserved_column is not None
                self._drop(group, group.unserved_column)

    def _drop(self, group: TaskGroup, unserved_column: int) -> None:
        first = group.side_columns[0]
        self.width_left += self._side_width(first)
        self.sides[first] -= 1
        self.sides[unserved_column] += 1
        for place, n in self.problem.sides[first].wants.items():
            self.left[place] -= n
            if not self.left[place]:
                del self.left[place]

    def _side_width(self, column: int) -> float:
        """Return the width of the drivers after the outputs that a way brings."""
        row = self.cover.width_row
        return 0.0 if row is None else self.problem.sides[column].links.get(row, 0.0)

    def _fill_given(self) -> None:
        """Fill the units that are there in any case: held ones, then those of a fixed count."""
        for number, (_, held) in enumerate(self.cover.unit_places):
            if held is not None:
                row = next(iter(self.problem.units[number].links))
                self._fill(number, round(self.problem.links[row][1]))
        for row, (least, most) in enumerate(self.problem.links):
            if least == most and least > 0:
                self._fill_counted(row, round(least))

    def _fill_counted(self, row: int, count: int) -> None:
        numbers = [
            number
            for number, unit in enumerate(self.problem.units)
            if unit.may_be_empty and row in unit.links
        ]
        for _ in range(count if numbers else 0):
            number = max(
                numbers, key=lambda n: (self._pattern(n)[0] - self.problem.units[n].cost, -n)
            )
            self._fill(number, 1, even_empty=True)

    def _fill(self, number: int, count: int, *, even_empty: bool = False) -> None:
        for _ in range(count):
            _, pattern = self._pattern(number)
            if pattern or even_empty:
                self._take(number, pattern, 1)

    def _take(self, number: int, pattern: Pattern, count: int) -> None:
        self.chosen[number, pattern] += count
        self.width_left -= self.cover.widths[number] * count
        for place, pieces in pattern:
            self.left[place] -= pieces * count
            if self.left[place] <= 0:
                del self.left[place]

    def _pattern(self, number: int) -> tuple[float, Pattern]:
        """Return what the unit takes of what is left: the better of two orders."""
        unit = self.problem.units[number]
        by_load, by_value = self.orders[number]
        first = self._packed(unit, by_load)
        second = self._packed(unit, by_value)
        return max(first, second, key=lambda found: found[0])

    def _packed(self, unit: CoverUnit, order: Sequence[int]) -> tuple[float, Pattern]:
        outputs, load = unit.frame.outputs, unit.frame.capacity
        routes: Counter[str] = Counter()
        value, chosen = 0.0, []
        for place in order:
            wanted = self.left.get(place, 0)
            if not wanted:
                continue
            item = self.items[place]
            most = min(wanted, outputs // item.outputs)
            if item.load:
                most = min(most, load // item.load)
            if item.route in unit.frame.route_caps:
                most = min(most, unit.frame.route_caps[item.route] - routes[item.route])
                routes[item.route] += max(0, most)
            if most > 0:
                chosen.append((place, most))
                outputs -= most * item.outputs
                load -= most * item.load
                value += most * self.values[place]
                if not outputs:
                    break
        return value, tuple(sorted(chosen))

    def _open_units(self) -> None:
        buyable = self._buyable()
        while self.left:
            offers = []
            for number in buyable:
                if self.cover.widths[number] > self.width_left:
                    continue
                value, pattern = self._pattern(number)
                if pattern:
                    ratio = self.problem.units[number].cost / max(value, 1e-9)
                    offers.append((ratio, self.problem.units[number].cost, number, pattern))
            if not offers:
                return
            _, _, number, pattern = min(offers)
            count = min(self.left[place] // pieces for place, pieces in pattern)
            if self.cover.widths[number] > 0 and self.width_left < math.inf:
                count = min(count, int(self.width_left // self.cover.widths[number]))
            self._take(number, pattern, max(1, count))

    def _buyable(self) -> list[int]:
        """Return units that may be bought freely: neither held nor of a fixed count."""
        counted = {row for row, (least, most) in enumerate(self.problem.links) if least == most}
        return [
            number
            for number, (_, held) in enumerate(self.cover.unit_places)
            if held is None and not counted & self.problem.units[number].links.keys()
        ]

    def _leave_unserved(self) -> bool:
        """Leave circuits unserved whose parts found no unit; False where that is not open."""
        while short := [place for place, n in self.left.items() if n > 0]:
            waiting = [g for g in self.cover.groups if any(self._uses(g, p) for p in short)]
            # The widest drivers first, so that the room they leave serves most others.
            group = max(waiting, key=lambda g: self._side_width(g.side_columns[0]), default=None)
            if group is None or group.unserved_column is None:
                return False
            self._drop(group, group.unserved_column)
            if self._side_width(group.side_columns[0]):
                self._open_units()
        return True

    def _uses(self, group: TaskGroup, place: int) -> bool:
        if not group.side_columns or not self.sides[group.side_columns[0]]:
            return False
        return place in self.problem.sides[group.side_columns[0]].wants

    def _shrink(self) -> None:
        """Put each content into the cheapest unit that can hold it."""
        buyable = set(self._buyable())
        for (number, pattern), count in sorted(self.chosen.items()):
            if number not in buyable:
                continue
            outputs = sum(self.items[p].outputs * n for p, n in pattern)
            load = sum(self.items[p].load * n for p, n in pattern)
            fitting = [
                other
                for other in buyable
                if self.problem.units[other].frame.outputs >= outputs
                and self.problem.units[other].frame.capacity >= load
                and self.cover.widths[other] <= self.cover.widths[number]
                and {p for p, _ in pattern} <= set(self.problem.units[other].eligible)
            ]
            best = min(fitting, key=lambda other: (self.problem.units[other].cost, other))
            if self.problem.units[best].cost < self.problem.units[number].cost:
                del self.chosen[number, pattern]
                self.chosen[best, pattern] += count

    def _mend_links(self) -> None:
        """Count what the spare row still lacks."""
        for column, side in enumerate(self.problem.sides):
            if not side.wants and column in self.cover.penalties and self._is_spare(side.links):
                row = next(iter(side.links))
                lacking = self.problem.links[row][0] - self._row_sum(row)
                self.sides[column] = max(0, math.ceil(lacking - 1e-9))

    def _is_spare(self, links: Mapping[int, float]) -> bool:
        row = next(iter(links))
        return math.isinf(self.problem.links[row][1])

    def _row_sum(self, row: int) -> float:
        units = self.problem.units
        total = sum(units[number].links.get(row, 0.0) * n for (number, _), n in self.chosen.items())
        sides = zip(self.problem.sides, self.sides, strict=True)
        return total + sum(side.links.get(row, 0.0) * n for side, n in sides)

    def _answer(self) -> Cover | None:
        for row, (least, most) in enumerate(self.problem.links):
            if not least - 1e-6 <= self._row_sum(row) <= most + 1e-6:
                return None
        cost = sum(self.problem.units[number].cost * n for (number, _), n in self.chosen.items())
        cost += sum(side.cost * n for side, n in zip(self.problem.sides, self.sides, strict=True))
        return Cover(chosen=dict(self.chosen), sides=tuple(self.sides), cost=cost, bound=0)
