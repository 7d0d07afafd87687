"""The two whites of a tunable light, so chosen that what lies between them keeps near the black body's curve.

A mix of two whites lies on the straight line between them, and so below the curve that lamps follow:
it looks pinkish. Makers therefore choose ends that lie a little above the curve (common practice, no
source); here each is raised by a share of the sag of their mix.
"""

from __future__ import annotations

import math
from functools import lru_cache

from engineering.colour import LOWEST_K, linear_rgb, mixed_xy, white_xy

# Share of the sag by which the ends are raised: common practice, no source.
RAISED = 0.75
# No end is raised by more: about what ANSI C78.377 allows a white (from memory, not looked up).
MOST_DUV = 0.005
STEPS = 16


def _uv(x: float, y: float) -> tuple[float, float]:
    below = -2 * x + 12 * y + 3
    return 4 * x / below, 6 * y / below


def _xy(u: float, v: float) -> tuple[float, float]:
    below = 2 * u - 8 * v + 4
    return 3 * u / below, 2 * v / below


def _above(cct_k: float, duv: float) -> tuple[float, float]:
    """The chromaticity above a white, square to the curve of whites, by a distance in u, v."""
    u, v = _uv(*white_xy(cct_k))
    (u0, v0), (u1, v1) = (_uv(*white_xy(max(LOWEST_K, cct_k * by))) for by in (0.99, 1.01))
    along = math.hypot(u1 - u0, v1 - v0)
    square = ((v1 - v0) / along, -(u1 - u0) / along)
    if square[1] < 0:
        square = (-square[0], -square[1])
    return _xy(u + duv * square[0], v + duv * square[1])


def _sag(low_k: float, high_k: float) -> float:
    """How far the mixes of two whites lie from the curve at most [u, v]."""
    between = [1 / (1 / low_k + n / 64 * (1 / high_k - 1 / low_k)) for n in range(65)]
    curve = [_uv(*white_xy(kelvin)) for kelvin in between]
    worst = 0.0
    for step in range(1, STEPS):
        share = step / STEPS
        mix = _uv(*mixed_xy([(*white_xy(low_k), 1 - share), (*white_xy(high_k), share)]))
        worst = max(worst, min(math.dist(mix, place) for place in curve))
    return worst


@lru_cache(maxsize=256)
def tunable_rgb(
    low_k: float, high_k: float, *, adapted_to_k: float | None = None
) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Return the linear sRGB of the warm and of the cool white of a tunable light, each of luminance 1.

    Parameters
    ----------
    low_k, high_k : colour temperatures [K], the low one first, from 1000 to 25 000.
    adapted_to_k : what the eye takes for white, as in `colour.linear_rgb`.

    Raises
    ------
    ValueError : the low one is not below the high one, or one is out of range.

    >>> warm, cool = tunable_rgb(2200, 5000)
    >>> warm[0] > cool[0] and warm[2] < cool[2]
    True
    """
    if not low_k < high_k:
        raise ValueError(f"low_k must be below high_k, got {low_k!r} and {high_k!r}")
    duv = min(MOST_DUV, RAISED * _sag(low_k, high_k))
    warm, cool = (
        linear_rgb(*_above(kelvin, duv), adapted_to_k=adapted_to_k) for kelvin in (low_k, high_k)
    )
    return warm, cool
