"""The exact core: the cheapest numbers of units that can hold every item, proven.

Two models talk to each other. The *count model* (`unit_counts`) chooses how many units of each kind, with
items spread over them as if they were liquid: it is small, and its optimum is a bound. The *fitting*
(`unit_fitting`) says whether the items really fit into these units, with patterns by column generation. Where
they do not, it gives the count model a cut that this choice breaks, and the count model chooses again. The first
choice that fits is the cheapest. Work is limited by counts, never by time, so the same input gives the same
answer.

Sources (from memory, not looked up): column generation after P. C. Gilmore and R. E. Gomory; the cuts are those
of J. F. Benders' decomposition.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from engineering.unit_counts import CountModel, Counts
from engineering.unit_fitting import Fitting
from engineering.unit_patterns import Frame, Item, Pattern

Column = tuple[int, Pattern]


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

    @property
    def divisor(self) -> int:
        """What every cost is a whole multiple of."""
        costs = [unit.cost for unit in self.units] + [side.cost for side in self.sides]
        return max(1, math.gcd(*costs)) if costs else 1


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverLimits:
    """How much work may be done: choices of counts tried, patterns listed, nodes of the integer solver."""

    trials: int = 60
    patterns: int = 4000
    nodes: int = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """An answer: {(unit, pattern): how many}, how many of each side column, cost and proven bound."""

    chosen: Mapping[Column, int]
    sides: tuple[int, ...]
    cost: int
    bound: int

    @property
    def is_proven(self) -> bool:
        """Whether nothing can cost less."""
        return self.cost <= self.bound


def cover_cost(*, problem: CoverProblem, chosen: Mapping[Column, int], sides: Sequence[int]) -> int:
    """Return what units and side columns cost."""
    cost = sum(problem.units[number].cost * n for (number, _), n in chosen.items())
    return cost + sum(side.cost * n for side, n in zip(problem.sides, sides, strict=True))


def solve_cover(
    *, problem: CoverProblem, known: Cover | None = None, limits: CoverLimits | None = None
) -> Cover | None:
    """Return the cheapest cover found, with a proven bound; None if there is none at all.

    `known` is an answer that is there already.
    """
    search = CoverSearch(problem=problem, limits=limits or CoverLimits())
    return search.cheapest(known=known)


class CoverSearch:
    """Keeps the count model with its cuts, and the patterns found, over several objectives."""

    def __init__(self, *, problem: CoverProblem, limits: CoverLimits) -> None:
        self.problem = problem
        self.limits = limits
        self.counts = CountModel(problem=problem, nodes=limits.nodes)
        self.fitting = Fitting(problem=problem, patterns=limits.patterns, nodes=limits.nodes)

    def cheapest(self, *, known: Cover | None) -> Cover | None:
        """Return the cheapest cover."""
        weights = [unit.cost for unit in self.problem.units]
        sides = [side.cost for side in self.problem.sides]
        return self._least(weights, sides, known, self.problem.divisor)

    def lightest(self, *, found: Cover, weights: Sequence[int]) -> Cover:
        """Return, among the covers that cost as much as `found`, the one of least unit weight.

        The cover's cost and bound are then in those weights.
        """
        self.counts.hold_cost(found.cost)
        weight = sum(weights[number] * n for (number, _), n in found.chosen.items())
        known = replace(found, cost=weight, bound=0)
        lightest = self._least(weights, [0] * len(self.problem.sides), known, 1)
        assert lightest is not None
        return lightest

    def _least(
        self, weights: Sequence[int], sides: Sequence[int], known: Cover | None, divisor: int
    ) -> Cover | None:
        """Try choices of counts in the order of their weight until one fits."""
        bound, is_sound, best = 0, True, known
        for _ in range(self.limits.trials):
            counts = self.counts.solve(weights=weights, sides=sides, divisor=divisor)
            if counts is None:  # nothing lighter is left
                bound = best.cost if best is not None and is_sound else bound
                break
            if is_sound:
                bound = max(bound, counts.bound)
            if best is not None and counts.bound >= best.cost:
                bound = best.cost if is_sound else bound
                break
            chosen, is_sure = self._fit(counts)
            if chosen is not None:
                weight = sum(weights[number] * n for (number, _), n in chosen.items())
                weight += sum(c * n for c, n in zip(sides, counts.sides, strict=True))
                if best is None or weight < best.cost:
                    best = Cover(chosen=chosen, sides=counts.sides, cost=weight, bound=0)
                break
            is_sound = is_sound and is_sure
        if best is None:
            return None
        return replace(best, bound=min(bound, best.cost))

    def _fit(self, counts: Counts) -> tuple[dict[Column, int] | None, bool]:
        """Return a fitting of the items into the units, or None with the count model cut, and if sure."""
        result = self.fitting.fit(units=counts.units, sides=counts.sides)
        if result.chosen is not None:
            return result.chosen, True
        if result.values:
            self.counts.cut(values=result.values, worths=result.worths)
            return None, True
        self.counts.exclude(counts)
        return None, result.is_sure
