"""The count model: how many units of each kind, by what the items ask of them."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import highspy
import numpy as np

from engineering.unit_solver import quiet_solver

if TYPE_CHECKING:
    from engineering.unit_cover import CoverProblem


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """How many of each unit and side column, and the bound that this choice proves."""

    units: tuple[int, ...]
    sides: tuple[int, ...]
    bound: int


class CountModel:
    """Variables: units, then side columns. Rows: links, then cuts that every cover keeps."""

    def __init__(self, *, problem: CoverProblem, nodes: int, barred: Collection[int] = ()) -> None:
        self.problem = problem
        self.unit_total = len(problem.units)
        self.solver = quiet_solver()
        self.solver.setOptionValue("mip_max_nodes", 20 * nodes)
        self.solver.setOptionValue("mip_rel_gap", 0.0)
        # Measured on invented houses: on so small a model these cost more than they find.
        for name in ("rins", "rens", "root_reduced_cost"):
            self.solver.setOptionValue(f"mip_heuristic_run_{name}", False)
        self.solver.setOptionValue("mip_heuristic_effort", 0.0)
        self.solver.setOptionValue("mip_allow_restart", False)
        self.solver.setOptionValue("mip_heuristic_run_feasibility_jump", False)
        self.solver.setOptionValue("mip_pool_soft_limit", 200)
        self.solver.setOptionValue("mip_pool_age_limit", 3)
        self._add_columns(barred)
        self._add_link_rows()

    def _most_units(self) -> int:
        wanted = sum(item.demand for item in self.problem.items)
        least = max((least for least, _ in self.problem.links if math.isfinite(least)), default=0.0)
        return wanted + math.ceil(max(0.0, least)) + 1

    def _add_columns(self, barred: Collection[int]) -> None:
        most = float(self._most_units())
        tops = [0.0 if number in barred else most for number in range(self.unit_total)]
        tops += [float(side.most) for side in self.problem.sides]
        whole = len(tops)
        self.solver.addVars(whole, np.zeros(whole), np.array(tops))
        kinds = np.full(whole, highspy.HighsVarType.kInteger, dtype=object)
        self.solver.changeColsIntegrality(whole, np.arange(whole, dtype=np.int32), kinds)
        self.choice_total = whole

    def _row(self, least: float, most: float, entries: Mapping[int, float]) -> None:
        columns = np.array(list(entries), dtype=np.int32)
        values = np.array(list(entries.values()), dtype=np.float64)
        self.solver.addRow(float(least), float(most), len(columns), columns, values)

    def _add_link_rows(self) -> None:
        rows: list[dict[int, float]] = [{} for _ in self.problem.links]
        for number, unit in enumerate(self.problem.units):
            for row, value in unit.links.items():
                rows[row][number] = value
        for number, side in enumerate(self.problem.sides):
            for row, value in side.links.items():
                rows[row][self.unit_total + number] = value
        for (least, most), entries in zip(self.problem.links, rows, strict=True):
            self._row(least, most, entries)

    def hold_cost(self, cost: int) -> None:
        """Allow only choices that cost no more than this."""
        divisor = self.problem.divisor
        entries = {n: unit.cost / divisor for n, unit in enumerate(self.problem.units) if unit.cost}
        for number, side in enumerate(self.problem.sides):
            if side.cost:
                entries[self.unit_total + number] = side.cost / divisor
        self._row(-highspy.kHighsInf, cost / divisor, entries)

    def cut(self, *, values: Sequence[float], worths: Sequence[float]) -> None:
        """Ask that the worth of the units reaches the value of the items.

        `values` are prices per item, `worths` the most value that a pattern of each unit can have.
        """
        entries = {number: worth for number, worth in enumerate(worths) if worth > 0}
        for number, side in enumerate(self.problem.sides):
            wanted = sum(values[place] * n for place, n in side.wants.items())
            if wanted:
                entries[self.unit_total + number] = -wanted
        firm = sum(value * n for value, n in zip(values, self.problem.demand, strict=True))
        self._row(firm - 1e-7, highspy.kHighsInf, entries)

    def exclude(self, counts: Counts) -> None:
        """Ask for more of at least one kind of unit, or less of an item: else it does not fit either."""
        switches = {}
        for number, count in enumerate(counts.units):
            column = self._switch()
            self._row(0.0, highspy.kHighsInf, {number: 1.0, column: -float(count + 1)})
            switches[column] = 1.0
        for place, item in enumerate(self.problem.items):
            wants = {
                self.unit_total + number: float(side.wants[place])
                for number, side in enumerate(self.problem.sides)
                if place in side.wants
            }
            wanted = sum(pieces * counts.sides[n - self.unit_total] for n, pieces in wants.items())
            if wanted:
                column = self._switch()
                most = float(item.demand)
                self._row(-highspy.kHighsInf, wanted - 1 + most, {**wants, column: most})
                switches[column] = 1.0
        self._row(1.0, highspy.kHighsInf, switches)

    def _switch(self) -> int:
        column: int = self.solver.getNumCol()
        self.solver.addVar(0.0, 1.0)
        self.solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        return column

    def solve(self, *, weights: Sequence[int], sides: Sequence[int], divisor: int) -> Counts | None:
        """Return the lightest choice; None where there is none."""
        costs = np.zeros(self.solver.getNumCol())
        costs[: len(weights)] = [weight / divisor for weight in weights]
        costs[self.unit_total : self.unit_total + len(sides)] = [side / divisor for side in sides]
        every = np.arange(len(costs), dtype=np.int32)
        self.solver.changeColsCost(len(costs), every, costs)
        self.solver.setOptionValue("mip_abs_gap", 0.999)
        self.solver.run()
        status = self.solver.getModelStatus()
        info = self.solver.getInfo()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        feasible = highspy.SolutionStatus.kSolutionStatusFeasible
        if info.primal_solution_status != feasible:
            return None
        values = self.solver.getSolution().col_value
        numbers = [round(value) for value in values[: self.choice_total]]
        bound = max(0, math.ceil(info.mip_dual_bound - 1e-6)) * divisor
        return Counts(
            units=tuple(numbers[: self.unit_total]),
            sides=tuple(numbers[self.unit_total :]),
            bound=bound,
        )
