"""Whether items fit into a given number of units of each kind, and how."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import highspy
import numpy as np

from engineering.unit_counts import quiet_solver
from engineering.unit_patterns import Pattern, PatternSearch

if TYPE_CHECKING:
    from engineering.unit_cover import CoverProblem

Column = tuple[int, Pattern]
_TOLERANCE = 1e-7
_MOST_ROUNDS = 400
_MOST_DIVE_STEPS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How the items fit; or prices that prove they do not; or neither, and whether that is sure."""

    chosen: dict[Column, int] | None = None
    values: tuple[float, ...] = ()
    worths: tuple[float, ...] = ()
    is_sure: bool = False


class Fitting:
    """Keeps every pattern found, over all choices that are tried."""

    def __init__(self, *, problem: CoverProblem, patterns: int, nodes: int) -> None:
        self.problem = problem
        self.most_patterns = patterns
        self.nodes = nodes
        self.columns: list[Column] = []
        self.known: set[Column] = set()
        self.families = _families(problem)
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
        found = self._dive(units, demand)
        if found is not None:
            return Fit(chosen=self._with_empty(found, units))
        self._bound_rows(units, demand)
        values, prices, least = self._refine()
        own = [column for column in self.columns if units[column[0]]]
        found, _ = self._pick(own, units, demand)
        if found is None:
            # A fitting uses at most these units, so no pattern in it has a reduced cost above the gap.
            listed, is_complete = self._within(units, values, prices, sum(units) - least)
            if not is_complete:
                return Fit()
            found, is_sure = self._pick(listed, units, demand)
            if found is None:
                return Fit(is_sure=is_sure)
        return Fit(chosen=self._with_empty(found, units))

    def _dive(self, units: Sequence[int], demand: Sequence[int]) -> dict[Column, int] | None:
        """Fix patterns one after another by what the fractions favour; go back where nothing follows."""
        steps = _MOST_DIVE_STEPS
        barred: set[tuple[tuple[Column, ...], Column]] = set()
        trail: list[tuple[Column, int]] = []
        while steps > 0:
            steps -= 1
            left, wanted = self._after(trail, units, demand)
            rest = best_fit(problem=self.problem, units=left, demand=wanted)
            if rest is not None:
                return _sum(trail, rest)
            is_open = self._fill(left, wanted) is None
            step = self._favourite(trail, left, barred) if is_open else None
            if step is None:
                if not trail:
                    return None
                last = trail.pop()
                barred.add((tuple(column for column, _ in trail), last[0]))
            else:
                trail.append(step)
        return None

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
        used = self.solver.getSolution().col_value[len(self.problem.items) :]
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
        """Rows: items, then units. Columns: what is missing of each item, then patterns."""
        if self.solver is None:
            self.solver = quiet_solver()
            self.solver.setOptionValue("presolve", "off")
            items, units = len(self.problem.items), len(self.problem.units)
            for _ in range(items):
                self.solver.addRow(0.0, highspy.kHighsInf, 0, [], [])
            for _ in range(units):
                self.solver.addRow(-highspy.kHighsInf, 0.0, 0, [], [])
            for place in range(items):
                rows, ones = np.array([place], dtype=np.int32), np.ones(1)
                self.solver.addCol(1.0, 0.0, highspy.kHighsInf, 1, rows, ones)
            for number, unit in enumerate(self.problem.units):
                for place in unit.eligible:
                    self._add((number, ((place, 1),)))
        return self.solver

    def _set_phase(self, *, filling: bool) -> None:
        """Set costs: what is missing, or (with nothing missing) the units used."""
        assert self.solver is not None
        self.is_filling = filling
        items, total = len(self.problem.items), self.solver.getNumCol()
        costs = np.full(total, 0.0 if filling else 1.0)
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
        assert self.solver is not None
        self.solver.addCol(
            0.0 if self.is_filling else 1.0,
            0.0,
            highspy.kHighsInf,
            len(rows),
            np.array(rows, dtype=np.int32),
            np.array(values),
        )
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
        return [max(0.0, dual) for dual in duals[:items]], [own - dual for dual in duals[items:]]

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
        self, units: Sequence[int], values: Sequence[float], prices: Sequence[float], gap: float
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
                    least=prices[number] - gap - 1e-6,
                    most_found=max(1, self.most_patterns - len(columns)),
                )
                columns += [(number, pattern) for pattern in patterns]
                is_complete = is_complete and done
        return columns, is_complete

    def _pick(
        self, columns: Sequence[Column], units: Sequence[int], demand: Sequence[int]
    ) -> tuple[dict[Column, int] | None, bool]:
        """Return whole numbers of patterns that hold the items, or None and whether that is sure."""
        solver = quiet_solver()
        solver.setOptionValue("mip_max_nodes", self.nodes)
        solver.setOptionValue("mip_max_improving_sols", 1)
        columns = list(dict.fromkeys(columns))
        items = len(self.problem.items)
        for wanted in demand:
            solver.addRow(float(wanted), highspy.kHighsInf, 0, [], [])
        for count in units:
            solver.addRow(-highspy.kHighsInf, float(count), 0, [], [])
        for number, pattern in columns:
            rows = [place for place, _ in pattern] + [items + number]
            values = [float(pieces) for _, pieces in pattern] + [1.0]
            places = np.array(rows, dtype=np.int32)
            solver.addCol(1.0, 0.0, float(units[number]), len(rows), places, np.array(values))
        total = len(columns)
        kinds = np.full(total, highspy.HighsVarType.kInteger, dtype=object)
        solver.changeColsIntegrality(total, np.arange(total, dtype=np.int32), kinds)
        solver.run()
        status = solver.getInfo().primal_solution_status
        if status == highspy.SolutionStatus.kSolutionStatusFeasible:
            counts = [round(value) for value in solver.getSolution().col_value]
            return {column: n for column, n in zip(columns, counts, strict=True) if n}, True
        return None, solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible


