"""From luminances to the bytes of a picture: one formula, the same on a screen and in print.

With L the linear red, green, blue luminance of a place [cd/m²] and M the mean luminance of the
room's surfaces in this scene:

    exposure = KEY / (M + DARKEST·R)^ADAPTATION / R^(1 − ADAPTATION)
    share    = 1 − (1 + (exposure·L)^CONTRAST / SHOULDER)^(−SHOULDER)
    byte     = round(255·encode(share)),  encode = the sRGB curve

Before that, each colour is multiplied by

    gain = (LEAST_COLOUR + (1 − LEAST_COLOUR)·C)^(−WHITE_ADAPTATION)

where C is the colour of the scene's light, of luminance 1: the eye takes a warm room for less warm
than it is, and a cool one for less cool. R is the mean with every circuit at full level. The eye follows the scene only in part
(ADAPTATION), so a low scene stays low. The share never quite reaches 1: a bright light runs to white
slowly, so that a ceiling over a cove keeps its slope. A browser does the same sums in the same order.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from engineering.refusal import above_zero, not_negative

FloatArray = NDArray[np.float64]
ByteArray = NDArray[np.uint8]

KEY = 0.79
ADAPTATION = 0.52
DARKEST = 0.004
CONTRAST = 1.14
# How slowly bright light runs to white: the slower, the smaller; without end it were an exponential.
SHOULDER = 2.2
# How far the eye follows the colour of the light: common practice, no source. 0 not at all, 1 until
# all light is white.
WHITE_ADAPTATION = 0.34
LEAST_COLOUR = 0.08
# Luminance of red, green and blue of 1 (IEC 61966-2-1).
LUMINANCE = (0.2126, 0.7152, 0.0722)
# What the eye in the picture takes for white; `colour.linear_rgb_of_cct` adapts to it.
WHITE_KELVIN = 3300.0


def exposure(*, scene_cd_m2: float, full_cd_m2: float) -> float:
    """Return the exposure [m²/cd] of a scene.

    Parameters
    ----------
    scene_cd_m2 : [cd/m²], 0 or more; mean luminance of the room's surfaces in the scene.
    full_cd_m2 : [cd/m²], above 0; the same with all circuits at full level.

    Raises
    ------
    ValueError : a value is out of its range.

    >>> exposure(scene_cd_m2=10, full_cd_m2=10) > exposure(scene_cd_m2=20, full_cd_m2=20)
    True
    """
    full = above_zero("full_cd_m2", full_cd_m2)
    scene = not_negative("scene_cd_m2", scene_cd_m2) + DARKEST * full
    return float(KEY / (math.pow(scene, ADAPTATION) * math.pow(full, 1 - ADAPTATION)))


def white_gain(colour: FloatArray) -> FloatArray:
    """Return what red, green and blue are multiplied by where the light of a scene has a colour.

    Parameters
    ----------
    colour : linear red, green, blue of all the light of a scene together, 0 or more, on any scale.
        Without any light nothing changes.

    Returns
    -------
    Three factors; white light keeps its luminance and its colour.

    >>> white_gain(np.array([3.0, 3.0, 3.0])).round(9).tolist()
    [1.0, 1.0, 1.0]
    """
    luminance = float(colour @ np.array(LUMINANCE))
    if luminance <= 0:
        return np.ones(3)
    seen = LEAST_COLOUR + (1 - LEAST_COLOUR) * colour / luminance
    return np.asarray(np.power(seen, -WHITE_ADAPTATION))


def encode(share: FloatArray) -> FloatArray:
    """Return the sRGB signal (0 to 1) of linear shares (0 to 1).

    References
    ----------
    IEC 61966-2-1.

    >>> encode(np.array([0.0, 1.0])).round(6).tolist()
    [0.0, 1.0]
    """
    bright = 1.055 * np.power(np.maximum(share, 0.0031308), 1 / 2.4) - 0.055
    return np.where(share <= 0.0031308, 12.92 * share, bright)


def to_bytes(luminance_cd_m2: FloatArray, exposure_m2_cd: float) -> ByteArray:
    """Return the bytes of linear luminances at an exposure.

    >>> to_bytes(np.array([0.0, 1e9]), 1.0).tolist()
    [0, 255]
    """
    lit = np.power(exposure_m2_cd * luminance_cd_m2, CONTRAST)
    share = 1 - np.power(1 + lit / SHOULDER, -SHOULDER)
    return np.asarray(np.floor(255 * encode(share) + 0.5).astype(np.uint8))
