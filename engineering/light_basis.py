"""One solution of the room's light for each circuit at full level; a scene is a weighted sum.

Light adds up: what a circuit gives at 30 % is 0.3 times what it gives at full. So the costly part
is done once for each circuit, and a scene costs one multiplication and addition for each place.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from engineering.box import Box, BoxRoom, box_of, view_factors
from engineering.circuit_light import direct_on_faces, distinct, shading
from engineering.direct_light import direct_on_patches
from engineering.lit_circuits import WHITE, LitCircuit
from engineering.room import check_sources
from engineering.room_faces import (
    Colour,
    Cuboid,
    Face,
    cells_of,
    cuboid_faces,
    room_faces,
)
from engineering.shadows import open_share

FloatArray = NDArray[np.float64]

COARSE_M = 0.3
EDGE_M = 0.01
PLANE_CELL_M = 0.2
POINTS_AT_ONCE = 2000
MOST_CIRCUITS = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomBasis:
    """Full-level light of each circuit on the faces of a room and on its work plane.

    `cells_lx` [circuits, cells of all faces, face after face]; `plane_lx` [circuits, rows,
    columns]; `mean_cd_m2` [circuits], mean luminance of the room's surfaces; `leaving_lm` [circuits],
    what leaves through the openings of the walls.
    """

    room: BoxRoom
    circuits: tuple[LitCircuit, ...]
    faces: tuple[Face, ...]
    cuboids: tuple[Cuboid, ...]
    cells_lx: FloatArray
    plane_height_m: float
    plane_lx: FloatArray
    mean_cd_m2: FloatArray
    leaving_lm: FloatArray

    def weights(self, levels: Mapping[str, float]) -> FloatArray:
        """Return the shares of full light of the circuits; one not named is off.

        Raises
        ------
        ValueError : an unknown circuit, or a level not from 0 to 1.
        """
        known = {circuit.key for circuit in self.circuits}
        for key, level in levels.items():
            if key not in known:
                raise ValueError(f"no circuit {key!r} in this room")
            if not (0 <= level <= 1):
                raise ValueError(f"level of {key!r} must be from 0 to 1, got {level!r}")
        return np.array([float(levels.get(circuit.key, 0.0)) for circuit in self.circuits])

    def plane(self, levels: Mapping[str, float]) -> FloatArray:
        """Return the illuminance [lx] on the work plane in a scene: array [rows, columns]."""
        return np.asarray(np.tensordot(self.weights(levels), self.plane_lx, axes=1))

    def offsets(self) -> list[int]:
        """Return where each face's cells begin in `cells_lx`, and the end."""
        sizes = [math.prod(face.cells) for face in self.faces]
        return [0, *np.cumsum(sizes).tolist()]


def _coarse(face: Face, way: int) -> FloatArray:
    """Return places along a face where its indirect light is worked out."""
    low, high = face.low_m[way], face.high_m[way]
    inset = min(EDGE_M, (high - low) / 4)
    return np.linspace(low + inset, high - inset, max(2, math.ceil((high - low) / COARSE_M) + 1))


def _hats(places: FloatArray, wanted: FloatArray) -> FloatArray:
    """Return the matrix of straight-line interpolation from places to wanted places."""
    return np.stack([np.interp(wanted, places, row) for row in np.eye(places.size)], axis=1)


@dataclass(frozen=True, kw_only=True, eq=False)
class FaceViews:
    """What faces see of a box's patches, and how coarse values become cells."""

    view: FloatArray
    hats: tuple[tuple[FloatArray, FloatArray], ...]
    openness: tuple[FloatArray, ...]

    def cells(self, sent_lx: FloatArray) -> FloatArray:
        """Return the indirect illuminance [circuits, cells] from what [patches, circuits] send."""
        coarse, parts, start = (self.view @ sent_lx).T, [], 0
        for (first, second), share in zip(self.hats, self.openness, strict=True):
            end = start + first.shape[1] * second.shape[1]
            lattice = coarse[:, start:end].reshape(-1, first.shape[1], second.shape[1])
            fine = np.matmul(np.matmul(first, lattice), second.T)
            parts.append(fine.reshape(fine.shape[0], -1) * share)
            start = end
        return np.concatenate(parts, axis=1)


