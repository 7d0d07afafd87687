"""Direct light of many sources on many points at once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engineering.box import SAMPLES_PER_PATCH, Box
from engineering.emission import Spread, first_light, spread
from engineering.points import DOWN, IntensityFunction, intensities, luminaire_axes, vector
from engineering.refusal import above_zero
from engineering.room_faces import Cuboid, Face
from engineering.shadows import is_lit, lit_on_face

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

RAYS_PER_FITTING = 2048
FEWEST_RAYS = 64
# Pairs of source and point worked on at once: what a processor keeps close by.
PAIRS_AT_ONCE = 60_000
# A patch that takes this share of a source's light is hit by a hundred rays or more.
DENSE_SHARE = 0.05
FAIR_SCALE = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A point source in a room.

    Parameters
    ----------
    position_m : [m], in the room's frame.
    intensity_cd : function (c_deg, gamma_deg) → [cd], not below 0. A function that takes arrays is
        much quicker; it may also offer `of_cosine(cos_gamma)` where it is round.
    flux_lm : [lm], above 0; what the energy check compares with.
    aim : direction of γ = 0, straight down if not told.
    turn_deg : [°]; turn about the aim.
    part : above 0, at most 1; the share of a fitting that this source stands for, where a long one
        is cut into parts.

    Raises
    ------
    ValueError : a value is out of its range.

    >>> Source(position_m=(1, 1, 2.4), intensity_cd=lambda c, g: 100.0, flux_lm=1256.6).turn_deg
    0.0
    """

    position_m: tuple[float, float, float]
    intensity_cd: IntensityFunction
    flux_lm: float
    aim: tuple[float, float, float] = DOWN
    turn_deg: float = 0.0
    part: float = 1.0

    def __post_init__(self) -> None:
        vector("position_m", self.position_m)
        above_zero("flux_lm", self.flux_lm)
        if not callable(self.intensity_cd):
            raise ValueError("intensity_cd must be a function of (c_deg, gamma_deg)")
        if not (0 < self.part <= 1):
            raise ValueError(f"part must be above 0 and at most 1, got {self.part!r}")
        luminaire_axes(aim=self.aim, turn_deg=self.turn_deg)

    @property
    def rays(self) -> int:
        """Rays that stand for the source's first light."""
        return max(FEWEST_RAYS, math.ceil(RAYS_PER_FITTING * self.part))


@dataclass(frozen=True, kw_only=True, eq=False)
class Bundle:
    """Sources of one distribution and aim, worked on together."""

    intensity_cd: IntensityFunction
    axes: tuple[FloatArray, FloatArray, FloatArray]
    origins_m: FloatArray
    rays: int


def same_law(law: IntensityFunction) -> object:
    """Return a key that is the same for laws that are equal, and for each other law its own."""
    try:
        hash(law)
    except TypeError:  # a method of a value that holds arrays: what it belongs to stays the same
        return id(getattr(law, "__self__", law)), getattr(law, "__name__", "")
    return law


def bundles(sources: Iterable[Source]) -> list[Bundle]:
    """Group sources that differ only in their place."""
    groups: dict[tuple[object, ...], list[Source]] = {}
    for source in sources:
        key = (same_law(source.intensity_cd), tuple(source.aim), source.turn_deg, source.rays)
        groups.setdefault(key, []).append(source)
    return [
        Bundle(
            intensity_cd=group[0].intensity_cd,
            axes=luminaire_axes(aim=group[0].aim, turn_deg=group[0].turn_deg),
            origins_m=np.array([source.position_m for source in group], dtype=float),
            rays=group[0].rays,
        )
        for group in groups.values()
    ]


