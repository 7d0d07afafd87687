"""Whether items fit into a given number of units of each kind, and how."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import highspy
import numpy as np

from engineering.unit_best_fit import Column, best_fit
from engineering.unit_families import families
from engineering.unit_picking import pick
from engineering.unit_solver import quiet_solver

if TYPE_CHECKING:
    from engineering.unit_cover import CoverProblem

_TOLERANCE = 1e-7
_MOST_ROUNDS = 400
_MOST_DIVE_STEPS = 60
# Units left at the end of a dive that are fitted exactly, before all are.
_ENDS = (6, 12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How the items fit; or prices that prove they do not; or neither, and whether that is sure."""

    chosen: dict[Column, int] | None = None
    values: tuple[float, ...] = ()
    worths: tuple[float, ...] = ()
    is_sure: bool = False


class Fitting:
    """Keeps every pattern found, over all choices that are tried."""

    def __init__(
        self, *, problem: CoverProblem, patterns: int, nodes: int, barred: Collection[int] = ()
    ) -> None:
        self.problem = problem
        self.most_patterns = patterns
        self.nodes = nodes
        self.columns: list[Column] = []
        self.known: set[Column] = set()
        self.families = families(problem=problem, barred=barred)
        self.first_pattern = len(problem.items) + len(problem.units) + len(problem.sides)
        self.solver: highspy.Highs | None = None
        self.is_filling = True

    def fit(self, *, units: Sequence[int], sides: Sequence[int]) -> Fit:
        """Fit what the side choices leave to be covered into so many units of each kind."""
        demand = list(self.problem.demand)
        for side, n in zip(self.problem.sides, sides, strict=True):
            for place, pieces in side.wants.items():
                demand[place] += pieces * n
        chosen = best_fit(problem=self.problem, units=units, demand=demand)
        if chosen is not None:
            return Fit(chosen=self._with_empty(chosen, units))
        proof = self._fill(units, demand)
        if proof is not None:
            return proof
        found, trail = self._dive(units, demand)
        for most_left in (*_ENDS, sum(units)) if found is None else ():
            start = self._start(trail, units, most_left)
            left, wanted = self._after(start, units, demand)
            rest, is_sure = self._fit_whole(left, wanted)
            if rest is not None:
                found = _sum(start, rest)
                break
            if not start:
                return Fit(is_sure=is_sure)
        return Fit(chosen=self._with_empty(found or {}, units))

    def _start(
        self, trail: Sequence[tuple[Column, int]], units: Sequence[int], most_left: int
    ) -> list[tuple[Column, int]]:
        """Return the steps of a trail up to where no more than so many units are left, or none."""
        left, start = sum(units), []
        for column, n in trail:
            if left <= most_left:
                break
            start.append((column, n))
            left -= n
        return start if sum(units) > most_left else []

    def _fit_whole(
        self, units: Sequence[int], demand: Sequence[int]
    ) -> tuple[dict[Column, int] | None, bool]:
        """Return whole numbers of patterns out of all that matter, or None and whether that is sure."""
        if self._fill(units, demand) is not None:
            return None, False
        values, prices, least = self._refine()
        own = [column for column in self.columns if units[column[0]]]
        found, _ = pick(columns=own, units=units, demand=demand, nodes=self.nodes)
        if found is not None:
            return found, True
        # A fitting uses at most these units, so no pattern in it has a reduced cost above the gap.
        gap = sum(units) - least
        listed, is_complete = self._within(units, demand, values, prices, gap)
        if not is_complete:
            return None, False
        return pick(columns=listed, units=units, demand=demand, nodes=self.nodes)

    def _dive(
        self, units: Sequence[int], demand: Sequence[int]
    ) -> tuple[dict[Column, int] | None, list[tuple[Column, int]]]:
        """Fix patterns one after another by what the fractions favour; go back where nothing follows.

        Return the fitting, or None and the patterns fixed before the first dead end.
        """
        steps = _MOST_DIVE_STEPS
        first: list[tuple[Column, int]] = []
        barred: set[tuple[tuple[Column, ...], Column]] = set()
        trail: list[tuple[Column, int]] = []
        while steps > 0:
            steps -= 1
            left, wanted = self._after(trail, units, demand)
            rest = best_fit(problem=self.problem, units=left, demand=wanted)
            if rest is not None:
                return _sum(trail, rest), trail
            is_open = self._fill(left, wanted) is None
            step = self._favourite(trail, left, barred) if is_open else None
            if step is None:
                if not trail:
                    break
                last = trail.pop()
                first = first or list(trail)
                barred.add((tuple(column for column, _ in trail), last[0]))
            else:
                trail.append(step)
        return None, first

    def _after(
        self, trail: Sequence[tuple[Column, int]], units: Sequence[int], demand: Sequence[int]
    ) -> tuple[list[int], list[int]]:
        left, wanted = list(units), list(demand)
        for (number, pattern), n in trail:
            left[number] -= n
            for place, pieces in pattern:
                wanted[place] = max(0, wanted[place] - n * pieces)
        return left, wanted

    def _favourite(
        self,
        trail: Sequence[tuple[Column, int]],
        left: Sequence[int],
        barred: set[tuple[tuple[Column, ...], Column]],
    ) -> tuple[Column, int] | None:
        """Return the pattern that the fractions use most, and how often it is used in whole."""
        assert self.solver is not None
        used = self.solver.getSolution().col_value[self.first_pattern :]
        before = tuple(column for column, _ in trail)
        offers = [
            (min(1.0, round(value, 6)), len(column[1]), column, value)
            for column, value in zip(self.columns, used, strict=True)
            if value > 1e-6 and left[column[0]] and (before, column) not in barred
        ]
        if not offers:
            return None
        _, _, column, value = max(
            offers, key=lambda offer: (offer[0], offer[3], offer[1], offer[2])
        )
        return column, max(1, min(left[column[0]], int(value + 1e-6)))

    def _bound_rows(self, units: Sequence[int], demand: Sequence[int]) -> None:
        solver, items = self._master(), len(self.problem.items)
        for place, wanted in enumerate(demand):
            solver.changeRowBounds(place, float(wanted), highspy.kHighsInf)
        for number, count in enumerate(units):
            solver.changeRowBounds(items + number, -highspy.kHighsInf, float(count))

    def _with_empty(self, chosen: dict[Column, int], units: Sequence[int]) -> dict[Column, int]:
        """Add the units that stay empty where a unit may."""
        used: Counter[int] = Counter()
        for (number, _), n in chosen.items():
            used[number] += n
        for number, count in enumerate(units):
            if self.problem.units[number].may_be_empty and count > used[number]:
                chosen[number, ()] = chosen.get((number, ()), 0) + count - used[number]
        return {column: n for column, n in chosen.items() if n}

    def _master(self) -> highspy.Highs:
        """Rows: items, units, links. Columns: what is missing of each item, units, sides, then patterns."""
        if self.solver is not None:
            return self.solver
        self.solver = quiet_solver()
        self.solver.setOptionValue("presolve", "off")
        items, units = len(self.problem.items), len(self.problem.units)
        for _ in range(items):
            self.solver.addRow(0.0, highspy.kHighsInf, 0, [], [])
        for _ in range(units + len(self.problem.links)):
            self.solver.addRow(-highspy.kHighsInf, 0.0, 0, [], [])
        for place in range(items):
            self._column(1.0, {place: 1.0})
        links = items + units
        for number, unit in enumerate(self.problem.units):
            own = {links + row: value for row, value in unit.links.items()}
            self._column(0.0, {items + number: -1.0, **own})
        for side in self.problem.sides:
            wants = {place: -float(pieces) for place, pieces in side.wants.items()}
            own = {links + row: value for row, value in side.links.items()}
            self._column(0.0, {**wants, **own})
        for _, numbers in self.families:
            for number in numbers:
                for place in self.problem.units[number].eligible:
                    self._add((number, ((place, 1),)))
        return self.solver

    def _column(self, cost: float, entries: Mapping[int, float]) -> None:
        assert self.solver is not None
        rows = np.array(list(entries), dtype=np.int32)
        values = np.array(list(entries.values()), dtype=np.float64)
        self.solver.addCol(cost, 0.0, highspy.kHighsInf, len(rows), rows, values)

    def opening_prices(self, known: Sequence[Column]) -> list[float]:
        """Return the prices of the items at which fractions of patterns are cheapest.

        `known` are patterns to begin with.
        """
        solver = self._master()
        problem = self.problem
        for column in known:
            self._add(column)
        costs = [1.0 + max((unit.cost for unit in problem.units), default=0)] * len(problem.items)
        costs += [float(unit.cost) for unit in problem.units]
        costs += [float(side.cost) for side in problem.sides]
        total = solver.getNumCol()
        costs += [0.0] * (total - len(costs))
        every = np.arange(total, dtype=np.int32)
        solver.changeColsCost(total, every, np.array(costs))
        self._bound_rows([0] * len(problem.units), problem.demand)
        self._bound_choices(are_open=True)
        values: list[float] = []
        for _ in range(_MOST_ROUNDS):
            solver.run()
            values, prices = self._duals()
            columns, _ = self._price(values, prices)
            added = [self._add(column) for column in columns]
            if not any(added):
                break
        self._bound_choices(are_open=False)
        return values

    def _bound_choices(self, *, are_open: bool) -> None:
        """Let the numbers of units and sides be chosen, within the link rows, or hold them at 0."""
        solver, problem = self._master(), self.problem
        first, free = len(problem.items), highspy.kHighsInf
        tops = [free] * len(problem.units) + [float(side.most) for side in problem.sides]
        numbers = np.arange(first, first + len(tops), dtype=np.int32)
        most = np.array(tops) if are_open else np.zeros(len(tops))
        solver.changeColsBounds(len(tops), numbers, np.zeros(len(tops)), most)
        for row, (least, top) in enumerate(problem.links):
            bounds = (least, top) if are_open else (-free, free)
            solver.changeRowBounds(first + len(problem.units) + row, *map(float, bounds))

    def worths(self, values: Sequence[float]) -> list[float]:
        """Return for each unit the most that a content of it can be worth."""
        worths = [0.0] * len(self.problem.units)
        for search, numbers in self.families:
            tables = search.tables(values)
            for number in numbers:
                frame = self.problem.units[number].frame
                worths[number] = search.most_value(frame=frame, tables=tables)
        return worths

    def _set_phase(self, *, filling: bool) -> None:
        """Set costs: what is missing, or (with nothing missing) the units used."""
        assert self.solver is not None
        self.is_filling = filling
        items, total = len(self.problem.items), self.solver.getNumCol()
        costs = np.full(total, 0.0 if filling else 1.0)
        costs[: self.first_pattern] = 0.0
        costs[:items] = 1.0 if filling else 0.0
        self.solver.changeColsCost(total, np.arange(total, dtype=np.int32), costs)
        most = np.full(items, highspy.kHighsInf if filling else 0.0)
        self.solver.changeColsBounds(items, np.arange(items, dtype=np.int32), np.zeros(items), most)

    def _add(self, column: Column) -> bool:
        if column in self.known:
            return False
        self.known.add(column)
        self.columns.append(column)
        number, pattern = column
        rows = [place for place, _ in pattern] + [len(self.problem.items) + number]
        values = [float(pieces) for _, pieces in pattern] + [1.0]
        self._column(0.0 if self.is_filling else 1.0, dict(zip(rows, values, strict=True)))
        return True

    def _fill(self, units: Sequence[int], demand: Sequence[int]) -> Fit | None:
        """Find patterns until nothing is missing; return prices where even fractions of patterns cannot hold the items."""
        solver = self._master()
        self._set_phase(filling=True)
        self._bound_rows(units, demand)
        for _ in range(_MOST_ROUNDS):
            solver.run()
            missing = solver.getInfo().objective_function_value
            if missing < 1e-6:
                return None
            values, prices = self._duals()
            columns, worths = self._price(values, prices)
            added = [self._add(column) for column in columns]
            if not any(added):
                return self._proof(values, worths, units, demand)
        return Fit()

    def _refine(self) -> tuple[list[float], list[float], float]:
        """Find patterns that use few units; return prices of items and units, and the least units."""
        self._set_phase(filling=False)
        assert self.solver is not None
        for _ in range(_MOST_ROUNDS):
            self.solver.run()
            values, prices = self._duals()
            columns, _ = self._price(values, prices)
            added = [self._add(column) for column in columns]
            if not any(added):
                break
        return values, prices, float(self.solver.getInfo().objective_function_value)

    def _duals(self) -> tuple[list[float], list[float]]:
        """Return the price of each item, and what one unit of each kind costs."""
        assert self.solver is not None
        items = len(self.problem.items)
        duals = [float(dual) for dual in self.solver.getSolution().row_dual]
        own = 0.0 if self.is_filling else 1.0
        return [max(0.0, dual) for dual in duals[:items]], [
            own - dual for dual in duals[items : items + len(self.problem.units)]
        ]

    def _proof(
        self,
        values: Sequence[float],
        worths: Sequence[float],
        units: Sequence[int],
        demand: Sequence[int],
    ) -> Fit:
        """Return the prices, if they do show that the items are worth more than the units can hold."""
        value = sum(price * n for price, n in zip(values, demand, strict=True))
        worth = sum(most * n for most, n in zip(worths, units, strict=True))
        if value <= worth + 1e-6:
            return Fit()
        return Fit(values=tuple(values), worths=tuple(worths), is_sure=True)

    def _price(
        self, values: Sequence[float], prices: Sequence[float]
    ) -> tuple[list[Column], list[float]]:
        """Return for each unit a pattern worth more than its price, and the most that one can be worth."""
        columns: list[Column] = []
        worths = [0.0] * len(self.problem.units)
        for search, numbers in self.families:
            tables = search.tables(values)
            for number in numbers:
                frame = self.problem.units[number].frame
                worths[number] = search.most_value(frame=frame, tables=tables)
                price = prices[number] + _TOLERANCE
                if worths[number] <= price:
                    continue
                found = search.best(frame=frame, values=values, tables=tables, above=price)
                if found is not None:
                    columns.append((number, found))
        return columns, worths

    def _within(
        self,
        units: Sequence[int],
        demand: Sequence[int],
        values: Sequence[float],
        prices: Sequence[float],
        gap: float,
    ) -> tuple[list[Column], bool]:
        """Return the maximal patterns of reduced cost up to the gap, and whether these are all."""
        columns: list[Column] = []
        is_complete = True
        for search, numbers in self.families:
            tables = search.tables(values)
            for number in numbers:
                if not units[number]:
                    continue
                patterns, done = search.within(
                    frame=self.problem.units[number].frame,
                    values=values,
                    tables=tables,
                    demand=demand,
                    least=prices[number] - gap - 1e-6,
                    most_found=max(1, self.most_patterns - len(columns)),
                )
                columns += [(number, pattern) for pattern in patterns]
                is_complete = is_complete and done
        return columns, is_complete


def _sum(trail: Sequence[tuple[Column, int]], rest: dict[Column, int]) -> dict[Column, int]:
    total: Counter[Column] = Counter(rest)
    for column, n in trail:
        total[column] += n
    return dict(total)
