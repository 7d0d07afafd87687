"""What a room's light is spared: long fittings far off, circuits alike, shadows, small faces."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering import circuit_light
from engineering.arrangement import Placement
from engineering.box import BoxRoom
from engineering.circuit_light import direct_on_faces, distinct
from engineering.direct_light import bundles, direct_on_face
from engineering.light_basis import plane_face, solve_circuits
from engineering.light_sources import EvenCone, Globe, beam, lambertian
from engineering.lit_circuits import LitCircuit, LitFitting, Scaled
from engineering.room_faces import Cuboid, cuboid_faces, room_faces
from engineering.shadows import is_lit, lit_on_face

ROOM = BoxRoom(length_m=7, width_m=5, height_m=4)
TABLE = Cuboid(low_m=(2, 1, 0.7), high_m=(4, 2.2, 0.75))
PROFILE = LitFitting(
    placement=Placement(position_m=(0.4, 0.1, 3.9), end_m=(6.4, 0.1, 3.9)),
    intensity_cd=lambertian(flux_lm=6000),
    flux_lm=6000,
    shape="bar",
    size_m=0.014,
    nearest_m=0.3,
)
LAMP = LitFitting(
    placement=Placement(position_m=(3, 2, 3.5)), intensity_cd=Globe(flux_lm=800), flux_lm=800
)


def circuit(*fittings, key="1"):
    return LitCircuit(key=key, fittings=fittings)


def test_a_long_fitting_far_off_gives_what_it_gives_cut_finest():
    faces = (*room_faces(ROOM, 0.3), plane_face(ROOM, 0.75))
    (found,) = direct_on_faces([circuit(PROFILE)], faces, 0.1)
    finest = np.concatenate([direct_on_face(PROFILE.sources, face, 0.1) for face in faces])
    assert found == pytest.approx(finest, rel=1e-3, abs=1e-3 * finest.max())
    assert found.sum() == pytest.approx(finest.sum(), rel=2e-4)


def test_the_five_times_rule_holds_twice_over_where_no_shadow_falls():
    (run,) = circuit_light._lights(circuit(PROFILE)).runs
    floor, front = room_faces(ROOM, 0.3)[0], room_faces(ROOM, 0.3)[2]
    on_floor, on_front = run.bundle([floor], ()), run.bundle([front], ())
    part = 6.0 / on_floor.origins_m.shape[0]
    assert part * 10 <= 3.9 + 1e-9
    assert on_floor.origins_m.shape[0] <= PROFILE.parts / 4
    assert on_front.origins_m.shape[0] == PROFILE.parts  # 0.1 m off: cut finest
    assert run.bundle([floor, front], ()) is on_front
    assert on_floor.intensity_cd(0, 0) * part**-1 == pytest.approx(6000 / math.pi / 6, rel=1e-9)


def test_the_edge_of_a_shadow_is_drawn_with_the_finest_parts():
    (run,) = circuit_light._lights(circuit(PROFILE)).runs
    floor, ceiling = room_faces(ROOM, 0.3)[:2]
    assert run.bundle([floor], (TABLE,)).origins_m.shape[0] == PROFILE.parts
    far = replace(PROFILE, placement=Placement(position_m=(0.4, 4, 1.0), end_m=(6.4, 4, 1.0)))
    (other,) = circuit_light._lights(circuit(far)).runs
    assert other.bundle([ceiling], (TABLE,)).origins_m.shape[0] < far.parts
    (found,) = direct_on_faces([circuit(PROFILE)], [floor], 0.1, (TABLE,))
    assert found == pytest.approx(direct_on_face(PROFILE.sources, floor, 0.1, [TABLE]), rel=1e-9)


@pytest.mark.parametrize(
    ("law", "more"),
    [
        (beam(flux_lm=500, beam_deg=40), beam(flux_lm=1500, beam_deg=40)),
        (Globe(flux_lm=500), Globe(flux_lm=1500)),
        (EvenCone(flux_lm=500, beam_deg=50), EvenCone(flux_lm=1500, beam_deg=50)),
        (
            Scaled(intensity_cd=beam(flux_lm=1000, beam_deg=40), share=0.5),
            beam(flux_lm=1500, beam_deg=40),
        ),
    ],
)
def test_circuits_that_differ_in_strength_alone_are_worked_out_once(law, more):
    one = replace(LAMP, intensity_cd=law, flux_lm=500.0)
    other = replace(LAMP, intensity_cd=more, flux_lm=1500.0)
    first, place, factor = distinct([circuit(one), circuit(other, key="2")])
    assert (first, place, factor) == ([0], [0, 0], [1.0, pytest.approx(3.0)])
    together = solve_circuits(room=ROOM, circuits=[circuit(one), circuit(other, key="2")])
    alone = solve_circuits(room=ROOM, circuits=[circuit(other, key="2")])
    assert together.cells_lx[1] == pytest.approx(alone.cells_lx[0], rel=1e-9)
    assert together.plane_lx[1] == pytest.approx(alone.plane_lx[0], rel=1e-9)
    assert together.mean_cd_m2[1] == pytest.approx(alone.mean_cd_m2[0], rel=1e-9)


def test_circuits_of_other_places_aims_beams_or_shares_are_not_taken_for_one():
    narrow = replace(LAMP, intensity_cd=beam(flux_lm=800, beam_deg=20))
    others = [
        circuit(LAMP),
        circuit(replace(LAMP, placement=Placement(position_m=(3, 2, 3.4)))),
        circuit(narrow),
        circuit(replace(narrow, intensity_cd=beam(flux_lm=800, beam_deg=21))),
        circuit(replace(narrow, placement=Placement(position_m=(3, 2, 3.5), aim=(0, 1, -1)))),
        circuit(LAMP, narrow),
        circuit(LAMP, replace(narrow, intensity_cd=beam(flux_lm=1600, beam_deg=20))),
        circuit(PROFILE),
        circuit(replace(PROFILE, nearest_m=0.4)),
    ]
    first, place, factor = distinct(others)
    assert first == place == list(range(len(others)))
    assert factor == [1.0] * len(others)


def test_lights_of_equal_laws_are_one_bundle_though_each_has_a_law_of_its_own():
    lamps = [
        replace(LAMP, placement=Placement(position_m=(x, 2, 3.5)), intensity_cd=Globe(flux_lm=800))
        for x in (1, 2, 3)
    ]
    (bundle,) = bundles(circuit(*lamps).sources)
    assert bundle.origins_m[:, 0].tolist() == [1, 2, 3]


inside = st.floats(min_value=0.02, max_value=0.98)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(inside, inside, inside), min_size=1, max_size=4), inside, inside)
def test_shadows_on_a_face_are_those_of_its_points(places, x, y):
    sources = np.array(places) * ROOM.size_m
    boxes = (TABLE, Cuboid(low_m=(x * 6, y * 4, 0), high_m=(x * 6 + 0.8, y * 4 + 0.7, 1.9)))
    for face in (*room_faces(ROOM, 0.6), *cuboid_faces(boxes[1], ROOM, 0.3)):
        slow = is_lit(sources, face.points_m, boxes).reshape(-1, *face.cells)
        assert (lit_on_face(sources, face, boxes) == slow).mean() > 0.999


def test_small_faces_worked_out_together_give_what_each_gives():
    leg = Cuboid(low_m=(2, 2, 0), high_m=(2.06, 2.06, 0.7))
    faces = cuboid_faces(leg, ROOM, 0.1)
    assert all(face.area_m2 <= circuit_light.SMALL_M2 for face in faces)
    (found,) = direct_on_faces([circuit(LAMP, PROFILE)], faces, 0.03, (TABLE,))
    alone = [direct_on_face((*LAMP.sources, *PROFILE.sources), face, 0.03) for face in faces]
    assert found == pytest.approx(np.concatenate(alone), rel=2e-3)
    assert found.max() > 0