def _sum(trail: Sequence[tuple[Column, int]], rest: dict[Column, int]) -> dict[Column, int]:
    total: Counter[Column] = Counter(rest)
    for column, n in trail:
        total[column] += n
    return dict(total)


def _families(problem: CoverProblem) -> list[tuple[PatternSearch, list[int]]]:
    """Return one pattern search for all units that can hold the same items."""
    families: dict[tuple[int, ...], list[int]] = {}
    for number, unit in enumerate(problem.units):
        if unit.eligible:
            families.setdefault(unit.eligible, []).append(number)
    return [
        (
            PatternSearch(
                items=problem.items,
                eligible=eligible,
                frames=[problem.units[number].frame for number in numbers],
            ),
            numbers,
        )
        for eligible, numbers in families.items()
    ]


def best_fit(
    *, problem: CoverProblem, units: Sequence[int], demand: Sequence[int]
) -> dict[Column, int] | None:
    """Return a fitting found by putting each item where least room is left over, or None."""
    for order in ("load", "outputs"):
        found = _BestFit(problem, units).run(demand, order)
        if found is not None:
            return found
    return None


class _BestFit:
    def __init__(self, problem: CoverProblem, units: Sequence[int]) -> None:
        self.problem = problem
        self.numbers = [number for number, count in enumerate(units) for _ in range(count)]
        self.outputs = [problem.units[number].frame.outputs for number in self.numbers]
        self.loads = [problem.units[number].frame.capacity for number in self.numbers]
        self.held: list[Counter[int]] = [Counter() for _ in self.numbers]
        self.routes: list[Counter[str]] = [Counter() for _ in self.numbers]

    def run(self, demand: Sequence[int], order: str) -> dict[Column, int] | None:
        items = self.problem.items
        homes = {place: self._homes(place) for place, n in enumerate(demand) if n}

        def hardest_first(place: int) -> tuple[float, ...]:
            item = items[place]
            sizes = (item.load, item.outputs) if order == "load" else (item.outputs, item.load)
            return (len(homes[place]), -sizes[0], -sizes[1], place)

        for place in sorted(homes, key=hardest_first):
            for _ in range(demand[place]):
                home = self._tightest(place, homes[place])
                if home is None:
                    return None
                self._put(place, home)
        columns: Counter[Column] = Counter()
        for number, held in zip(self.numbers, self.held, strict=True):
            if held:
                columns[number, tuple(sorted(held.items()))] += 1
        return dict(columns)

    def _homes(self, place: int) -> list[int]:
        return [
            home
            for home, number in enumerate(self.numbers)
            if place in self.problem.units[number].eligible
        ]

    def _tightest(self, place: int, homes: Sequence[int]) -> int | None:
        item = self.problem.items[place]
        best, least = None, None
        for home in homes:
            if item.outputs > self.outputs[home] or item.load > self.loads[home]:
                continue
            caps = self.problem.units[self.numbers[home]].frame.route_caps
            if item.route in caps and self.routes[home][item.route] >= caps[item.route]:
                continue
            left = (self.loads[home] - item.load, self.outputs[home])
            if least is None or left < least:
                best, least = home, left
        return best

    def _put(self, place: int, home: int) -> None:
        item = self.problem.items[place]
        self.outputs[home] -= item.outputs
        self.loads[home] -= item.load
        self.held[home][place] += 1
        self.routes[home][item.route] += 1
