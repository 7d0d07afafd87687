"""The colour of white light: groups, correlated colour temperature, and what a screen shows.

Chromaticity is CIE 1931 x, y throughout; distances are taken in CIE 1960 u, v. Colour temperatures
are in kelvin; a mired is a million over it, and equal steps of it look about equal.
"""

import math
from collections.abc import Sequence
from enum import StrEnum
from typing import Final

import numpy as np

from engineering.colour_locus import FIRST_MIRED, LOCUS_UV, STEP_MIRED

LOWEST_K: Final = 1000.0
HIGHEST_K: Final = 25_000.0
RENDERING_WHERE_PEOPLE_STAY: Final = 80
"""Least colour rendering index Ra where people stay long: EN 12464-1, as quoted publicly."""

_WARM_BELOW_K = 3300.0
_COOL_ABOVE_K = 5300.0
_BLACK_BODY_BELOW_K = 4000.0
_DAYLIGHT_FROM_K = 5000.0
_DAYLIGHT_FORMULAS_CHANGE_K = 7000.0
_FARTHEST_UV = 0.05
_LOCUS = np.array(LOCUS_UV)
_MIREDS = FIRST_MIRED + STEP_MIRED * np.arange(len(LOCUS_UV))
_ALONG = np.gradient(_LOCUS, axis=0)
_ALONG /= np.linalg.norm(_ALONG, axis=1)[:, np.newaxis]

# CIE XYZ to linear sRGB with its white D65: IEC 61966-2-1.
_SRGB = np.array(
    [
        [3.2406, -1.5372, -0.4986],
        [-0.9689, 1.8758, 0.0415],
        [0.0557, -0.2040, 1.0570],
    ]
)
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
# The cone responses of the Bradford adaptation: ICC profile specification, annex E.
_BRADFORD = np.array(
    [
        [0.8951, 0.2664, -0.1614],
        [-0.7502, 1.7135, 0.0367],
        [0.0389, -0.0685, 1.0296],
    ]
)
_WHITE_OF_SRGB_XY = (0.3127, 0.3290)


class ColourGroup(StrEnum):
    """How a white light looks, by its correlated colour temperature."""

    WARM = "warm"
    INTERMEDIATE = "intermediate"
    COOL = "cool"


def colour_group(cct_k: float) -> ColourGroup:
    """Return the colour appearance group of a correlated colour temperature.

    Parameters
    ----------
    cct_k : correlated colour temperature [K], from 1000 to 25 000

    Returns
    -------
    warm below 3300 K, intermediate from 3300 to 5300 K, cool above

    Raises
    ------
    ValueError : a temperature out of range

    References
    ----------
    EN 12464-1 and ISO 8995-1, clause 4.6.1, as reprinted publicly.

    >>> colour_group(2700.0).value, colour_group(3300.0).value, colour_group(6500.0).value
    ('warm', 'intermediate', 'cool')
    """
    _check_temperature(cct_k)
    if cct_k < _WARM_BELOW_K:
        return ColourGroup.WARM
    return ColourGroup.COOL if cct_k > _COOL_ABOVE_K else ColourGroup.INTERMEDIATE


def mired(cct_k: float) -> float:
    """Return a colour temperature in mired, a million over the kelvin.

    Parameters
    ----------
    cct_k : [K], from 1000 to 25 000

    >>> mired(4000.0)
    250.0
    """
    return 1e6 / _check_temperature(cct_k)


def mccamy_cct_k(x: float, y: float) -> float:
    """Correlated colour temperature by McCamy's polynomial [K].

    Parameters
    ----------
    x, y : chromaticity of a white light; y must differ from 0.1858

    Returns
    -------
    [K]; within some 10 K near the locus from 2800 to 6500 K, not to be used beyond

    Raises
    ------
    ValueError : a chromaticity that is none, or a result below 1000 K or above 25 000 K

    References
    ----------
    C. S. McCamy, Correlated color temperature as an explicit function of chromaticity coordinates,
    Color Research and Application 17 (1992): n = (x - 0.3320) / (y - 0.1858),
    -449 n³ + 3525 n² - 6823.3 n + 5520.33.

    >>> round(mccamy_cct_k(0.31271, 0.32901))
    6504
    """
    _check_chromaticity(x, y)
    if y == 0.1858:
        raise ValueError("y must differ from 0.1858")
    n = (x - 0.3320) / (y - 0.1858)
    return _check_temperature(((-449.0 * n + 3525.0) * n - 6823.3) * n + 5520.33)


