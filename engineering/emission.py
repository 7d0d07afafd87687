"""What a luminaire sends where: its flux, and its first light on the surfaces of a box.

The flux is spread over a fixed set of rays of equal flux, so no light is lost between patches and
the same source always gives the same answer, whatever else burns in the room.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from engineering.box import Box
from engineering.points import IntensityFunction, intensities

FloatArray = NDArray[np.float64]

GAMMA_CELLS = 360
C_CELLS = 72
# Golden section: the most even spread of a sequence round a circle.
GOLDEN = (math.sqrt(5) - 1) / 2
GAUSS_OFFSET = 1 / math.sqrt(3)
# For each axis the surface at its origin end and the one at its far end.
SURFACE_HIT = ((5, 3), (2, 4), (0, 1))


@dataclass(frozen=True, kw_only=True, eq=False)
class Spread:
    """A luminous intensity distribution as rays of equal flux.

    `flux_lm` is the distribution's whole flux [lm]; `local` [m, 3] the rays' directions along
    C = 0, C = 90 and γ = 0.
    """

    flux_lm: float
    local: FloatArray


def _zonal_flux(intensity_cd: IntensityFunction) -> FloatArray:
    """Return the flux [lm] by C cell and γ cell; one C cell where the distribution is round."""
    edges = np.linspace(0.0, 180.0, GAMMA_CELLS + 1)
    middle, half = (edges[1:] + edges[:-1]) / 2, 90.0 / GAMMA_CELLS
    gamma = np.concatenate([middle - half * GAUSS_OFFSET, middle + half * GAUSS_OFFSET])
    # Angles off the round numbers tell a round distribution from a merely symmetrical one.
    trial = np.array([0.0, 17.0, 45.0, 90.0, 111.0, 180.0, 233.0, 270.0, 329.0])
    c = trial
    values = intensities(intensity_cd, *np.meshgrid(c, gamma, indexing="ij"))
    if np.allclose(values, values[:1], rtol=1e-9, atol=1e-9):
        c, values = trial[:1], values[:1]
    else:
        c = (np.arange(C_CELLS) + 0.5) * (360.0 / C_CELLS)
        values = intensities(intensity_cd, *np.meshgrid(c, gamma, indexing="ij"))
    ring = values * np.sin(np.radians(gamma)) * math.radians(half)
    flux = ring[:, :GAMMA_CELLS] + ring[:, GAMMA_CELLS:]
    return np.asarray(flux * (2 * math.pi / c.size))


def total_flux_lm(intensity_cd: IntensityFunction) -> float:
    """Return the flux [lm] of a luminous intensity distribution over the whole sphere.

    Parameters
    ----------
    intensity_cd : function (c_deg, gamma_deg) → [cd].

    Returns
    -------
    float [lm]; two-point Gauss rule over half degrees of γ.

    Raises
    ------
    ValueError : an intensity is negative or not finite.

    References
    ----------
    Φ = ∫ I dΩ (CIE 84, The measurement of luminous flux).

    >>> round(total_flux_lm(lambda c, g: 1000.0), 2)
    12566.37
    """
    return float(_zonal_flux(intensity_cd).sum())


def _draw(flux: FloatArray, count: int) -> Spread:
    """Turn zonal flux into `count` rays of equal flux at evenly spread places."""
    total = float(flux.sum())
    if not total > 0:
        return Spread(flux_lm=0.0, local=np.zeros((0, 3)))
    by_gamma = np.concatenate([[0.0], np.cumsum(flux.sum(axis=0))]) / total
    u = (np.arange(count) + 0.5) / count
    around = np.mod(np.arange(count) * GOLDEN, 1.0)
    cell = np.clip(np.searchsorted(by_gamma, u, side="right") - 1, 0, GAMMA_CELLS - 1)
    width = by_gamma[cell + 1] - by_gamma[cell]
    within = (u - by_gamma[cell]) / np.where(width > 0, width, 1.0)
    cosines = np.cos(np.radians(np.linspace(0.0, 180.0, GAMMA_CELLS + 1)))
    cosine = cosines[cell] + within * (cosines[cell + 1] - cosines[cell])
    if flux.shape[0] > 1:
        around = _around(flux[:, cell], around)
    sine, angle = np.sqrt(np.maximum(0.0, 1 - cosine**2)), 2 * math.pi * around
    local = np.stack([sine * np.cos(angle), sine * np.sin(angle), cosine], axis=1)
    return Spread(flux_lm=total, local=local)


def _around(ring: FloatArray, share: FloatArray) -> FloatArray:
    """Return the turn (0 to 1) at which a share of each ring's flux is reached."""
    rising = np.vstack([np.zeros(ring.shape[1]), np.cumsum(ring, axis=0)])
    rising = rising / rising[-1]
    cell = np.clip((rising <= share[None, :]).sum(axis=0) - 1, 0, ring.shape[0] - 1)
    columns = np.arange(ring.shape[1])
    low, high = rising[cell, columns], rising[cell + 1, columns]
    within = (share - low) / np.where(high > low, high - low, 1.0)
    return np.asarray((cell + within) / ring.shape[0])


