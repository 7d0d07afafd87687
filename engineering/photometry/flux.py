"""Luminous flux from a table of intensities."""

import math
from collections.abc import Sequence

import numpy as np

from engineering.photometry.symmetry import Floats


def plane_shares(c_deg: Floats) -> Floats:
    """Return which share of the whole turn each plane stands for; they sum to 1.

    >>> plane_shares(np.array([0.0, 90.0, 180.0, 270.0])).tolist()
    [0.25, 0.25, 0.25, 0.25]
    """
    if len(c_deg) == 1:
        return np.ones(1)
    gaps = np.diff(np.concatenate([c_deg, c_deg[:1] + 360.0]))
    shares: Floats = (gaps + np.roll(gaps, 1)) / 720.0
    return shares


def mean_over_planes(c_deg: Floats, intensity_cd: Floats) -> Floats:
    """Return the mean intensity around the axis [cd] for each vertical angle."""
    mean: Floats = plane_shares(c_deg) @ intensity_cd
    return mean


def zonal_flux_lm(
    c_deg: Floats, gamma_deg: Floats, intensity_cd: Floats, edges_deg: Sequence[float]
) -> Floats:
    """Flux in each zone between two vertical angles, by the zonal method.

    The mean intensity of a zone is that of its two edges, times the solid angle
    2π (cos γ₁ - cos γ₂). Between the angles of the table the intensity is taken as linear in
    cos γ, so that zones add up exactly however they are cut.

    Parameters
    ----------
    c_deg, gamma_deg, intensity_cd : the table, [C, gamma]
    edges_deg : at least two rising angles from 0 to 180

    Returns
    -------
    flux [lm], one less than the edges

    Raises
    ------
    ValueError : edges that do not rise from 0 to 180

    References
    ----------
    The zonal method of photometric practice. A Lambertian table of 1000 lm every 5 degrees gives
    1000.0 lm with it and 999.4 lm with linear interpolation, as independent programs find too.

    >>> whole = np.array([0.0, 90.0, 180.0])
    >>> zonal_flux_lm(np.array([0.0]), whole, np.ones((1, 3)), [0, 180]).round(4).tolist()
    [12.5664]
    """
    edges = np.asarray(edges_deg, dtype=float)
    if edges.ndim != 1 or len(edges) < 2 or not (np.diff(edges) > 0).all():
        raise ValueError("edges_deg must be at least two rising angles")
    if not (edges[0] >= 0 and edges[-1] <= 180):
        raise ValueError(f"edges_deg must lie from 0 to 180, got {edges[0]} to {edges[-1]}")
    rising_height = -np.cos(np.radians(gamma_deg))
    mean_cd = mean_over_planes(c_deg, intensity_cd)
    inside = np.clip(-np.cos(np.radians(edges)), rising_height[0], rising_height[-1])
    nodes = np.union1d(rising_height, inside)
    values = np.interp(nodes, rising_height, mean_cd)
    slices = 2.0 * math.pi * np.diff(nodes) * (values[1:] + values[:-1]) / 2.0
    so_far = np.concatenate([[0.0], np.cumsum(slices)])
    zones: Floats = np.diff(np.interp(inside, nodes, so_far))
    return zones


def interpolated_flux_lm(c_deg: Floats, gamma_deg: Floats, intensity_cd: Floats) -> float:
    """Flux of the table as it is interpolated, linear in the angles, integrated exactly [lm].

    ∫ (a + bγ) sin γ dγ = b sin γ - (a + bγ) cos γ over each step. This is the light that a
    room receives when intensities between the angles of the table are interpolated linearly.

    >>> flux = interpolated_flux_lm(
    ...     np.array([0.0]), np.array([0.0, 180.0]), np.array([[1.0, 1.0]])
    ... )
    >>> round(flux, 4)
    12.5664
    """
    mean_cd = mean_over_planes(c_deg, intensity_cd)
    angle = np.radians(gamma_deg)
    if len(angle) == 1:
        return 0.0
    slope = np.diff(mean_cd) / np.diff(angle)
    sine = np.diff(np.sin(angle))
    ends = mean_cd * np.cos(angle)
    return float(2.0 * math.pi * np.sum(slope * sine - np.diff(ends)))
