"""Patterns: which items may sit together in one unit.

An *item* is what must sit in one unit whole (one part of a circuit, or all outputs of a colour circuit).
A *pattern* is a multiset of items that a unit can hold, within its outputs and its total load. Loads are
whole numbers, so that no sum ever suffers from rounding.

The search is depth-first over the items, pruned by suffix tables: `tables[t][m, w]` is the most value that
the items from t on can add with m outputs and w of the load's grid left. Where the loads have a common
divisor that makes the grid small the tables are exact; otherwise loads are rounded down to a coarser grid,
which keeps the tables an upper bound. Source of the method: the pricing problem of the column generation
of P. C. Gilmore and R. E. Gomory for the cutting-stock problem (from memory, not looked up).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Tables = list[NDArray[np.float64]]
Pattern = tuple[tuple[int, int], ...]
"""((item, pieces of it), …), by item."""

_EXACT_CELLS = 2000
_COARSE_CELLS = 1000
_LEAST_VALUE = 1e-9
_BEST_BUDGET = 200_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """What must sit in one unit whole: outputs it takes, load, the most that are ever wanted, its route."""

    outputs: int
    load: int
    demand: int
    route: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A unit as the search sees it: outputs, capacity for load, and how many items of a route it may hold."""

    outputs: int
    capacity: int
    route_caps: Mapping[str, int] = field(default_factory=dict)


