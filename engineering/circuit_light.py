"""The direct light of circuits on the faces of a room, worked out no finer and no oftener than it needs.

A long fitting is cut into the more parts the nearer a face is (five-times rule, held twice over); circuits
that differ in nothing but how much they send share one answer; faces too small to look for a shadow on
are worked out together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from engineering.direct_light import Bundle, Source, bundle_on_face, bundles, bundles_at, same_law
from engineering.light_sources import CosinePower, EvenCone, Globe
from engineering.lit_circuits import LitCircuit, LitFitting, Scaled
from engineering.points import IntensityFunction
from engineering.room_faces import Cuboid, Face
from engineering.shadows import BoolArray, lit_on_face

FloatArray = NDArray[np.float64]

# On faces no larger nobody looks for a shadow: legs, cords, frames.
SMALL_M2 = 0.06
# A part of a long fitting is at most a tenth of its distance from a face, unless it is cut finest.
TIMES_PER_RULE = 2.0


def shading(face: Face, cuboids: tuple[Cuboid, ...]) -> tuple[Cuboid, ...]:
    """Return the boxes that shade a face: on a leg or a cord nobody looks for a shadow."""
    return cuboids if face.area_m2 > SMALL_M2 else ()


def _of_one(law: IntensityFunction) -> tuple[IntensityFunction, float]:
    """Return a law of some common strength, and how many times as strong the law is."""
    if isinstance(law, CosinePower):
        return replace(law, peak_cd=1.0), law.peak_cd
    if isinstance(law, Globe | EvenCone):
        return replace(law, flux_lm=1.0), law.flux_lm
    if isinstance(law, Scaled):
        inner, strength = _of_one(law.intensity_cd)
        return inner, strength * law.share
    return law, 1.0


def distinct(circuits: Sequence[LitCircuit]) -> tuple[list[int], list[int], list[float]]:
    """Return which circuits are unlike any before, and for each circuit whose light it has, how often.

    Two colours of one tape, or its warm and its cool white, send the same light but for a factor.

    Returns
    -------
    Three lists: the numbers of the circuits to work out; for each circuit its place among them, and
    the factor of its light.
    """
    places: dict[object, int] = {}
    first: list[int] = []
    place, factor = [], []
    strengths: list[float] = []
    for number, circuit in enumerate(circuits):
        laws = [_of_one(fitting.intensity_cd) for fitting in circuit.fittings]
        lead = laws[0][1]
        key = tuple(
            (fitting.placement, same_law(law), round(strength / lead, 12), fitting.nearest_m)
            for fitting, (law, strength) in zip(circuit.fittings, laws, strict=True)
        )
        if key not in places:
            places[key] = len(first)
            first.append(number)
            strengths.append(lead)
        place.append(places[key])
        factor.append(lead / strengths[places[key]])
    return first, place, factor


@dataclass(frozen=True, kw_only=True, eq=False)
class _Run:
    """A long fitting, cut finest first and then into half as many parts each time."""

    fitting: LitFitting
    low_m: tuple[float, ...]
    high_m: tuple[float, ...]
    finest: int
    cuts: dict[int, Bundle]

    def bundle(self, faces: Sequence[Face], cuboids: Sequence[Cuboid]) -> Bundle:
        """Return the parts that the nearest of some faces needs: the finest for the edge of a shadow."""
        length = self.fitting.placement.length_m
        gap = min(face.gap_m(self.low_m, self.high_m) for face in faces)
        # Five times a part's length is the rule: (length / parts) · 5 · TIMES_PER_RULE ≤ gap.
        parts, wanted = self.finest, length * 5 * TIMES_PER_RULE / max(gap, 1e-9)
        if any(
            face.is_behind(cuboid, self.low_m, self.high_m) for cuboid in cuboids for face in faces
        ):
            wanted = parts
        while parts > 1 and math.ceil(parts / 2) >= wanted:
            parts = math.ceil(parts / 2)
        if parts not in self.cuts:
            (self.cuts[parts],) = bundles(self.fitting.in_parts(parts))
        return self.cuts[parts]


@dataclass(frozen=True, kw_only=True, eq=False)
class _Lights:
    """The sources of one circuit: points that are always the same, and long ones."""

    points: tuple[Bundle, ...]
    runs: tuple[_Run, ...]

    def on(self, faces: Sequence[Face], cuboids: Sequence[Cuboid]) -> tuple[Bundle, ...]:
        """The sources that some faces need."""
        return (*self.points, *(run.bundle(faces, cuboids) for run in self.runs))


def _lights(circuit: LitCircuit) -> _Lights:
    points: list[Source] = []
    runs = []
    for fitting in circuit.fittings:
        place = fitting.placement
        if place.end_m is None:
            points += fitting.sources
            continue
        ends = list(zip(place.position_m, place.end_m, strict=True))
        low, high = tuple(map(min, ends)), tuple(map(max, ends))
        runs.append(_Run(fitting=fitting, low_m=low, high_m=high, finest=fitting.parts, cuts={}))
    return _Lights(points=tuple(bundles(points)), runs=tuple(runs))


def direct_on_faces(
    circuits: Sequence[LitCircuit],
    faces: Sequence[Face],
    nearest_m: float,
    cuboids: tuple[Cuboid, ...] = (),
) -> FloatArray:
    """Return the direct illuminance [circuits, cells of all faces] [lx].

    Parameters
    ----------
    circuits : at least one.
    faces : where the light falls.
    nearest_m : [m]; a source nearer than this counts as this far away.
    cuboids : boxes that throw shadows on all but small faces.
    """
    lights = [_lights(circuit) for circuit in circuits]
    starts = [0, *np.cumsum([math.prod(face.cells) for face in faces]).tolist()]
    cells = np.zeros((len(lights), starts[-1]))
    together: dict[tuple[int, bool], list[int]] = {}
    for number, face in enumerate(faces):
        if face.area_m2 <= SMALL_M2:
            together.setdefault((face.axis, face.is_far), []).append(number)
            continue
        on_face = _on_face(lights, face, nearest_m, cuboids)
        cells[:, starts[number] : starts[number + 1]] = on_face
    for numbers in together.values():
        where = np.concatenate([np.arange(starts[n], starts[n + 1]) for n in numbers])
        points = np.concatenate([faces[n].points_m for n in numbers])
        normal, small = faces[numbers[0]].normal, [faces[n] for n in numbers]
        for row, light in enumerate(lights):
            cells[row, where] = bundles_at(light.on(small, ()), points, normal, nearest_m)
    return cells


def _on_face(
    lights: Sequence[_Lights], face: Face, nearest_m: float, cuboids: tuple[Cuboid, ...]
) -> FloatArray:
    """Direct illuminance [circuits, cells] on one face."""
    chosen = [light.on([face], cuboids) for light in lights]
    free: BoolArray | None = None
    if cuboids:
        origins = np.concatenate([bundle.origins_m for each in chosen for bundle in each])
        free = lit_on_face(origins, face, cuboids)
    rows, at = [], 0
    for each in chosen:
        total = np.zeros(face.cells)
        for bundle in each:
            end = at + bundle.origins_m.shape[0]
            total += bundle_on_face(bundle, face, nearest_m, None if free is None else free[at:end])
            at = end
        rows.append(total.ravel())
    return np.stack(rows)
