"""The light of a box-shaped room: direct light point by point, and diffuse inter-reflection."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engineering.box import Box, BoxRoom, box_of, view_factors
from engineering.direct_light import Source, direct_at, direct_on_patches
from engineering.points import UP

__all__ = ["BoxRoom", "PointLight", "RoomLight", "Source", "check_sources", "plane_points", "solve"]

FloatArray = NDArray[np.float64]

MOST_SOURCES = 4000
# A cupboard holds a few dozen fittings; a number beyond this is a slip of the pen.
FITTINGS_IN_ANY_ROOM = 40
FITTINGS_PER_M2 = 40
MOST_GRID_POINTS = 10_000
GRID_POINTS_KEPT = 2_000
_UP = np.array(UP)


class PointLight(NamedTuple):
    """Direct and indirect illuminance [lx] at a point."""

    direct: float
    indirect: float

    @property
    def total(self) -> float:
        """Direct and indirect together [lx]."""
        return self.direct + self.indirect


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomLight:
    """The light of a room on a horizontal plane and on its surfaces.

    `direct_lx`, `total_lx` : arrays [y, x] at the cell centres of the grid. `average_lx`,
    `minimum_lx`, `maximum_lx`, `uniformity` (minimum over average) : of the total on the plane.
    `floor_lx`, `ceiling_lx`, `walls_lx` : averages over the surfaces. `points` : direct and
    indirect at the points asked for. `energy_error` : how far the light absorbed by all surfaces
    is from the flux of the sources, as a share of it. `leaving_share` : of
    that flux, what meets the openings of walls and leaves.
    """

    direct_lx: FloatArray
    total_lx: FloatArray
    average_lx: float
    minimum_lx: float
    maximum_lx: float
    uniformity: float
    floor_lx: float
    ceiling_lx: float
    walls_lx: float
    points: tuple[PointLight, ...]
    energy_error: float
    utilisation: float
    patches_lx: FloatArray
    leaving_share: float = 0.0


def plane_points(room: BoxRoom, height_m: float, grid: tuple[int, int]) -> FloatArray:
    """Return the cell centres [rows · columns, 3] of a grid over the room at a height."""
    columns, rows = grid
    x = (np.arange(columns) + 0.5) * (room.length_m / columns)
    y = (np.arange(rows) + 0.5) * (room.width_m / rows)
    across, along = np.meshgrid(x, y)
    return np.stack(
        [across.ravel(), along.ravel(), np.full(columns * rows, float(height_m))], axis=1
    )


@lru_cache(maxsize=32)
def _plane_view_kept(box: Box, height_m: float, grid: tuple[int, int]) -> FloatArray:
    return view_factors(box, plane_points(box.room, height_m, grid), 2, False)


def _indirect_on_plane(
    box: Box, height_m: float, grid: tuple[int, int], sent_lx: FloatArray
) -> FloatArray:
    """Return the indirect illuminance at the grid's points from what the patches send back."""
    if grid[0] * grid[1] <= GRID_POINTS_KEPT:
        return _plane_view_kept(box, height_m, grid) @ sent_lx
    points = plane_points(box.room, height_m, grid)
    parts = [
        view_factors(box, points[start : start + GRID_POINTS_KEPT], 2, False) @ sent_lx
        for start in range(0, points.shape[0], GRID_POINTS_KEPT)
    ]
    return np.concatenate(parts)


def check_sources(room: BoxRoom, sources: Sequence[Source]) -> None:
    """Refuse sources outside the room, too many of them, or none.

    Raises
    ------
    ValueError : says which source and why.
    """
    if not 1 <= len(sources) <= MOST_SOURCES:
        raise ValueError(f"a room needs 1 to {MOST_SOURCES} sources, got {len(sources)}")
    fittings = sum(source.part for source in sources)
    most = FITTINGS_IN_ANY_ROOM + FITTINGS_PER_M2 * room.floor_m2
    if not fittings <= most:
        raise ValueError(
            f"{fittings:.0f} fittings in {room.floor_m2:.2f} m²: at most {most:.0f} are taken"
        )
    for number, source in enumerate(sources):
        for axis, size, position in zip("xyz", room.size_m, source.position_m, strict=True):
            if not (-1e-9 <= position <= size + 1e-9):
                raise ValueError(
                    f"source {number} is outside the room: {axis} = {position!r}, "
                    f"must be from 0 to {size} m"
                )


