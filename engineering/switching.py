"""Ordinary switches for circuits that are worked from several positions: gangs and plates."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engineering import refusal
from engineering.published import Certainty, Source

SWITCHING_SOURCE = Source(work="four UK wiring texts", certainty=Certainty.READ)
PLATE_SOURCE = Source(work="two UK trade texts on plates and boxes", certainty=Certainty.READ)

SWITCH_PLATES: Mapping[int, int] = MappingProxyType({1: 1, 2: 1, 3: 1, 4: 2, 6: 2})
"""Gangs of a switch plate on sale, and the box widths it takes (PLATE_SOURCE)."""

DIMMER_PLATES: Mapping[int, int] = MappingProxyType({1: 1, 2: 1, 3: 2, 4: 2})
"""Gangs of a dimmer plate on sale, and the box widths it takes (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conventional:
    """Switches for circuits that are each worked from every position.

    `one_way`, `two_way`, `intermediate` count switches; `gangs` is all of them together; `plates` is
    the number of plates at all positions; `plate_gangs` the plates at ONE position by their gangs;
    `single_boxes` and `double_boxes` count the back boxes of all positions.
    """

    one_way: int
    two_way: int
    intermediate: int
    gangs: int
    plates: int
    plate_gangs: tuple[int, ...]
    single_boxes: int
    double_boxes: int
    source: Source = SWITCHING_SOURCE


def conventional(*, circuits: int, positions: int) -> Conventional:
    """Return the switches that work n circuits, each from every one of m positions.

    Parameters: circuits, 1 or more; positions, 1 or more.
    Notes: one position needs one-way switches; m of them need two two-way switches and m - 2
    intermediate ones for each circuit. A position takes the fewest plates of 1, 2, 3, 4 or 6 gangs.
    Raises: ValueError for anything but whole numbers of 1 or more.

    >>> switches = conventional(circuits=4, positions=3)
    >>> switches.two_way, switches.intermediate, switches.gangs, switches.plates
    (8, 4, 12, 3)
    """
    refusal.count("circuits", circuits)
    refusal.count("positions", positions)
    plates = plates_for(gangs=circuits)
    return Conventional(
        one_way=circuits if positions == 1 else 0,
        two_way=2 * circuits if positions > 1 else 0,
        intermediate=circuits * max(positions - 2, 0),
        gangs=circuits * positions,
        plates=len(plates) * positions,
        plate_gangs=plates,
        single_boxes=positions * sum(SWITCH_PLATES[each] == 1 for each in plates),
        double_boxes=positions * sum(SWITCH_PLATES[each] == 2 for each in plates),
    )


def plates_for(*, gangs: int, sold: Mapping[int, int] = SWITCH_PLATES) -> tuple[int, ...]:
    """Return the fewest plates that hold a number of gangs, largest first.

    Parameters: gangs, 0 or more; sold, gangs of a plate to its box widths.
    Notes: among equally few plates the narrowest, then the one with the fewest unused gangs.

    >>> plates_for(gangs=5), plates_for(gangs=7), plates_for(gangs=0)
    ((6,), (4, 3), ())
    """
    refusal.count("gangs", gangs, at_least=0)
    if not sold:
        raise ValueError("sold must hold one plate or more")
    best: dict[int, tuple[int, ...]] = {0: ()}
    for needed in range(1, gangs + 1):
        ways = ((*best[max(needed - size, 0)], size) for size in sold)
        best[needed] = min(ways, key=lambda way: _plate_order(way, sold))
    return tuple(sorted(best[gangs], reverse=True))


def _plate_order(way: tuple[int, ...], sold: Mapping[int, int]) -> tuple[int, int, int, list[int]]:
    return len(way), sum(sold[size] for size in way), sum(way), sorted(way, reverse=True)
