"""Solving an enclosure's cover: cost first, then fewer units, then more spare outputs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from engineering.control_cover import EnclosureCover
from engineering.control_quick import quick_cover
from engineering.unit_cover import Cover, CoverLimits, CoverProblem, CoverUnit, solve_cover
from engineering.unit_patterns import Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """A cover, its proven bound on the objective, and whether its ties are proven as well."""

    cover: Cover
    bound: int
    are_ties_proven: bool

    @property
    def is_proven(self) -> bool:
        """Whether nothing can cost less."""
        return self.cover.cost <= self.bound


def solve_enclosure(
    *, cover: EnclosureCover, exact: bool, limits: CoverLimits | None = None
) -> Solved | None:
    """Return the cheapest cover, or a quick valid one; None where there is none."""
    known = quick_cover(cover=cover)
    if not exact and known is not None:
        return Solved(cover=known, bound=known.bound, are_ties_proven=False)
    limits = limits or CoverLimits()
    found = solve_cover(problem=cover.problem, start=(), known=known, limits=limits)
    if found is None:
        return None
    if not found.is_proven:
        return Solved(cover=found, bound=found.bound, are_ties_proven=False)
    settled, are_proven = _settle_ties(cover, found, limits)
    return Solved(cover=settled, bound=found.cost, are_ties_proven=are_proven)


def _settle_ties(cover: EnclosureCover, found: Cover, limits: CoverLimits) -> tuple[Cover, bool]:
    """Return, among the covers of equal cost, one with the fewest units and then the most spare."""
    if _has_no_ties(cover):
        return found, True
    problem, weights = _tie_problem(cover, found)
    known = replace(found, cost=_weigh(found, weights), bound=0)
    settled = solve_cover(problem=problem, start=(), known=known, limits=limits)
    assert settled is not None
    return replace(settled, cost=found.cost, bound=found.cost), settled.is_proven


def _has_no_ties(cover: EnclosureCover) -> bool:
    """Say whether equal cost already means equal numbers of units and outputs."""
    bought = {
        (unit.cost, outputs)
        for unit, outputs, (_, held) in zip(
            cover.problem.units, cover.new_outputs, cover.unit_places, strict=True
        )
        if held is None
    }
    return len(bought) <= 1 and not any(side.cost for side in cover.problem.sides)


def _tie_problem(cover: EnclosureCover, found: Cover) -> tuple[CoverProblem, Mapping[int, int]]:
    """Return the problem of few units and much spare at the cost found, and each unit's weight."""
    problem = cover.problem
    units = sum(
        n for (number, _), n in found.chosen.items() if cover.unit_places[number][1] is None
    )
    one_unit = 1 + units * max(cover.new_outputs, default=0)
    weights = {
        number: 0 if held is not None else one_unit - cover.new_outputs[number]
        for number, (_, held) in enumerate(cover.unit_places)
    }
    divisor = max(
        1, math.gcd(*(unit.cost for unit in problem.units), *(side.cost for side in problem.sides))
    )
    row = len(problem.links)
    tied = replace(
        problem,
        units=tuple(
            _reweighed(unit, weights[number], {row: unit.cost / divisor})
            for number, unit in enumerate(problem.units)
        ),
        sides=tuple(
            replace(side, cost=0, links={**side.links, row: side.cost / divisor})
            for side in problem.sides
        ),
        links=(*problem.links, (-math.inf, found.cost / divisor)),
    )
    return tied, weights


def _reweighed(unit: CoverUnit, weight: int, links: Mapping[int, float]) -> CoverUnit:
    frame: Frame = unit.frame
    return CoverUnit(
        frame=frame,
        cost=weight,
        eligible=unit.eligible,
        links={**unit.links, **links},
        may_be_empty=unit.may_be_empty,
    )


def _weigh(cover: Cover, weights: Mapping[int, int]) -> int:
    return sum(weights[number] * n for (number, _), n in cover.chosen.items())