def cct_k(x: float, y: float) -> float:
    """Correlated colour temperature: the nearest black body in CIE 1960 u, v [K].

    Parameters
    ----------
    x, y : chromaticity of a white light

    Returns
    -------
    [K], from 1000 to 25 000

    Raises
    ------
    ValueError : a chromaticity that is none, farther than 0.05 from the locus (such a light is no
        white), or beyond its ends

    Notes
    -----
    Interpolates between the two lines of equal temperature on either side of the point.

    References
    ----------
    A. R. Robertson, Computation of correlated color temperature and distribution temperature,
    J. Opt. Soc. Am. 58 (1968): the method; the table is our own, every 10 mired.

    >>> round(cct_k(0.44757, 0.40744))
    2856
    """
    _check_chromaticity(x, y)
    point = np.array(_uv(x, y))
    ahead = np.sum((point - _LOCUS) * _ALONG, axis=1)
    # The lines of equal temperature meet on the far side of the diagram, so only the two around
    # the nearest point of the locus are asked.
    nearest = int(np.argmin(np.linalg.norm(point - _LOCUS, axis=1)))
    start = nearest if ahead[nearest] >= 0 else nearest - 1
    is_outside = not 0 <= start < len(_MIREDS) - 1
    if is_outside or np.linalg.norm(point - _LOCUS[nearest]) > _FARTHEST_UV:
        raise ValueError(f"x, y must be the chromaticity of a white light, got {x!r}, {y!r}")
    before, after = float(ahead[start]), float(-ahead[start + 1])
    return 1e6 / float(_MIREDS[start] + STEP_MIRED * before / (before + after))


def black_body_xy(cct_k: float) -> tuple[float, float]:
    """Chromaticity of a black body.

    Parameters
    ----------
    cct_k : temperature [K], from 1000 to 25 000

    Returns
    -------
    x, y

    >>> x, y = black_body_xy(2855.5)
    >>> round(x, 4), round(y, 4)
    (0.4476, 0.4074)
    """
    at = mired(cct_k)
    u = float(np.interp(at, _MIREDS, _LOCUS[:, 0]))
    v = float(np.interp(at, _MIREDS, _LOCUS[:, 1]))
    below = 2.0 * u - 8.0 * v + 4.0
    return 3.0 * u / below, 2.0 * v / below


def daylight_xy(cct_k: float) -> tuple[float, float]:
    """Chromaticity of a phase of daylight.

    Parameters
    ----------
    cct_k : correlated colour temperature [K], from 4000 to 25 000

    Returns
    -------
    x, y

    Raises
    ------
    ValueError : a temperature out of range

    References
    ----------
    CIE 15, CIE D illuminants; the coefficients are written down from memory and checked against
    D65.

    >>> x, y = daylight_xy(6504.0)
    >>> round(x, 4), round(y, 4)
    (0.3127, 0.3291)
    """
    if not _BLACK_BODY_BELOW_K <= cct_k <= HIGHEST_K:
        raise ValueError(f"cct_k must be from 4000 to 25000, got {cct_k!r}")
    t = 1e3 / cct_k
    if cct_k <= _DAYLIGHT_FORMULAS_CHANGE_K:
        x = ((-4.6070 * t + 2.9678) * t + 0.09911) * t + 0.244063
    else:
        x = ((-2.0064 * t + 1.9018) * t + 0.24748) * t + 0.237040
    return x, (-3.0 * x + 2.870) * x - 0.275


def white_xy(cct_k: float) -> tuple[float, float]:
    """Chromaticity that stands for a lamp of which only the colour temperature is known.

    A black body below 4000 K, daylight from 5000 K, and a blend in between.

    Parameters
    ----------
    cct_k : correlated colour temperature [K], from 1000 to 25 000

    References
    ----------
    The blend is that of the reference light of ANSI/IES TM-30 (from memory, not looked up).

    >>> white_xy(3000.0) == black_body_xy(3000.0), white_xy(6500.0) == daylight_xy(6500.0)
    (True, True)
    """
    _check_temperature(cct_k)
    if cct_k < _BLACK_BODY_BELOW_K:
        return black_body_xy(cct_k)
    if cct_k >= _DAYLIGHT_FROM_K:
        return daylight_xy(cct_k)
    share = (cct_k - _BLACK_BODY_BELOW_K) / (_DAYLIGHT_FROM_K - _BLACK_BODY_BELOW_K)
    warm, cool = black_body_xy(cct_k), daylight_xy(cct_k)
    return (
        warm[0] * (1 - share) + cool[0] * share,
        warm[1] * (1 - share) + cool[1] * share,
    )


