"""Packing: sizes into the fewest bins of one capacity."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from engineering.refusal import above_zero
from engineering.unit_cover import Cover, CoverLimits, CoverProblem, CoverUnit, solve_cover
from engineering.unit_patterns import Frame, Item, Pattern

# Sizes are counted in millionths, so that sums of decimal figures are exact.
_GRAIN = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Packing:
    """`count` bins; no packing needs fewer than `lower_bound`; `bins` holds the sizes in each bin."""

    count: int
    lower_bound: int
    bins: tuple[tuple[float, ...], ...]

    @property
    def is_proven(self) -> bool:
        """Whether fewer bins are impossible."""
        return self.count == self.lower_bound


def pack(*, sizes: Sequence[float], capacity: float) -> Packing:
    """Return sizes packed into the fewest bins.

    Parameters
    ----------
    sizes : each above 0 and up to the capacity, counted to a millionth.
    capacity : above 0, in the unit of the sizes.

    Returns
    -------
    `.count .lower_bound .is_proven .bins`; each bin holds its sizes, largest first. Whatever the order of
    the sizes, the same bins.

    Raises
    ------
    ValueError for a size or capacity out of range.

    Notes
    -----
    The work is limited by counts: past the limit the best packing found stands with its bound.

    >>> found = pack(sizes=[49, 41, 34, 33, 29, 26, 26, 22, 20, 19], capacity=100)
    >>> found.count, found.is_proven
    (3, True)
    """
    above_zero("capacity", capacity)
    room = round(capacity * _GRAIN)
    names: dict[int, float] = {}
    demand: Counter[int] = Counter()
    for size in sizes:
        above_zero("a size", size)
        grains = max(1, round(size * _GRAIN))
        if grains > room:
            raise ValueError(f"a size must be up to the capacity {capacity!r}, got {size!r}")
        names.setdefault(grains, size)
        demand[grains] += 1
    bins, bound = _pack_whole(demand, room)
    named = sorted(
        (tuple(names[grains] for grains in sorted(held, reverse=True)) for held in bins),
        reverse=True,
    )
    return Packing(count=len(named), lower_bound=bound, bins=tuple(named))


def _pack_whole(demand: Counter[int], room: int) -> tuple[list[list[int]], int]:
    greedy = _best_fit(demand, room)
    bound = lower_bound(demand, room)
    if len(greedy) == bound:
        return greedy, bound
    kinds = sorted(demand, reverse=True)
    problem = CoverProblem(
        items=tuple(Item(outputs=0, load=size, demand=demand[size]) for size in kinds),
        demand=tuple(demand[size] for size in kinds),
        units=(
            CoverUnit(
                frame=Frame(outputs=0, capacity=room), cost=1, eligible=tuple(range(len(kinds)))
            ),
        ),
    )
    known = Cover(chosen=_columns(greedy, kinds), sides=(), cost=len(greedy), bound=bound)
    cover = solve_cover(problem=problem, known=known, limits=CoverLimits(patterns=20_000))
    assert cover is not None
    return _bins(cover, kinds, demand), max(bound, cover.bound)


def _best_fit(demand: Counter[int], room: int) -> list[list[int]]:
    """Best fit, largest first."""
    bins: list[list[int]] = []
    left: list[int] = []
    for size in sorted(demand.elements(), reverse=True):
        fitting = [place for place, free in enumerate(left) if free >= size]
        if fitting:
            place = min(fitting, key=lambda number: left[number])
            bins[place].append(size)
            left[place] -= size
        else:
            bins.append([size])
            left.append(room - size)
    return bins


def lower_bound(demand: Counter[int], room: int) -> int:
    """Return a quick bound on the bins: the sum, and for each cut the sizes that cannot share.

    For a cut k up to half the room: sizes above room − k sit alone, sizes above half the room each have a bin
    of their own that takes only what is left, and sizes from k up to half must fit in the rest.
    Source: the bound L2 of S. Martello and P. Toth (from memory, not looked up).
    """
    total = sum(size * n for size, n in demand.items())
    best = -(-total // room)
    for cut in {size for size in demand if 2 * size <= room} | {0}:
        alone = sum(n for size, n in demand.items() if size > room - cut)
        large = sum(n for size, n in demand.items() if room - cut >= size > room / 2)
        large_total = sum(size * n for size, n in demand.items() if room - cut >= size > room / 2)
        small_total = sum(size * n for size, n in demand.items() if room / 2 >= size >= cut)
        beyond = small_total - (large * room - large_total)
        best = max(best, alone + large + max(0, -(-beyond // room)))
    return best


def _columns(bins: list[list[int]], kinds: list[int]) -> dict[tuple[int, Pattern], int]:
    places = {size: place for place, size in enumerate(kinds)}
    columns: Counter[tuple[int, Pattern]] = Counter()
    for held in bins:
        pattern = tuple(sorted(Counter(places[size] for size in held).items()))
        columns[0, pattern] += 1
    return dict(columns)


def _bins(cover: Cover, kinds: list[int], demand: Counter[int]) -> list[list[int]]:
    """Turn patterns into bins; a pattern may hold more than is wanted, so drop the surplus."""
    left = Counter(demand)
    bins = []
    for (_, pattern), n in sorted(cover.chosen.items()):
        for _ in range(n):
            held = []
            for place, pieces in pattern:
                taken = min(pieces, left[kinds[place]])
                left[kinds[place]] -= taken
                held += [kinds[place]] * taken
            if held:
                bins.append(held)
    return bins
