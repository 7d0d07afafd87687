"""Where the lights of a circuit hang: arrangements of a room turned into positions.

Positions are values. Whatever supplies them, an arrangement here or points marked on a drawing,
the light is worked out from the same `Placement`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from engineering.points import DOWN, luminaire_axes, vector
from engineering.refusal import above_zero, count

Vector = tuple[float, float, float]
MOST_IN_ONE = 1000
# Walls in the order of the box: at y = 0, at x = L, at y = W, at x = 0.
WALLS = ("front", "right", "back", "left")
_TOWARDS_WALL_DEG = {"front": 270.0, "right": 0.0, "back": 90.0, "left": 180.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """One piece at its place: `position_m`, its `aim`, and `turn_deg` about it.

    A piece with a length has `end_m`, and then runs from `position_m` to there.
    """

    position_m: Vector
    aim: Vector = DOWN
    turn_deg: float = 0.0
    end_m: Vector | None = None

    def __post_init__(self) -> None:
        vector("position_m", self.position_m)
        luminaire_axes(aim=self.aim, turn_deg=self.turn_deg)
        if self.end_m is not None:
            vector("end_m", self.end_m)

    @property
    def length_m(self) -> float:
        """Length of a running piece [m]; 0 for a single point."""
        return 0.0 if self.end_m is None else math.dist(self.position_m, self.end_m)


def aim(*, tilt_deg: float = 0.0, towards_deg: float = 0.0) -> Vector:
    """Return a direction tilted from straight down.

    Parameters
    ----------
    tilt_deg : [°], 0 (down) to 180 (up).
    towards_deg : [°]; the way of the tilt, from +x anticlockwise seen from above.

    Raises
    ------
    ValueError : a value is out of its range.

    >>> tuple(round(part, 6) for part in aim(tilt_deg=90, towards_deg=90))
    (0.0, 1.0, -0.0)
    """
    if not (0 <= tilt_deg <= 180) or not math.isfinite(towards_deg):
        raise ValueError(f"tilt_deg must be from 0 to 180, got {tilt_deg!r} at {towards_deg!r}")
    tilt, way = math.radians(tilt_deg), math.radians(towards_deg)
    return (math.sin(tilt) * math.cos(way), math.sin(tilt) * math.sin(way), -math.cos(tilt))


def _pieces(name: str, number: int) -> int:
    """Return a number of pieces from 1 to 1000, or refuse it."""
    if count(name, number) > MOST_IN_ONE:
        raise ValueError(f"{name} may be at most {MOST_IN_ONE}, got {number!r}")
    return number


def grid(
    *,
    length_m: float,
    width_m: float,
    columns: int,
    rows: int,
    height_m: float,
    aim: Vector = DOWN,
) -> tuple[Placement, ...]:
    """Return a grid over a room, half a space at every wall.

    Parameters
    ----------
    length_m, width_m : [m], above 0; along x and y.
    columns, rows : whole numbers, at least 1; along x and y; at most 1000 pieces.
    height_m : [m], above 0; mounting height above the floor.

    Returns
    -------
    Placements, row by row.

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    Public M&E services guide: distance from wall to luminaire at most half the spacing.

    >>> [p.position_m[:2] for p in grid(length_m=4, width_m=3, columns=2, rows=1, height_m=2.4)]
    [(1.0, 1.5), (3.0, 1.5)]
    """
    length, width = above_zero("length_m", length_m), above_zero("width_m", width_m)
    height = above_zero("height_m", height_m)
    _pieces("columns × rows", count("columns", columns) * count("rows", rows))
    return tuple(
        Placement(
            position_m=((i + 0.5) * length / columns, (j + 0.5) * width / rows, height), aim=aim
        )
        for j in range(rows)
        for i in range(columns)
    )


def row(
    *, start_m: Vector, end_m: Vector, pieces: int, aim: Vector = DOWN
) -> tuple[Placement, ...]:
    """Return pieces evenly between two ends, half a space at each.

    >>> [p.position_m[0] for p in row(start_m=(0, 1, 2), end_m=(3, 1, 2), pieces=3)]
    [0.5, 1.5, 2.5]
    """
    vector("start_m", start_m)
    vector("end_m", end_m)
    _pieces("pieces", pieces)
    shares = [(i + 0.5) / pieces for i in range(pieces)]
    return tuple(Placement(position_m=_between(start_m, end_m, share), aim=aim) for share in shares)


def _between(start: Sequence[float], end: Sequence[float], share: float) -> Vector:
    """Return the place at a share of the way from start to end."""
    x, y, z = (one + share * (other - one) for one, other in zip(start, end, strict=True))
    return (x, y, z)


def wall_line(
    *, wall: str, length_m: float, width_m: float, offset_m: float, height_m: float
) -> tuple[Vector, Vector]:
    """Return the two ends of a line parallel to a wall.

    Parameters
    ----------
    wall : "front" (y = 0), "right" (x = L), "back" (y = W) or "left" (x = 0).
    length_m, width_m : [m], above 0; the room.
    offset_m : [m], 0 to the room's size; distance of the line from the wall.
    height_m : [m], above 0.

    Raises
    ------
    ValueError : no such wall, or a value out of its range.

    >>> wall_line(wall="left", length_m=4, width_m=3, offset_m=0.1, height_m=2.3)
    ((0.1, 0.0, 2.3), (0.1, 3, 2.3))
    """
    if wall not in WALLS:
        raise ValueError(f"wall must be one of {', '.join(WALLS)}, got {wall!r}")
    length, width = above_zero("length_m", length_m), above_zero("width_m", width_m)
    height = above_zero("height_m", height_m)
    most = width if wall in ("front", "back") else length
    if not (0 <= offset_m < most):
        raise ValueError(f"offset_m must be from 0 to below {most} m, got {offset_m!r}")
    if wall in ("front", "back"):
        y = offset_m if wall == "front" else width - offset_m
        return (0.0, y, height), (length, y, height)
    x = offset_m if wall == "left" else length - offset_m
    return (x, 0.0, height), (x, width, height)


def along_wall(
    *,
    wall: str,
    length_m: float,
    width_m: float,
    offset_m: float,
    height_m: float,
    pieces: int,
    tilt_deg: float = 0.0,
) -> tuple[Placement, ...]:
    """Return pieces along a wall at an offset, tilted towards it where asked.

    Parameters
    ----------
    wall, length_m, width_m, offset_m, height_m : as for `wall_line`.
    pieces : whole number, 1 to 1000.
    tilt_deg : [°], 0 to 180; towards the wall.

    >>> along_wall(wall="front", length_m=4, width_m=3, offset_m=0.4, height_m=2.4,
    ...            pieces=1)[0].position_m
    (2.0, 0.4, 2.4)
    """
    start, end = wall_line(
        wall=wall, length_m=length_m, width_m=width_m, offset_m=offset_m, height_m=height_m
    )
    way = aim(tilt_deg=tilt_deg, towards_deg=_TOWARDS_WALL_DEG[wall])
    return row(start_m=start, end_m=end, pieces=pieces, aim=way)


def run_along_wall(
    *,
    wall: str,
    length_m: float,
    width_m: float,
    offset_m: float,
    height_m: float,
    aim: Vector = DOWN,
    margin_m: float = 0.0,
) -> Placement:
    """Return one running piece (tape, profile) along a wall, `margin_m` short at each end.

    >>> run_along_wall(wall="back", length_m=4, width_m=3, offset_m=0.1, height_m=2.3).length_m
    4.0
    """
    start, end = wall_line(
        wall=wall, length_m=length_m, width_m=width_m, offset_m=offset_m, height_m=height_m
    )
    whole = math.dist(start, end)
    if not (0 <= margin_m < whole / 2):
        raise ValueError(f"margin_m must be from 0 to below {whole / 2} m, got {margin_m!r}")
    share = margin_m / whole
    return Placement(
        position_m=_between(start, end, share), end_m=_between(start, end, 1 - share), aim=aim
    )


def _perimeter_corners(
    length_m: float, width_m: float, offset_m: float, height_m: float
) -> list[Vector]:
    """Return the corners of the rectangle at an offset from all walls, closed."""
    length, width = above_zero("length_m", length_m), above_zero("width_m", width_m)
    height = above_zero("height_m", height_m)
    if not (0 <= offset_m < min(length, width) / 2):
        raise ValueError(f"offset_m must be from 0 to below half the room, got {offset_m!r}")
    near, far_x, far_y = float(offset_m), length - offset_m, width - offset_m
    ring = [(near, near), (far_x, near), (far_x, far_y), (near, far_y), (near, near)]
    return [(x, y, height) for x, y in ring]


def perimeter(
    *, length_m: float, width_m: float, offset_m: float, height_m: float, pieces: int
) -> tuple[Placement, ...]:
    """Return pieces evenly round a room at an offset from its walls.

    Parameters
    ----------
    length_m, width_m : [m], above 0.
    offset_m : [m], from 0 to below half the smaller side.
    height_m : [m], above 0.
    pieces : whole number, 1 to 1000.

    >>> len(perimeter(length_m=4, width_m=3, offset_m=0.4, height_m=2.4, pieces=10))
    10
    """
    corners = _perimeter_corners(length_m, width_m, offset_m, height_m)
    sides = [math.dist(one, other) for one, other in itertools.pairwise(corners)]
    step = sum(sides) / _pieces("pieces", pieces)
    places = []
    for piece in range(pieces):
        left = (piece + 0.5) * step
        side = 0
        while side < 3 and left > sides[side]:
            left -= sides[side]
            side += 1
        places.append(_between(corners[side], corners[side + 1], min(1.0, left / sides[side])))
    return tuple(Placement(position_m=place) for place in places)


def run_round(
    *, length_m: float, width_m: float, offset_m: float, height_m: float, aim: Vector = DOWN
) -> tuple[Placement, ...]:
    """Return four running pieces round a room (a cove), at an offset from its walls.

    >>> [p.length_m for p in run_round(length_m=4, width_m=3, offset_m=0.5, height_m=2.3)]
    [3.0, 2.0, 3.0, 2.0]
    """
    corners = _perimeter_corners(length_m, width_m, offset_m, height_m)
    ends = itertools.pairwise(corners)
    return tuple(Placement(position_m=one, end_m=other, aim=aim) for one, other in ends)


def at_points(
    *, points_m: Iterable[tuple[float, float]], height_m: float, aim: Vector = DOWN
) -> tuple[Placement, ...]:
    """Return a piece at each marked point (x, y).

    >>> at_points(points_m=[(1, 2)], height_m=2.4)[0].position_m
    (1, 2, 2.4)
    """
    height = above_zero("height_m", height_m)
    placed = tuple(Placement(position_m=(x, y, height), aim=aim) for x, y in points_m)
    _pieces("points", len(placed))
    return placed


def over_object(
    *,
    corner_m: tuple[float, float],
    size_m: tuple[float, float],
    height_m: float,
    pieces: int,
) -> tuple[Placement, ...]:
    """Return pieces in a row over the middle of a table, worktop or bed, along its longer side.

    Parameters
    ----------
    corner_m : [m] (x, y) of the object.
    size_m : [m] (width along x, depth along y), above 0.
    height_m : [m], above 0; of the pieces above the floor.
    pieces : whole number, 1 to 1000.

    >>> [p.position_m[0] for p in over_object(corner_m=(1, 1), size_m=(2, 1), height_m=1.5,
    ...                                       pieces=2)]
    [1.5, 2.5]
    """
    (x, y), (along_x, along_y) = corner_m, size_m
    width, depth = above_zero("width", along_x), above_zero("depth", along_y)
    height = above_zero("height_m", height_m)
    if width >= depth:
        ends = ((x, y + depth / 2, height), (x + width, y + depth / 2, height))
    else:
        ends = ((x + width / 2, y, height), (x + width / 2, y + depth, height))
    return row(start_m=ends[0], end_m=ends[1], pieces=pieces)
