"""Where fittings hang, as far as the design says: a grid from its arrangement, else not known."""

from consult.design import FittingPart, RoomPart
from consult.light.grid import Point, grid_points

__all__ = ["Point", "grid_points", "height_of"]


def height_of(room: RoomPart, part: FittingPart) -> float | None:
    """Height above the floor [m]: as typed, else the ceiling's; None where neither is known."""
    height = part.mounting_height_m if part.mounting_height_m is not None else room.height_m
    return None if height is None else float(height)