def _check_plane(room: BoxRoom, plane_height_m: float, grid: tuple[int, int]) -> tuple[int, int]:
    """Return the grid as two whole numbers, or refuse the plane or the grid."""
    if not (0 <= plane_height_m < room.height_m):
        raise ValueError(
            f"plane_height_m must be from 0 to below {room.height_m} m, got {plane_height_m!r}"
        )
    columns, rows = grid
    if int(columns) != columns or int(rows) != rows or columns < 1 or rows < 1:
        raise ValueError(f"grid must be two whole numbers of at least 1, got {grid!r}")
    if columns * rows > MOST_GRID_POINTS:
        raise ValueError(f"grid may have at most {MOST_GRID_POINTS} points, got {grid!r}")
    return int(columns), int(rows)


def _place_points(
    room: BoxRoom, plane_height_m: float, points_m: Sequence[Sequence[float]]
) -> FloatArray:
    """Return points as an array [p, 3]; those given as (x, y) lie in the plane."""
    placed = []
    for point in points_m:
        full = (*point, plane_height_m) if len(point) == 2 else tuple(point)
        inside = len(full) == 3 and all(
            0 <= place <= size for place, size in zip(full, room.size_m, strict=True)
        )
        if not inside or not full[2] < room.height_m:
            raise ValueError(f"point {tuple(point)!r} is not inside the room")
        placed.append(full)
    return np.array(placed, dtype=float).reshape(-1, 3)


def solve(
    *,
    room: BoxRoom,
    sources: Sequence[Source],
    plane_height_m: float,
    grid: tuple[int, int],
    points_m: Sequence[Sequence[float]] = (),
) -> RoomLight:
    """Return the light of a room with all inter-reflections.

    Parameters
    ----------
    room : the box and its reflectances.
    sources : 1 to 4000, inside the room or on its surfaces.
    plane_height_m : [m], from 0 to below the ceiling; the plane faces up.
    grid : (columns, rows) of cells over the plane, at most 10 000 in all.
    points_m : further points [m], (x, y) in the plane or (x, y, z), facing up.

    Returns
    -------
    RoomLight.

    Raises
    ------
    ValueError : a source or point is outside, there are too many, or the plane or grid is bad.

    Notes
    -----
    Direct light is exact at each point for point sources; the inter-reflection is a radiosity
    solution on about 560 patches with form factors in closed form. All surfaces reflect
    diffusely, nothing stands in the room, no daylight. What meets an opening leaves: it is absorbed
    there, so the balance of energy stays closed, and nothing comes in from next door.

    References
    ----------
    Radiosity method, as in `radiosity`; published and simulated rooms in
    tests/checks/test_light_published_rooms.py.

    >>> room = BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0.2, walls=0.5, ceiling=0.7)
    >>> lamp = Source(position_m=(2, 1.5, 2.4), flux_lm=1000,
    ...               intensity_cd=lambda c, g: 318.31 * np.maximum(0, np.cos(np.radians(g))))
    >>> light = solve(room=room, sources=[lamp], plane_height_m=0.8, grid=(16, 12))
    >>> round(light.average_lx)
    62
    """
    check_sources(room, sources)
    grid = _check_plane(room, plane_height_m, grid)
    extra = _place_points(room, plane_height_m, points_m)
    box = box_of(room)
    total = box.interreflection @ direct_on_patches(box, sources)
    sent = total * box.reflectances
    direct = direct_at(sources, plane_points(room, plane_height_m, grid), _UP)
    lit = direct + _indirect_on_plane(box, float(plane_height_m), grid, sent)
    extra_direct = direct_at(sources, extra, _UP)
    extra_indirect = view_factors(box, extra, 2, False) @ sent
    flux = sum(source.flux_lm for source in sources)
    absorbed = float((total * (1 - box.reflectances) * box.areas_m2).sum())
    average = float(lit.mean())
    return RoomLight(
        direct_lx=direct.reshape(grid[1], grid[0]),
        total_lx=lit.reshape(grid[1], grid[0]),
        average_lx=average,
        minimum_lx=float(lit.min()),
        maximum_lx=float(lit.max()),
        uniformity=float(lit.min()) / average if average > 0 else 0.0,
        floor_lx=surface_average(box, total, (0,)),
        ceiling_lx=surface_average(box, total, (1,)),
        walls_lx=surface_average(box, total, (2, 3, 4, 5)),
        points=tuple(
            PointLight(float(direct), float(indirect))
            for direct, indirect in zip(extra_direct, extra_indirect, strict=True)
        ),
        energy_error=abs(absorbed - flux) / flux,
        utilisation=average * room.floor_m2 / flux,
        patches_lx=total,
        leaving_share=float((total * box.open_shares * box.areas_m2).sum()) / flux,
    )


def surface_average(box: Box, patches_lx: FloatArray, surfaces: tuple[int, ...]) -> float:
    """Return the average illuminance [lx] over some of the six surfaces."""
    chosen = np.isin(box.surface, surfaces)
    return float(np.average(patches_lx[chosen], weights=box.areas_m2[chosen]))
