"""Exchange of light between diffuse surfaces of a closed space.

Every surface sends back the share ρ of what it receives, evenly (Lambert). What each receives in
the end is the solution of E = E_direct + F·ρ·E.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

# Published form factors are printed with six figures, so their sums may miss 1 by as little.
CLOSURE_TOLERANCE = 1e-3
# Above this an inverse would take seconds: a box needs some 600 patches.
MOST_SURFACES = 4000


def _checked_surfaces(
    areas_m2: ArrayLike, reflectances: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Return areas and reflectances as arrays, or refuse them."""
    areas = np.asarray(areas_m2, dtype=float)
    shares = np.asarray(reflectances, dtype=float)
    if areas.ndim != 1 or not 1 <= areas.size <= MOST_SURFACES:
        raise ValueError(f"areas_m2 must list 1 to {MOST_SURFACES} surfaces, got {areas.shape}")
    if not (np.isfinite(areas) & (areas > 0)).all():
        raise ValueError("areas_m2 must be finite numbers above 0")
    if shares.shape != areas.shape:
        raise ValueError(f"{areas.size} areas but reflectances of shape {shares.shape}")
    if not ((shares >= 0) & (shares < 1)).all():
        raise ValueError("reflectances must be at least 0 and below 1")
    return areas, shares


def _checked_factors(form_factors: ArrayLike, areas: FloatArray) -> FloatArray:
    """Return the form factors as a square array that a real space can have, or refuse them."""
    factors = np.asarray(form_factors, dtype=float)
    if factors.shape != (areas.size, areas.size):
        raise ValueError(f"form_factors must be {areas.size} × {areas.size}, got {factors.shape}")
    if not ((factors >= 0) & (factors <= 1 + CLOSURE_TOLERANCE)).all():
        raise ValueError("form_factors must be from 0 to 1")
    if not (factors.sum(axis=1) <= 1 + CLOSURE_TOLERANCE).all():
        raise ValueError("form_factors of one surface must not add up to more than 1")
    exchange_areas = areas[:, None] * factors
    if not (np.abs(exchange_areas - exchange_areas.T) <= CLOSURE_TOLERANCE * areas.max()).all():
        raise ValueError("form_factors break reciprocity: A₁·F₁₂ must equal A₂·F₂₁")
    return factors


def interreflection(*, form_factors: FloatArray, reflectances: FloatArray) -> FloatArray:
    """Return the matrix that turns direct illuminances into total ones, (1 − F·ρ)⁻¹.

    Parameters
    ----------
    form_factors : array [n, n], rows add up to at most 1.
    reflectances : array [n], each at least 0 and below 1.

    Returns
    -------
    Array [n, n]. Worked out once for a room, it serves every circuit in it.

    >>> interreflection(form_factors=np.array([[1.0]]), reflectances=np.array([0.5])).tolist()
    [[2.0]]
    """
    count = reflectances.size
    return np.asarray(np.linalg.inv(np.eye(count) - form_factors * reflectances[None, :]))


def exchange(
    *,
    areas_m2: ArrayLike,
    reflectances: ArrayLike,
    form_factors: ArrayLike,
    direct_lx: ArrayLike,
) -> FloatArray:
    """Return the total illuminance of each surface after all inter-reflections.

    Parameters
    ----------
    areas_m2 : n areas [m²], each above 0.
    reflectances : n shares, each at least 0 and below 1.
    form_factors : n × n; row i holds the shares of the light of surface i that reach each surface.
        Rows add up to at most 1 (below 1 means an opening through which light is lost).
    direct_lx : n illuminances [lx] of the first light, each at least 0; or n × k for k circuits.

    Returns
    -------
    Array of the shape of `direct_lx`, [lx].

    Raises
    ------
    ValueError : shapes that do not agree, a value out of its range, or form factors that break
        closure or reciprocity by more than one part in a thousand.

    Notes
    -----
    Each surface counts as evenly lit; cut large ones into patches.

    References
    ----------
    Radiosity method; Lienhard & Lienhard, A Heat Transfer Textbook, ch. 10 (grey diffuse
    enclosure); A. Incropera et al., Fundamentals of Heat and Mass Transfer, ch. 13.

    >>> exchange(areas_m2=[96], reflectances=[0.5], form_factors=[[1]], direct_lx=[100]).tolist()
    [200.0]
    """
    areas, shares = _checked_surfaces(areas_m2, reflectances)
    factors = _checked_factors(form_factors, areas)
    direct = np.asarray(direct_lx, dtype=float)
    if direct.ndim not in (1, 2) or direct.shape[0] != areas.size:
        raise ValueError(f"direct_lx must list {areas.size} surfaces, got shape {direct.shape}")
    if not (np.isfinite(direct) & (direct >= 0)).all():
        raise ValueError("direct_lx must be finite and not below 0")
    system = np.eye(areas.size) - factors * shares[None, :]
    return np.asarray(np.linalg.solve(system, direct))
