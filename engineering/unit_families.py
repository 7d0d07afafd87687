"""Units that can be searched for contents together."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from engineering.unit_patterns import PatternSearch

if TYPE_CHECKING:
    from engineering.unit_cover import CoverProblem


def families(
    *, problem: CoverProblem, barred: Collection[int]
) -> list[tuple[PatternSearch, list[int]]]:
    """Return one pattern search for all units that can hold the same items, but for their size."""
    found: list[tuple[tuple[int, ...], list[int]]] = []
    numbers = [n for n, unit in enumerate(problem.units) if unit.eligible and n not in barred]
    for number in sorted(numbers, key=lambda n: (-len(problem.units[n].eligible), n)):
        for eligible, members in found:
            if _differs_by_size_alone(problem, number, eligible):
                members.append(number)
                break
        else:
            found.append((problem.units[number].eligible, [number]))
    return [
        (
            PatternSearch(
                items=problem.items,
                eligible=eligible,
                frames=[problem.units[number].frame for number in members],
            ),
            sorted(members),
        )
        for eligible, members in found
    ]


def _differs_by_size_alone(problem: CoverProblem, number: int, eligible: Sequence[int]) -> bool:
    """Say whether a unit can hold exactly those of the items that its outputs and load allow."""
    unit = problem.units[number]
    fitting = {
        place
        for place in eligible
        if problem.items[place].outputs <= unit.frame.outputs
        and problem.items[place].load <= unit.frame.capacity
    }
    return fitting == set(unit.eligible)
