"""Laws that the light of a room obeys whatever the numbers."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engineering.box import BoxRoom, box_of
from engineering.direct_light import direct_at, direct_on_face, direct_on_patches
from engineering.emission import spread, total_flux_lm
from engineering.form_factors import parallel, perpendicular
from engineering.light_sources import Globe, beam, line
from engineering.points import illuminance, luminaire_axes
from engineering.room import Source, solve
from engineering.room_faces import Cuboid, cuboid_faces, room_faces

PLANE = {"plane_height_m": 0.6, "grid": (6, 5)}
FEW = settings(max_examples=15, deadline=None)

sizes = st.floats(min_value=1.0, max_value=12.0)
shares = st.floats(min_value=0.0, max_value=0.9)
inside = st.floats(min_value=0.02, max_value=0.98)
fluxes = st.floats(min_value=1.0, max_value=20_000.0)
angles = st.floats(min_value=0.0, max_value=360.0)


@st.composite
def rooms(draw):
    return BoxRoom(
        length_m=draw(sizes),
        width_m=draw(sizes),
        height_m=draw(st.floats(min_value=2.0, max_value=5.0)),
        floor=draw(shares),
        walls=draw(shares),
        ceiling=draw(shares),
    )


@st.composite
def lamps(draw, room):
    place = tuple(draw(inside) * size for size in room.size_m)
    flux = draw(fluxes)
    law = draw(
        st.sampled_from([beam(flux_lm=flux, beam_deg=width) for width in (15, 38, 90, 120)])
        | st.just(Globe(flux_lm=flux))
    )
    tilt, way = draw(st.floats(min_value=0, max_value=math.pi)), math.radians(draw(angles))
    aim = (math.sin(tilt) * math.cos(way), math.sin(tilt) * math.sin(way), -math.cos(tilt))
    return Source(position_m=place, intensity_cd=law, flux_lm=flux, aim=aim)


@st.composite
def lit_rooms(draw):
    room = draw(rooms())
    return room, draw(st.lists(lamps(room), min_size=1, max_size=4))


@FEW
@given(lit_rooms())
def test_a_closed_room_takes_up_all_the_light(case):
    room, sources = case
    light = solve(room=room, sources=sources, **PLANE)
    assert light.energy_error < 1e-3


@FEW
@given(lit_rooms())
def test_light_is_never_negative_and_reflection_never_darkens(case):
    room, sources = case
    light = solve(room=room, sources=sources, **PLANE)
    assert (light.direct_lx >= 0).all()
    assert (light.total_lx >= light.direct_lx - 1e-9).all()
    assert light.minimum_lx <= light.average_lx <= light.maximum_lx


@FEW
@given(lit_rooms())
def test_circuits_add_up(case):
    room, sources = case
    together = solve(room=room, sources=sources, **PLANE).total_lx
    apart = sum(solve(room=room, sources=[source], **PLANE).total_lx for source in sources)
    assert together == pytest.approx(apart, rel=1e-9, abs=1e-9)


@FEW
@given(lit_rooms(), st.floats(min_value=0.05, max_value=20))
def test_twice_the_lumens_is_twice_the_light(case, factor):
    room, sources = case
    stronger = [
        Source(
            position_m=source.position_m,
            intensity_cd=lambda c, g, law=source.intensity_cd: factor * law(c, g),
            flux_lm=factor * source.flux_lm,
            aim=source.aim,
        )
        for source in sources
    ]
    one = solve(room=room, sources=sources, **PLANE)
    other = solve(room=room, sources=stronger, **PLANE)
    assert other.total_lx == pytest.approx(factor * one.total_lx, rel=1e-6, abs=1e-9)


@FEW
@given(lit_rooms())
def test_a_mirrored_room_is_lit_like_its_mirror_image(case):
    room, sources = case
    mirrored = [
        Source(
            position_m=(room.length_m - source.position_m[0], *source.position_m[1:]),
            intensity_cd=source.intensity_cd,
            flux_lm=source.flux_lm,
            aim=(-source.aim[0], *source.aim[1:]),
        )
        for source in sources
    ]
    one = solve(room=room, sources=sources, **PLANE)
    other = solve(room=room, sources=mirrored, **PLANE)
    assert other.direct_lx[:, ::-1] == pytest.approx(one.direct_lx, rel=1e-6, abs=1e-9)
    # The rays of the first bounce are not mirrored: half a percent of the light, or a hundredth of a lux.
    assert other.average_lx == pytest.approx(one.average_lx, rel=0.01, abs=0.01)
    assert other.walls_lx == pytest.approx(one.walls_lx, rel=0.01, abs=0.01)


@FEW
@given(rooms())
def test_patches_are_closed_and_give_as_they_take(room):
    box = box_of(room)
    exchange_m2 = box.exchange_m2
    assert exchange_m2 == pytest.approx(exchange_m2.T, abs=1e-15)
    assert exchange_m2.min() > -1e-12
    closure = exchange_m2.sum(axis=1) / box.areas_m2
    assert closure == pytest.approx(np.ones(len(closure)), abs=1e-9)


@FEW
@given(sizes, sizes, sizes)
def test_form_factors_are_reciprocal_and_close_a_box(length, width, height):
    there = perpendicular(edge_m=length, from_m=width, to_m=height)
    back = perpendicular(edge_m=length, from_m=height, to_m=width)
    assert width * there == pytest.approx(height * back, rel=1e-9)
    sides = perpendicular(edge_m=width, from_m=length, to_m=height)
    opposite = parallel(a_m=length, b_m=width, distance_m=height)
    assert opposite + 2 * (there + sides) == pytest.approx(1, abs=1e-9)


@FEW
@given(lit_rooms())
def test_every_source_puts_its_whole_flux_on_the_patches(case):
    room, sources = case
    box = box_of(room)
    flux = float(direct_on_patches(box, sources) @ box.areas_m2)
    assert flux == pytest.approx(sum(source.flux_lm for source in sources), rel=1e-3)


@FEW
@given(lit_rooms(), st.lists(inside, min_size=3, max_size=3))
def test_points_at_once_agree_with_points_one_by_one(case, share):
    room, sources = case
    point = tuple(part * size for part, size in zip(share, room.size_m, strict=True))
    assume(all(math.dist(point, source.position_m) > 1e-3 for source in sources))
    for normal in ((0, 0, 1), (1, 0, 0), (0, -0.6, 0.8)):
        alone = sum(
            illuminance(
                intensity_cd=source.intensity_cd,
                source_m=source.position_m,
                point_m=point,
                normal=normal,
                aim=source.aim,
            )
            for source in sources
        )
        together = direct_at(sources, np.array([point]), np.array(normal, dtype=float))
        assert together[0] == pytest.approx(alone, rel=1e-6, abs=1e-9)


@FEW
@given(lit_rooms())
def test_faces_agree_with_points(case):
    room, sources = case
    cuboid = Cuboid(
        low_m=tuple(0.3 * size for size in room.size_m),
        high_m=tuple(0.5 * size for size in room.size_m),
    )
    for face in (*room_faces(room, 1.0), *cuboid_faces(cuboid, room, 0.7)):
        slow = direct_at(sources, face.points_m, face.normal, cuboids=[cuboid])
        quick = direct_on_face(sources, face, cuboids=[cuboid])
        assert quick == pytest.approx(slow, rel=1e-6, abs=1e-9)


@given(st.floats(min_value=-1, max_value=1), angles, angles)
def test_a_luminaires_axes_are_square_and_right_handed(height, way, turn):
    level = math.sqrt(max(0.0, 1 - height * height))
    aim = (level * math.cos(math.radians(way)), level * math.sin(math.radians(way)), height)
    c0, c90, axis = luminaire_axes(aim=aim, turn_deg=turn)
    frame = np.stack([c0, c90, axis])
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-6)
    assert np.linalg.det(frame) == pytest.approx(-1, abs=1e-6)  # γ = 0 points down
    assert axis == pytest.approx(np.array(aim), abs=1e-6)


def test_a_turn_moves_the_lobe():
    def to_x(c_deg, gamma_deg):
        return 100.0 if min(c_deg, 360 - c_deg) < 1 else 0.0

    lamp = {"intensity_cd": to_x, "source_m": (0, 0, 1)}
    assert illuminance(point_m=(1, 0, 0), **lamp) > 0
    assert illuminance(point_m=(0, 1, 0), **lamp) == 0
    assert illuminance(point_m=(0, 1, 0), turn_deg=90, **lamp) > 0
    assert illuminance(point_m=(1, 0, 0), turn_deg=90, **lamp) == 0


def test_a_lamp_behind_a_surface_gives_it_nothing():
    lamp = {"intensity_cd": lambda c, g: 100.0, "source_m": (0, 0, 1)}
    assert illuminance(point_m=(0, 0, 2), **lamp) == 0.0
    assert illuminance(point_m=(0, 0, 2), normal=(0, 0, -1), **lamp) == 100.0


def test_a_line_in_parts_meets_its_closed_form():
    # Lambertian strip of 3 m, 800 lm/m, 1.3 m above the point under its middle:
    # E = 2(I/π…)·[x/(2h²(h²+x²)) + atan(x/h)/(2h³)]·h², by integration.
    x, h, per_metre = 1.5, 1.3, 800 / math.pi
    closed = (
        per_metre * h * h * 2 * (x / (2 * h * h * (h * h + x * x)) + math.atan(x / h) / (2 * h**3))
    )
    parts = line(start_m=(-1.5, 0, h), end_m=(1.5, 0, h), flux_lm=2400, nearest_m=h)
    found = direct_at(parts, np.zeros((1, 3)), np.array([0.0, 0.0, 1.0]))
    assert found[0] == pytest.approx(closed, rel=0.01)


def test_rays_carry_the_flux_where_it_goes():
    rays = spread(beam(flux_lm=1000, beam_deg=40), 4096)
    assert rays.flux_lm == pytest.approx(1000, rel=1e-4)
    cosines = rays.local[:, 2]
    half = np.degrees(np.arccos(cosines)) <= 20
    # Share of a cosine power's flux inside half its beam: 1 − cos(β/2)^(n+1).
    power = beam(flux_lm=1000, beam_deg=40).power
    assert half.mean() == pytest.approx(1 - math.cos(math.radians(20)) ** (power + 1), abs=2e-3)


def test_rays_follow_a_lobe_that_is_not_round():
    def lobe(c_deg, gamma_deg):
        return (1 + np.cos(np.radians(c_deg))) * np.maximum(0, np.cos(np.radians(gamma_deg)))

    rays = spread(lobe, 4096)
    assert rays.flux_lm == pytest.approx(total_flux_lm(lobe))
    # Mean of sin γ·cos C weighted by the flux: ∫sin²γcosγ… = (1/2)·(2/3).
    assert rays.local[:, 0].mean() == pytest.approx(1 / 3, abs=5e-3)
    assert rays.local[:, 1].mean() == pytest.approx(0, abs=5e-3)


def test_what_one_patch_gives_another_it_would_get_back():
    # Reciprocity of the whole exchange: the light that leaves i and lands on j after all bounces,
    # over the reflectance of i, is the same the other way round: A·M/ρ is symmetric.
    room = BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0.2, walls=0.5, ceiling=0.7)
    box = box_of(room)
    passed = box.areas_m2[:, None] * box.interreflection / box.reflectances[None, :]
    passed = passed - np.diag(np.diag(passed))
    assert passed == pytest.approx(passed.T, rel=1e-9, abs=1e-12)


def test_the_energy_check_tells_of_a_flux_that_the_distribution_lacks():
    room = BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0.2, walls=0.5, ceiling=0.7)
    boast = Source(position_m=(2, 1.5, 2.4), intensity_cd=Globe(flux_lm=1000), flux_lm=1250)
    assert solve(room=room, sources=[boast], **PLANE).energy_error == pytest.approx(0.2, rel=1e-3)
