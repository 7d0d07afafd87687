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
from engineering.form_factors import point_to_parallel, point_to_perpendicular
from engineering.points import vector

FloatArray = NDArray[np.float64]
Vector = tuple[float, float, float]
Colour = tuple[float, float, float]

FEWEST_CELLS = 2
# The eye of every picture of a room.
EYE_HEIGHT_M, EYE_SHARE = 1.5, 0.62
# Light that a box keeps from a point comes back in part from the box itself.
BLOCKED_SHARE = 0.8


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
    """

    low_m: Vector
    high_m: Vector
    colour: Colour = (0.5, 0.5, 0.5)
    own: Colour = (0.0, 0.0, 0.0)
    casts: bool = True

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
                )
            )
    return tuple(faces)


def is_lit(origins_m: FloatArray, points_m: FloatArray, cuboids: Sequence[Cuboid]) -> FloatArray:
    """Return 1 where nothing stands between a source and a point, else 0: array [s, p].

    >>> wall = Cuboid(low_m=(1, 0, 0), high_m=(1.1, 3, 3))
    >>> is_lit(np.array([[0.0, 1, 1]]), np.array([[2.0, 1, 1], [0.5, 1, 1]]), [wall]).tolist()
    [[0.0, 1.0]]
    """
    free = np.ones((origins_m.shape[0], points_m.shape[0]))
    # For each source, what lies beside the box round it and all points shades none of them.
    low = np.minimum(origins_m, points_m.min(axis=0))
    high = np.maximum(origins_m, points_m.max(axis=0))
    for cuboid in cuboids:
        between = ((np.array(cuboid.high_m) > low) & (np.array(cuboid.low_m) < high)).all(axis=1)
        if between.any():
            free[between] *= _is_past(origins_m[between], points_m, cuboid)
    return free


def _is_past(origins_m: FloatArray, points_m: FloatArray, cuboid: Cuboid) -> FloatArray:
    """Return 1 where a sight line from a source to a point does not meet a box, else 0."""
    shape = origins_m.shape[0], points_m.shape[0]
    enter, leave = np.full(shape, 1e-4), np.full(shape, 1 - 1e-4)
    for axis in range(3):
        step = points_m[None, :, axis] - origins_m[:, None, axis]
        step[np.abs(step) < 1e-12] = 1e-12
        one = (cuboid.low_m[axis] - origins_m[:, axis, None]) / step
        other = (cuboid.high_m[axis] - origins_m[:, axis, None]) / step
        np.maximum(enter, np.minimum(one, other), out=enter)
        np.minimum(leave, np.maximum(one, other), out=leave)
    return np.asarray(leave - enter <= 1e-4, dtype=float)


def open_share(face: Face, points_m: FloatArray, cuboids: Sequence[Cuboid]) -> FloatArray:
    """Return the share of the half space before a face's points that boxes leave open.

    It is what is left after the form factors of the boxes' near faces, a fifth of which counts as
    open for the light the box itself sends back; so a floor darkens softly under a table.
    """
    blocked = np.zeros(points_m.shape[0])
    sign = -1.0 if face.is_far else 1.0
    u, v = face.in_plane
    for cuboid in cuboids:
        # In the face's own frame: two ways along it, and the height out of it.
        along = [
            (cuboid.low_m[axis] - points_m[:, axis], cuboid.high_m[axis] - points_m[:, axis])
            for axis in (u, v)
        ]
        ends = sorted(
            sign * (end - face.place_m)
            for end in (cuboid.low_m[face.axis], cuboid.high_m[face.axis])
        )
        low, high = max(0.0, ends[0]), max(0.0, ends[1])
        if high <= 1e-6:
            continue
        if low > 1e-6:
            blocked += _parallel_share(along[0], along[1], low)
        for one, other in ((0, 1), (1, 0)):
            blocked += _side_share(along[one], along[other], low, high)
    return np.asarray(1 - BLOCKED_SHARE * np.minimum(blocked, 1.0))


def _parallel_share(
    u: tuple[FloatArray, FloatArray], v: tuple[FloatArray, FloatArray], height: float
) -> FloatArray:
    """Form factors to the underside of a box."""
    corner = [[point_to_parallel(one, other, height) for other in v] for one in u]
    return np.asarray(corner[1][1] - corner[0][1] - corner[1][0] + corner[0][0])


def _side_share(
    across: tuple[FloatArray, FloatArray],
    along: tuple[FloatArray, FloatArray],
    low: float,
    high: float,
) -> FloatArray:
    """Form factors to the near one of two opposite sides of a box; 0 beside neither."""
    distance = np.maximum(np.maximum(across[0], -across[1]), 0.0)
    outside = distance > 1e-6
    near = np.where(outside, distance, 1.0)
    bottom, top = np.full_like(near, low), np.full_like(near, high)
    share = (
        point_to_perpendicular(along[1], bottom, near)
        - point_to_perpendicular(along[0], bottom, near)
        - point_to_perpendicular(along[1], top, near)
        + point_to_perpendicular(along[0], top, near)
    )
    return np.where(outside, share, 0.0)
