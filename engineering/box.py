"""A box-shaped room cut into patches, with the exchange of light between them.

Surfaces are numbered 0 floor, 1 ceiling, 2 wall at y = 0, 3 wall at x = L, 4 wall at y = W,
5 wall at x = 0. The room's frame: origin in a floor corner, x along the length, y along the
width, z up, metres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from engineering.form_factors import (
    parallel_exchange,
    perpendicular_exchange,
    point_to_parallel,
    point_to_perpendicular,
)
from engineering.radiosity import interreflection
from engineering.wall_opening import WallOpening

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

FLOOR, CEILING, WALL_FRONT, WALL_RIGHT, WALL_BACK, WALL_LEFT = range(6)
SURFACE_NAMES = ("floor", "ceiling", "wall y=0", "wall x=L", "wall y=W", "wall x=0")
# For each surface: the axis it is square to, and the two axes that run in it.
NORMAL_AXIS = (2, 2, 1, 0, 1, 0)
IN_PLANE_AXES = ((0, 1), (0, 1), (0, 2), (1, 2), (0, 2), (1, 2))
IS_FAR = (False, True, False, True, True, False)
# Way into the room from each surface.
INWARD = np.array(
    [(0, 0, 1), (0, 0, -1), (0, 1, 0), (-1, 0, 0), (0, -1, 0), (1, 0, 0)], dtype=float
)
PATCHES_AIMED_AT = 560
FEWEST_CELLS = 3
SAMPLES_PER_PATCH = 4
# Two-point Gauss rule on a side of length one.
_GAUSS = (0.5 - math.sqrt(3) / 6, 0.5 + math.sqrt(3) / 6)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxRoom:
    """A box-shaped room with diffuse surfaces.

    Parameters
    ----------
    length_m, width_m, height_m : [m], 0.2 to 200; along x, y, z.
    floor, walls, ceiling : reflectances, each at least 0 and below 1.
    openings : parts of walls that are open; light that meets them leaves.

    Raises
    ------
    ValueError : a size or a reflectance is out of its range, or an opening is beyond its wall.

    >>> BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0.2, walls=0.5, ceiling=0.7).volume_m3
    30.0
    """

    length_m: float
    width_m: float
    height_m: float
    floor: float = 0.2
    walls: float = 0.5
    ceiling: float = 0.7
    openings: tuple[WallOpening, ...] = ()

    def __post_init__(self) -> None:
        for name in ("length_m", "width_m", "height_m"):
            value = getattr(self, name)
            if not (0.2 <= value <= 200):
                raise ValueError(f"{name} must be from 0.2 to 200 m, got {value!r}")
        for name in ("floor", "walls", "ceiling"):
            value = getattr(self, name)
            if not (0 <= value < 1):
                raise ValueError(
                    f"{name} reflectance must be at least 0 and below 1, got {value!r}"
                )
        for opening in self.openings:
            along = self.size_m[IN_PLANE_AXES[opening.surface][0]]
            opening.check_fits(along, self.height_m)

    @property
    def size_m(self) -> tuple[float, float, float]:
        """Length, width and height [m]."""
        return (self.length_m, self.width_m, self.height_m)

    @property
    def floor_m2(self) -> float:
        """Area of the floor [m²]."""
        return self.length_m * self.width_m

    @property
    def surface_m2(self) -> float:
        """Area of all six surfaces [m²]."""
        length, width, height = self.size_m
        return 2 * (length * width + length * height + width * height)

    @property
    def volume_m3(self) -> float:
        """Volume [m³]."""
        return self.floor_m2 * self.height_m

    @property
    def reflectances(self) -> tuple[float, ...]:
        """Reflectance of each of the six surfaces, in their order."""
        return (self.floor, self.ceiling, *(self.walls,) * 4)


def cell_counts(room: BoxRoom) -> tuple[int, int, int]:
    """Return how many patches lie along x, y and z: about 560 in all, whatever the room's size.

    >>> cell_counts(BoxRoom(length_m=4, width_m=3, height_m=2.5))
    (12, 9, 8)
    """
    step = math.sqrt(room.surface_m2 / PATCHES_AIMED_AT)
    x, y, z = (max(FEWEST_CELLS, round(size / step)) for size in room.size_m)
    return x, y, z


@dataclass(frozen=True, kw_only=True, eq=False)
class Box:
    """The patches of a room and everything about them that does not depend on the light.

    `centres_m` [n, 3], `areas_m2` [n], `surface` [n] (0 to 5), `reflectances` [n]. Patches of one
    surface stand together, the first in-plane axis slowest.
    """

    room: BoxRoom
    counts: tuple[int, int, int]
    offsets: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        sizes = [self.cells(surface)[0] * self.cells(surface)[1] for surface in range(6)]
        object.__setattr__(self, "offsets", (0, *np.cumsum(sizes).tolist()))

    def cells(self, surface: int) -> tuple[int, int]:
        """Return the number of patches along the two in-plane axes of a surface."""
        first, second = IN_PLANE_AXES[surface]
        return self.counts[first], self.counts[second]

    def lines_m(self, axis: int) -> FloatArray:
        """Return the positions [m] of the patch edges along an axis."""
        return np.linspace(0.0, self.room.size_m[axis], self.counts[axis] + 1)

    def span(self, surface: int) -> slice:
        """Return where a surface's patches stand in the arrays."""
        return slice(self.offsets[surface], self.offsets[surface + 1])

    @cached_property
    def surface(self) -> IntArray:
        """The surface (0 to 5) of each patch."""
        return np.repeat(np.arange(6), np.diff(self.offsets))

    @cached_property
    def areas_m2(self) -> FloatArray:
        """Area of each patch [m²]."""
        steps = [size / count for size, count in zip(self.room.size_m, self.counts, strict=True)]
        each = [steps[first] * steps[second] for first, second in IN_PLANE_AXES]
        return np.array(each)[self.surface]

    @cached_property
    def open_shares(self) -> FloatArray:
        """The share of each patch that is open, 0 to 1; openings that overlap count once at most."""
        shares = np.zeros(self.offsets[-1])
        for opening in self.room.openings:
            along, up = IN_PLANE_AXES[opening.surface]
            covered = opening.covers(self.lines_m(along), self.lines_m(up))
            shares[self.span(opening.surface)] += covered
        return np.asarray(np.minimum(shares, 1.0))

    @cached_property
    def reflectances(self) -> FloatArray:
        """Reflectance of each patch; what is open of it sends nothing back."""
        return np.asarray(np.array(self.room.reflectances)[self.surface] * (1 - self.open_shares))

    @cached_property
    def numbering(self) -> tuple[IntArray, IntArray]:
        """The first patch of each surface, and by axis and surface how far a cell moves on."""
        strides = np.zeros((3, 6), dtype=np.intp)
        for surface, (first, second) in enumerate(IN_PLANE_AXES):
            strides[first, surface], strides[second, surface] = self.cells(surface)[1], 1
        return np.array(self.offsets[:-1], dtype=np.intp), strides

    @cached_property
    def sample_points_m(self) -> FloatArray:
        """Four places [4n, 3] on the patches, patch by patch, for averages over them."""
        return np.concatenate([self._samples(surface) for surface in range(6)])

    def _samples(self, surface: int) -> FloatArray:
        first, second = IN_PLANE_AXES[surface]
        (count_u, count_v), size = self.cells(surface), self.room.size_m
        gauss = np.array(_GAUSS)
        u = (np.arange(count_u)[:, None] + gauss) * (size[first] / count_u)
        v = (np.arange(count_v)[:, None] + gauss) * (size[second] / count_v)
        points = np.empty((count_u, count_v, 2, 2, 3))
        points[..., first] = u[:, None, :, None]
        points[..., second] = v[None, :, None, :]
        far = IS_FAR[surface]
        points[..., NORMAL_AXIS[surface]] = size[NORMAL_AXIS[surface]] if far else 0.0
        return points.reshape(-1, 3)

    @cached_property
    def sample_normals(self) -> FloatArray:
        """Way into the room [4n, 3] at each of the sample places."""
        return np.repeat(INWARD[self.surface], SAMPLES_PER_PATCH, axis=0)

    @cached_property
    def exchange_m2(self) -> FloatArray:
        """Exchange areas A·F [m²] between all patches; symmetric."""
        return _exchange_matrix(self)

    @cached_property
    def interreflection(self) -> FloatArray:
        """Matrix from direct to total illuminance of the patches; the costly part, done once."""
        factors = self.exchange_m2 / self.areas_m2[:, None]
        return interreflection(form_factors=factors, reflectances=self.reflectances)


