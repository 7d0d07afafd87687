"""Where fittings hang, as far as the design says: a grid from its arrangement, else not known."""

import math

from consult.design import FittingPart, RoomPart
from engineering.arrangement import grid

Point = tuple[float, float]


def grid_points(room: RoomPart, part: FittingPart) -> tuple[Point, ...]:
    """The points of a grid over the room [m]; none where there is no grid or no size.

    Rows and columns are those of equal number that come nearest to the room's own shape.
    """
    if part.arrangement != "grid" or not room.length_m or not room.width_m:
        return ()
    length, width = float(room.length_m), float(room.width_m)
    pieces = min(part.pieces, 1000)
    pairs = [(n, pieces // n) for n in range(1, pieces + 1) if pieces % n == 0]
    columns, rows = min(pairs, key=lambda pair: abs(math.log(pair[0] * width / pair[1] / length)))
    placed = grid(length_m=length, width_m=width, columns=columns, rows=rows, height_m=1.0)
    return tuple((each.position_m[0], each.position_m[1]) for each in placed)


def height_of(room: RoomPart, part: FittingPart) -> float | None:
    """Height above the floor [m]: as typed, else the ceiling's; None where neither is known."""
    height = part.mounting_height_m if part.mounting_height_m is not None else room.height_m
    return None if height is None else float(height)
