"""Direct illuminance at points: the inverse-square and cosine laws.

Directions of a luminaire are given in the C-γ system: γ = 0 along `aim`; for a luminaire aimed
straight down C = 0 points along +x and C = 90 along +y. For another aim the luminaire is swung
by the shortest way from straight down; `turn_deg` then turns it about its own axis.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntensityFunction = Callable[[Any, Any], Any]
Axes = tuple[FloatArray, FloatArray, FloatArray]

DOWN = (0.0, 0.0, -1.0)
UP = (0.0, 0.0, 1.0)
ROUNDING_CD = 1e-9


def vector(name: str, value: object) -> FloatArray:
    """Return three finite numbers as an array, or refuse them by name."""
    try:
        array = np.asarray(value, dtype=float)
    except (TypeError, ValueError) as error:
        raise ValueError(f"{name} must be three numbers, got {value!r}") from error
    if array.shape != (3,) or not np.isfinite(array).all():
        raise ValueError(f"{name} must be three finite numbers, got {value!r}")
    return array


def unit_vector(name: str, value: object) -> FloatArray:
    """Return a vector of length one in the given direction; a zero vector is refused."""
    array = vector(name, value)
    length = float(np.linalg.norm(array))
    if not length > 1e-12:
        raise ValueError(f"{name} must not be of zero length, got {value!r}")
    return array / length


def luminaire_axes(*, aim: object = DOWN, turn_deg: float = 0.0) -> Axes:
    """Return the unit directions of C = 0, of C = 90 and of γ = 0 in the room.

    Parameters
    ----------
    aim : direction of γ = 0; any length above 0.
    turn_deg : [°], finite; turn about the aim, anticlockwise seen from above when aimed down.

    Returns
    -------
    Three unit vectors, at right angles to each other.

    Raises
    ------
    ValueError : `aim` has no direction or `turn_deg` is not finite.

    Notes
    -----
    Aimed straight up there is no shortest way; the luminaire is then tipped about the x axis.

    References
    ----------
    CIE 121 (C-γ system of planes); the choice of C = 0 along +x is our own.

    >>> [(axis + 0.0).round(6).tolist() for axis in luminaire_axes()]
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0]]
    """
    try:
        return _axes_kept(tuple(np.asarray(aim, dtype=float).tolist()), float(turn_deg))
    except (TypeError, ValueError):
        return _axes(aim, turn_deg)  # the refusal tells what was given


@lru_cache(maxsize=1024)
def _axes_kept(aim: tuple[float, ...], turn_deg: float) -> Axes:
    return _axes(aim, turn_deg)


def _axes(aim: object, turn_deg: float) -> Axes:
    """Work out a luminaire's axes."""
    axis = unit_vector("aim", aim)
    if not math.isfinite(turn_deg):
        raise ValueError(f"turn_deg must be finite, got {turn_deg!r}")
    cosine = -axis[2]
    if cosine < -1 + 1e-12:
        first, second = np.array([1.0, 0.0, 0.0]), np.array([0.0, -1.0, 0.0])
    else:
        # Rodrigues' formula for the shortest rotation that takes (0, 0, −1) to `axis`.
        lean = 1.0 / (1.0 + cosine)
        x, y = axis[0], axis[1]
        first = np.array([1 - lean * x * x, -lean * x * y, x])
        second = np.array([-lean * x * y, 1 - lean * y * y, y])
    turn = math.radians(turn_deg)
    c0 = math.cos(turn) * first + math.sin(turn) * second
    c90 = -math.sin(turn) * first + math.cos(turn) * second
    return c0 + 0.0, c90 + 0.0, axis


def intensities(
    intensity_cd: IntensityFunction, c_deg: FloatArray, gamma_deg: FloatArray
) -> FloatArray:
    """Return a luminous intensity function's values [cd] over arrays of angles [°].

    A function written for single numbers is called once for each angle (slower).

    Parameters
    ----------
    intensity_cd : function of (C, γ), each [°].
    c_deg, gamma_deg : arrays of one shape; C 0 to 360, γ 0 to 180.

    Returns
    -------
    Array [cd] of that shape.

    Raises
    ------
    ValueError : an intensity is negative or not finite.

    >>> intensities(lambda c, g: 100, np.zeros(2), np.zeros(2)).tolist()
    [100.0, 100.0]
    """
    try:
        values = np.asarray(intensity_cd(c_deg, gamma_deg), dtype=float)
        values = np.broadcast_to(values, gamma_deg.shape)
    except (TypeError, ValueError):
        pairs = zip(c_deg.ravel().tolist(), gamma_deg.ravel().tolist(), strict=True)
        flat = [float(intensity_cd(c, gamma)) for c, gamma in pairs]
        values = np.array(flat, dtype=float).reshape(gamma_deg.shape)
    # A cosine at 90° may round to just below 0: that is darkness, not negative light.
    if not (np.isfinite(values) & (values >= -ROUNDING_CD)).all():
        raise ValueError("a luminous intensity must be finite and not below 0 cd")
    return np.asarray(np.maximum(values, 0.0))


def illuminance(
    *,
    intensity_cd: IntensityFunction,
    source_m: tuple[float, float, float],
    point_m: tuple[float, float, float],
    normal: tuple[float, float, float] = UP,
    aim: tuple[float, float, float] = DOWN,
    turn_deg: float = 0.0,
) -> float:
    """Return the direct illuminance of a point source at a point: E = I·cos θ / d².

    Parameters
    ----------
    intensity_cd : function (c_deg, gamma_deg) → [cd], not below 0.
    source_m, point_m : [m], three finite numbers each; not the same place.
    normal : direction the lit surface faces; any length above 0.
    aim : direction of γ = 0; any length above 0.
    turn_deg : [°]; turn about the aim.

    Returns
    -------
    float [lx]; 0 where the source is behind the surface.

    Raises
    ------
    ValueError : a vector is bad, the source is at the point, or the intensity is negative.

    Notes
    -----
    True within 1 % where the distance is at least five times the largest size of the source;
    nearer, cut the source into parts (`light_sources.line`).

    References
    ----------
    Lambert's cosine law; the inverse-square law (any photometry text).

    >>> illuminance(intensity_cd=lambda c, g: 100.0, source_m=(0, 0, 2), point_m=(0, 0, 0))
    25.0
    """
    ray = vector("point_m", point_m) - vector("source_m", source_m)
    facing = unit_vector("normal", normal)
    c0, c90, axis = luminaire_axes(aim=aim, turn_deg=turn_deg)
    distance = float(np.linalg.norm(ray))
    if not distance > 1e-9:
        raise ValueError("the source is at the point: the illuminance has no value there")
    direction = ray / distance
    gamma = math.degrees(math.acos(max(-1.0, min(1.0, float(direction @ axis)))))
    c = math.degrees(math.atan2(float(direction @ c90), float(direction @ c0))) % 360.0
    intensity = float(intensity_cd(c, gamma))
    if not (-ROUNDING_CD <= intensity < math.inf):
        raise ValueError(f"intensity must be finite and not below 0 cd, got {intensity!r}")
    cosine = -float(direction @ facing)
    return max(0.0, intensity) * cosine / distance**2 if cosine > 0 else 0.0
