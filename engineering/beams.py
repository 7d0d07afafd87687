"""What a single beam does: its pool on a surface, and its scallop on a wall."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engineering.points import IntensityFunction
from engineering.refusal import above_zero


def _beam_angle(beam_deg: float) -> float:
    """Return half the beam angle in radians, or refuse it."""
    if not (0 < beam_deg < 180):
        raise ValueError(f"beam_deg must be above 0 and below 180, got {beam_deg!r}")
    return math.radians(beam_deg / 2)


def pool_diameter(*, distance_m: float, beam_deg: float) -> float:
    """Return the diameter of a beam's pool on a surface square to it: D = 2·d·tan(β/2).

    Parameters
    ----------
    distance_m : [m], above 0.
    beam_deg : [°], above 0 and below 180; full width at half the peak intensity.

    Returns
    -------
    float [m].

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    Geometry; beam angle as in EN 12665 (half of the peak intensity).

    >>> round(pool_diameter(distance_m=2.4, beam_deg=36), 3)
    1.56
    """
    return 2 * above_zero("distance_m", distance_m) * math.tan(_beam_angle(beam_deg))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pool:
    """A beam's pool at one distance: `diameter_m`, `centre_lx` and `edge_lx`."""

    distance_m: float
    diameter_m: float
    centre_lx: float
    edge_lx: float


def pool(*, intensity_cd: IntensityFunction, beam_deg: float, distance_m: float) -> Pool:
    """Return the pool of a beam on a surface square to it.

    Parameters
    ----------
    intensity_cd : function (c_deg, gamma_deg) → [cd].
    beam_deg : [°], above 0 and below 180.
    distance_m : [m], above 0; to the surface, along the beam.

    Returns
    -------
    Pool : centre I(0)/d²; edge I(β/2)·cos³(β/2)/d².

    Raises
    ------
    ValueError : a value is out of its range.

    >>> pool(intensity_cd=lambda c, g: 900.0, beam_deg=60, distance_m=3).centre_lx
    100.0
    """
    half = _beam_angle(beam_deg)
    distance = above_zero("distance_m", distance_m)
    centre, edge = float(intensity_cd(0.0, 0.0)), float(intensity_cd(0.0, beam_deg / 2))
    if not (0 <= centre < math.inf and 0 <= edge < math.inf):
        raise ValueError("a luminous intensity must be finite and not below 0 cd")
    return Pool(
        distance_m=distance,
        diameter_m=pool_diameter(distance_m=distance, beam_deg=beam_deg),
        centre_lx=centre / distance**2,
        edge_lx=edge * math.cos(half) ** 3 / distance**2,
    )


def scallop_top(
    *, mounting_height_m: float, offset_m: float, beam_deg: float, tilt_deg: float = 0.0
) -> float:
    """Return the height above the floor of the top of a beam's scallop on a wall.

    Parameters
    ----------
    mounting_height_m : [m], above 0; of the fitting above the floor.
    offset_m : [m], above 0; of the fitting from the wall.
    beam_deg : [°], above 0 and below 180.
    tilt_deg : [°], 0 to 90; from straight down towards the wall.

    Returns
    -------
    float [m]. Above the mounting height where the upper edge of the beam points up; below 0 where
    the beam reaches the floor before the wall.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    The edge of the beam leaves the fitting at tilt + β/2 from straight down, and meets the wall
    offset / tan of that below it.

    >>> round(scallop_top(mounting_height_m=2.4, offset_m=0.3, beam_deg=60), 3)
    1.88
    """
    height = above_zero("mounting_height_m", mounting_height_m)
    offset = above_zero("offset_m", offset_m)
    if not (0 <= tilt_deg <= 90):
        raise ValueError(f"tilt_deg must be from 0 to 90, got {tilt_deg!r}")
    edge = math.radians(tilt_deg) + _beam_angle(beam_deg)
    return height - offset * math.cos(edge) / math.sin(edge)


def scallop_width(
    *, mounting_height_m: float, offset_m: float, beam_deg: float, at_height_m: float
) -> float:
    """Return the width of an untilted beam's scallop on a wall at a height; 0 above its top.

    Parameters
    ----------
    mounting_height_m, offset_m, beam_deg : as for `scallop_top`.
    at_height_m : [m], 0 or more, above the floor.

    Returns
    -------
    float [m] : width of the hyperbola in which the cone cuts the wall.

    Raises
    ------
    ValueError : a value is out of its range.

    >>> round(scallop_width(mounting_height_m=2.4, offset_m=0.3, beam_deg=90, at_height_m=1.4), 3)
    1.908
    """
    half = _beam_angle(beam_deg)
    height = above_zero("mounting_height_m", mounting_height_m)
    offset = above_zero("offset_m", offset_m)
    if not (0 <= at_height_m < math.inf):
        raise ValueError(f"at_height_m must be 0 or more, got {at_height_m!r}")
    radius = (height - at_height_m) * math.tan(half)
    return 2 * math.sqrt(radius**2 - offset**2) if radius > offset else 0.0


def scallop_outline(
    *,
    mounting_height_m: float,
    offset_m: float,
    beam_deg: float,
    tilt_deg: float = 0.0,
    points: int = 73,
) -> tuple[tuple[float, float], ...]:
    """Return the edge of a beam's scallop on a wall, from its left foot over its top to its right.

    Parameters
    ----------
    mounting_height_m, offset_m, beam_deg, tilt_deg : as for `scallop_top`.
    points : 3 to 2000; sight lines round the cone.

    Returns
    -------
    Places (x, z) [m] : x along the wall from the fitting's foot, z above the floor. Cut off at the
    floor; empty where the beam reaches the floor before the wall.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    Each line of the cone (the beam's axis turned by half the beam angle, all the way round) is
    followed to the wall. What goes away from the wall, or along it, never meets it.

    >>> edge = scallop_outline(mounting_height_m=2.4, offset_m=0.3, beam_deg=60)
    >>> round(max(z for _x, z in edge), 2)
    1.88
    """
    height = above_zero("mounting_height_m", mounting_height_m)
    offset = above_zero("offset_m", offset_m)
    half = _beam_angle(beam_deg)
    if not (0 <= tilt_deg <= 90):
        raise ValueError(f"tilt_deg must be from 0 to 90, got {tilt_deg!r}")
    if not 3 <= points <= 2000:
        raise ValueError(f"points must be from 3 to 2000, got {points!r}")
    tilt = math.radians(tilt_deg)
    found = []
    for number in range(points):
        turn = math.pi * (2 * number / (points - 1) - 1)
        # Across the wall, towards it, up: the axis, and round it the two that stand square to it.
        along = math.sin(half) * math.sin(turn)
        rise = math.sin(half) * math.cos(turn)
        towards = math.cos(half) * math.sin(tilt) + rise * math.cos(tilt)
        up = -math.cos(half) * math.cos(tilt) + rise * math.sin(tilt)
        if towards <= 1e-9:
            continue
        way = offset / towards
        if height + way * up >= 0:
            found.append((way * along, height + way * up))
    return tuple(found)
