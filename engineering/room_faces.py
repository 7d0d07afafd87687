"""The faces that light falls on: the six of the room, and those of plain boxes in it.

Boxes stand for furniture in the picture: they cast shadows and catch light there. The figures on
the work plane and the averages of the surfaces never count them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engineering.box import IN_PLANE_AXES, IS_FAR, NORMAL_AXIS, BoxRoom
from engineering.points import vector

FloatArray = NDArray[np.float64]
Vector = tuple[float, float, float]
Colour = tuple[float, float, float]

FEWEST_CELLS = 2
# The eye of every picture of a room.
EYE_HEIGHT_M, EYE_SHARE = 1.5, 0.62


@dataclass(frozen=True, slots=True, kw_only=True)
class Cuboid:
    """A plain box with sides along the room's axes.

    Parameters
    ----------
    low_m, high_m : [m]; opposite corners, every side above 0.
    colour : reflectance of red, green and blue, each 0 to 1.
    own : light of its own, as shares of the room's mean luminance with all lights on (a window
        at dusk), each 0 or more.
    casts : False for what is too thin to throw a shadow.
    shows_sky : True for a pane: its own light is brightest above the horizon (`finish.dusk`).
    """

    low_m: Vector
    high_m: Vector
    colour: Colour = (0.5, 0.5, 0.5)
    own: Colour = (0.0, 0.0, 0.0)
    casts: bool = True
    shows_sky: bool = False

    def __post_init__(self) -> None:
        low, high = vector("low_m", self.low_m), vector("high_m", self.high_m)
        if not (high - low > 0).all():
            raise ValueError(f"every side of a box must be above 0, got {low} to {high}")
        if not all(0 <= share <= 1 for share in self.colour):
            raise ValueError(f"colour must be three reflectances from 0 to 1, got {self.colour!r}")
        if not all(0 <= share < math.inf for share in self.own):
            raise ValueError(f"own light must be three numbers of 0 or more, got {self.own!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """A rectangle square to an axis, cut into cells.

    `axis` it is square to; `is_far` True where it faces the origin end of that axis; `place_m`
    on it; `low_m`, `high_m` along the two in-plane axes; `cells` along them (first axis slowest).
    """

    axis: int
    is_far: bool
    place_m: float
    low_m: tuple[float, float]
    high_m: tuple[float, float]
    cells: tuple[int, int]
    colour: Colour
    own: Colour = (0.0, 0.0, 0.0)
    shows_sky: bool = False

    @property
    def in_plane(self) -> tuple[int, int]:
        """The two axes that run in the face."""
        first, second = (axis for axis in range(3) if axis != self.axis)
        return first, second

    @property
    def normal(self) -> FloatArray:
        """The way the face looks."""
        normal = np.zeros(3)
        normal[self.axis] = -1.0 if self.is_far else 1.0
        return normal

    @property
    def area_m2(self) -> float:
        """Area [m²]."""
        return math.prod(high - low for low, high in zip(self.low_m, self.high_m, strict=True))

    def at(self, first: FloatArray, second: FloatArray) -> FloatArray:
        """Return the points [n, 3] of a lattice on the face, first axis slowest."""
        u, v = self.in_plane
        points = np.empty((first.size, second.size, 3))
        points[..., u], points[..., v] = first[:, None], second[None, :]
        points[..., self.axis] = self.place_m
        return points.reshape(-1, 3)

    def centres(self, way: int) -> FloatArray:
        """Return the cell centres [m] along the first (0) or second (1) in-plane axis."""
        low, high, count = self.low_m[way], self.high_m[way], self.cells[way]
        return np.asarray(low + (np.arange(count) + 0.5) * ((high - low) / count))

    def gap_m(self, low_m: Sequence[float], high_m: Sequence[float]) -> float:
        """Return how far the face is from a box [m], told by its low and high corners; 0 if they meet."""
        return math.hypot(
            *(
                max(0.0, low - end, start - high)
                for low, high, (start, end) in zip(low_m, high_m, self.spans_m, strict=True)
            )
        )

    def is_behind(self, cuboid: Cuboid, low_m: Sequence[float], high_m: Sequence[float]) -> bool:
        """Tell whether a box may stand between the face and another box, told by its corners [m]."""
        return all(
            one < max(high, end) and other > min(low, start)
            for one, other, low, high, (start, end) in zip(
                cuboid.low_m, cuboid.high_m, low_m, high_m, self.spans_m, strict=True
            )
        )

    @property
    def spans_m(self) -> tuple[tuple[float, float], ...]:
        """From where to where it reaches along x, y and z [m]."""
        spans = [(self.place_m, self.place_m)] * 3
        for way, axis in enumerate(self.in_plane):
            spans[axis] = self.low_m[way], self.high_m[way]
        return tuple(spans)

    @property
    def places_m(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Where the cells lie along x, y and z [m]: their centres, and the one place it is square to."""
        places = [np.array([self.place_m])] * 3
        for way, axis in enumerate(self.in_plane):
            places[axis] = self.centres(way)
        return places[0], places[1], places[2]

    @property
    def points_m(self) -> FloatArray:
        """All cell centres [n, 3]."""
        return self.at(self.centres(0), self.centres(1))