def direct_on_patches(box: Box, sources: Sequence[Source]) -> FloatArray:
    """Return the direct illuminance [lx] of each patch of a box.

    Where much of a source's light falls on one patch its rays are counted; elsewhere the
    inverse-square law is averaged over four places of the patch, which is smoother. The two
    together are made to carry the source's whole flux.
    """
    flux = np.zeros(box.offsets[-1])
    for bundle in bundles(sources):
        rays = spread(bundle.intensity_cd, bundle.rays)
        step = max(1, PAIRS_AT_ONCE // max(box.sample_points_m.shape[0], rays.local.shape[0]))
        for start in range(0, bundle.origins_m.shape[0], step):
            origins = bundle.origins_m[start : start + step]
            flux += _flux_on_patches(box, bundle, origins, rays)
    return np.asarray(flux / box.areas_m2)


def _flux_on_patches(box: Box, bundle: Bundle, origins: FloatArray, rays: Spread) -> FloatArray:
    """Flux [lm] on each patch of a few sources together, by rays and by sampling."""
    counted = first_light(box, origins, bundle.axes, rays)
    sampled = _each_at(bundle, origins, box.sample_points_m, box.sample_normals, 1e-6)
    sampled = sampled.reshape(origins.shape[0], -1, SAMPLES_PER_PATCH).mean(axis=2)
    sampled *= box.areas_m2
    dense = counted >= DENSE_SHARE * rays.flux_lm
    left = np.where(dense, 0.0, counted).sum(axis=1)
    reached = np.where(dense, 0.0, sampled).sum(axis=1)
    scale = left / np.where(reached > 0, reached, 1.0)
    # A beam or a near surface that the four places miss shows as a scale far from one.
    is_fair = np.abs(scale - 1) <= FAIR_SCALE
    by_samples = ~dense & is_fair[:, None]
    return np.asarray(np.where(by_samples, sampled * scale[:, None], counted).sum(axis=0))


def direct_at(
    sources: Sequence[Source],
    points_m: FloatArray,
    normals: FloatArray,
    nearest_m: float = 1e-6,
    cuboids: Sequence[Cuboid] = (),
) -> FloatArray:
    """Return the direct illuminance [lx] at points that face given ways.

    Parameters
    ----------
    sources : the lights.
    points_m : array [p, 3] [m].
    normals : array [p, 3] or [3] of unit vectors.
    nearest_m : [m]; a source nearer than this counts as this far away.
    cuboids : boxes that throw shadows.

    Returns
    -------
    Array [p] [lx].

    >>> lamp = Source(position_m=(0, 0, 2), intensity_cd=lambda c, g: 100.0, flux_lm=1256.6)
    >>> direct_at([lamp], np.zeros((1, 3)), np.array([0.0, 0.0, 1.0])).tolist()
    [25.0]
    """
    return bundles_at(bundles(sources), points_m, normals, nearest_m, cuboids)


def bundles_at(
    grouped: Sequence[Bundle],
    points_m: FloatArray,
    normals: FloatArray,
    nearest_m: float = 1e-6,
    cuboids: Sequence[Cuboid] = (),
) -> FloatArray:
    """Return the same for sources that are grouped already."""
    total = np.zeros(points_m.shape[0])
    for bundle in grouped:
        step = max(1, PAIRS_AT_ONCE // max(1, points_m.shape[0]))
        for start in range(0, bundle.origins_m.shape[0], step):
            origins = bundle.origins_m[start : start + step]
            each = _each_at(bundle, origins, points_m, normals, nearest_m)
            if cuboids:
                each *= is_lit(origins, points_m, cuboids)
            total += each.sum(axis=0)
    return total


def _each_at(
    bundle: Bundle, origins: FloatArray, points: FloatArray, normals: FloatArray, nearest: float
) -> FloatArray:
    """Direct illuminance [sources, points] of some sources of one bundle at points."""
    x, y, z = (points[None, :, axis] - origins[:, axis, None] for axis in range(3))
    facing = -(x * normals[..., 0] + y * normals[..., 1] + z * normals[..., 2])
    if not (facing > 0).any():
        return np.zeros(facing.shape)
    return _from_offsets(bundle, [x, y, z], np.maximum(facing, 0.0), nearest)


def _from_offsets(
    bundle: Bundle, away: list[FloatArray], facing: FloatArray, nearest: float
) -> FloatArray:
    """Illuminance from the offsets source to point and the offsets' part along −normal."""
    x, y, z = away
    c0, c90, axis = bundle.axes
    squared = np.maximum((x * x + y * y) + z * z, nearest * nearest)
    distance = np.sqrt(squared)
    cosine = np.clip(_along(away, axis) / distance, -1.0, 1.0)
    by_cosine = getattr(bundle.intensity_cd, "of_cosine", None)
    if by_cosine is not None:
        intensity = by_cosine(cosine)
    else:
        c = np.degrees(np.arctan2(_along(away, c90), _along(away, c0)))
        c, gamma = np.mod(c, 360.0), np.degrees(np.arccos(cosine))
        intensity = intensities(bundle.intensity_cd, np.broadcast_to(c, gamma.shape), gamma)
    return np.asarray(intensity * facing / (squared * distance))


def _along(away: list[FloatArray], axis: FloatArray) -> FloatArray:
    """Part of offsets along an axis; parts of an axis that are 0 cost nothing."""
    parts = [offset * part for offset, part in zip(away, axis.tolist(), strict=True) if part]
    return np.asarray(sum(parts))


def direct_on_face(
    sources: Sequence[Source],
    face: Face,
    nearest_m: float = 1e-6,
    cuboids: Sequence[Cuboid] = (),
) -> FloatArray:
    """Return the direct illuminance [lx] of the cells of a face, first in-plane axis slowest.

    The same as `direct_at`, but quicker: all cells of a face lie equally far off a source's level.
    """
    total = np.zeros(face.cells)
    for bundle in bundles(sources):
        is_free = lit_on_face(bundle.origins_m, face, cuboids) if cuboids else None
        total += bundle_on_face(bundle, face, nearest_m, is_free)
    return total.ravel()


def bundle_on_face(
    bundle: Bundle, face: Face, nearest_m: float, is_free: BoolArray | None = None
) -> FloatArray:
    """Return the direct illuminance [lx] of sources of one kind on the cells [first, second] of a face.

    `is_free` [sources, first, second] tells where nothing stands between; None if nothing does.
    """
    (u_axis, v_axis), sign = face.in_plane, (-1.0 if face.is_far else 1.0)
    total = np.zeros(face.cells)
    before = sign * (bundle.origins_m[:, face.axis] - face.place_m) > 1e-9
    if not before.any():
        return total
    all_before = bundle.origins_m[before]
    free = None if is_free is None else is_free[before]
    step = max(1, PAIRS_AT_ONCE // total.size)
    for start in range(0, all_before.shape[0], step):
        origins = all_before[start : start + step]
        u = face.centres(0)[None, :, None] - origins[:, u_axis, None, None]
        v = face.centres(1)[None, None, :] - origins[:, v_axis, None, None]
        w = (face.place_m - origins[:, face.axis])[:, None, None]
        away = [u, v, w] if face.axis == 2 else [u, w, v] if face.axis == 1 else [w, u, v]
        each = _from_offsets(bundle, away, np.abs(w), nearest_m)
        if free is not None:
            each *= free[start : start + step]
        total += each.sum(axis=0)
    return total