@lru_cache(maxsize=16)
def _face_views(box: Box, faces: tuple[Face, ...], cuboids: tuple[Cuboid, ...]) -> FaceViews:
    places = [(_coarse(face, 0), _coarse(face, 1)) for face in faces]
    hats = [
        (_hats(first, face.centres(0)), _hats(second, face.centres(1)))
        for face, (first, second) in zip(faces, places, strict=True)
    ]
    starts = [0, *np.cumsum([first.size * second.size for first, second in places]).tolist()]
    view = np.empty((starts[-1], box.offsets[-1]))
    openness = [np.ones(math.prod(face.cells)) for face in faces]
    for (axis, is_far), alike in _by_way(faces).items():
        points = np.concatenate([faces[n].at(*places[n]) for n in alike])
        rows = np.concatenate([np.arange(starts[n], starts[n + 1]) for n in alike])
        view[rows] = view_factors(box, points, axis, is_far)
        shaded = [n for n in alike if shading(faces[n], cuboids)]
        if shaded:
            points = np.concatenate([faces[n].points_m for n in shaded])
            share = open_share(faces[shaded[0]], points, cuboids)
            ends = np.cumsum([math.prod(faces[n].cells) for n in shaded])
            for n, part in zip(shaded, np.split(share, ends[:-1]), strict=True):
                openness[n] = part
    return FaceViews(view=view, hats=tuple(hats), openness=tuple(openness))


@lru_cache(maxsize=8)
def _plane_view(box: Box, plane: Face) -> FloatArray:
    """What the plane's own cells see of a box's patches: its figures are told, so none is interpolated."""
    points = plane.points_m
    starts = range(0, points.shape[0], POINTS_AT_ONCE)
    parts = [view_factors(box, points[at : at + POINTS_AT_ONCE], 2, False) for at in starts]
    return np.concatenate(parts)


def _by_way(faces: Sequence[Face]) -> dict[tuple[int, bool], list[int]]:
    """The numbers of the faces that look each way."""
    alike: dict[tuple[int, bool], list[int]] = {}
    for number, face in enumerate(faces):
        alike.setdefault((face.axis, face.is_far), []).append(number)
    return alike


def plane_face(room: BoxRoom, height_m: float) -> Face:
    """Return the work plane as a face that looks up."""
    sides = (room.length_m, room.width_m)
    first, second = (min(60, max(4, round(side / PLANE_CELL_M))) for side in sides)
    return Face(
        axis=2,
        is_far=False,
        place_m=height_m,
        low_m=(0.0, 0.0),
        high_m=sides,
        cells=(first, second),
        colour=WHITE,
    )


def _averages(few: int, many: int) -> FloatArray:
    """Return the matrix [few, many] that averages even cells along a side into fewer."""
    lines = np.arange(few + 1)[:, None] / few
    covered = np.clip(lines * many - np.arange(many)[None, :], 0.0, 1.0)
    return np.asarray(np.diff(covered, axis=0) * (few / many))


def coarsened(basis: RoomBasis, texel_m: float) -> RoomBasis:
    """Return the same light on coarser cells, each the average of those it covers.

    Parameters
    ----------
    basis : the light on cells of some size.
    texel_m : [m]; about the size of the new cells. A face that has no more cells keeps its own.

    Notes
    -----
    What a face receives stays the same to rounding. The work plane is left as it is.
    """
    faces, parts = [], []
    for face, start in zip(basis.faces, basis.offsets(), strict=False):
        sides = (face.high_m[0] - face.low_m[0], face.high_m[1] - face.low_m[1])
        wanted = cells_of(sides, texel_m)
        cells = min(face.cells[0], wanted[0]), min(face.cells[1], wanted[1])
        fine = basis.cells_lx[:, start : start + math.prod(face.cells)]
        lattice = fine.reshape(-1, *face.cells)
        for way in (0, 1):
            if cells[way] != face.cells[way]:
                share = _averages(cells[way], face.cells[way])
                lattice = share @ lattice if way == 0 else lattice @ share.T
        faces.append(replace(face, cells=cells))
        parts.append(lattice.reshape(lattice.shape[0], -1))
    return replace(basis, faces=tuple(faces), cells_lx=np.concatenate(parts, axis=1))


