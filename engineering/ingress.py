"""IP codes of IEC 60529: reading them, and whether one meets another.

Source: IEC 60529 as public texts quote it; the standard itself was not read.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engineering.published import Certainty, Source

IP_SOURCE = Source(work="IEC 60529", certainty=Certainty.QUOTED)

SOLIDS: Mapping[int, str] = MappingProxyType(
    {
        0: "none",
        1: "50-mm",
        2: "12.5-mm",
        3: "2.5-mm",
        4: "1-mm",
        5: "dust-protected",
        6: "dust-tight",
    }
)
"""What the first numeral keeps out, as codes."""

WATER: Mapping[int, str] = MappingProxyType(
    {
        0: "none",
        1: "drip",
        2: "drip-15-degrees",
        3: "spray-60-degrees",
        4: "splash",
        5: "jets",
        6: "strong-jets",
        7: "immersion-1-m-30-min",
        8: "continuous-immersion",
        9: "hot-jets",
    }
)
"""What the second numeral keeps out, as codes."""

_CODE = re.compile(r"(?:IP ?)?([0-6X])?([0-9X])[A-D]?[HMSW]*K?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """One IP code read: the first numeral and every second numeral stated; None where it is X."""

    solids: int | None
    water: frozenset[int]

    def __post_init__(self) -> None:
        if self.solids is not None and self.solids not in SOLIDS:
            raise ValueError(f"solids must be 0 to 6, got {self.solids!r}")
        if not self.water <= WATER.keys():
            raise ValueError(f"water must hold numerals 0 to 9, got {sorted(self.water)!r}")

    @property
    def water_met(self) -> frozenset[int]:
        """Every second numeral that is met: up to 6 each meets the lower ones."""
        met: set[int] = set()
        for numeral in self.water:
            met |= _implied(numeral)
        return frozenset(met)


def _implied(numeral: int) -> set[int]:
    if numeral <= 6:
        return set(range(numeral + 1))
    # Immersion (7, 8) and hot jets (9) say nothing of plain jets (5, 6), nor of one another,
    # but for 8, which is agreed to be harder than 7.
    beyond = {7, 8} if numeral == 8 else {numeral}
    return set(range(5)) | beyond


def read_ip(*, code: str) -> Rating:
    """Read an IP code, also a double one such as 'IP65/IP67' or 'IPX5/X7'.

    Parameters: code, 'IP' with two numerals or X, in capitals or not; the additional letters of the
    standard (A to D; H, M, S, W) and the K of road-vehicle practice may follow and are not weighed.
    Raises: ValueError for anything else.

    >>> sorted(read_ip(code="IP65/67").water)
    [5, 7]
    """
    solids: list[int] = []
    water: set[int] = set()
    for position, part in enumerate(code.strip().upper().split("/")):
        found = _CODE.fullmatch(part.strip())
        if found is None or (position == 0 and not part.strip().startswith("IP")):
            raise ValueError(f"code must be an IP code such as 'IP44' or 'IPX4', got {code!r}")
        first, second = found.groups()
        if first is None and position == 0:
            raise ValueError(f"code must have two numerals or X after IP, got {code!r}")
        if first not in (None, "X"):
            solids.append(int(first))
        if second != "X":
            water.add(int(second))
    return Rating(solids=max(solids, default=None), water=frozenset(water))


def ip_meets(*, code: str, needs: str) -> bool:
    """Return whether a product's IP code meets the code that a place needs.

    Parameters: code, of the product; needs, of the place, where X asks for nothing.
    Notes: an X in the product's code is unknown, so it meets nothing but 0. Second numerals up to 6
    imply the lower ones; 7, 8 and 9 imply none of 5 and 6.
    Raises: ValueError when either is not an IP code.

    >>> ip_meets(code="IP65", needs="IPX4"), ip_meets(code="IP67", needs="IPX5")
    (True, False)
    """
    has, need = read_ip(code=code), read_ip(code=needs)
    if need.solids and (has.solids is None or has.solids < need.solids):
        return False
    return all(numeral == 0 or numeral in has.water_met for numeral in need.water)