@lru_cache(maxsize=256)
def _spread_kept(intensity_cd: IntensityFunction, count: int) -> Spread:
    return _draw(_zonal_flux(intensity_cd), count)


def spread(intensity_cd: IntensityFunction, count: int) -> Spread:
    """Return a distribution as `count` rays of equal flux; kept for functions that can be a key.

    >>> spread(lambda c, g: 100.0, 64).local.shape
    (64, 3)
    """
    try:
        return _spread_kept(intensity_cd, count)
    except TypeError:  # a method of a value that holds arrays has no hash
        return _draw(_zonal_flux(intensity_cd), count)


def _hit_surface(direction: FloatArray, axis: int) -> NDArray[np.intp]:
    """Return the surface that each ray runs to along an axis."""
    near, far = SURFACE_HIT[axis]
    return np.where(direction[:, axis] > 0, far, near)


def first_light(
    box: Box, origins_m: FloatArray, axes: tuple[FloatArray, FloatArray, FloatArray], rays: Spread
) -> FloatArray:
    """Return the flux [lm] that each of some sources of one kind and aim puts on each patch.

    Parameters
    ----------
    box : the patches.
    origins_m : array [s, 3] of places in the box or on its surface.
    axes : directions of C = 0, C = 90, γ = 0 in the room.
    rays : the distribution.

    Returns
    -------
    Array [s, n] [lm]; each row adds up to the flux of the distribution.
    """
    patches, sources = box.offsets[-1], origins_m.shape[0]
    if rays.local.shape[0] == 0:
        return np.zeros((sources, patches))
    direction = rays.local @ np.stack(axes)
    times = []
    for axis, size in enumerate(box.room.size_m):
        step, start = direction[:, axis], origins_m[:, axis, None]
        with np.errstate(divide="ignore", over="ignore"):
            inverse = np.where(np.abs(step) < 1e-12, np.inf, 1.0 / step)
        # The face the ray runs to; a ray along it never arrives (and 0·∞ must not be asked).
        reach = np.maximum(np.where(step > 0, size - start, start), 1e-12)
        times.append(reach * np.abs(inverse))
    nearest = np.minimum(np.minimum(times[0], times[1]), times[2])
    surface = np.where(
        times[2] == nearest,
        _hit_surface(direction, 2),
        np.where(times[1] == nearest, _hit_surface(direction, 1), _hit_surface(direction, 0)),
    )
    base, strides = box.numbering
    patch = base[surface]
    for axis, (size, cells) in enumerate(zip(box.room.size_m, box.counts, strict=True)):
        place = (origins_m[:, axis, None] + nearest * direction[:, axis]) * (cells / size)
        patch += np.clip(place.astype(np.intp), 0, cells - 1) * strides[axis][surface]
    patch += np.arange(sources)[:, None] * patches
    hits = np.bincount(patch.ravel(), minlength=sources * patches).reshape(sources, patches)
    return np.asarray(hits * (rays.flux_lm / rays.local.shape[0]))
