"""How an opening to another room looks in a room's picture: a lining, and the dark beyond it.

The light is worked out with nothing coming back; in the picture the dark keeps a little, and a floor
runs on in it, so that it is seen to be a way on and no door. Shapes and colours are our own.
"""

from __future__ import annotations

from engineering.box import BoxRoom
from engineering.furniture import PAINT, THIN_M
from engineering.room_faces import Colour, Cuboid
from engineering.wall_opening import WallOpening

BEYOND: Colour = (0.150, 0.134, 0.116)
FLOOR_BEYOND: Colour = (0.235, 0.168, 0.106)
BEYOND_OWN: Colour = (0.0005, 0.0008, 0.0014)
# How high up the opening the floor beyond is seen, as a share of it.
FLOOR_SHARE = 0.13
LINING_M = 0.05
PROUD_M = 0.004
LEAST_INNER_M = 0.1

Span = tuple[float, float]


def passage(opening: WallOpening, room: BoxRoom) -> tuple[Cuboid, ...]:
    """Return the flat boxes that show an opening on its wall.

    Parameters
    ----------
    opening : one of the room's.
    room : the box that it is in.

    >>> room = BoxRoom(length_m=4, width_m=3, height_m=2.5)
    >>> len(passage(WallOpening(wall="back", from_m=1, width_m=1, height_m=2), room))
    3
    """
    along = (opening.from_m, opening.from_m + opening.width_m)
    up = (opening.low_m, opening.low_m + opening.height_m)
    length_m = room.length_m if opening.wall in ("front", "back") else room.width_m
    lining = _box(opening.wall, along, up, (0.0, THIN_M), room, PAINT)
    within = _inside(along, length_m), _inside(up, room.height_m)
    if min(high - low for low, high in within) < LEAST_INNER_M:
        within = along, up
    flat = (THIN_M, THIN_M + PROUD_M)
    span, (low, high) = within
    if low > LINING_M:  # a hatch shows no floor
        return lining, _box(opening.wall, span, (low, high), flat, room, BEYOND, BEYOND_OWN)
    horizon = low + FLOOR_SHARE * (high - low)
    return (
        lining,
        _box(opening.wall, span, (horizon, high), flat, room, BEYOND, BEYOND_OWN),
        _box(opening.wall, span, (low, horizon), flat, room, FLOOR_BEYOND, BEYOND_OWN),
    )


def _inside(span: Span, most_m: float) -> Span:
    """What a lining leaves; where the opening meets a corner, the floor or the ceiling, none is."""
    low, high = span
    return (
        low if low < LINING_M else low + LINING_M,
        high if high > most_m - LINING_M else high - LINING_M,
    )


def _box(
    wall: str,
    along: Span,
    up: Span,
    off: Span,
    room: BoxRoom,
    colour: Colour,
    own: Colour = (0.0, 0.0, 0.0),
) -> Cuboid:
    """A box on a wall: along it, up it, and off it into the room [m]."""
    deep = room.width_m if wall in ("front", "back") else room.length_m
    into = off if wall in ("front", "left") else (deep - off[1], deep - off[0])
    x, y = (along, into) if wall in ("front", "back") else (into, along)
    return Cuboid(
        low_m=(x[0], y[0], up[0]),
        high_m=(x[1], y[1], up[1]),
        colour=colour,
        own=own,
        casts=False,
    )
