"""What holds the lights in a picture: cords, stands, bodies on walls, ledges that hide tape.

Plain thin boxes that throw no shadow. How they look is our own; only where they are is the design's.
"""

from collections.abc import Iterable

from consult.light.laws import Look
from engineering.arrangement import Placement
from engineering.box import BoxRoom
from engineering.furniture import BRONZE, PAINT
from engineering.room_faces import Cuboid

# A room with more of them is drawn without: they would cost more bytes than they tell.
MOST = 16
CORD_M, STAND_M, FOOT_M = 0.004, 0.01, 0.13
BESIDE_WALL_M = 0.2
LOW_M, HANGS_M = 1.25, 0.2
# What stands to either side of tape that shines up, how high that is, and how far below the tape.
LEDGE_M, LEDGE_HIGH_M, LEDGE_BELOW_M = 0.04, 0.04, 0.01
# Half the width and height of a body, and what stands off its opening; an arm is slimmer.
BODY_M, ARM_M, ARM_FROM_M = (0.045, 0.06, 0.055), (0.11, 0.016, 0.03), 0.16


def bodies(room: BoxRoom, hung: Iterable[tuple[Placement, Look]]) -> tuple[Cuboid, ...]:
    """The boxes that hold the lights of a room; none where there are very many."""
    pieces = tuple(hung)
    places = {each.position_m: (each, look) for each, look in pieces if each.end_m is None}
    found: list[Cuboid] = []
    for place, look in places.values():
        found += _body(room, place, look)
    runs = {
        (each.position_m, each.end_m): each
        for each, look in pieces
        if each.end_m is not None and look.shape == "none"
    }
    found += [_ledge(room, each) for each in runs.values()]
    return tuple(found) if len(found) <= MOST else ()


def _ledge(room: BoxRoom, run: Placement) -> Cuboid:
    """The edge that tape stands behind: a slim channel, or a ledge to the wall beside it."""
    ends = (run.position_m, run.end_m or run.position_m)
    low = [min(place) for place in zip(*ends, strict=True)]
    high = [max(place) for place in zip(*ends, strict=True)]
    across = 1 if high[0] - low[0] >= high[1] - low[1] else 0
    is_near, is_far = (
        low[across] <= BESIDE_WALL_M,
        room.size_m[across] - high[across] <= BESIDE_WALL_M,
    )
    low[across] = 0.0 if is_near else low[across] - LEDGE_M
    high[across] = room.size_m[across] if is_far else high[across] + LEDGE_M
    top = max(LEDGE_HIGH_M + 0.001, low[2] - LEDGE_BELOW_M)
    return Cuboid(
        low_m=(low[0], low[1], top - LEDGE_HIGH_M),
        high_m=(high[0], high[1], top),
        colour=PAINT,
        casts=False,
    )


def _body(room: BoxRoom, place: Placement, look: Look) -> list[Cuboid]:
    x, y, z = place.position_m
    if z > room.height_m - HANGS_M:
        return []
    gaps = {"left": x, "right": room.length_m - x, "front": y, "back": room.width_m - y}
    wall = min(gaps, key=lambda side: gaps[side])
    if gaps[wall] <= BESIDE_WALL_M + 0.03:
        return [_on_wall(room, place.position_m, wall)] if look.shape == "disc" else []
    if look.shape != "globe":
        return []
    if z >= LOW_M:
        return [_box((x, y), CORD_M, (z, room.height_m))]
    return [_box((x, y), STAND_M, (0.0, z)), _box((x, y), FOOT_M, (0.0, 0.02))]


def _box(at: tuple[float, float], half: float, z: tuple[float, float]) -> Cuboid:
    (x, y), (low, high) = at, z
    return Cuboid(
        low_m=(x - half, y - half, low),
        high_m=(x + half, y + half, high),
        colour=BRONZE,
        casts=False,
    )


def _on_wall(room: BoxRoom, at: tuple[float, float, float], wall: str) -> Cuboid:
    """A small box from the wall to just past the opening."""
    gap = min(at[0], room.length_m - at[0], at[1], room.width_m - at[1])
    wide, high, past = ARM_M if gap > ARM_FROM_M else BODY_M
    axis = 0 if wall in ("left", "right") else 1
    low, top = (
        [at[0] - wide, at[1] - wide, at[2] - high],
        [at[0] + wide, at[1] + wide, at[2] + high],
    )
    if wall in ("left", "front"):
        low[axis], top[axis] = 0.0, at[axis] + past
    else:
        low[axis], top[axis] = at[axis] - past, room.size_m[axis]
    corners = [
        (max(0.0, one), min(size, other))
        for one, other, size in zip(low, top, room.size_m, strict=True)
    ]
    (x0, x1), (y0, y1), (z0, z1) = corners
    return Cuboid(low_m=(x0, y0, z0), high_m=(x1, y1, z1), colour=BRONZE, casts=False)
