"""What boxes in a room keep from its faces: the light of a source, and a share of the half space."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from engineering.form_factors import point_to_parallel, point_to_perpendicular
from engineering.room_faces import Cuboid, Face

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

# A sight line that is in a box for less than this share of its length passes it.
SLACK = 1e-4

# Light that a box keeps from a point comes back in part from the box itself.
BLOCKED_SHARE = 0.8


def is_lit(origins_m: FloatArray, points_m: FloatArray, cuboids: Sequence[Cuboid]) -> FloatArray:
    """Return 1 where nothing stands between a source and a point, else 0: array [s, p].

    >>> wall = Cuboid(low_m=(1, 0, 0), high_m=(1.1, 3, 3))
    >>> is_lit(np.array([[0.0, 1, 1]]), np.array([[2.0, 1, 1], [0.5, 1, 1]]), [wall]).tolist()
    [[0.0, 1.0]]
    """
    free = np.ones((origins_m.shape[0], points_m.shape[0]))
    # For each source, what lies beside the box round it and all points shades none of them.
    low = np.minimum(origins_m, points_m.min(axis=0))
    high = np.maximum(origins_m, points_m.max(axis=0))
    for cuboid in cuboids:
        between = ((np.array(cuboid.high_m) > low) & (np.array(cuboid.low_m) < high)).all(axis=1)
        if between.any():
            free[between] *= _is_past(origins_m[between], points_m, cuboid)
    return free


def _is_past(origins_m: FloatArray, points_m: FloatArray, cuboid: Cuboid) -> FloatArray:
    """Return 1 where a sight line from a source to a point does not meet a box, else 0."""
    shape = origins_m.shape[0], points_m.shape[0]
    enter, leave = np.full(shape, SLACK), np.full(shape, 1 - SLACK)
    for axis in range(3):
        one, other = _stay(origins_m, points_m[:, axis], cuboid, axis)
        np.maximum(enter, one, out=enter)
        np.minimum(leave, other, out=leave)
    return np.asarray(leave - enter <= SLACK, dtype=float)


def lit_on_face(origins_m: FloatArray, face: Face, cuboids: Sequence[Cuboid]) -> BoolArray:
    """Return where nothing stands between a source and a cell of a face: array [s, first, second].

    The same as `is_lit` for its cells, but quicker: when a sight line enters and leaves a box along
    one axis depends on the cell's place along that axis alone.
    """
    places = face.places_m
    free = np.ones((origins_m.shape[0], *face.cells), dtype=bool)
    low = np.minimum(origins_m, [place[0] for place in places])
    high = np.maximum(origins_m, [place[-1] for place in places])
    (u, v), w = face.in_plane, face.axis
    for cuboid in cuboids:
        between = ((np.array(cuboid.high_m) > low) & (np.array(cuboid.low_m) < high)).all(axis=1)
        if not between.any():
            continue
        chosen = origins_m[between]
        enter, leave = _stay(chosen, places[u], cuboid, u)
        for limit, one in zip((enter, leave), _stay(chosen, places[w], cuboid, w), strict=True):
            (np.maximum if limit is enter else np.minimum)(limit, one, out=limit)
        np.maximum(enter, SLACK, out=enter)
        np.minimum(leave, 1 - SLACK, out=leave)
        across = _stay(chosen, places[v], cuboid, v)
        left = np.minimum(leave[:, :, None], across[1][:, None, :])
        left -= np.maximum(enter[:, :, None], across[0][:, None, :])
        free[between] &= left <= SLACK
    return free


def _stay(
    origins_m: FloatArray, places_m: FloatArray, cuboid: Cuboid, axis: int
) -> tuple[FloatArray, FloatArray]:
    """Return when sight lines are between a box's sides along an axis: [s, places], 0 to 1 and beyond."""
    step = places_m[None, :] - origins_m[:, axis, None]
    step[np.abs(step) < 1e-12] = 1e-12
    one = (cuboid.low_m[axis] - origins_m[:, axis, None]) / step
    other = (cuboid.high_m[axis] - origins_m[:, axis, None]) / step
    return np.minimum(one, other), np.maximum(one, other)


def open_share(face: Face, points_m: FloatArray, cuboids: Sequence[Cuboid]) -> FloatArray:
    """Return the share of the half space before points that boxes leave open.

    Parameters
    ----------
    face : tells which way the points look; they may lie in another plane than it.
    points_m : array [p, 3] [m].
    cuboids : what stands before them.

    Notes
    -----
    It is what is left after the form factors of the boxes' near faces, a fifth of which counts as
    open for the light the box itself sends back; so a floor darkens softly under a table.
    """
    blocked = np.zeros(points_m.shape[0])
    sign = -1.0 if face.is_far else 1.0
    u, v = face.in_plane
    for cuboid in cuboids:
        # In the face's own frame: two ways along it, and the height out of it.
        along = [
            (cuboid.low_m[axis] - points_m[:, axis], cuboid.high_m[axis] - points_m[:, axis])
            for axis in (u, v)
        ]
        one_end, other_end = (
            np.maximum(0.0, sign * (end - points_m[:, face.axis]))
            for end in (cuboid.low_m[face.axis], cuboid.high_m[face.axis])
        )
        low, high = np.minimum(one_end, other_end), np.maximum(one_end, other_end)
        if not (high > 1e-6).any():
            continue
        above = low > 1e-6
        if above.any():
            under = _parallel_share(along[0], along[1], np.where(above, low, 1.0))
            blocked += np.where(above, under, 0.0)
        for one, other in ((0, 1), (1, 0)):
            blocked += _side_share(along[one], along[other], low, high)
    return np.asarray(1 - BLOCKED_SHARE * np.minimum(blocked, 1.0))


def _parallel_share(
    u: tuple[FloatArray, FloatArray], v: tuple[FloatArray, FloatArray], height: FloatArray
) -> FloatArray:
    """Form factors to the underside of a box."""
    corner = [[point_to_parallel(one, other, height) for other in v] for one in u]
    return np.asarray(corner[1][1] - corner[0][1] - corner[1][0] + corner[0][0])


def _side_share(
    across: tuple[FloatArray, FloatArray],
    along: tuple[FloatArray, FloatArray],
    low: FloatArray,
    high: FloatArray,
) -> FloatArray:
    """Form factors to the near one of two opposite sides of a box; 0 beside neither."""
    distance = np.maximum(np.maximum(across[0], -across[1]), 0.0)
    outside = distance > 1e-6
    near = np.where(outside, distance, 1.0)
    share = (
        point_to_perpendicular(along[1], low, near)
        - point_to_perpendicular(along[0], low, near)
        - point_to_perpendicular(along[1], high, near)
        + point_to_perpendicular(along[0], high, near)
    )
    return np.where(outside, share, 0.0)
