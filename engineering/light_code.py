"""A room's light by circuit as few bytes, for a browser that recombines it as levels move.

The bytes are one zlib stream. Unpacked, they are a JSON text, one zero byte, and the numbers:
for each circuit, for each face, the cells (first axis slowest), then the work plane (rows of
growing y). Each number E becomes a whole number on a logarithmic scale,

    q = round(LEVELS · ln(1 + E/s) / ln(1 + peak/s)),  s = peak / RANGE

and of these only what the neighbours do not foretell is kept: q − left − above + above-left. That
difference d is written as z = 2d or −2d − 1 (negative): one byte below 255, else 255 and two
bytes, low one first. RANGE and LEVELS are in the JSON text, so is the `peak` of each circuit.
"""

from __future__ import annotations

import json
import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engineering import finish, luminaire_glow, room_view, tone
from engineering.box import BoxRoom
from engineering.light_basis import RoomBasis, coarsened, solve_circuits
from engineering.lit_circuits import LitCircuit
from engineering.luminaire_glow import eye_intensity
from engineering.room_faces import Colour, Cuboid, Face

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

FORMAT = 1
LEVELS = 1500
RANGE = 4000.0
BYTES_A_ROOM = 30_000
# Bytes a cell takes on the average, learnt from rooms of many kinds; only the first guess.
BYTES_A_CELL = 0.62
FINEST_M, COARSEST_M = 0.08, 0.6
# How cells grow with the bytes there are too many of: some bytes do not shrink with them.
LEAST_STEP, STEP_POWER = 1.05, 0.8
ESCAPE = 255


def _scale(peak: float) -> float:
    return LEVELS / math.log1p(RANGE) if peak > 0 else 0.0


def quantised(values_lx: FloatArray, peak_lx: float) -> IntArray:
    """Return illuminances [lx] as whole numbers on the logarithmic scale of a peak.

    >>> quantised(np.array([0.0, 100.0]), 100.0).tolist()
    [0, 1500]
    """
    if not peak_lx > 0:
        return np.zeros(values_lx.shape, dtype=np.int64)
    logs = np.log1p(values_lx * (RANGE / peak_lx)) * _scale(peak_lx)
    return np.asarray(np.floor(logs + 0.5).astype(np.int64))


def restored(whole: IntArray, peak_lx: float) -> FloatArray:
    """Return the illuminances [lx] of whole numbers on the logarithmic scale.

    >>> restored(np.array([0, 1500]), 100.0).round(6).tolist()
    [0.0, 100.0]
    """
    if not peak_lx > 0:
        return np.zeros(whole.shape)
    return np.asarray(np.expm1(whole / _scale(peak_lx)) * (peak_lx / RANGE))


@lru_cache(maxsize=64)
def _neighbours(shapes: tuple[tuple[int, int], ...]) -> tuple[IntArray, IntArray, IntArray]:
    """The numbers of the left, above and above-left neighbours of cells; for none, one past the last."""
    start, count = 0, sum(math.prod(shape) for shape in shapes)
    found: tuple[list[IntArray], ...] = ([], [], [])
    for shape in shapes:
        framed = np.full((shape[0] + 1, shape[1] + 1), count, dtype=np.int64)
        framed[1:, 1:] = np.arange(start, start + math.prod(shape)).reshape(shape)
        seen = framed[1:, :-1], framed[:-1, 1:], framed[:-1, :-1]
        for each, numbers in zip(found, seen, strict=True):
            each.append(numbers.ravel())
        start += math.prod(shape)
    left, above, corner = (np.concatenate(each) for each in found)
    return left, above, corner


def _unforetold(
    values_lx: FloatArray, shapes: tuple[tuple[int, int], ...], peaks_lx: Sequence[float]
) -> IntArray:
    """Return what left, above and above-left neighbours do not foretell: [circuits, cells]."""
    left, above, corner = _neighbours(shapes)
    whole = np.zeros((values_lx.shape[0], values_lx.shape[1] + 1), dtype=np.int64)
    for row, values, peak in zip(whole, values_lx, peaks_lx, strict=True):
        row[:-1] = quantised(values, peak)
    return np.asarray(whole[:, :-1] - whole[:, left] - whole[:, above] + whole[:, corner])


def packed(differences: IntArray) -> bytes:
    """Return signed whole numbers as bytes: small ones take one byte, others three.

    >>> unpacked(packed(np.array([0, -1, 1, 200])), 4)[0].tolist()
    [0, -1, 1, 200]
    """
    zigzag = np.where(differences >= 0, 2 * differences, -2 * differences - 1)
    if zigzag.size and int(zigzag.max()) > 0xFFFF:
        raise ValueError("a difference does not fit into two bytes")
    wide = zigzag >= ESCAPE
    places = np.arange(zigzag.size) + 2 * np.concatenate([[0], np.cumsum(wide)[:-1]])
    out = np.zeros(zigzag.size + 2 * int(wide.sum()), dtype=np.uint8)
    out[places] = np.where(wide, ESCAPE, zigzag)
    out[places[wide] + 1] = zigzag[wide] & 0xFF
    out[places[wide] + 2] = zigzag[wide] >> 8
    return out.tobytes()


