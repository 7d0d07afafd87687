"""The exact core: the cheapest numbers of units that can hold every item, proven.

Two models talk to each other. The *count model* (`unit_counts`) chooses how many units of each kind, by rows
that every cover keeps: whatever price each item has, all items are worth no more than the best contents of the
units. It is very small, and its optimum is a bound. The rows it begins with are priced by outputs, by load and by
the cheapest fractions of contents. The *fitting*
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


def beaten_units(problem: CoverProblem) -> set[int]:
    """Return the units that another does better: no dearer, no smaller, holding all the same items."""
    beaten: set[int] = set()
    for number, unit in enumerate(problem.units):
        for other, rival in enumerate(problem.units):
            if other != number and other not in beaten and _beats(rival, unit):
                beaten.add(number)
                break
    return beaten


def _beats(first: CoverUnit, second: CoverUnit) -> bool:
    if first.links != second.links or second.may_be_empty != first.may_be_empty:
        return False
    return (
        first.cost <= second.cost
        and first.frame.outputs >= second.frame.outputs
        and first.frame.capacity >= second.frame.capacity
        and first.frame.route_caps == second.frame.route_caps
        and set(first.eligible) >= set(second.eligible)
    )


def item_prices(problem: CoverProblem) -> list[list[float]]:
    """Return prices by outputs and by load, of the items that only some of the units can hold."""
    homes: list[set[int]] = [set() for _ in problem.items]
    for number, unit in enumerate(problem.units):
        for place in unit.eligible:
            homes[place].add(number)
    prices: list[list[float]] = []
    for chosen in sorted({tuple(sorted(found)) for found in homes}):
        inside = [found <= set(chosen) for found in homes]
        for sizes in (
            [float(item.outputs) for item in problem.items],
            [float(item.load) for item in problem.items],
        ):
            priced = [size if is_in else 0.0 for size, is_in in zip(sizes, inside, strict=True)]
            if any(priced) and priced not in prices:
                prices.append(priced)
    return prices


class CoverSearch:
    """Keeps the count model with its cuts, and the patterns found, over several objectives."""

    def __init__(self, *, problem: CoverProblem, limits: CoverLimits) -> None:
        self.problem = problem
        self.limits = limits
        barred = beaten_units(problem)
        self.counts = CountModel(problem=problem, nodes=limits.nodes, barred=barred)
        self.fitting = Fitting(
            problem=problem, patterns=limits.patterns, nodes=limits.nodes, barred=barred
        )

    def cheapest(self, *, known: Cover | None) -> Cover | None:
        """Return the cheapest cover."""
        self._open(known)
        weights = [unit.cost for unit in self.problem.units]
        sides = [side.cost for side in self.problem.sides]
        return self._least(weights, sides, known, self.problem.divisor)

    def _open(self, known: Cover | None) -> None:
        """Give the count model what the items ask of the units: outputs, load, and their best prices."""
        begun = list(known.chosen) if known is not None else []
        for values in (*item_prices(self.problem), self.fitting.opening_prices(begun)):
            worths = self.fitting.worths(values)
            scale = max(worths, default=0.0)
            if scale > 0:
                self.counts.cut(
                    values=[value / scale for value in values],
                    worths=[worth / scale for worth in worths],
                )

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
