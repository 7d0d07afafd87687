"""The light on a plane as a map: bands of illuminance, their colours, and lines of equal light."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
ByteArray = NDArray[np.uint8]
Line = tuple[tuple[float, float], tuple[float, float]]

# Each about half as much again as the one before: steps that an eye tells apart (compare EN 12464-1).
BANDS_LX = (0.0, 5.0, 10.0, 20.0, 50.0, 100.0, 150.0, 200.0, 300.0, 500.0, 750.0, 1000.0, 2000.0)
# From night to lamplight to white; the share of the way through is that of the logarithm.
STOPS = (
    (0.0, (16, 19, 22)),
    (0.25, (52, 43, 44)),
    (0.5, (122, 84, 52)),
    (0.75, (214, 158, 88)),
    (0.9, (255, 212, 137)),
    (1.0, (255, 244, 222)),
)
DARKEST_LX, BRIGHTEST_LX = 2.0, 1000.0


def shades(plane_lx: FloatArray) -> ByteArray:
    """Return the colours [..., 3] of illuminances, on a logarithmic scale from 2 to 1000 lx.

    >>> shades(np.array([0.0, 2000.0])).tolist()
    [[16, 19, 22], [255, 244, 222]]
    """
    span = np.log(BRIGHTEST_LX / DARKEST_LX)
    share = np.clip(np.log(np.maximum(plane_lx, 1e-9) / DARKEST_LX) / span, 0.0, 1.0)
    places = [place for place, _ in STOPS]
    channels = [
        np.interp(share, places, [colour[channel] for _, colour in STOPS]) for channel in range(3)
    ]
    return np.asarray(np.floor(np.stack(channels, axis=-1) + 0.5).astype(np.uint8))


def band_colours() -> tuple[tuple[float, str], ...]:
    """Return each band's lower end [lx] with its colour as #rrggbb.

    >>> band_colours()[0]
    (0.0, '#101316')
    """
    colours = shades(np.array(BANDS_LX))
    named = [f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in colours.tolist()]
    return tuple(zip(BANDS_LX, named, strict=True))


# The two ends of a line through a cell of four corners, by which corners are above the level: edges
# are 0 low y, 1 high x, 2 high y, 3 low x.
_EDGES: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 5: ((3, 0), (1, 2)), 6: ((0, 2),),
    7: ((3, 2),), 8: ((2, 3),), 9: ((0, 2),), 10: ((0, 1), (2, 3)), 11: ((1, 2),), 12: ((3, 1),),
    13: ((0, 1),), 14: ((3, 0),),
}  # fmt: skip


def contours(plane_lx: FloatArray, level_lx: float) -> tuple[Line, ...]:
    """Return the pieces of the line on which a plane has a level, in cells (x, y) from cell centres.

    Parameters
    ----------
    plane_lx : array [rows, columns], two or more each way.
    level_lx : [lx], above 0.

    Raises
    ------
    ValueError : the plane is too small, or the level is not above 0.

    >>> contours(np.array([[0.0, 2.0], [0.0, 2.0]]), 1.0)
    (((0.5, 0.0), (0.5, 1.0)),)
    """
    if plane_lx.ndim != 2 or min(plane_lx.shape) < 2:
        raise ValueError(f"a map needs two rows and two columns, got {plane_lx.shape}")
    if not level_lx > 0:
        raise ValueError(f"level_lx must be above 0, got {level_lx!r}")
    above = plane_lx >= level_lx
    kind = above[:-1, :-1] + 2 * above[:-1, 1:] + 4 * above[1:, 1:] + 8 * above[1:, :-1]
    found = []
    for y, x in np.argwhere((kind > 0) & (kind < 15)).tolist():
        corners = (
            float(plane_lx[y, x]),
            float(plane_lx[y, x + 1]),
            float(plane_lx[y + 1, x + 1]),
            float(plane_lx[y + 1, x]),
        )
        for one, other in _EDGES[int(kind[y, x])]:
            ends = [_cut(edge, x, y, corners, level_lx) for edge in (one, other)]
            found.append((ends[0], ends[1]))
    return tuple(found)


def _cut(
    edge: int, x: int, y: int, corners: tuple[float, ...], level: float
) -> tuple[float, float]:
    """Return where the level cuts an edge of a cell."""
    one, other = corners[edge], corners[(edge + 1) % 4]
    share = (level - one) / (other - one) if other != one else 0.5
    starts = ((x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1))
    (ax, ay), (bx, by) = starts[edge], starts[(edge + 1) % 4]
    return ax + share * (bx - ax), ay + share * (by - ay)