class PatternSearch:
    """Finds patterns for frames that can hold the same items."""

    def __init__(self, *, items: Sequence[Item], eligible: Sequence[int], frames: Sequence[Frame]):
        self.items = items
        self.order = sorted(
            eligible, key=lambda place: (-items[place].load, -items[place].outputs, place)
        )
        self.most_outputs = max(frame.outputs for frame in frames)
        self.most_capacity = max(frame.capacity for frame in frames)
        self.most_load = self._most_load()
        self.weights, self.cell = self._grid(frames)
        self.cells = self.most_load // self.cell if self.cell else 0
        self.is_exact = all(
            weight * self.cell == items[place].load for place, weight in self.weights.items()
        )

    def _most_load(self) -> int:
        """Return a load that no content is above: the capacity, or what the outputs can carry."""
        sizes = [(self.items[place].load, self.items[place].outputs) for place in self.order]
        if not all(outputs for _, outputs in sizes):
            return self.most_capacity
        by_outputs = max((self.most_outputs * load // n for load, n in sizes), default=0)
        return min(self.most_capacity, by_outputs)

    def _grid(self, frames: Sequence[Frame]) -> tuple[dict[int, int], int]:
        """Return each item's weight in cells, and the cell; a cell of 0 where load can never bind."""
        loads = {place: self.items[place].load for place in self.order}
        if not loads or all(self._load_never_binds(frame) for frame in frames):
            return dict.fromkeys(loads, 0), 0
        cell = math.gcd(*loads.values())
        if self.most_load // cell > _EXACT_CELLS:
            cell = max(1, self.most_load // _COARSE_CELLS)
        return {place: load // cell for place, load in loads.items()}, cell

    def _load_never_binds(self, frame: Frame) -> bool:
        outputs = frame.outputs
        load = 0
        for place in self.order:  # heaviest first
            item = self.items[place]
            pieces = min(item.demand, outputs // item.outputs) if item.outputs else item.demand
            load += pieces * item.load
            outputs -= pieces * item.outputs
        # Taking the heaviest first gives the heaviest load only where every item takes one output.
        one_each = all(self.items[place].outputs == 1 for place in self.order)
        return one_each and load <= frame.capacity

    def _most_pieces(self, place: int, outputs: int, cells: int) -> int:
        item, weight = self.items[place], self.weights[place]
        most = item.demand
        if item.outputs:
            most = min(most, outputs // item.outputs)
        return min(most, cells // weight) if weight else most

    def tables(self, values: Sequence[float]) -> Tables:
        """Return the suffix tables for the items' values, one more than there are items."""
        below = np.zeros((self.most_outputs + 1, self.cells + 1))
        tables = [below]
        for place in reversed(self.order):
            value = values[place]
            if value > _LEAST_VALUE:
                best = below.copy()
                rows, weight = self.items[place].outputs, self.weights[place]
                most = self._most_pieces(place, self.most_outputs, self.cells)
                for pieces in _doubling(most):
                    row, column = pieces * rows, pieces * weight
                    source = best[: self.most_outputs + 1 - row, : self.cells + 1 - column]
                    target = best[row:, column:]
                    np.maximum(target, source + pieces * value, out=target)
                below = best
            tables.append(below)
        tables.reverse()
        return tables

    def best(
        self, *, frame: Frame, values: Sequence[float], tables: Tables, above: float
    ) -> Pattern | None:
        """Return the pattern of most value if it is worth more than `above`."""
        if self.is_exact and not frame.route_caps:
            most = self.most_value(frame=frame, tables=tables)
            if most <= above:
                return None
            # The tables tell the way to the best, but for the rounding of sums of values.
            close = most - _LEAST_VALUE * max(1.0, most)
            walk = _Walk(self, frame, values, tables, least=close, budget=_BEST_BUDGET)
            return next((pattern for _, pattern in walk.patterns()), None)
        walk = _Walk(self, frame, values, tables, least=above, budget=_BEST_BUDGET)
        found: Pattern | None = None
        for value, pattern in walk.patterns():
            found = pattern
            walk.least = value + _LEAST_VALUE
        return found

    def most_value(self, *, frame: Frame, tables: Tables) -> float:
        """Return an upper bound on the value of a pattern; the value itself where the grid is exact."""
        return float(tables[0][frame.outputs, self.cells_within(frame.capacity)])

    def cells_within(self, load: int) -> int:
        """Return the column of the tables for a load that is left."""
        return min(load // self.cell, self.cells) if self.cell else 0

    def within(
        self,
        *,
        frame: Frame,
        values: Sequence[float],
        tables: Tables,
        demand: Sequence[int],
        least: float,
        most_found: int,
    ) -> tuple[list[Pattern], bool]:
        """Return the maximal patterns worth `least` or more, and whether these are all of them.

        `demand` is what is wanted of each item: no pattern holds more.
        """
        walk = _Walk(self, frame, values, tables, least=least, budget=60 * most_found)
        walk.demand = [demand[place] for place in self.order]
        found: list[Pattern] = []
        for _, pattern in walk.patterns():
            if self._is_maximal(frame, pattern, demand):
                found.append(pattern)
            if len(found) >= most_found:
                return found, False
        return found, walk.budget > 0

    def _is_maximal(self, frame: Frame, pattern: Pattern, demand: Sequence[int]) -> bool:
        pieces = dict(pattern)
        outputs = frame.outputs - sum(self.items[p].outputs * n for p, n in pattern)
        load = frame.capacity - sum(self.items[p].load * n for p, n in pattern)
        for place in self.order:
            item = self.items[place]
            if item.route and item.route in frame.route_caps:
                continue
            if (
                pieces.get(place, 0) < demand[place]
                and item.outputs <= outputs
                and item.load <= load
            ):
                return False
        return True


def _doubling(most: int) -> Iterator[int]:
    """Yield 1, 2, 4 … and a rest, by whose choice every number up to `most` can be added up."""
    step = 1
    while most > 0:
        yield min(step, most)
        most -= step
        step *= 2


class _Walk:
    """A depth-first walk over all patterns whose value may reach `least`, which may rise on the way."""

    def __init__(
        self,
        search: PatternSearch,
        frame: Frame,
        values: Sequence[float],
        tables: Tables,
        *,
        least: float,
        budget: int,
    ) -> None:
        self.order = search.order
        self.items = [search.items[place] for place in search.order]
        self.demand = [item.demand for item in self.items]
        self.values = [values[place] for place in search.order]
        self.tables = tables
        self.cells_within = search.cells_within
        self.frame = frame
        self.least = least
        self.budget = budget
        self.chosen: list[tuple[int, int]] = []
        self.routes: dict[str, int] = {}

    def patterns(self) -> Iterator[tuple[float, Pattern]]:
        """Yield (value, pattern), until the budget of steps is spent."""
        yield from self._from(0, self.frame.outputs, self.frame.capacity, 0.0)

    def _from(
        self, depth: int, outputs: int, load: int, value: float
    ) -> Iterator[tuple[float, Pattern]]:
        self.budget -= 1
        if self.budget <= 0:
            return
        if depth == len(self.order):
            if value >= self.least:
                yield value, tuple(sorted(self.chosen))
            return
        item, worth = self.items[depth], self.values[depth]
        table = self.tables[depth + 1]
        for pieces in range(self._most(depth, outputs, load), -1, -1):
            left, rest = outputs - pieces * item.outputs, load - pieces * item.load
            reached = value + pieces * worth
            if reached + table[left, self.cells_within(rest)] < self.least:
                continue
            self._take(depth, pieces)
            yield from self._from(depth + 1, left, rest, reached)
            self._take(depth, -pieces)

    def _most(self, depth: int, outputs: int, load: int) -> int:
        item, most = self.items[depth], self.demand[depth]
        if item.outputs:
            most = min(most, outputs // item.outputs)
        if item.load:
            most = min(most, load // item.load)
        if item.route in self.frame.route_caps:
            most = min(most, self.frame.route_caps[item.route] - self.routes.get(item.route, 0))
        return most

    def _take(self, depth: int, pieces: int) -> None:
        """Put pieces of an item in, or take them out again where `pieces` is below 0."""
        if not pieces:
            return
        route = self.items[depth].route
        if route in self.frame.route_caps:
            self.routes[route] = self.routes.get(route, 0) + pieces
        if pieces > 0:
            self.chosen.append((self.order[depth], pieces))
        else:
            self.chosen.pop()
