"""How much floor a room has and how far it is round its walls: as typed, else as its box."""

from decimal import Decimal
from typing import Any


def box_m2(room: Any) -> Decimal | None:
    """Length times width [m²]; None where one of them is not known."""
    if not (room.length_m and room.width_m):
        return None
    return Decimal(str(room.length_m)) * Decimal(str(room.width_m))


def area_m2(room: Any) -> Decimal | None:
    """The floor [m²] of a room, row or part: as typed for a room that is no rectangle, else its box."""
    return Decimal(str(room.floor_m2)) if room.floor_m2 else box_m2(room)


def perimeter_m(room: Any) -> Decimal | None:
    """The way round the walls [m]: as typed, else round the box. None where no size is known."""
    if room.round_m:
        return Decimal(str(room.round_m))
    if not (room.length_m and room.width_m):
        return None
    return 2 * (Decimal(str(room.length_m)) + Decimal(str(room.width_m)))


def shortest_round_m(length_m: Decimal, width_m: Decimal) -> Decimal:
    """The least way [m] round a room that reaches all four sides of its box: twice the diagonal.

    >>> shortest_round_m(Decimal(4), Decimal(3))
    Decimal('10')
    """
    return 2 * (length_m**2 + width_m**2).sqrt()
