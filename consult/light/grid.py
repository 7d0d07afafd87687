"""The grid that a number of pieces makes over a room."""

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
