"""How luminaires look: their bright openings, and the veil of light round them in the eye."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from engineering.lit_circuits import LitFitting
from engineering.points import intensities, luminaire_axes

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

# Luminance of an unlit opening or globe over the mean of the room.
BODY_LUMINANCE = 0.7
# Share of the flux that even a well-shielded opening scatters every way.
SCATTER = 0.02
# Veiling luminance in the eye: 10·E/θ² with θ in degrees (Stiles and Holladay, from memory).
VEIL = 14.0
VEIL_CORE_DEG = 0.9
VEIL_REACH_DEG = 16.0
BAR_VEILS = 9
BEHIND_SLACK = 1.02
DEGREES = 180 / math.pi
REACH_TANGENT = 1.35 * math.tan(math.radians(VEIL_REACH_DEG))


def eye_intensity(fitting: LitFitting, place_m: FloatArray, eye_m: FloatArray) -> float:
    """Return the luminous intensity [cd] of a whole fitting towards an eye, scatter included."""
    c0, c90, axis = luminaire_axes(aim=fitting.placement.aim, turn_deg=fitting.placement.turn_deg)
    way = eye_m - place_m
    way = way / max(float(np.linalg.norm(way)), 1e-6)
    gamma = math.degrees(math.acos(max(-1.0, min(1.0, float(way @ axis)))))
    c = math.degrees(math.atan2(float(way @ c90), float(way @ c0))) % 360.0
    straight = float(intensities(fitting.intensity_cd, np.array([c]), np.array([gamma]))[0])
    return straight + SCATTER * fitting.flux_lm / (4 * math.pi)


def _seen_m2(fitting: LitFitting, cosine: float) -> float:
    """Return the area [m²] of a fitting's bright shape as the eye sees it."""
    radius = fitting.size_m / 2
    if fitting.shape == "bar":
        return max(fitting.placement.length_m, fitting.size_m) * fitting.size_m
    turned = max(cosine, 0.15) if fitting.shape == "disc" else 1.0
    return math.pi * radius**2 * turned


def _disc(
    place: FloatArray, facing: FloatArray, radius: float, eye: FloatArray, rays: FloatArray
) -> tuple[BoolArray, FloatArray]:
    """Return which sight lines meet a disc, and how far off."""
    slope = rays @ facing
    with np.errstate(divide="ignore", invalid="ignore"):
        time = float((place - eye) @ facing) / slope
    hit = eye + time[..., None] * rays - place
    with np.errstate(invalid="ignore"):
        return (time > 0) & (_squared(hit) <= radius * radius), time


def _squared(vectors: FloatArray) -> FloatArray:
    """Return the squared lengths of vectors [..., 3]."""
    return np.asarray(np.einsum("...k,...k->...", vectors, vectors))


def _capsule(
    start: FloatArray,
    end: FloatArray,
    radius: float,
    eye: FloatArray,
    rays: FloatArray,
    rr: FloatArray,
) -> tuple[BoolArray, FloatArray]:
    """Return which sight lines pass a segment nearer than its radius, and how far off."""
    along, away = end - start, start - eye
    ra, aa = rays @ along, float(along @ along)
    rw, aw = rays @ away, float(along @ away)
    if aa < 1e-12:
        share = np.zeros(rays.shape[:2])
    else:
        share = np.clip((ra * rw - rr * aw) / np.maximum(rr * aa - ra * ra, 1e-12), 0.0, 1.0)
    time = (rw + share * ra) / rr
    # |away + share·along − time·ray|², multiplied out.
    ww = float(away @ away)
    gap2 = ww + share * (share * aa + 2 * aw) + time * (time * rr - 2 * rw - 2 * share * ra)
    return (time > 0) & (gap2 <= radius * radius), time


def _veil(
    place: FloatArray, intensity: float, eye: FloatArray, rays: FloatArray, rr: FloatArray
) -> FloatArray:
    """Return the veiling luminance [cd/m²] of a small source on sight lines.

    The angle is taken by its tangent, which is within 3 % as far as the veil reaches.
    """
    away = place - eye
    squared = float(away @ away)
    along = rays @ away
    # Behind the eye the angle comes out beyond any reach, since `along` is then held at almost 0.
    np.maximum(along, 1e-9, out=along)
    along *= along
    angle2 = rr * (squared * DEGREES**2) / along
    angle2 -= DEGREES**2
    fade = 1 - angle2 / VEIL_REACH_DEG**2
    np.maximum(fade, 0.0, out=fade)
    fade *= fade
    angle2 += VEIL_CORE_DEG**2
    fade *= VEIL * intensity / squared
    fade /= angle2
    return np.asarray(fade)


