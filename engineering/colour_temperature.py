"""Colour temperature of white light: its group, its chromaticity, and its colour on a screen."""

from __future__ import annotations

import numpy as np

WARM_BELOW_K = 3300.0
COOL_ABOVE_K = 5300.0
LOWEST_K, HIGHEST_K = 1667.0, 25000.0
# XYZ to linear sRGB (IEC 61966-2-1).
_TO_RGB = np.array(
    [
        (3.2406, -1.5372, -0.4986),
        (-0.9689, 1.8758, 0.0415),
        (0.0557, -0.2040, 1.0570),
    ]
)
# Share of each linear channel in the luminance (second row of the inverse).
LUMINANCE_OF_RGB = (0.2126, 0.7152, 0.0722)


def _checked(kelvin: float) -> float:
    """Return a colour temperature within the formulas' range, or refuse it."""
    if not (LOWEST_K <= kelvin <= HIGHEST_K):
        raise ValueError(f"kelvin must be from {LOWEST_K:g} to {HIGHEST_K:g}, got {kelvin!r}")
    return float(kelvin)


def colour_group(*, kelvin: float) -> str:
    """Return "warm", "intermediate" or "cool" for a correlated colour temperature.

    Parameters
    ----------
    kelvin : [K], 1667 to 25 000.

    Raises
    ------
    ValueError : outside that.

    References
    ----------
    EN 12464-1 / ISO 8995-1, 4.6.1: warm below 3300 K, cool above 5300 K.

    >>> [colour_group(kelvin=value) for value in (2700, 4000, 6500)]
    ['warm', 'intermediate', 'cool']
    """
    value = _checked(kelvin)
    if value < WARM_BELOW_K:
        return "warm"
    return "cool" if value > COOL_ABOVE_K else "intermediate"


def chromaticity(*, kelvin: float) -> tuple[float, float]:
    """Return x, y (CIE 1931) of a black body of a temperature.

    Parameters
    ----------
    kelvin : [K], 1667 to 25 000.

    Returns
    -------
    x, y.

    Raises
    ------
    ValueError : outside that.

    References
    ----------
    Kim et al., cubic approximation of the Planckian locus (US patent 7024034), as reprinted in
    public texts; from memory, met by the published point of illuminant A within 0.001.

    >>> [round(value, 3) for value in chromaticity(kelvin=2855.5)]
    [0.447, 0.408]
    """
    t = 1000.0 / _checked(kelvin)
    if t >= 0.25:  # up to 4000 K
        x = -0.2661239 * t**3 - 0.2343589 * t**2 + 0.8776956 * t + 0.179910
    else:
        x = -3.0258469 * t**3 + 2.1070379 * t**2 + 0.2226347 * t + 0.240390
    if kelvin <= 2222:
        y = -1.1063814 * x**3 - 1.34811020 * x**2 + 2.18555832 * x - 0.20219683
    elif kelvin <= 4000:
        y = -0.9549476 * x**3 - 1.37418593 * x**2 + 2.09137015 * x - 0.16748867
    else:
        y = 3.0817580 * x**3 - 5.87338670 * x**2 + 3.75112997 * x - 0.37001483
    return x, y


def screen_colour(*, kelvin: float) -> tuple[float, float, float]:
    """Return the linear sRGB colour of luminance 1 of a white light.

    Parameters
    ----------
    kelvin : [K], 1667 to 25 000.

    Returns
    -------
    Red, green, blue, 0 or more; 0.2126 R + 0.7152 G + 0.0722 B = 1. A screen's white (6500 K) is
    about (1, 1, 1); warm light has red above 1.

    Raises
    ------
    ValueError : outside that range.

    References
    ----------
    IEC 61966-2-1 (sRGB).

    >>> red, green, blue = screen_colour(kelvin=2700)
    >>> red > green > blue
    True
    """
    x, y = chromaticity(kelvin=kelvin)
    linear = np.maximum(_TO_RGB @ np.array([x / y, 1.0, (1 - x - y) / y]), 0.0)
    red, green, blue = (linear / float(linear @ np.array(LUMINANCE_OF_RGB))).tolist()
    return red, green, blue


def picture_colour(
    *, kelvin: float, white_kelvin: float, white_share: float
) -> tuple[float, float, float]:
    """Return the linear colour of luminance 1 that an eye used in part to a white sees.

    Parameters
    ----------
    kelvin : [K], 1667 to 25 000; of the light.
    white_kelvin : [K]; the white the eye is used to.
    white_share : 0 (not at all) to 1 (wholly).

    Returns
    -------
    Red, green, blue, 0 or more; luminance 1.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    Each channel is divided by the white's, to the power of the share. Our own choice for the
    picture, after von Kries' law of coefficients.

    >>> [round(v, 6) for v in picture_colour(kelvin=3000, white_kelvin=3000, white_share=1.0)]
    [1.0, 1.0, 1.0]
    """
    if not (0 <= white_share <= 1):
        raise ValueError(f"white_share must be from 0 to 1, got {white_share!r}")
    light = np.array(screen_colour(kelvin=kelvin))
    white = np.maximum(np.array(screen_colour(kelvin=white_kelvin)), 1e-6)
    seen = light / white**white_share
    red, green, blue = (seen / float(seen @ np.array(LUMINANCE_OF_RGB))).tolist()
    return red, green, blue
