"""Utilisation factors: from a published table, or from our own exchange of light."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from engineering.arrangement import grid as grid_of
from engineering.direct_light import Source
from engineering.points import IntensityFunction
from engineering.refusal import above_zero
from engineering.room import BoxRoom, solve

Row = tuple[float, ...]


def _bracket(levels: tuple[float, ...], value: float, name: str) -> tuple[int, float]:
    """Return the step and the share within it where a value lies among rising levels."""
    if not (levels[0] - 1e-9 <= value <= levels[-1] + 1e-9):
        raise ValueError(f"{name} must be from {levels[0]} to {levels[-1]}, got {value!r}")
    if len(levels) == 1:
        return 0, 0.0
    inside = min(max(value, levels[0]), levels[-1])
    step = max(i for i in range(len(levels) - 1) if levels[i] <= inside)
    return step, (inside - levels[step]) / (levels[step + 1] - levels[step])


@dataclass(frozen=True, slots=True, kw_only=True)
class UtilisationTable:
    """A published table of utilisation factors.

    Parameters
    ----------
    room_indices : rising K of the columns.
    rows : {(ceiling, walls): factors by column}; every ceiling with every wall.
    floor : the floor reflectance the table is made for.

    Raises
    ------
    ValueError : columns do not rise, rows are missing or of another length, a factor is not from
        0 to 2.

    >>> table = UtilisationTable(room_indices=(1.0, 2.0), rows={(0.7, 0.5): (0.4, 0.6)}, floor=0.2)
    >>> table.factor(room_index=1.5, ceiling=0.7, walls=0.5)
    0.5
    """

    room_indices: Row
    rows: Mapping[tuple[float, float], Row]
    floor: float = 0.2

    def __post_init__(self) -> None:
        pairs = zip(self.room_indices, self.room_indices[1:], strict=False)
        if not self.room_indices or not all(one < other for one, other in pairs):
            raise ValueError("room_indices must rise from column to column")
        missing = {(c, w) for c in self.ceilings for w in self.walls} - set(self.rows)
        if missing or not self.rows:
            raise ValueError(f"the table lacks the rows {sorted(missing)}")
        for name, row in self.rows.items():
            if len(row) != len(self.room_indices) or not all(0 <= value <= 2 for value in row):
                raise ValueError(f"row {name} must hold a factor from 0 to 2 for each column")

    @property
    def ceilings(self) -> Row:
        """Ceiling reflectances of the rows, rising."""
        return tuple(sorted({ceiling for ceiling, _ in self.rows}))

    @property
    def walls(self) -> Row:
        """Wall reflectances of the rows, rising."""
        return tuple(sorted({walls for _, walls in self.rows}))

    def factor(self, *, room_index: float, ceiling: float, walls: float) -> float:
        """Return the factor, interpolated in a straight line each way.

        Parameters
        ----------
        room_index : K, within the columns.
        ceiling, walls : reflectances, within the rows.

        Returns
        -------
        float, share of the flux that reaches the plane.

        Raises
        ------
        ValueError : a value is outside the table; it is not guessed.
        """
        k, k_share = _bracket(self.room_indices, room_index, "room_index")
        c, c_share = _bracket(self.ceilings, ceiling, "ceiling")
        w, w_share = _bracket(self.walls, walls, "walls")
        total = 0.0
        for ci, c_weight in ((c, 1 - c_share), (c + 1, c_share)):
            for wi, w_weight in ((w, 1 - w_share), (w + 1, w_share)):
                if c_weight * w_weight > 0:
                    row = self.rows[(self.ceilings[ci], self.walls[wi])]
                    total += c_weight * w_weight * _along(row, k, k_share)
        return total


def _along(row: Row, step: int, share: float) -> float:
    """Return the value of a row at a share of the way from one column to the next."""
    return row[step] if share == 0 else row[step] + share * (row[step + 1] - row[step])


def utilisation_by_exchange(
    *,
    room: BoxRoom,
    intensity_cd: IntensityFunction,
    flux_lm: float,
    mounting_height_m: float,
    plane_height_m: float,
    spacing_to_height: float = 1.0,
) -> float:
    """Return the utilisation factor of a luminaire in a room by our own exchange of light.

    Parameters
    ----------
    room : the box and its reflectances.
    intensity_cd : function (c_deg, gamma_deg) → [cd].
    flux_lm : [lm], above 0; of the luminaire.
    mounting_height_m : [m], above the plane, at most the room's height; above the floor.
    plane_height_m : [m], 0 or more.
    spacing_to_height : above 0; the greatest spacing over height of the even grid that is tried.

    Returns
    -------
    float : average on the plane · floor area / flux. May exceed 1 in a bright room.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    An even grid, half a space at the walls, of at most 12 × 12 luminaires.

    >>> room = BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0.2, walls=0.5, ceiling=0.7)
    >>> from engineering.light_sources import lambertian
    >>> factor = utilisation_by_exchange(room=room, intensity_cd=lambertian(flux_lm=1000),
    ...     flux_lm=1000, mounting_height_m=2.4, plane_height_m=0.8)
    >>> 0.5 < factor < 0.8
    True
    """
    if not (plane_height_m < mounting_height_m <= room.height_m):
        raise ValueError(f"mounting_height_m must be above the plane, got {mounting_height_m!r}")
    step = above_zero("spacing_to_height", spacing_to_height) * (mounting_height_m - plane_height_m)
    columns, rows = (
        min(12, max(1, math.ceil(size / step - 1e-9))) for size in (room.length_m, room.width_m)
    )
    places = grid_of(
        length_m=room.length_m,
        width_m=room.width_m,
        columns=columns,
        rows=rows,
        height_m=mounting_height_m,
    )
    # `part` only says that the grid is a way of asking, not a number of fittings in the room.
    sources = [
        Source(
            position_m=place.position_m,
            intensity_cd=intensity_cd,
            flux_lm=flux_lm,
            part=1 / len(places),
        )
        for place in places
    ]
    light = solve(room=room, sources=sources, plane_height_m=plane_height_m, grid=(24, 24))
    return light.utilisation