def _window(
    ends: Sequence[FloatArray], eye: FloatArray, rays: FloatArray, reach: float
) -> tuple[slice, slice]:
    """Return the rows and columns of the picture that a veil round a segment can reach."""
    height, width = rays.shape[:2]
    corner, across, down = rays[0, 0], rays[0, -1] - rays[0, 0], rays[-1, 0] - rays[0, 0]
    normal = np.cross(across, down)
    normal = normal / np.linalg.norm(normal)
    plane = float(corner @ normal)
    rows, columns = [], []
    for end in ends:
        ahead = float((end - eye) @ normal) / plane  # distance in eye-to-frame units
        if ahead <= 1e-3:
            return slice(0, height), slice(0, width)
        on_frame = (end - eye) / ahead
        at = on_frame - corner
        # A circle of sight lines is seen stretched off the middle by no more than this.
        radius = reach * float(on_frame @ on_frame) / abs(plane)
        columns += [
            (float(at @ across) / float(across @ across) + side * radius / np.linalg.norm(across))
            for side in (-1, 1)
        ]
        rows += [
            (float(at @ down) / float(down @ down) + side * radius / np.linalg.norm(down))
            for side in (-1, 1)
        ]
    return _span(rows, height), _span(columns, width)


def _span(shares: Sequence[float], count: int) -> slice:
    """Return the pixels between the least and the greatest of some shares of a side."""
    first = max(0, math.floor(min(shares) * count) - 1)
    return slice(min(first, count), min(count, max(0, math.ceil(max(shares) * count) + 2)))


def glow(
    fittings: Sequence[LitFitting],
    eye_m: tuple[float, float, float],
    rays: FloatArray,
    depth: FloatArray,
) -> tuple[BoolArray, FloatArray]:
    """Return the shapes of fittings in a picture and what they add to it at full level.

    Parameters
    ----------
    fittings : the fittings of one circuit.
    eye_m : [m].
    rays : array [h, w, 3] of sight lines.
    depth : array [h, w]; where the sight lines end, as multiples of `rays`.

    Returns
    -------
    Two arrays [h, w] : True where a fitting's opening is seen, and luminance [cd/m²].
    """
    shape, shine = np.zeros(rays.shape[:2], dtype=bool), np.zeros(rays.shape[:2])
    eye = np.array(eye_m, dtype=float)
    for fitting in fittings:
        if fitting.shape == "none":
            continue
        start = np.array(fitting.placement.position_m, dtype=float)
        end = start if fitting.placement.end_m is None else np.array(fitting.placement.end_m)
        window = _window((start, end), eye, rays, REACH_TANGENT)
        part = rays[window]
        seen, light = _one_glow(fitting, start, end, eye, part, _squared(part), depth[window])
        shape[window] |= seen
        shine[window] += light
    return shape, shine


def _one_glow(
    fitting: LitFitting,
    start: FloatArray,
    end: FloatArray,
    eye: FloatArray,
    rays: FloatArray,
    rr: FloatArray,
    depth: FloatArray,
) -> tuple[BoolArray, FloatArray]:
    """Return where one fitting's opening is seen in a part of a picture, and its light there."""
    middle = (start + end) / 2
    intensity = eye_intensity(fitting, middle, eye)
    facing = luminaire_axes(aim=fitting.placement.aim)[2]
    if fitting.shape == "disc":
        mask, time = _disc(start, facing, fitting.size_m / 2, eye, rays)
    else:
        mask, time = _capsule(start, end, fitting.size_m / 2, eye, rays, rr)
    seen = mask & (time <= depth * BEHIND_SLACK)
    way = (eye - middle) / max(float(np.linalg.norm(eye - middle)), 1e-6)
    luminance = intensity / _seen_m2(fitting, abs(float(way @ facing)))
    light = np.where(seen, luminance, 0.0)
    points = BAR_VEILS if fitting.shape == "bar" else 1
    for part in range(points):
        place = start + (part + 0.5) / points * (end - start)
        light += _veil(place, intensity / points, eye, rays, rr)
    return seen, light