def cells_of(sides: tuple[float, float], texel_m: float) -> tuple[int, int]:
    """Return how many cells of about a size lie along the two sides [m] of a face."""
    first, second = (max(FEWEST_CELLS, round(side / texel_m)) for side in sides)
    return first, second


def room_faces(
    room: BoxRoom, texel_m: float, colours: Sequence[Colour] | None = None
) -> tuple[Face, ...]:
    """Return the six surfaces of a room as faces, cut into cells of about `texel_m`.

    >>> len(room_faces(BoxRoom(length_m=4, width_m=3, height_m=2.5), 0.1))
    6
    """
    faces = []
    for surface in range(6):
        first, second = IN_PLANE_AXES[surface]
        sides = (room.size_m[first], room.size_m[second])
        axis = NORMAL_AXIS[surface]
        grey = (room.reflectances[surface],) * 3
        faces.append(
            Face(
                axis=axis,
                is_far=IS_FAR[surface],
                place_m=room.size_m[axis] if IS_FAR[surface] else 0.0,
                low_m=(0.0, 0.0),
                high_m=sides,
                cells=cells_of(sides, texel_m),
                colour=grey if colours is None else colours[surface],
            )
        )
    return tuple(faces)


def eye_height_m(room: BoxRoom) -> float:
    """Return the height of the eye [m] above a room's floor.

    >>> eye_height_m(BoxRoom(length_m=4, width_m=3, height_m=2.5))
    1.5
    """
    return min(EYE_HEIGHT_M, room.height_m * EYE_SHARE)


def _is_hidden(axis: int, is_far: bool, place_m: float, room: BoxRoom) -> bool:
    """Tell whether no eye sees a face: an underside below the eye, a top above it."""
    return axis == 2 and (place_m <= eye_height_m(room)) == is_far


def cuboid_faces(cuboid: Cuboid, room: BoxRoom, texel_m: float) -> tuple[Face, ...]:
    """Return the faces of a box that can be seen: not flush with the room, nor turned from any eye.

    >>> room = BoxRoom(length_m=4, width_m=3, height_m=2.5)
    >>> len(cuboid_faces(Cuboid(low_m=(1, 1, 0), high_m=(2, 2, 0.5)), room, 0.1))
    5
    """
    faces = []
    for axis in range(3):
        for is_far in (True, False):  # the low face looks to the origin
            place = cuboid.low_m[axis] if is_far else cuboid.high_m[axis]
            if place <= 1e-6 or place >= room.size_m[axis] - 1e-6:
                continue
            if _is_hidden(axis, is_far, place, room):
                continue
            u, v = (other for other in range(3) if other != axis)
            low = (cuboid.low_m[u], cuboid.low_m[v])
            high = (cuboid.high_m[u], cuboid.high_m[v])
            faces.append(
                Face(
                    axis=axis,
                    is_far=is_far,
                    place_m=place,
                    low_m=low,
                    high_m=high,
                    cells=cells_of((high[0] - low[0], high[1] - low[1]), texel_m),
                    colour=cuboid.colour,
                    own=cuboid.own,
                    shows_sky=cuboid.shows_sky,
                )
            )
    return tuple(faces)
