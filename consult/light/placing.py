"""Where the pieces of a fitting hang: its arrangement in the room turned into positions.

What nobody has said is taken as the trade would hang it, and stands on the page as an estimate:
common practice, no source.
"""

import math
from dataclasses import dataclass

from consult.design import FittingPart, ObjectPart, RoomPart
from consult.kinds import HUNG_OVER
from consult.light.grid import grid_points
from engineering.arrangement import WALLS, Placement, aim, at_points, perimeter, row, wall_line
from engineering.box import BoxRoom
from engineering.points import DOWN

Vector = tuple[float, float, float]
AT_CEILING_M = 0.02
TAPE_BELOW_M = 0.12
PENDANT_DROP_M = 0.75
LOWEST_PENDANT_M = 1.7
OVER_TABLE_M = 0.75
OFFSETS_M = {"tape": 0.1, "globe": 0.15, "disc": 0.6}
LOWEST_RUN_M = 0.35
CLEAR_M = 0.005
STANDS = frozenset(HUNG_OVER)
TOWARDS_DEG = {"front": 270.0, "right": 0.0, "back": 90.0, "left": 180.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """One row of fittings as it is to be hung: its look ("tape", "globe", "disc") and its lengths."""

    part: FittingPart
    look: str
    runs_m: tuple[float, ...]  # one for each piece; empty unless sold by the metre


def height_of(space: BoxRoom, room: RoomPart, hanging: Hanging) -> float:
    """Height of the pieces above the floor [m]: as typed, else by their look."""
    typed = hanging.part.mounting_height_m
    if typed is not None:
        return max(0.01, float(typed))
    top = space.height_m
    if hanging.part.arrangement == "over-object" and hanging.look == "globe":
        under = over(space, room, hanging.part)
        if under is not None:
            return min(top - AT_CEILING_M, under[2] + OVER_TABLE_M)
    if hanging.look == "tape":
        return top - TAPE_BELOW_M
    if hanging.look == "globe":
        return min(top - AT_CEILING_M, max(LOWEST_PENDANT_M, top - PENDANT_DROP_M))
    return top - AT_CEILING_M


def placements(space: BoxRoom, room: RoomPart, hanging: Hanging) -> tuple[Placement, ...]:
    """The pieces at their places. Raises ValueError where one would hang above the ceiling."""
    height = height_of(space, room, hanging)
    if not height <= space.height_m:
        raise ValueError(f"hung at {height:g} m, above the ceiling at {space.height_m:g} m")
    if hanging.runs_m:
        return _runs(space, room, hanging, height)
    placed = _points(space, room, hanging, height)
    tilt = hanging.part.tilt_deg or 0
    if not tilt:
        return placed
    return tuple(
        Placement(position_m=each.position_m, aim=_aim(space, hanging.part, each.position_m, tilt))
        for each in placed
    )


def wall_of(space: BoxRoom, part: FittingPart) -> str:
    """The wall a row hangs at: as said, else one of the two longest."""
    if part.wall in WALLS:
        return part.wall
    return "back" if space.length_m >= space.width_m else "right"


def nearest_wall(space: BoxRoom, x: float, y: float) -> str:
    gaps = {"front": y, "right": space.length_m - x, "back": space.width_m - y, "left": x}
    return min(gaps, key=lambda wall: gaps[wall])


def offset_of(space: BoxRoom, hanging: Hanging, wall: str) -> float:
    """Distance from the wall [m]: as typed, else by the look; never beyond the middle unless typed."""
    most = space.width_m if wall in ("front", "back") else space.length_m
    typed = hanging.part.offset_m
    if typed is not None:
        return min(float(typed), most - CLEAR_M)
    return min(OFFSETS_M[hanging.look], most / 2)


def over(
    space: BoxRoom, room: RoomPart, part: FittingPart
) -> tuple[tuple[float, float], tuple[float, float], float] | None:
    """Corner, size and top [m] of what a fitting hangs over.

    As chosen; else what stands freest of the walls among tables and the like.
    """
    best, found = -1.0, None
    for each in room.objects:
        if each.id == part.over and _spans(each) is not None:
            return _spans(each)
        spans = _spans(each)
        if each.kind not in STANDS or spans is None:
            continue
        (x, y), (width, depth), _top = spans
        gap = min(x, y, space.length_m - x - width, space.width_m - y - depth)
        score = gap + (0.01 if each.kind == "table" else 0.0)
        if found is None or score > best:
            best, found = score, spans
    return found


def _spans(each: ObjectPart) -> tuple[tuple[float, float], tuple[float, float], float] | None:
    if None in (each.x_m, each.y_m, each.width_m, each.depth_m):
        return None
    corner = (float(each.x_m or 0), float(each.y_m or 0))
    size = (float(each.width_m or 0), float(each.depth_m or 0))
    return corner, size, float(each.z_m or 0) + float(each.height_m or 0)


def _aim(space: BoxRoom, part: FittingPart, at: Vector, tilt_deg: int) -> Vector:
    wall = part.wall if part.wall in WALLS else nearest_wall(space, at[0], at[1])
    return aim(tilt_deg=float(tilt_deg), towards_deg=TOWARDS_DEG[wall])


def _line(space: BoxRoom, room: RoomPart, hanging: Hanging, height: float) -> tuple[Vector, Vector]:
    """The line that a row of pieces hangs on."""
    part = hanging.part
    if part.arrangement == "along-wall" or part.wall in WALLS:
        wall = wall_of(space, part)
        return wall_line(
            wall=wall,
            length_m=space.length_m,
            width_m=space.width_m,
            offset_m=offset_of(space, hanging, wall),
            height_m=height,
        )
    under = over(space, room, part) if part.arrangement == "over-object" else None
    (x, y), (width, depth) = under[:2] if under else ((0.0, 0.0), (space.length_m, space.width_m))
    if width >= depth:
        return (x, y + depth / 2, height), (x + width, y + depth / 2, height)
    return (x + width / 2, y, height), (x + width / 2, y + depth, height)


def _points(
    space: BoxRoom, room: RoomPart, hanging: Hanging, height: float
) -> tuple[Placement, ...]:
    part = hanging.part
    if part.arrangement == "grid":
        return at_points(points_m=grid_points(room, part), height_m=height)
    if part.arrangement == "perimeter":
        return perimeter(
            length_m=space.length_m,
            width_m=space.width_m,
            offset_m=min(_side_offset(hanging), min(space.length_m, space.width_m) / 2.01),
            height_m=height,
            pieces=part.pieces,
        )
    start, end = _line(space, room, hanging, height)
    return row(start_m=start, end_m=end, pieces=part.pieces)


def _side_offset(hanging: Hanging) -> float:
    typed = hanging.part.offset_m
    return float(typed) if typed is not None else OFFSETS_M[hanging.look]


def _runs(space: BoxRoom, room: RoomPart, hanging: Hanging, height: float) -> tuple[Placement, ...]:
    """Running pieces: end to end on their line where they fit, else one under the other."""
    start, end = _line(space, room, hanging, height)
    most = math.dist(start, end) - 2 * CLEAR_M
    lengths = [min(length, most) for length in hanging.runs_m]
    tilt = hanging.part.tilt_deg or 0
    if sum(lengths) <= most:
        at, placed = (math.dist(start, end) - sum(lengths)) / 2, []
        for length in lengths:
            placed.append(_run(start, end, at, length, 0.0))
            at += length
    else:
        # What shines up stands on one edge; what shines down, as on shelves, hangs in several.
        is_up = (hanging.part.tilt_deg or 0) >= 90
        step = 0.0 if is_up else max(0.0, height - LOWEST_RUN_M) / len(lengths)
        placed = [
            _run(start, end, (math.dist(start, end) - length) / 2, length, number * step)
            for number, length in enumerate(lengths)
        ]
    way = DOWN if not tilt else _aim(space, hanging.part, placed[0][0], tilt)
    return tuple(Placement(position_m=one, end_m=other, aim=way) for one, other in placed)


def _run(
    start: Vector, end: Vector, at: float, length: float, drop: float
) -> tuple[Vector, Vector]:
    whole = math.dist(start, end)

    def place(share: float) -> Vector:
        x, y, z = (a + share * (b - a) for a, b in zip(start, end, strict=True))
        return (x, y, z - drop)

    return place(at / whole), place((at + length) / whole)