@lru_cache(maxsize=64)
def box_of(room: BoxRoom) -> Box:
    """Return the patches of a room, kept for the next circuit or scene of the same room."""
    return Box(room=room, counts=cell_counts(room))


def _exchange_matrix(box: Box) -> FloatArray:
    """Fill the exchange matrix surface by surface from tables of cell offsets."""
    total = box.offsets[-1]
    matrix = np.zeros((total, total))
    for one in range(6):
        for other in range(one + 1, 6):
            if NORMAL_AXIS[one] == NORMAL_AXIS[other]:
                block = _parallel_block(box, one)
            else:
                block = _perpendicular_block(box, one, other)
            rows, columns = box.span(one), box.span(other)
            matrix[rows, columns] = block
            matrix[columns, rows] = block.T
    return matrix


def _parallel_block(box: Box, surface: int) -> FloatArray:
    """Exchange areas between a surface and the one opposite."""
    (u, v), (count_u, count_v) = IN_PLANE_AXES[surface], box.cells(surface)
    size = box.room.size_m
    table = parallel_exchange(
        step_u_m=size[u] / count_u,
        step_v_m=size[v] / count_v,
        count_u=count_u,
        count_v=count_v,
        distance_m=size[NORMAL_AXIS[surface]],
    )
    i, j = np.arange(count_u), np.arange(count_v)
    di = np.abs(i[:, None, None, None] - i[None, None, :, None])
    dj = np.abs(j[None, :, None, None] - j[None, None, None, :])
    return np.asarray(table[di, dj]).reshape(count_u * count_v, count_u * count_v)