def solve_circuits(
    *,
    room: BoxRoom,
    circuits: Sequence[LitCircuit],
    plane_height_m: float = 0.75,
    texel_m: float = 0.1,
    cuboids: Sequence[Cuboid] = (),
    colours: Sequence[Colour] | None = None,
) -> RoomBasis:
    """Return the light of every circuit of a room at full level.

    Parameters
    ----------
    room : the box and its reflectances.
    circuits : 1 to 60, with distinct keys.
    plane_height_m : [m], from 0 to below the ceiling.
    texel_m : [m], 0.02 to 1; size of the cells on the faces.
    cuboids : boxes that stand for furniture in the picture.
    colours : reflectance of red, green, blue of the six surfaces for the picture; grey if none.

    Returns
    -------
    RoomBasis.

    Raises
    ------
    ValueError : too many circuits, two of one key, or anything `room.solve` would refuse.

    >>> from engineering.light_sources import beam
    >>> room = BoxRoom(length_m=4, width_m=3, height_m=2.5)
    >>> lamp = LitFitting(placement=Placement(position_m=(2, 1.5, 2.45)), flux_lm=600,
    ...                   intensity_cd=beam(flux_lm=600, beam_deg=60))
    >>> basis = solve_circuits(room=room, circuits=[LitCircuit(key="1", fittings=(lamp,))])
    >>> bool((basis.plane({"1": 0.5}) * 2 == basis.plane({"1": 1.0})).all())
    True
    """
    keys = [circuit.key for circuit in circuits]
    if not 1 <= len(keys) <= MOST_CIRCUITS or len(set(keys)) != len(keys):
        raise ValueError(f"a room needs 1 to {MOST_CIRCUITS} circuits of distinct keys")
    if not (0 <= plane_height_m < room.height_m):
        raise ValueError(f"plane_height_m must be from 0 to below the ceiling: {plane_height_m!r}")
    if not (0.02 <= texel_m <= 1):
        raise ValueError(f"texel_m must be from 0.02 to 1 m, got {texel_m!r}")
    first, place, factor = distinct(circuits)
    unlike = [circuits[number] for number in first]
    sources = [circuit.sources for circuit in unlike]
    check_sources(room, [source for number in place for source in sources[number]])
    standing, box = tuple(cuboids), box_of(room)
    faces = room_faces(room, texel_m, colours)
    for cuboid in standing:
        faces += cuboid_faces(cuboid, room, texel_m)
    plane = plane_face(room, plane_height_m)
    patches = np.stack([direct_on_patches(box, each) for each in sources], axis=1)
    total = box.interreflection @ patches
    sent = total * box.reflectances[:, None]
    casting = tuple(cuboid for cuboid in standing if cuboid.casts)
    cells = _face_views(box, faces, casting).cells(sent)
    cells += direct_on_faces(unlike, faces, texel_m / 3, casting)
    plane_lx = (_plane_view(box, plane) @ sent).T
    plane_lx += direct_on_faces(unlike, [plane], 1e-6)
    factors = np.array(factor)
    return RoomBasis(
        room=room,
        circuits=tuple(circuits),
        faces=faces,
        cuboids=standing,
        cells_lx=cells[place] * factors[:, None],
        plane_height_m=plane_height_m,
        plane_lx=plane_lx[place].reshape(-1, *plane.cells).transpose(0, 2, 1)
        * factors[:, None, None],
        mean_cd_m2=np.average(sent, axis=0, weights=box.areas_m2)[place] * factors / math.pi,
        leaving_lm=((box.open_shares * box.areas_m2) @ total)[place] * factors,
    )
