"""An opening in a wall of a room: what light meets it leaves, and none comes in.

A doorway without a door or a missing piece of wall is no wall. Seen from the room it is taken for
black: the next room sends some light back in truth, so levels near it are at least as told.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engineering.refusal import above_zero, not_negative

FloatArray = NDArray[np.float64]

# The walls by name, as numbers of the surfaces of a room.
WALL_SURFACES = {"front": 2, "right": 3, "back": 4, "left": 5}


@dataclass(frozen=True, slots=True, kw_only=True)
class WallOpening:
    """A rectangle of a wall that is open.

    Parameters
    ----------
    wall : "front" (y = 0), "right" (x = L), "back" (y = W) or "left" (x = 0).
    from_m : [m], 0 or more; where it begins along the wall, in the room's x or y.
    width_m : [m], above 0; along the wall.
    low_m : [m], 0 or more; its lower edge above the floor.
    height_m : [m], above 0.

    Raises
    ------
    ValueError : no such wall, or a measure out of its range.

    >>> WallOpening(wall="right", from_m=0.5, width_m=2, height_m=2.1).area_m2
    4.2
    """

    wall: str
    from_m: float
    width_m: float
    height_m: float
    low_m: float = 0.0

    def __post_init__(self) -> None:
        if self.wall not in WALL_SURFACES:
            raise ValueError(f"wall must be one of {', '.join(WALL_SURFACES)}, got {self.wall!r}")
        not_negative("from_m", self.from_m)
        not_negative("low_m", self.low_m)
        above_zero("width_m", self.width_m)
        above_zero("height_m", self.height_m)

    @property
    def surface(self) -> int:
        """The number of its wall among the surfaces of a room."""
        return WALL_SURFACES[self.wall]

    @property
    def area_m2(self) -> float:
        """Area [m²]."""
        return self.width_m * self.height_m

    def check_fits(self, along_m: float, height_m: float) -> None:
        """Refuse an opening that reaches beyond its wall of a length and a height [m].

        Raises
        ------
        ValueError : says how far it reaches.
        """
        for what, end, most in (
            ("ends", self.from_m + self.width_m, along_m),
            ("is high", self.low_m + self.height_m, height_m),
        ):
            if not end <= most + 1e-9:
                raise ValueError(
                    f"an opening in the {self.wall} wall {what} at {end:g} m, beyond its {most:g} m"
                )

    def covers(self, along_m: FloatArray, up_m: FloatArray) -> FloatArray:
        """Return its share of each patch of its wall, between lines [m] along it and up it.

        Returns
        -------
        Array [patches along · patches up], 0 to 1, the first axis slowest.

        >>> door = WallOpening(wall="left", from_m=0, width_m=1, height_m=2)
        >>> door.covers(np.array([0.0, 2.0]), np.array([0.0, 2.0, 4.0])).tolist()
        [0.5, 0.0]
        """
        along = _overlap(along_m, self.from_m, self.from_m + self.width_m)
        up = _overlap(up_m, self.low_m, self.low_m + self.height_m)
        return np.asarray((along[:, None] * up[None, :]).ravel())


def _overlap(lines_m: FloatArray, low_m: float, high_m: float) -> FloatArray:
    """The share of each step between lines that lies between two places."""
    inside = np.clip(lines_m, low_m, high_m)
    return np.asarray(np.diff(inside) / np.diff(lines_m))