def unpacked(data: bytes, count: int) -> tuple[IntArray, int]:
    """Return `count` signed whole numbers and how many bytes they took."""
    numbers, at = np.zeros(count, dtype=np.int64), 0
    for number in range(count):
        zigzag = data[at]
        at += 1
        if zigzag == ESCAPE:
            zigzag = data[at] | data[at + 1] << 8
            at += 2
        numbers[number] = zigzag >> 1 if zigzag % 2 == 0 else -(zigzag + 1) >> 1
    return numbers, at


def _rounded(values: Sequence[float], digits: int = 4) -> list[float]:
    return [round(float(value), digits) for value in values]


def _face_entry(face: Face) -> list[Any]:
    """A face in the JSON text: axis, looks to the origin, place, low, high, cells, colour, own, pane."""
    return [
        face.axis,
        int(face.is_far),
        *_rounded((face.place_m, *face.low_m, *face.high_m)),
        *face.cells,
        *_rounded(face.colour, 3),
        *(_rounded(face.own, 4) if any(face.own) else ()),
        *((1,) if face.shows_sky and any(face.own) else ()),
    ]


def _fitting_entries(circuit: LitCircuit, eyes: Sequence[room_view.Camera]) -> list[list[Any]]:
    """The visible fittings: shape, start, end, aim, size, intensity towards each eye."""
    entries: list[list[Any]] = []
    for fitting in circuit.fittings:
        if fitting.shape == "none":
            continue
        place = fitting.placement
        end = place.position_m if place.end_m is None else place.end_m
        middle = (np.array(place.position_m) + np.array(end)) / 2
        seen = [eye_intensity(fitting, middle, np.array(eye.eye_m)) for eye in eyes]
        entries.append(
            [
                fitting.shape,
                _rounded(place.position_m, 3),
                _rounded(end, 3),
                _rounded(place.aim, 3),
                round(fitting.size_m, 4),
                _rounded(seen, 2),
            ]
        )
    return entries


def _grain(room: BoxRoom) -> list[float]:
    """Return what a browser draws floorboards and skirting from."""
    found = finish.finish_of(room)
    return [
        found.along,
        finish.BOARD_WIDTH_M,
        finish.BOARD_LENGTH_M,
        finish.BOARD_TONE,
        finish.SKIRTING_M,
        found.skirting_gain,
        finish.MIX_ONE,
        finish.MIX_OTHER,
        finish.BITS,
    ]


def header(basis: RoomBasis, views: Sequence[str] = room_view.VIEWS) -> dict[str, Any]:
    """Return all of a room's picture but the numbers of its cells, as plain JSON values.

    Parameters
    ----------
    basis : the room's light by circuit.
    views : the walls it may be looked at from.
    """
    eyes = [room_view.camera(basis.room, view) for view in views]
    peaks = np.maximum(basis.cells_lx.max(axis=1), basis.plane_lx.max(axis=(1, 2)))
    return {
        "format": FORMAT,
        "levels": LEVELS,
        "range": RANGE,
        "size_m": _rounded(basis.room.size_m),
        "tone": {
            "key": tone.KEY,
            "adaptation": tone.ADAPTATION,
            "darkest": tone.DARKEST,
            "contrast": tone.CONTRAST,
            "shoulder": tone.SHOULDER,
            "white": [tone.WHITE_ADAPTATION, tone.LEAST_COLOUR, *tone.LUMINANCE],
            "night": room_view.NIGHT,
            "edge": room_view.EDGE_SHADE,
            "grain": _grain(basis.room),
            "dusk": [
                *(finish.SKY_GLOW, finish.SKY_HIGH, finish.SKY_FADE, finish.LAND),
                *(finish.RIDGE, finish.RIDGE_SOFT, *finish.RIDGE_WAVES),
            ],
            "body": luminaire_glow.BODY_LUMINANCE,
            "veil": luminaire_glow.VEIL,
            "veil_core_deg": luminaire_glow.VEIL_CORE_DEG,
            "veil_reach_deg": luminaire_glow.VEIL_REACH_DEG,
            "bar_veils": luminaire_glow.BAR_VEILS,
        },
        "views": {
            view: {
                "eye": _rounded(eye.eye_m),
                "corner": _rounded(eye.corner_m),
                "across": _rounded(eye.across_m),
                "down": _rounded(eye.down_m),
            }
            for view, eye in zip(views, eyes, strict=True)
        },
        "faces": [_face_entry(face) for face in basis.faces],
        "plane": [round(basis.plane_height_m, 4), *basis.plane_lx.shape[1:]],
        "circuits": [
            {
                "key": circuit.key,
                "colour": _rounded(circuit.colour),
                "peak": float(peak),
                "mean": float(mean),
                "fittings": _fitting_entries(circuit, eyes),
            }
            for circuit, peak, mean in zip(
                basis.circuits, peaks.tolist(), basis.mean_cd_m2.tolist(), strict=True
            )
        ],
    }