def mixed_xy(parts: Sequence[tuple[float, float, float]]) -> tuple[float, float]:
    """Chromaticity of several lights together.

    Parameters
    ----------
    parts : x, y and flux [lm] of each; flux 0 or more, at least one above 0

    Raises
    ------
    ValueError : no light, or values out of range

    >>> both = mixed_xy([(*white_xy(2700.0), 500.0), (*white_xy(6500.0), 500.0)])
    >>> 3500 < cct_k(*both) < 4500
    True
    """
    total = np.zeros(3)
    for x, y, flux_lm in parts:
        if not 0 <= flux_lm < math.inf:
            raise ValueError(f"flux_lm must be 0 or more, got {flux_lm!r}")
        total += flux_lm * _xyz(x, y)
    if not total[1] > 0:
        raise ValueError("parts must hold some light")
    return float(total[0] / total.sum()), float(total[1] / total.sum())


def linear_rgb(
    x: float, y: float, *, adapted_to_k: float | None = None
) -> tuple[float, float, float]:
    """Linear sRGB of a light of luminance 1.

    Parameters
    ----------
    x, y : chromaticity of the light
    adapted_to_k : colour temperature that an eye in the room takes for white [K]: that light comes
        out grey, warmer ones yellowish, cooler ones bluish. Without it the screen's own white
        (D65) is taken, and lamplight looks very orange.

    Returns
    -------
    red, green, blue, each 0 or more, with 0.2126 R + 0.7152 G + 0.0722 B = 1. One may be far above
    1: the luminance is kept, and the tone mapping that follows brings it into range.

    Raises
    ------
    ValueError : values out of range

    Notes
    -----
    A light outside the screen's gamut (a candle's) is drawn towards grey, at the same luminance,
    until no channel is below 0.

    References
    ----------
    IEC 61966-2-1 (sRGB); Bradford adaptation of the ICC profile specification. Both matrices are
    written down from memory and checked by their white points.

    >>> [round(channel, 2) for channel in linear_rgb(0.3127, 0.3290)]
    [1.0, 1.0, 1.0]
    >>> [round(channel, 2) for channel in linear_rgb(*white_xy(3000.0), adapted_to_k=3000.0)]
    [1.0, 1.0, 1.0]
    """
    xyz = _xyz(x, y)
    if adapted_to_k is not None:
        seen, shown = _xyz(*white_xy(adapted_to_k)), _xyz(*_WHITE_OF_SRGB_XY)
        gains = (_BRADFORD @ shown) / (_BRADFORD @ seen)
        xyz = np.linalg.solve(_BRADFORD, gains * (_BRADFORD @ xyz))
    rgb = _SRGB @ xyz
    rgb = rgb / float(_LUMINANCE @ rgb)
    least = float(rgb.min())
    if least < 0:
        rgb = (rgb - least) / (1.0 - least)
    # Rounding may leave a hair below 0 in the channel that was just brought to it.
    red, green, blue = (abs(float(channel)) for channel in rgb)
    return red, green, blue


def linear_rgb_of_cct(
    cct_k: float, *, adapted_to_k: float | None = None
) -> tuple[float, float, float]:
    """Linear sRGB of a lamp of luminance 1, from its colour temperature. See `linear_rgb`.

    >>> red, green, blue = linear_rgb_of_cct(2700.0)
    >>> red > green > blue
    True
    """
    return linear_rgb(*white_xy(cct_k), adapted_to_k=adapted_to_k)


def _check_temperature(cct_k: float) -> float:
    if not LOWEST_K <= cct_k <= HIGHEST_K:
        raise ValueError(f"cct_k must be from {LOWEST_K:g} to {HIGHEST_K:g}, got {cct_k!r}")
    return cct_k


def _check_chromaticity(x: float, y: float) -> None:
    if not (0 < x < 1 and 0 < y < 1 and x + y <= 1):
        raise ValueError(f"x, y must be a chromaticity, got {x!r}, {y!r}")


def _uv(x: float, y: float) -> tuple[float, float]:
    below = -2.0 * x + 12.0 * y + 3.0
    return 4.0 * x / below, 6.0 * y / below


def _xyz(x: float, y: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return X, Y, Z of a light of luminance 1."""
    _check_chromaticity(x, y)
    return np.array([x / y, 1.0, (1.0 - x - y) / y])
