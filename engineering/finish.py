"""The grain of a room's surfaces in its picture: floorboards, a skirting board, dusk in the windows.

Each is a factor of the light that a place sends to the eye, the same for every scene. Boards differ
from one another by a few per cent and their mean is 1, so that the floor keeps its reflectance.
What they look like is our own and deliberately plain.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engineering.box import BoxRoom

FloatArray = NDArray[np.float64]

BOARD_WIDTH_M = 0.19
BOARD_LENGTH_M = 1.9
# The palest and the darkest board differ from the mean by this.
BOARD_TONE = 0.085
SKIRTING_M = 0.11
SKIRTING_REFLECTANCE = 0.78
MOST_GAIN = 1.7
# Numbers of a simple mixing of whole numbers, without meaning.
MIX_ONE, MIX_OTHER = 73_856_093, 19_349_663
BITS = 1023

# Dusk in a window: the glow at the horizon and the sky high up, as factors of the pane's own light; how high a
# rise of the sight line takes the glow down to a third; the land, and the two waves of its outline.
SKY_GLOW, SKY_HIGH, SKY_FADE, LAND = 2.3, 0.5, 0.3, 0.34
RIDGE, RIDGE_WAVES, RIDGE_SOFT = 0.022, ((0.016, 17.0, 0.4), (0.007, 53.0, 1.9)), 0.006


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """What the picture of a room needs to draw its grain.

    `along` is the axis (0 or 1) that boards run along; `skirting_gain` the factor of the skirting.
    """

    along: int
    skirting_gain: float


def finish_of(room: BoxRoom) -> Finish:
    """Return the grain of a room: boards along its longer side, a pale skirting.

    >>> finish_of(BoxRoom(length_m=4, width_m=3, height_m=2.5, walls=0.6)).skirting_gain
    1.3
    """
    gain = SKIRTING_REFLECTANCE / room.walls if room.walls > 0 else MOST_GAIN
    return Finish(
        along=0 if room.length_m >= room.width_m else 1,
        skirting_gain=round(min(MOST_GAIN, max(1.0, gain)), 4),
    )


def board_tone(along_m: FloatArray, across_m: FloatArray) -> FloatArray:
    """Return the factor of floorboards at places [m] along and across them.

    Rows of boards are shifted against each other, as they are laid.

    >>> one, same = board_tone(np.array([0.1, 0.2]), np.array([0.05, 0.05]))
    >>> bool(one == same)
    True
    """
    row = np.floor(across_m / BOARD_WIDTH_M).astype(np.int64)
    shift = (row * 7 % 11) / 11
    board = np.floor(along_m / BOARD_LENGTH_M + shift).astype(np.int64)
    mixed = ((row * MIX_ONE) ^ (board * MIX_OTHER)) & 0xFFFFFFFF
    share = ((mixed ^ (mixed >> 13)) & BITS) / BITS
    return np.asarray(1 + BOARD_TONE * (2 * share - 1))


def skirting(height_m: FloatArray, gain: float) -> FloatArray:
    """Return the factor of walls at heights [m] above the floor.

    >>> skirting(np.array([0.05, 1.0]), 1.3).tolist()
    [1.3, 1.0]
    """
    return np.where(height_m < SKIRTING_M, gain, 1.0)


def dusk(rays: FloatArray) -> FloatArray:
    """Return the factor of a pane's own light along sight lines [n, 3], whatever their length.

    A sky that is brightest low down, over land whose outline lies at the height of the eye.

    >>> low, high, land = dusk(np.array([[0, 1, 0.05], [0, 1, 0.9], [0, 1, -0.2]]))
    >>> bool(low > high > land)
    True
    """
    rise = rays[:, 2] / np.hypot(rays[:, 0], rays[:, 1])
    way = np.arctan2(rays[:, 0], rays[:, 1])
    ridge = RIDGE + sum(high * np.sin(often * way + from_) for high, often, from_ in RIDGE_WAVES)
    sky = SKY_HIGH + (SKY_GLOW - SKY_HIGH) * np.exp(-np.maximum(rise, 0.0) / SKY_FADE)
    over = np.clip(0.5 + (rise - ridge) / (2 * RIDGE_SOFT), 0.0, 1.0)
    return np.asarray(LAND + (sky - LAND) * over)
