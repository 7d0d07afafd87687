"""Whole numbers of given patterns that hold the items."""

from __future__ import annotations

from collections.abc import Sequence

import highspy
import numpy as np

from engineering.unit_best_fit import Column
from engineering.unit_solver import quiet_solver


def pick(
    *, columns: Sequence[Column], units: Sequence[int], demand: Sequence[int], nodes: int
) -> tuple[dict[Column, int] | None, bool]:
    """Return whole numbers of patterns that hold the items, or None and whether that is sure."""
    solver = quiet_solver()
    solver.setOptionValue("mip_max_nodes", nodes)
    solver.setOptionValue("mip_max_improving_sols", 1)
    solver.setOptionValue("mip_heuristic_run_feasibility_jump", False)
    columns = list(dict.fromkeys(columns))
    items = len(demand)
    for wanted in demand:
        solver.addRow(float(wanted), highspy.kHighsInf, 0, [], [])
    for count in units:
        solver.addRow(-highspy.kHighsInf, float(count), 0, [], [])
    for number, pattern in columns:
        rows = [place for place, _ in pattern] + [items + number]
        values = [float(pieces) for _, pieces in pattern] + [1.0]
        places = np.array(rows, dtype=np.int32)
        solver.addCol(0.0, 0.0, float(units[number]), len(rows), places, np.array(values))
    total = len(columns)
    kinds = np.full(total, highspy.HighsVarType.kInteger, dtype=object)
    solver.changeColsIntegrality(total, np.arange(total, dtype=np.int32), kinds)
    solver.run()
    status = solver.getInfo().primal_solution_status
    if status == highspy.SolutionStatus.kSolutionStatusFeasible:
        counts = [round(value) for value in solver.getSolution().col_value]
        return {column: n for column, n in zip(columns, counts, strict=True) if n}, True
    return None, solver.getModelStatus() == highspy.HighsModelStatus.kInfeasible
