"""From the planes a file stores to planes all the way round."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

type Floats = NDArray[np.float64]

SYMMETRIES: Final = ("axial", "quadrant", "plane C0-C180", "plane C90-C270", "none")

_WHOLE_TURN = 360.0
_DIGITS = 6


def expand(
    stored_deg: Floats, stored_cd: Floats, symmetry: str, *, axial_deg: Floats | None = None
) -> tuple[Floats, Floats]:
    """Mirror the stored planes so that they go all the way round.

    Parameters
    ----------
    stored_deg : angles of the stored planes [degrees], rising
    stored_cd : intensities [plane, vertical angle]
    symmetry : one of `SYMMETRIES`
    axial_deg : the planes wanted for an axial distribution; without it, four

    Returns
    -------
    angles of the planes, from 0 to below 360, rising; and their intensities

    >>> angles, table = expand(np.array([0.0, 90.0]), np.array([[1.0], [2.0]]), "quadrant")
    >>> angles.tolist(), table[:, 0].tolist()
    ([0.0, 90.0, 180.0, 270.0], [1.0, 2.0, 1.0, 2.0])
    """
    if symmetry == "axial":
        angles = np.array([0.0, 90.0, 180.0, 270.0]) if axial_deg is None else axial_deg
        return angles, np.repeat(stored_cd[:1], len(angles), axis=0)
    images = [stored_deg]
    if symmetry in {"quadrant", "plane C0-C180"}:
        images.append(-stored_deg)
    if symmetry in {"quadrant", "plane C90-C270"}:
        images.append(180.0 - stored_deg)
    if symmetry == "quadrant":
        images.append(180.0 + stored_deg)
    angles = np.mod(np.round(np.concatenate(images), _DIGITS), _WHOLE_TURN)
    rows = np.tile(np.arange(len(stored_deg)), len(images))
    kept, first = np.unique(angles, return_index=True)
    return kept, stored_cd[rows[first]]


def bilinear(
    row_nodes: Floats, column_nodes: Floats, table: Floats, row: Floats, column: Floats
) -> Floats:
    """Interpolate linearly in both directions; every point must lie within the nodes.

    Parameters
    ----------
    row_nodes, column_nodes : rising, at least one each
    table : values at the nodes [row, column]
    row, column : where, of one shape

    Returns
    -------
    values of that shape

    >>> nodes = np.array([0.0, 1.0])
    >>> float(bilinear(nodes, nodes, np.eye(2), np.array(0.5), np.array(0.5)))
    0.5
    """
    i, u = _cell(row_nodes, row)
    j, v = _cell(column_nodes, column)
    i_next = np.minimum(i + 1, len(row_nodes) - 1)
    j_next = np.minimum(j + 1, len(column_nodes) - 1)
    low = table[i, j] * (1 - v) + table[i, j_next] * v
    high = table[i_next, j] * (1 - v) + table[i_next, j_next] * v
    blended: Floats = low * (1 - u) + high * u
    return blended


def _cell(nodes: Floats, value: Floats) -> tuple[NDArray[np.intp], Floats]:
    if len(nodes) == 1:
        return np.zeros(np.shape(value), dtype=np.intp), np.zeros(np.shape(value))
    index = np.clip(np.searchsorted(nodes, value, side="right") - 1, 0, len(nodes) - 2)
    share = (value - nodes[index]) / (nodes[index + 1] - nodes[index])
    return index, share
