"""From the angles of type A and type B photometry to C-planes.

The frame of a luminaire that hangs level: x along C0, y along C90, z up. Straight down is
gamma 0. The horizontal angles of types A and B turn clockwise, those of type C anticlockwise
(LM-63-2002, key definitions, as reprinted publicly).
"""

import math

import numpy as np

from engineering.photometry.symmetry import Floats, bilinear

_FINEST_DEG = 0.5
_COARSEST_DEG = 5.0
_PLANE_STEP_DEG = 5.0
_EDGE_DEG = 0.001


def mirror_horizontal(horizontal_deg: Floats, table: Floats) -> tuple[Floats, Floats]:
    """Complete a table that starts at horizontal angle 0 and is the same to both sides.

    >>> angles, table = mirror_horizontal(np.array([0.0, 90.0]), np.array([[5.0], [1.0]]))
    >>> angles.tolist(), table[:, 0].tolist()
    ([-90.0, 0.0, 90.0], [1.0, 5.0, 1.0])
    """
    return (
        np.concatenate([-horizontal_deg[:0:-1], horizontal_deg]),
        np.concatenate([table[:0:-1], table]),
    )


def type_a_to_c(
    horizontal_deg: Floats, vertical_deg: Floats, table: Floats
) -> tuple[Floats, Floats, Floats]:
    """Rename type A angles: its axis is upright too, so no value changes.

    Vertical -90 is straight down and vertical 0 with horizontal 0 is along C0. Beyond the
    measured planes there is no light.

    Parameters
    ----------
    horizontal_deg : from -180 to 180 [degrees], rising
    vertical_deg : from -90 to 90 [degrees], rising
    table : intensities [horizontal, vertical]

    Returns
    -------
    C angles, gamma angles, intensities [C, gamma]

    >>> zero = np.array([0.0])
    >>> c, gamma, table = type_a_to_c(zero, zero, np.array([[7.0]]))
    >>> gamma.tolist()
    [90.0]
    """
    c_deg = np.mod(-horizontal_deg, 360.0)
    if len(horizontal_deg) > 1 and horizontal_deg[-1] - horizontal_deg[0] < 360.0 - 1e-6:
        edges = np.array([horizontal_deg[0] - _EDGE_DEG, horizontal_deg[-1] + _EDGE_DEG])
        c_deg = np.concatenate([c_deg, np.mod(-edges, 360.0)])
        table = np.concatenate([table, np.zeros((2, table.shape[1]))])
    kept, first = np.unique(np.round(c_deg, 6), return_index=True)
    return kept, vertical_deg + 90.0, table[first]


def type_b_to_c(
    horizontal_deg: Floats, vertical_deg: Floats, table: Floats
) -> tuple[Floats, Floats, Floats]:
    """Sample type B photometry on C-planes.

    The planes of type B share a level axis. As in the B-planes of CIE 121, the vertical angle
    turns the plane about that axis (0 is straight down, 90 along C0) and the horizontal angle
    lies in it, clockwise towards C270. The public texts on LM-63 leave open whether its two
    angles nest this way round; along both main planes either reading gives the same.

    Parameters
    ----------
    horizontal_deg : from -90 to 90 [degrees], rising, at least two
    vertical_deg : from -180 to 180 [degrees], rising, at least two
    table : intensities [horizontal, vertical]

    Returns
    -------
    C angles every 5 degrees, gamma angles from 0 to 180, intensities [C, gamma]

    >>> nodes = np.array([-90.0, 90.0])
    >>> c, gamma, cd = type_b_to_c(nodes, nodes, np.full((2, 2), 3.0))
    >>> float(cd[0, 0]), float(cd[0, -1])
    (3.0, 0.0)
    """
    finest = min(float(np.diff(horizontal_deg).min()), float(np.diff(vertical_deg).min()))
    step = min(max(finest, _FINEST_DEG), _COARSEST_DEG)
    gamma_deg = np.linspace(0.0, 180.0, math.ceil(180.0 / step) + 1)
    c_deg = np.arange(0.0, 360.0, _PLANE_STEP_DEG)
    c, gamma = np.meshgrid(np.radians(c_deg), np.radians(gamma_deg), indexing="ij")
    along = np.sin(gamma) * np.cos(c)
    across = np.clip(np.sin(gamma) * np.sin(c), -1.0, 1.0)
    horizontal = np.round(np.degrees(np.arcsin(-across)), 9)
    vertical = np.round(np.degrees(np.arctan2(along, np.cos(gamma))), 9)
    is_measured = (
        (horizontal >= horizontal_deg[0])
        & (horizontal <= horizontal_deg[-1])
        & (vertical >= vertical_deg[0])
        & (vertical <= vertical_deg[-1])
    )
    sampled = np.zeros(c.shape)
    sampled[is_measured] = bilinear(
        horizontal_deg, vertical_deg, table, horizontal[is_measured], vertical[is_measured]
    )
    return c_deg, gamma_deg, sampled