def _perpendicular_block(box: Box, one: int, other: int) -> FloatArray:
    """Exchange areas between two surfaces that meet at an edge."""
    edge = 3 - NORMAL_AXIS[one] - NORMAL_AXIS[other]
    across_one, across_other = NORMAL_AXIS[other], NORMAL_AXIS[one]
    table = perpendicular_exchange(
        step_edge_m=box.room.size_m[edge] / box.counts[edge],
        count_edge=box.counts[edge],
        from_lines_m=box.lines_m(across_one),
        to_lines_m=box.lines_m(across_other),
    )
    index = []
    for surface, across, beside in ((one, across_one, other), (other, across_other, one)):
        u, v = np.meshgrid(*(np.arange(count) for count in box.cells(surface)), indexing="ij")
        along, strip = (u, v) if IN_PLANE_AXES[surface][0] == edge else (v, u)
        if IS_FAR[beside]:  # strips count away from the common edge
            strip = box.counts[across] - 1 - strip
        index.append((along.ravel(), strip.ravel()))
    (along_one, strip_one), (along_other, strip_other) = index
    offset = np.abs(along_one[:, None] - along_other[None, :])
    return np.asarray(table[offset, strip_one[:, None], strip_other[None, :]])


def view_factors(box: Box, points_m: FloatArray, axis: int, is_far: bool) -> FloatArray:
    """Return the form factors from points to all patches of the box.

    Parameters
    ----------
    points_m : array [p, 3], inside the box.
    axis : the axis (0 to 2) the lit surface at the points is square to.
    is_far : True where it faces the origin end of that axis (like the ceiling), else False.

    Returns
    -------
    Array [p, n]; rows add up to 1.

    Notes
    -----
    Exact: each patch is clipped at the plane through the point. A point in a surface of the box
    sees all others whole.
    """
    size = box.room.size_m[axis]
    factors = np.zeros((points_m.shape[0], box.offsets[-1]))
    depth = points_m[:, axis] if is_far else size - points_m[:, axis]
    for surface in range(6):
        if NORMAL_AXIS[surface] == axis:
            if IS_FAR[surface] != is_far:
                factors[:, box.span(surface)] = _facing(box, surface, points_m, depth)
        else:
            factors[:, box.span(surface)] = _beside(box, surface, points_m, axis, is_far)
    return factors


def _facing(box: Box, surface: int, points_m: FloatArray, depth: FloatArray) -> FloatArray:
    """Form factors from points to the patches of the surface they face."""
    u_axis, v_axis = IN_PLANE_AXES[surface]
    u = box.lines_m(u_axis)[None, :, None] - points_m[:, u_axis, None, None]
    v = box.lines_m(v_axis)[None, None, :] - points_m[:, v_axis, None, None]
    corner = point_to_parallel(u, v, np.maximum(depth, 1e-9)[:, None, None])
    return np.asarray(np.diff(np.diff(corner, axis=1), axis=2)).reshape(
        points_m.shape[0], math.prod(box.cells(surface))
    )


def _beside(box: Box, surface: int, points: FloatArray, axis: int, is_far: bool) -> FloatArray:
    """Form factors from points to the patches of a surface square to the one they lie in."""
    normal = NORMAL_AXIS[surface]
    first, second = IN_PLANE_AXES[surface]
    along_axis = second if first == axis else first
    place = points[:, normal]
    distance = box.room.size_m[normal] - place if IS_FAR[surface] else place
    along = box.lines_m(along_axis)[None, :, None] - points[:, along_axis, None, None]
    sign = -1.0 if is_far else 1.0
    height = np.maximum(0.0, sign * (box.lines_m(axis)[None, :] - points[:, axis, None]))
    corner = point_to_perpendicular(
        along, height[:, None, :], np.maximum(distance, 1e-9)[:, None, None]
    )
    cells = -sign * np.diff(np.diff(corner, axis=1), axis=2)
    if along_axis == second:
        cells = cells.transpose(0, 2, 1)
    return np.asarray(cells).reshape(points.shape[0], math.prod(box.cells(surface)))
