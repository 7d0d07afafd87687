"""The room in a scene: a one-point perspective drawn from the computed light.

The eye stands behind the wall it looks from, which is left out; that wall's opening is the frame
of the picture. Every pixel is one sight line; where it ends, the cells of that face give its
light, blended from the four nearest. A browser does the same from the same basis.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from engineering.box import BoxRoom
from engineering.finish import board_tone, dusk, finish_of, skirting
from engineering.light_basis import RoomBasis
from engineering.lit_circuits import LitCircuit, LitFitting
from engineering.luminaire_glow import BODY_LUMINANCE, glow
from engineering.room_faces import Face, eye_height_m
from engineering.tone import ByteArray, exposure, to_bytes, white_gain

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int32]
BoolArray = NDArray[np.bool_]

# Looking along +y from the wall at y = 0, along −x from x = L, along −y, along +x.
VIEWS = ("front", "right", "back", "left")
EYE_BEHIND = 0.85
# What is left of a room at night without a lamp, as a share of its full light; bluish.
NIGHT = (0.0020, 0.0030, 0.0054)
EDGE_SHADE = 0.82
MOST_PIXELS = 4_000_000
# What hangs wholly within this of the wall that is left out is left out with it.
AT_OPENING_M = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """An eye: where it is, and the picture's frame (a corner and its two sides) in the room [m]."""

    eye_m: tuple[float, float, float]
    corner_m: tuple[float, float, float]
    across_m: tuple[float, float, float]
    down_m: tuple[float, float, float]

    @property
    def aspect(self) -> float:
        """Width of the frame over its height."""
        return math.hypot(*self.across_m) / math.hypot(*self.down_m)


def camera(room: BoxRoom, view: str) -> Camera:
    """Return the eye behind a wall of a room, looking at the wall opposite.

    Parameters
    ----------
    room : the box.
    view : "front" (from y = 0), "right" (from x = L), "back" (from y = W), "left" (from x = 0).

    Raises
    ------
    ValueError : no such wall.

    >>> camera(BoxRoom(length_m=4, width_m=3, height_m=2.5), "front").aspect
    1.6
    """
    length, width, height = room.size_m
    if view not in VIEWS:
        raise ValueError(f"view must be one of {', '.join(VIEWS)}, got {view!r}")
    wide, deep = (length, width) if view in ("front", "back") else (width, length)
    behind = EYE_BEHIND * max(deep * 0.62, wide * 0.62, height * 0.8)
    eye_height = eye_height_m(room)
    down = (0.0, 0.0, -height)
    if view == "front":
        return Camera(
            eye_m=(length / 2, -behind, eye_height),
            corner_m=(0.0, 0.0, height),
            across_m=(length, 0.0, 0.0),
            down_m=down,
        )
    if view == "back":
        return Camera(
            eye_m=(length / 2, width + behind, eye_height),
            corner_m=(length, width, height),
            across_m=(-length, 0.0, 0.0),
            down_m=down,
        )
    if view == "right":
        return Camera(
            eye_m=(length + behind, width / 2, eye_height),
            corner_m=(length, 0.0, height),
            across_m=(0.0, width, 0.0),
            down_m=down,
        )
    return Camera(
        eye_m=(-behind, width / 2, eye_height),
        corner_m=(0.0, width, height),
        across_m=(0.0, -width, 0.0),
        down_m=down,
    )


def sight_lines(eye: Camera, width_px: int, height_px: int) -> FloatArray:
    """Return the directions [h, w, 3] of the pixels' sight lines; 1 long at the frame."""
    i = (np.arange(width_px) + 0.5) / width_px
    j = (np.arange(height_px) + 0.5) / height_px
    frame = (
        np.array(eye.corner_m)
        + i[None, :, None] * np.array(eye.across_m)
        + j[:, None, None] * np.array(eye.down_m)
    )
    return np.asarray(frame - np.array(eye.eye_m))


@dataclass(frozen=True, kw_only=True, eq=False)
class Sight:
    """For each pixel: its face, the four cells it blends with their weights, and its depth."""

    face: IntArray
    cells: IntArray
    weights: NDArray[np.float32]
    depth: FloatArray


def _is_at_opening(eye: Camera, size_m: Sequence[float], axis: int, *places_m: float) -> bool:
    """Tell whether places on an axis are all at the wall that the eye stands behind.

    A window, a door or a wall light there would stand before everything, so it goes with its wall.
    """
    if 0 <= eye.eye_m[axis] <= size_m[axis]:
        return False
    if eye.eye_m[axis] < 0:
        return max(places_m) < AT_OPENING_M
    return size_m[axis] - min(places_m) < AT_OPENING_M


def _face_is_at_opening(face: Face, eye: Camera, size_m: Sequence[float]) -> bool:
    if _is_at_opening(eye, size_m, face.axis, face.place_m):
        return True
    return any(
        _is_at_opening(eye, size_m, axis, face.low_m[way], face.high_m[way])
        for way, axis in enumerate(face.in_plane)
    )


