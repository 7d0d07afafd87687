"""Discomfort glare: the unified glare rating, for where luminances are known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engineering.box import box_of, view_factors
from engineering.direct_light import Source, direct_on_patches
from engineering.points import intensities, luminaire_axes, vector
from engineering.refusal import above_zero
from engineering.room import BoxRoom, check_sources

# Rows read in a transcription of CIE 117:1995, table 4.1. Columns: H/R in steps of 0.1.
GUTH_ROWS: dict[float, tuple[float, ...]] = {
    0.0: (
        *(1.00, 1.26, 1.53, 1.90, 2.35, 2.86, 3.50, 4.20, 5.00, 6.00),
        *(7.00, 8.10, 9.25, 10.35, 11.70, 13.15, 14.70, 16.20),
    ),
    0.1: (1.05, 1.22, 1.46, 1.80, 2.20, 2.75, 3.40, 4.10, 4.80, 5.80),
    0.2: (1.12, 1.30, 1.50, 1.80, 2.20, 2.66, 3.18, 3.88, 4.60, 5.50),
}
GUTH_STEP = 0.1
# The rating is said to hold for sources of these solid angles (CIE 117).
SMALLEST_SR, LARGEST_SR = 0.0003, 0.1
LIMITS = (16, 19, 22, 25, 28)
SEATED_EYE_M = 1.2
# Looking along +x, −x, +y, −y: axis and whether towards its origin end.
LOOKS: dict[str, tuple[int, bool]] = {
    "right": (0, False),
    "left": (0, True),
    "back": (1, False),
    "front": (1, True),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GlareSource:
    """A bright source as an eye sees it.

    `luminance_cd_m2` above 0; `solid_angle_sr` above 0; `position_index` (Guth) at least 1.
    """

    luminance_cd_m2: float
    solid_angle_sr: float
    position_index: float

    def __post_init__(self) -> None:
        above_zero("luminance_cd_m2", self.luminance_cd_m2)
        above_zero("solid_angle_sr", self.solid_angle_sr)
        if not (1 <= self.position_index < math.inf):
            raise ValueError(f"position_index must be at least 1, got {self.position_index!r}")


def unified_glare_rating(*, background_cd_m2: float, sources: Sequence[GlareSource]) -> float:
    """Return UGR = 8·log₁₀(0.25/Lb · Σ L²·ω/p²).

    Parameters
    ----------
    background_cd_m2 : Lb [cd/m²], above 0; indirect illuminance at the eye over π.
    sources : at least one.

    Returns
    -------
    float. Useful from 10 to 30; limits are 16, 19, 22, 25, 28.

    Raises
    ------
    ValueError : no source, or a value out of its range.

    References
    ----------
    CIE 117:1995.

    >>> lamp = GlareSource(luminance_cd_m2=10_000, solid_angle_sr=0.01, position_index=1.5)
    >>> round(unified_glare_rating(background_cd_m2=40, sources=[lamp]), 3)
    27.55
    """
    background = above_zero("background_cd_m2", background_cd_m2)
    if not sources:
        raise ValueError("a glare rating needs at least one source")
    total = sum(s.luminance_cd_m2**2 * s.solid_angle_sr / s.position_index**2 for s in sources)
    return 8 * math.log10(0.25 / background * total)


def guth_index(*, height_over_distance: float, side_over_distance: float = 0.0) -> float:
    """Return the Guth position index of a source above the line of sight.

    Parameters
    ----------
    height_over_distance : H/R, 0 or more; height above the eye over distance along the sight.
    side_over_distance : T/R, 0 or more; sideways distance over distance along the sight.

    Returns
    -------
    float, at least 1.

    Raises
    ------
    ValueError : a value is negative or not finite.

    Notes
    -----
    Interpolated both ways in the published table where its rows were read (T/R up to 0.2, H/R up
    to 0.9; on the sight's own plane up to 1.7), else worked out by `guth_formula`.

    References
    ----------
    CIE 117:1995, table 4.1.

    >>> guth_index(height_over_distance=1.0)
    7.0
    """
    h, t = height_over_distance, side_over_distance
    if not (0 <= h < math.inf and 0 <= t < math.inf):
        raise ValueError(f"H/R and T/R must be finite and not below 0, got {h!r}, {t!r}")
    low = min(GUTH_ROWS, key=lambda row: (row > t, t - row))
    high = low if t == low else round(low + GUTH_STEP, 1)
    rows = [GUTH_ROWS.get(low), GUTH_ROWS.get(high)]
    values = []
    for row in rows:
        if row is None or h > GUTH_STEP * (len(row) - 1) + 1e-12:
            return guth_formula(height_over_distance=h, side_over_distance=t)
        values.append(float(np.interp(h, GUTH_STEP * np.arange(len(row)), row)))
    share = (t - low) / GUTH_STEP
    return values[0] + share * (values[1] - values[0])


def guth_formula(*, height_over_distance: float, side_over_distance: float) -> float:
    """Return the Guth position index by its formula, for any direction above the sight.

    Notes
    -----
    ln p = (35.2 − 0.31889α − 1.22e^(−2α/9))·10⁻³β + (21 + 0.26667α − 0.002963α²)·10⁻⁵β², α and β
    in degrees. The formula is from memory and was not looked up; it meets the table's read rows
    within 7 %.

    >>> round(guth_formula(height_over_distance=0.5, side_over_distance=0.0), 1)
    2.9
    """
    h, t = height_over_distance, side_over_distance
    alpha = math.degrees(math.atan2(t, h)) if h or t else 0.0
    beta = math.degrees(math.atan(math.hypot(h, t)))
    first = 35.2 - 0.31889 * alpha - 1.22 * math.exp(-2 * alpha / 9)
    second = 21 + 0.26667 * alpha - 0.002963 * alpha**2
    return max(1.0, math.exp(first * 1e-3 * beta + second * 1e-5 * beta**2))


@dataclass(frozen=True, slots=True, kw_only=True)
class BrightLamp:
    """A source with its flat luminous opening [m²], above 0, square to its aim."""

    source: Source
    opening_m2: float

    def __post_init__(self) -> None:
        above_zero("opening_m2", self.opening_m2)


def _as_seen(lamp: BrightLamp, eye: np.ndarray, look: str) -> GlareSource | None:
    """Return how an eye sees a lamp; None where it is behind, below or turned away."""
    axis, is_backward = LOOKS[look]
    away = np.asarray(lamp.source.position_m, dtype=float) - eye
    ahead = -away[axis] if is_backward else away[axis]
    height, side = away[2], abs(away[1 - axis])
    if ahead <= 1e-6 or height < 0:
        return None
    distance = float(np.linalg.norm(away))
    c0, c90, facing = luminaire_axes(aim=lamp.source.aim, turn_deg=lamp.source.turn_deg)
    way = -away / distance
    cosine = float(way @ facing)
    if cosine <= 1e-6:
        return None
    c = math.degrees(math.atan2(float(way @ c90), float(way @ c0))) % 360
    gamma = math.degrees(math.acos(min(1.0, cosine)))
    intensity = intensities(lamp.source.intensity_cd, np.array([c]), np.array([gamma]))[0]
    seen_m2 = lamp.opening_m2 * cosine
    if not intensity > 0:
        return None
    return GlareSource(
        luminance_cd_m2=float(intensity) / seen_m2,
        solid_angle_sr=seen_m2 / distance**2,
        position_index=guth_index(
            height_over_distance=float(height / ahead), side_over_distance=float(side / ahead)
        ),
    )


def seated_glare(
    *, room: BoxRoom, lamps: Sequence[BrightLamp], eye_m: tuple[float, float, float], look: str
) -> float | None:
    """Return the UGR of an eye in a room that looks level along one of its axes.

    Parameters
    ----------
    room : the box.
    lamps : all the lights that burn, each with its opening.
    eye_m : [m], inside the room; a seated eye is 1.2 m above the floor.
    look : "right" (+x), "left" (−x), "back" (+y) or "front" (−y).

    Returns
    -------
    float, or None where no lamp is in sight or no light comes back from the room (then the rating
    has no value).

    Raises
    ------
    ValueError : a lamp or the eye is outside, or `look` is none of the four.

    Notes
    -----
    The method is for sources of 0.0003 to 0.1 sr; smaller ones are rated too high.

    References
    ----------
    CIE 117:1995.

    >>> room = BoxRoom(length_m=4, width_m=3, height_m=2.5)
    >>> lamp = Source(position_m=(3, 1.5, 2.4), flux_lm=1000,
    ...               intensity_cd=lambda c, g: 318.31 * np.maximum(0, np.cos(np.radians(g))))
    >>> rating = seated_glare(room=room, lamps=[BrightLamp(source=lamp, opening_m2=0.05)],
    ...                       eye_m=(0.5, 1.5, 1.2), look="right")
    >>> 10 < rating < 30
    True
    """
    if look not in LOOKS:
        raise ValueError(f"look must be one of {', '.join(LOOKS)}, got {look!r}")
    eye = vector("eye_m", eye_m)
    if not all(0 <= place <= size for place, size in zip(eye, room.size_m, strict=True)):
        raise ValueError(f"eye_m must be inside the room, got {eye_m!r}")
    sources = [lamp.source for lamp in lamps]
    check_sources(room, sources)
    box = box_of(room)
    sent = (box.interreflection @ direct_on_patches(box, sources)) * box.reflectances
    axis, is_backward = LOOKS[look]
    indirect = float((view_factors(box, eye[None, :], axis, is_backward) @ sent)[0])
    seen = [seen for lamp in lamps if (seen := _as_seen(lamp, eye, look)) is not None]
    if not seen or not indirect > 0:
        return None
    return unified_glare_rating(background_cd_m2=indirect / math.pi, sources=seen)
