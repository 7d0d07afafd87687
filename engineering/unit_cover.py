"""The exact core: which patterns of which units cover every item at least cost.

Column generation gives a proven bound; the integer solver then picks among the patterns found; where a gap
stays open, every pattern that could still be part of a better answer (its reduced cost does not exceed the
gap) is listed and the integer solver decides among them. Work is limited by counts, never by time, so the
same input gives the same answer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np
from numpy.typing import NDArray

from engineering.unit_patterns import Frame, Item, Pattern, PatternSearch

_TOLERANCE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverUnit:
    """A kind of unit: its frame, what it costs, the items it can hold, its entries in the link rows."""

    frame: Frame
    cost: int
    eligible: tuple[int, ...]
    links: Mapping[int, float] = field(default_factory=dict)
    may_be_empty: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SideColumn:
    """A choice beside the units: it asks for items (`wants`), costs, and stands in link rows."""

    cost: int
    wants: Mapping[int, int] = field(default_factory=dict)
    links: Mapping[int, float] = field(default_factory=dict)
    most: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverProblem:
    """Items with their firm demand, kinds of units, side choices, and link rows (least, most)."""

    items: tuple[Item, ...]
    demand: tuple[int, ...]
    units: tuple[CoverUnit, ...]
    sides: tuple[SideColumn, ...] = ()
    links: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverLimits:
    """How much work may be done: patterns listed, nodes of the integer solver, rounds of pricing."""

    patterns: int = 6000
    nodes: int = 400
    rounds: int = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """An answer: {(unit, pattern): how many}, how many of each side column, cost and proven bound."""

    chosen: Mapping[tuple[int, Pattern], int]
    sides: tuple[int, ...]
    cost: int
    bound: int

    @property
    def is_proven(self) -> bool:
        """Whether nothing can cost less."""
        return self.cost <= self.bound


Column = tuple[int, Pattern]


class _Master:
    """The linear programme over the columns found so far."""

    def __init__(self, problem: CoverProblem) -> None:
        self.problem = problem
        self.columns: list[Column] = []
        self.known: set[Column] = set()
        self.solver = _quiet_solver()
        self.solver.setOptionValue("presolve", "off")
        self.solver.setOptionValue("simplex_strategy", 4)  # primal: new columns keep it feasible
        _add_rows(self.solver, problem)
        for side in problem.sides:
            _add_column(self.solver, side.cost, side.most, _side_entries(problem, side))

    def add(self, column: Column) -> bool:
        if column in self.known:
            return False
        self.known.add(column)
        self.columns.append(column)
        unit = self.problem.units[column[0]]
        _add_column(self.solver, unit.cost, highspy.kHighsInf, _entries(self.problem, column))
        return True

    def solve(self) -> tuple[float, NDArray[np.float64]] | None:
        self.solver.run()
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        duals = np.array(self.solver.getSolution().row_dual)
        objective: float = self.solver.getInfo().objective_function_value
        return objective, duals


def _quiet_solver() -> highspy.Highs:
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("parallel", "off")
    solver.setOptionValue("random_seed", 7)
    return solver


def _add_rows(solver: highspy.Highs, problem: CoverProblem) -> None:
    for demand in problem.demand:
        solver.addRow(float(demand), highspy.kHighsInf, 0, [], [])
    for least, most in problem.links:
        solver.addRow(float(least), float(most), 0, [], [])


def _entries(problem: CoverProblem, column: Column) -> dict[int, float]:
    number, pattern = column
    entries = {place: float(pieces) for place, pieces in pattern}
    for row, value in problem.units[number].links.items():
        entries[len(problem.items) + row] = value
    return entries


def _side_entries(problem: CoverProblem, side: SideColumn) -> dict[int, float]:
    entries = {place: -float(pieces) for place, pieces in side.wants.items()}
    for row, value in side.links.items():
        entries[len(problem.items) + row] = value
    return entries


def _add_column(
    solver: highspy.Highs, cost: float, most: float, entries: Mapping[int, float]
) -> None:
    rows = np.array(list(entries), dtype=np.int32)
    values = np.array(list(entries.values()), dtype=np.float64)
    solver.addCol(float(cost), 0.0, float(most), len(rows), rows, values)


class _Pricing:
    """Searches for new columns, sharing one search between units that hold the same items."""

    def __init__(self, problem: CoverProblem) -> None:
        self.problem = problem
        families: dict[tuple[int, ...], list[int]] = {}
        for number, unit in enumerate(problem.units):
            if unit.eligible:
                families.setdefault(unit.eligible, []).append(number)
        self.families = [
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

    def price(self, number: int, duals: NDArray[np.float64]) -> float:
        """Return what one unit costs after its link rows."""
        unit = self.problem.units[number]
        start = len(self.problem.items)
        return unit.cost - sum(duals[start + row] * value for row, value in unit.links.items())

    def values(self, duals: NDArray[np.float64]) -> list[float]:
        return [max(0.0, float(dual)) for dual in duals[: len(self.problem.items)]]

    def improving(self, duals: NDArray[np.float64]) -> tuple[list[Column], bool]:
        """Return for each unit its column of least reduced cost, where that is below 0, and if sure."""
        columns: list[Column] = []
        is_sure = True
        values = self.values(duals)
        for search, numbers in self.families:
            tables = search.tables(values)
            for number in numbers:
                found, done = search.best(
                    frame=self.problem.units[number].frame,
                    values=values,
                    tables=tables,
                    above=self.price(number, duals) + _TOLERANCE,
                )
                is_sure = is_sure and done
                if found is not None:
                    columns.append((number, found))
        return columns, is_sure

    def within_gap(
        self, duals: NDArray[np.float64], gap: float, most_found: int
    ) -> tuple[list[Column], bool]:
        """Return the columns whose reduced cost is at most `gap`, and whether these are all."""
        columns: list[Column] = []
        values = self.values(duals)
        complete = True
        for search, numbers in self.families:
            tables = search.tables(values)
            for number in numbers:
                patterns, done = search.within(
                    frame=self.problem.units[number].frame,
                    values=values,
                    tables=tables,
                    least=self.price(number, duals) - gap - _TOLERANCE,
                    most_found=max(1, most_found - len(columns)),
                )
                columns += [(number, pattern) for pattern in patterns]
                complete = complete and done
        return columns, complete


def solve_cover(
    *,
    problem: CoverProblem,
    start: Sequence[Column],
    known: Cover | None = None,
    limits: CoverLimits | None = None,
) -> Cover | None:
    """Return the cheapest cover found, with a proven bound; None if there is none at all.

    `start` are columns to begin with; `known` is an answer that is there already.
    """
    limits = limits or CoverLimits()
    divisor = _common_divisor(problem)
    master = _Master(problem)
    for column in _first_columns(problem, start, known):
        master.add(column)
    pricing = _Pricing(problem)
    solved = _generate(master, pricing, limits)
    if solved is None:
        return known
    objective, duals, is_complete = solved
    bound = _round_up(objective, divisor) if is_complete else 0
    best = known
    if best is None or best.cost > bound:
        best = _better(best, _pick(problem, master.columns, bound, limits, best)[0])
    if best is not None and best.cost > bound and is_complete:
        best, bound = _close(
            problem, pricing, master.columns, duals, objective, best, bound, limits
        )
    if best is None:
        return None
    return Cover(chosen=best.chosen, sides=best.sides, cost=best.cost, bound=min(bound, best.cost))


def _common_divisor(problem: CoverProblem) -> int:
    costs = [unit.cost for unit in problem.units] + [side.cost for side in problem.sides]
    return max(1, math.gcd(*costs)) if costs else 1


def _round_up(objective: float, divisor: int) -> int:
    return max(0, math.ceil(objective / divisor - 1e-6)) * divisor


def _first_columns(
    problem: CoverProblem, start: Sequence[Column], known: Cover | None
) -> list[Column]:
    columns = list(start)
    if known is not None:
        columns += list(known.chosen)
    for number, unit in enumerate(problem.units):
        if unit.may_be_empty:
            columns.append((number, ()))
        columns += [(number, ((place, 1),)) for place in unit.eligible]
    return columns


def _generate(
    master: _Master, pricing: _Pricing, limits: CoverLimits
) -> tuple[float, NDArray[np.float64], bool] | None:
    """Add columns until none has a reduced cost below 0."""
    for _ in range(limits.rounds):
        solved = master.solve()
        if solved is None:
            return None
        objective, duals = solved
        columns, is_sure = pricing.improving(duals)
        if not any([master.add(column) for column in columns]):  # noqa: C419 (add every one)
            return objective, duals, is_sure
    return objective, duals, False


def _better(first: Cover | None, second: Cover | None) -> Cover | None:
    if first is None or second is None:
        return first or second
    return second if second.cost < first.cost else first


def _close(
    problem: CoverProblem,
    pricing: _Pricing,
    columns: Sequence[Column],
    duals: NDArray[np.float64],
    objective: float,
    best: Cover,
    bound: int,
    limits: CoverLimits,
) -> tuple[Cover, int]:
    """List every column that a better answer could use, and decide among them."""
    divisor = _common_divisor(problem)
    gap = best.cost - divisor - objective
    listed, is_complete = pricing.within_gap(duals, gap, limits.patterns)
    empty = [(number, ()) for number, unit in enumerate(problem.units) if unit.may_be_empty]
    pool = list(dict.fromkeys([*listed, *empty, *([] if is_complete else columns)]))
    found, solver_bound = _pick(problem, pool, bound, limits, best)
    better = _better(best, found)
    assert better is not None
    if is_complete:
        bound = max(bound, min(best.cost, _round_up(solver_bound, divisor)))
    return better, bound


def _pick(
    problem: CoverProblem,
    columns: Sequence[Column],
    target: int,
    limits: CoverLimits,
    known: Cover | None,
) -> tuple[Cover | None, float]:
    """Return the cheapest cover from the columns, and the bound over covers from them.

    The bound is infinite when the columns hold no cover that is cheaper than the known one.
    """
    solver = _quiet_solver()
    solver.setOptionValue("mip_max_nodes", limits.nodes)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.999 * _common_divisor(problem))
    solver.setOptionValue("objective_target", float(target) + 0.5)
    if known is not None:
        solver.setOptionValue("objective_bound", float(known.cost))
    _add_rows(solver, problem)
    for side in problem.sides:
        _add_column(solver, side.cost, side.most, _side_entries(problem, side))
    for column in columns:
        most = sum(problem.demand) + sum(
            side.most * sum(side.wants.values()) for side in problem.sides
        )
        unit = problem.units[column[0]]
        if unit.may_be_empty:
            most = 10_000
        _add_column(solver, unit.cost, most, _entries(problem, column))
    total = len(problem.sides) + len(columns)
    solver.changeColsIntegrality(
        total,
        np.arange(total, dtype=np.int32),
        np.full(total, highspy.HighsVarType.kInteger, dtype=object),
    )
    solver.run()
    return _read(problem, columns, solver)


def _read(
    problem: CoverProblem, columns: Sequence[Column], solver: highspy.Highs
) -> tuple[Cover | None, float]:
    info = solver.getInfo()
    if solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None, math.inf
    bound = float(info.mip_dual_bound)
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None, bound
    numbers = [round(value) for value in solver.getSolution().col_value]
    sides = tuple(numbers[: len(problem.sides)])
    counts = numbers[len(problem.sides) :]
    chosen = {column: n for column, n in zip(columns, counts, strict=True) if n}
    cost = sum(problem.units[number].cost * n for (number, _), n in chosen.items())
    cost += sum(side.cost * n for side, n in zip(problem.sides, sides, strict=True))
    return Cover(chosen=chosen, sides=sides, cost=cost, bound=0), bound