def _seen_fittings(circuit: LitCircuit, eye: Camera, size_m: Sequence[float]) -> list[LitFitting]:
    """Return the fittings of a circuit that do not go with the wall that is left out."""
    found = []
    for fitting in circuit.fittings:
        place = fitting.placement
        ends = (place.position_m, place.end_m or place.position_m)
        if not any(
            _is_at_opening(eye, size_m, axis, *(end[axis] for end in ends)) for axis in range(3)
        ):
            found.append(fitting)
    return found


def _hit_faces(
    faces: tuple[Face, ...], eye: Camera, rays: FloatArray
) -> tuple[IntArray, FloatArray]:
    """Return the nearest face that looks at the eye along each sight line, and how far off."""
    face_of = np.full(rays.shape[:2], -1, dtype=np.int32)
    depth = np.full(rays.shape[:2], np.inf)
    size = tuple(max(face.place_m for face in faces[:6] if face.axis == axis) for axis in range(3))
    for number, face in enumerate(faces):
        ahead = face.place_m - eye.eye_m[face.axis]
        if (ahead > 0) != face.is_far or ahead == 0 or _face_is_at_opening(face, eye, size):
            continue
        step = rays[..., face.axis]
        with np.errstate(divide="ignore", invalid="ignore"):
            time = ahead / step
        inside = (time > 1e-9) & (time < depth)
        # Room surfaces enclose every sight line, so the slack closes their seams.
        slack = 1e-9
        for way, axis in enumerate(face.in_plane):
            place = eye.eye_m[axis] + time * rays[..., axis]
            inside &= (place >= face.low_m[way] - slack) & (place <= face.high_m[way] + slack)
        face_of[inside], depth[inside] = number, time[inside]
    return face_of, depth


def _blend(
    face: Face, start: int, first_m: FloatArray, second_m: FloatArray
) -> tuple[IntArray, FloatArray]:
    """Return the four cells round places on a face and their weights."""
    steps = []
    for way, place in enumerate((first_m, second_m)):
        count, low, high = face.cells[way], face.low_m[way], face.high_m[way]
        at = np.clip((place - low) / (high - low) * count - 0.5, 0.0, count - 1.0)
        whole = np.minimum(at.astype(np.int32), count - 2)
        steps.append((whole, at - whole))
    (u, u_part), (v, v_part) = steps
    corner = start + u * face.cells[1] + v
    cells = np.stack([corner, corner + 1, corner + face.cells[1], corner + face.cells[1] + 1], -1)
    weights = np.stack(
        [
            (1 - u_part) * (1 - v_part),
            (1 - u_part) * v_part,
            u_part * (1 - v_part),
            u_part * v_part,
        ],
        -1,
    )
    return cells.astype(np.int32), weights


def _sight(faces: tuple[Face, ...], eye: Camera, rays: FloatArray) -> Sight:
    """Follow every sight line to its end."""
    face_of, depth = _hit_faces(faces, eye, rays)
    if (face_of < 0).any():
        raise ValueError("a sight line leaves the room: the faces do not close it")
    cells = np.zeros((*face_of.shape, 4), dtype=np.int32)
    weights = np.zeros((*face_of.shape, 4), dtype=np.float32)
    start = 0
    for number, face in enumerate(faces):
        mask = face_of == number
        if mask.any():
            places = (
                eye.eye_m[axis] + depth[mask] * rays[..., axis][mask] for axis in face.in_plane
            )
            cells[mask], weights[mask] = _blend(face, start, *places)
        start += math.prod(face.cells)
    return Sight(face=face_of, cells=cells, weights=weights, depth=depth)


@dataclass(frozen=True, kw_only=True, eq=False)
class Stage:
    """All of a picture that does not depend on the scene: sight lines, luminaires, their glow."""

    sight: Sight
    shade: FloatArray
    shapes: BoolArray
    glows: tuple[NDArray[np.float32], ...]


@lru_cache(maxsize=2)
def stage(basis: RoomBasis, eye: Camera, width_px: int, height_px: int) -> Stage:
    """Return the stage of a picture; kept, since one room is drawn in many scenes."""
    rays = sight_lines(eye, width_px, height_px)
    sight = _sight(basis.faces, eye, rays)
    shapes = np.zeros(rays.shape[:2], dtype=bool)
    glows = []
    for circuit in basis.circuits:
        shown = _seen_fittings(circuit, eye, basis.room.size_m)
        shape, shine = glow(shown, eye.eye_m, rays, sight.depth)
        shapes |= shape
        glows.append(shine.astype(np.float32))
    shade = edge_shade(sight.face) * _grain(basis, eye, rays, sight)
    return Stage(sight=sight, shade=shade, shapes=shapes, glows=tuple(glows))


