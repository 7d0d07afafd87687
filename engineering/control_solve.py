"""Solving an enclosure's cover: cost first, then fewer units, then more spare outputs."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace

from engineering.control_cover import EnclosureCover
from engineering.control_quick import quick_cover
from engineering.unit_cover import Cover, CoverLimits, CoverSearch


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


KnownCovers = dict[str, Solved | None]
"""Answers found before, by a digest of all that they were found from."""


def solve_enclosure(
    *,
    cover: EnclosureCover,
    exact: bool,
    limits: CoverLimits | None = None,
    solved: KnownCovers | None = None,
) -> Solved | None:
    """Return the cheapest cover, or a quick valid one; None where there is none.

    `solved` keeps what was found: units that share no circuit with the others are solved apart, and most
    parts of an enclosure are as they were before.
    """
    known = quick_cover(cover=cover)
    if not exact and known is not None:
        return Solved(cover=known, bound=known.bound, are_ties_proven=False)
    limits = limits or CoverLimits()
    if solved is None:
        return _searched(cover, known, limits)
    asked = (cover.problem, known, cover.unit_places, cover.new_outputs, limits)
    key = hashlib.sha256(repr(asked).encode()).hexdigest()
    try:
        return solved[key]
    except KeyError:  # another thread may forget what is kept meanwhile
        found = solved[key] = _searched(cover, known, limits)
        return found


def _searched(cover: EnclosureCover, known: Cover | None, limits: CoverLimits) -> Solved | None:
    search = CoverSearch(problem=cover.problem, limits=limits)
    found = search.cheapest(known=known)
    if found is None:
        return None
    if not found.is_proven:
        return Solved(cover=found, bound=found.bound, are_ties_proven=False)
    if _has_no_ties(cover):
        return Solved(cover=found, bound=found.cost, are_ties_proven=True)
    lightest = search.lightest(found=found, weights=_tie_weights(cover, found))
    settled = replace(lightest, cost=found.cost, bound=found.cost)
    return Solved(cover=settled, bound=found.cost, are_ties_proven=lightest.is_proven)


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


def _tie_weights(cover: EnclosureCover, found: Cover) -> list[int]:
    """Return weights by which fewer units come first, then more outputs (the used ones are the same)."""
    units = sum(
        n for (number, _), n in found.chosen.items() if cover.unit_places[number][1] is None
    )
    one_unit = 1 + (units + 1) * max(cover.new_outputs, default=0)
    return [
        0 if held is not None else one_unit - cover.new_outputs[number]
        for number, (_, held) in enumerate(cover.unit_places)
    ]