def encoded(basis: RoomBasis, views: Sequence[str] = room_view.VIEWS) -> bytes:
    """Return a room's light by circuit as bytes for a browser.

    Parameters
    ----------
    basis : the room's light by circuit.
    views : the walls it may be looked at from.

    Returns
    -------
    bytes; the form is told at the head of this module.
    """
    head = header(basis, views)
    stream = [json.dumps(head, separators=(",", ":")).encode(), b"\0"]
    peaks = [entry["peak"] for entry in head["circuits"]]
    rows, columns = basis.plane_lx.shape[1:]
    shapes = (*(face.cells for face in basis.faces), (rows, columns))
    plane = basis.plane_lx.reshape(len(peaks), -1)
    differences = _unforetold(np.concatenate([basis.cells_lx, plane], axis=1), shapes, peaks)
    stream += [packed(each) for each in differences]
    return zlib.compress(b"".join(stream), 6)


@dataclass(frozen=True, kw_only=True, eq=False)
class Decoded:
    """What a browser holds: the JSON values, the cells [circuits, cells], the plane [c, y, x]."""

    head: dict[str, Any]
    cells_lx: FloatArray
    plane_lx: FloatArray


def decoded(data: bytes) -> Decoded:
    """Return what `encoded` packed, as a browser would; the numbers within half a step.

    Raises
    ------
    ValueError : the bytes are not such a stream.
    """
    try:
        text, numbers = zlib.decompress(data).split(b"\0", 1)
        head = json.loads(text)
    except (zlib.error, ValueError) as error:
        raise ValueError(f"not a room's light: {error}") from error
    shapes = [(face[7], face[8]) for face in head["faces"]]
    rows, columns = head["plane"][1:]
    sizes = [math.prod(shape) for shape in (*shapes, (rows, columns))]
    cells, planes, at = [], [], 0
    for entry in head["circuits"]:
        differences, took = unpacked(numbers[at:], sum(sizes))
        at += took
        parts, start = [], 0
        for shape, size in zip((*shapes, (rows, columns)), sizes, strict=True):
            lattice = differences[start : start + size].reshape(shape)
            parts.append(restored(np.cumsum(np.cumsum(lattice, 0), 1), entry["peak"]))
            start += size
        cells.append(np.concatenate([part.ravel() for part in parts[:-1]]))
        planes.append(parts[-1])
    return Decoded(head=head, cells_lx=np.stack(cells), plane_lx=np.stack(planes))


def solve_for_browser(
    *,
    room: BoxRoom,
    circuits: Sequence[LitCircuit],
    plane_height_m: float = 0.75,
    cuboids: Sequence[Cuboid] = (),
    colours: Sequence[Colour] | None = None,
    views: Sequence[str] = room_view.VIEWS,
    most_bytes: int = BYTES_A_ROOM,
) -> tuple[RoomBasis, bytes]:
    """Return a room's light by circuit, as fine as fits into a number of bytes, and the bytes.

    Parameters
    ----------
    room, circuits, plane_height_m, cuboids, colours : as for `light_basis.solve_circuits`.
    views : the walls it may be looked at from.
    most_bytes : at least 4000.

    Raises
    ------
    ValueError : even the coarsest cells do not fit, or the room is refused.
    """
    if not most_bytes >= 4000:
        raise ValueError(f"most_bytes must be at least 4000, got {most_bytes!r}")
    cells = most_bytes / (BYTES_A_CELL * max(1, len(circuits)))
    texel = min(COARSEST_M, max(FINEST_M, math.sqrt(room.surface_m2 / cells)))
    solved = basis = solve_circuits(
        room=room,
        circuits=circuits,
        plane_height_m=plane_height_m,
        texel_m=texel,
        cuboids=cuboids,
        colours=colours,
    )
    # Worked out once: where that is too much, the same light on coarser cells.
    while len(data := encoded(basis, views)) > most_bytes:
        if texel >= COARSEST_M:
            raise ValueError(f"{len(data)} bytes for {len(circuits)} circuits: more than allowed")
        texel = min(COARSEST_M, texel * max(LEAST_STEP, (len(data) / most_bytes) ** STEP_POWER))
        basis = coarsened(solved, texel)
    return basis, data