def _grain(basis: RoomBasis, eye: Camera, rays: FloatArray, sight: Sight) -> FloatArray:
    """Return the factor of floorboards, skirting and dusk at the end of every sight line."""
    grain, finish = np.ones(sight.face.shape), finish_of(basis.room)

    def place(mask: BoolArray, axis: int) -> FloatArray:
        return np.asarray(eye.eye_m[axis] + sight.depth[mask] * rays[..., axis][mask])

    floor, walls = sight.face == 0, (sight.face > 1) & (sight.face < 6)
    grain[floor] = board_tone(place(floor, finish.along), place(floor, 1 - finish.along))
    grain[walls] = skirting(place(walls, 2), finish.skirting_gain)
    panes = np.array([face.shows_sky for face in basis.faces])[sight.face]
    grain[panes] = dusk(rays[panes])
    return grain


def edge_shade(face_of: IntArray) -> FloatArray:
    """Return what is left of the light where one face meets another: a quiet drawn line."""
    shade = np.ones(face_of.shape)
    across = face_of[:, 1:] != face_of[:, :-1]
    down = face_of[1:, :] != face_of[:-1, :]
    shade[:, :-1][across] = EDGE_SHADE
    shade[:-1, :][down] = EDGE_SHADE
    return shade


def luminances(
    basis: RoomBasis, levels: Mapping[str, float], eye: Camera, width_px: int, height_px: int
) -> FloatArray:
    """Return the linear red, green, blue luminance [h, w, 3], [cd/m²], of a scene."""
    weights = basis.weights(levels)
    set_up = stage(basis, eye, width_px, height_px)
    sight = set_up.sight
    colours = np.array([circuit.colour for circuit in basis.circuits])
    cells = np.einsum("k,kc,kr->cr", weights, basis.cells_lx, colours)
    picture = np.empty((*sight.face.shape, 3))
    # One colour at a time: numpy takes single numbers far quicker than rows of three.
    for colour in range(3):
        channel = cells[:, colour].astype(np.float32)
        picture[..., colour] = np.einsum("hwk,hwk->hw", channel[sight.cells], sight.weights)
    full = float(basis.mean_cd_m2.sum())
    reflected = np.array([face.colour for face in basis.faces])
    own = np.array([face.own for face in basis.faces]) * full
    night = np.array(NIGHT) * full
    picture *= (reflected / math.pi)[sight.face]
    picture += (own + night * reflected)[sight.face]
    picture *= set_up.shade[..., None]
    # An unlit opening shows the mean of the room, in its colour.
    picture[set_up.shapes] = BODY_LUMINANCE * ((weights * basis.mean_cd_m2) @ colours + night / 2)
    for weight, shine, colour in zip(weights, set_up.glows, colours, strict=True):
        if weight > 0:
            picture += (weight * shine)[..., None] * colour
    return picture


def picture(
    *,
    basis: RoomBasis,
    levels: Mapping[str, float],
    view: str = "front",
    width_px: int = 960,
    smooth: int = 2,
) -> ByteArray:
    """Return the room in a scene as bytes [h, w, 3].

    Parameters
    ----------
    basis : the room's light by circuit.
    levels : share of full light (0 to 1) by circuit key; one not named is off.
    view : the wall the eye stands behind: "front", "right", "back" or "left".
    width_px : 32 or more; at most four million pixels with smoothing.
    smooth : 1 to 4; sight lines a pixel each way, averaged after toning.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    An estimate of the look, not a photograph: surfaces are plain and diffuse, nothing mirrors.

    References
    ----------
    `tone` has the one formula from luminance to bytes; docs/calculations/light.md the whole.
    """
    eye = camera(basis.room, view)
    height_px = max(16, round(width_px / eye.aspect))
    if not (width_px >= 32 and 1 <= smooth <= 4):
        raise ValueError(f"width_px must be at least 32 and smooth 1 to 4, got {width_px!r}")
    if not width_px * height_px * smooth**2 <= MOST_PIXELS:
        raise ValueError(f"a picture may have at most {MOST_PIXELS} sight lines")
    light = luminances(basis, levels, eye, width_px * smooth, height_px * smooth)
    weights = basis.weights(levels)
    scene = float(weights @ basis.mean_cd_m2)
    colours = np.array([circuit.colour for circuit in basis.circuits])
    light *= white_gain((weights * basis.mean_cd_m2) @ colours)
    bytes_ = to_bytes(light, exposure(scene_cd_m2=scene, full_cd_m2=float(basis.mean_cd_m2.sum())))
    if smooth == 1:
        return bytes_
    blocks = bytes_.reshape(height_px, smooth, width_px, smooth, 3).astype(float)
    return np.asarray(np.floor(blocks.mean(axis=(1, 3)) + 0.5).astype(np.uint8))
