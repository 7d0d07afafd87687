"""One solution for each circuit; scenes, bytes and pictures made from them."""

import json
import math
import zlib
from dataclasses import replace

import numpy as np
import pytest

from engineering import light_code, room_view
from engineering.arrangement import Placement, grid, run_along_wall
from engineering.box import BoxRoom
from engineering.colour import linear_rgb_of_cct
from engineering.furniture import furnish, surface_colours
from engineering.light_basis import coarsened, plane_face, solve_circuits
from engineering.light_code import (
    LEVELS,
    decoded,
    encoded,
    header,
    packed,
    quantised,
    restored,
    solve_for_browser,
    unpacked,
)
from engineering.light_sources import Globe, beam
from engineering.lit_circuits import LitCircuit, LitFitting
from engineering.luminaire_glow import VEIL_REACH_DEG, glow
from engineering.room import solve
from engineering.room_faces import Cuboid, cuboid_faces, room_faces
from engineering.room_view import VIEWS, camera, edge_shade, luminances, picture, sight_lines
from engineering.shadows import is_lit, open_share
from engineering.tone import exposure, to_bytes, white_gain

ROOM = BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0.25, walls=0.55, ceiling=0.8)
DOWN = beam(flux_lm=500, beam_deg=60)
WARM = linear_rgb_of_cct(2700, adapted_to_k=3300)


def downlights(columns=2, rows=2, law=DOWN, room=ROOM):
    places = grid(
        length_m=room.length_m, width_m=room.width_m, columns=columns, rows=rows, height_m=2.48
    )
    return tuple(
        LitFitting(placement=place, intensity_cd=law, flux_lm=law.flux_lm) for place in places
    )


def three_circuits():
    tape = LitFitting(
        placement=run_along_wall(
            wall="back", length_m=4, width_m=3, offset_m=0.15, height_m=2.3, aim=(0, 0, 1)
        ),
        intensity_cd=beam(flux_lm=2000, beam_deg=120),
        flux_lm=2000,
        shape="none",
        nearest_m=0.3,
    )
    globe = LitFitting(
        placement=Placement(position_m=(3.2, 2.2, 1.4)),
        intensity_cd=Globe(flux_lm=400),
        flux_lm=400,
        shape="globe",
        size_m=0.2,
    )
    return [
        LitCircuit(key="down", fittings=downlights(), colour=WARM),
        LitCircuit(key="cove", fittings=(tape,), colour=WARM),
        LitCircuit(
            key="globe", fittings=(globe,), colour=linear_rgb_of_cct(2200, adapted_to_k=3300)
        ),
    ]


@pytest.fixture(scope="module")
def basis():
    table = furnish(kind="table", corner_m=(1.4, 1, 0), size_m=(1.4, 0.9, 0.74), room=ROOM)
    return solve_circuits(
        room=ROOM,
        circuits=three_circuits(),
        texel_m=0.15,
        cuboids=table,
        colours=surface_colours(ROOM),
    )


ALL_ON = {"down": 1.0, "cove": 1.0, "globe": 1.0}


# The basis --------------------------------------------------------------------------------------


def test_a_scene_is_the_weighted_sum_of_its_circuits(basis):
    scene = {"down": 0.3, "globe": 0.9}
    parts = 0.3 * basis.plane({"down": 1.0}) + 0.9 * basis.plane({"globe": 1.0})
    assert basis.plane(scene) == pytest.approx(parts, rel=1e-12)
    assert basis.plane({}) == pytest.approx(np.zeros_like(parts))


def test_the_basis_agrees_with_the_whole_solution(basis):
    sources = [source for circuit in three_circuits() for source in circuit.sources]
    rows, columns = basis.plane_lx.shape[1:]
    light = solve(room=ROOM, sources=sources, plane_height_m=0.75, grid=(columns, rows))
    assert basis.plane(ALL_ON).mean() == pytest.approx(light.average_lx, rel=2e-3)
    assert basis.plane(ALL_ON) == pytest.approx(light.total_lx, rel=0.02)


def test_the_cells_of_an_empty_room_take_up_the_light():
    # ∫E(1 − ρ)dA over the drawn cells is the flux: the picture shows the light that was computed.
    empty = solve_circuits(room=ROOM, circuits=three_circuits()[:1], texel_m=0.1)
    absorbed = 0.0
    for face, start, share in zip(empty.faces, empty.offsets(), ROOM.reflectances, strict=False):
        cells = empty.cells_lx[0, start : start + math.prod(face.cells)]
        absorbed += cells.mean() * face.area_m2 * (1 - share)
    assert absorbed == pytest.approx(2000, rel=0.02)


def test_a_tunable_white_circuit_is_two_weights():
    warm = LitCircuit(key="w", fittings=downlights(), colour=linear_rgb_of_cct(2200))
    cool = LitCircuit(key="c", fittings=downlights(), colour=linear_rgb_of_cct(6500))
    both = solve_circuits(room=ROOM, circuits=[warm, cool], texel_m=0.3)
    eye = camera(ROOM, "front")

    def blue_over_red(levels):
        light = luminances(both, levels, eye, 64, 40).mean(axis=(0, 1))
        return light[2] / light[0]

    assert (
        blue_over_red({"w": 1.0}) < blue_over_red({"w": 0.5, "c": 0.5}) < blue_over_red({"c": 1.0})
    )


def test_a_table_shades_the_floor_but_not_the_figures(basis):
    bare = solve_circuits(room=ROOM, circuits=three_circuits(), texel_m=0.15)
    assert basis.plane_lx == pytest.approx(bare.plane_lx)
    floor = basis.faces[0]
    count = math.prod(floor.cells)
    under = basis.cells_lx[0, :count].reshape(floor.cells)
    open_floor = bare.cells_lx[0, :count].reshape(floor.cells)
    middle = (round(2.1 / 4 * floor.cells[0]), round(1.45 / 3 * floor.cells[1]))
    assert under[middle] < 0.5 * open_floor[middle]
    assert under[-1, -1] == pytest.approx(open_floor[-1, -1], rel=0.1)


def test_a_screen_between_lamp_and_point_throws_a_shadow():
    screen = Cuboid(low_m=(1, 0, 0), high_m=(1.05, 3, 2))
    lamp = np.array([[0.5, 1.5, 1.0]])
    points = np.array([[2, 1.5, 0.5], [0.8, 1.5, 0.5], [1.2, 1.5, 2.49]])
    assert is_lit(lamp, points, [screen]).tolist() == [[0.0, 1.0, 1.0]]
    aside = Cuboid(low_m=(3, 0, 0), high_m=(3.5, 3, 2))
    assert is_lit(lamp, points, [aside]).tolist() == [[1.0, 1.0, 1.0]]


def test_the_half_space_closes_under_a_low_slab():
    floor = room_faces(ROOM, 0.5)[0]
    slab = Cuboid(low_m=(0.5, 0.5, 0.05), high_m=(3.5, 2.5, 0.1))
    points = np.array([[2.0, 1.5, 0.0], [0.05, 0.05, 0.0]])
    under, corner = open_share(floor, points, [slab])
    assert under == pytest.approx(0.2, abs=0.01)
    assert corner > 0.9


def test_faces_flush_with_the_room_are_left_out():
    assert len(cuboid_faces(Cuboid(low_m=(0, 0, 0), high_m=(1, 1, 1)), ROOM, 0.2)) == 3
    assert plane_face(ROOM, 0.75).cells == (20, 15)


# Bytes for a browser ----------------------------------------------------------------------------


def test_what_is_packed_comes_out_again():
    numbers = np.array([0, 1, -1, 126, 127, -127, -128, 2000, -2000])
    assert unpacked(packed(numbers), len(numbers))[0].tolist() == numbers.tolist()


def test_the_scale_is_fine_at_every_level():
    lux = np.geomspace(0.5, 5000, 200)
    back = restored(quantised(lux, 5000.0), 5000.0)
    # Half a step of ln(4001)/1500 near the peak, a little more where the scale runs to 0.
    assert np.abs(back - lux) == pytest.approx(0, abs=5000 / 4000 * 0.01 + 0.003 * 5000)
    assert (np.abs(back - lux) / (lux + 5000 / 4000)).max() < 0.6 * math.log(4001) / LEVELS
    assert restored(quantised(np.zeros(3), 0.0), 0.0).tolist() == [0, 0, 0]


def test_a_browser_gets_the_basis_back(basis):
    data = encoded(basis)
    back = decoded(data)
    scale = back.cells_lx.max(axis=1, keepdims=True) / 4000
    assert (np.abs(back.cells_lx - basis.cells_lx) / (basis.cells_lx + scale)).max() < 0.004
    assert back.plane_lx == pytest.approx(basis.plane_lx, rel=0.01, abs=1.0)
    assert [entry["key"] for entry in back.head["circuits"]] == ["down", "cove", "globe"]
    assert back.head == json.loads(json.dumps(header(basis)))


def test_a_rooms_bytes_keep_to_their_limit():
    law = beam(flux_lm=300, beam_deg=36)
    many = [
        LitCircuit(key=str(number), fittings=(fitting,))
        for number, fitting in enumerate(downlights(4, 3, law))
    ]
    basis, data = solve_for_browser(room=ROOM, circuits=many)
    assert len(data) <= 30_000
    assert len(basis.circuits) == 12
    assert math.prod(basis.faces[0].cells) > 200
    with pytest.raises(ValueError, match="more than allowed"):
        solve_for_browser(room=ROOM, circuits=many, most_bytes=4000)


def test_cells_that_are_too_many_become_coarser_and_no_face_gets_other_light(basis):
    coarse = coarsened(basis, 0.4)
    assert coarse.cells_lx.shape[1] < basis.cells_lx.shape[1] / 3
    assert coarse.offsets()[-1] == coarse.cells_lx.shape[1]
    for fine, few, start, other in zip(
        basis.faces, coarse.faces, basis.offsets(), coarse.offsets(), strict=False
    ):
        before = basis.cells_lx[:, start : start + math.prod(fine.cells)].mean(axis=1)
        after = coarse.cells_lx[:, other : other + math.prod(few.cells)].mean(axis=1)
        assert after == pytest.approx(before, rel=1e-12)
    assert np.array_equal(coarse.plane_lx, basis.plane_lx)
    same = coarsened(basis, 0.05)
    assert np.array_equal(same.cells_lx, basis.cells_lx)
    # What comes out is what would have been worked out on such cells, but for sharp edges.
    asked = solve_circuits(
        room=ROOM,
        circuits=three_circuits(),
        texel_m=0.4,
        cuboids=basis.cuboids,
        colours=surface_colours(ROOM),
    )
    assert [face.cells for face in coarse.faces] == [face.cells for face in asked.faces]
    gap = np.abs(coarse.cells_lx - asked.cells_lx).mean(axis=1) / asked.cells_lx.mean(axis=1)
    # The stripe that the cove sends along its wall is met or missed by the middle of a coarse cell.
    assert (gap[[0, 2]] < 0.03).all()
    assert gap[1] < 0.25


def test_a_room_is_worked_out_once_however_small_its_bytes_are_to_be(monkeypatch):
    asked = []

    def counted(**given):
        asked.append(given["texel_m"])
        return solve_circuits(**given)

    monkeypatch.setattr(light_code, "solve_circuits", counted)
    law = beam(flux_lm=300, beam_deg=36)
    many = [
        LitCircuit(key=str(number), fittings=(fitting,))
        for number, fitting in enumerate(downlights(4, 3, law))
    ]
    table = furnish(kind="table", corner_m=(1, 1, 0), size_m=(1.6, 0.9, 0.75), room=ROOM)
    basis, data = solve_for_browser(room=ROOM, circuits=many, cuboids=table, most_bytes=16_000)
    assert len(asked) == 1
    assert 10_000 < len(data) <= 16_000
    assert encoded(basis) == data


def test_the_same_room_gives_the_same_bytes(basis):
    again = solve_circuits(
        room=ROOM,
        circuits=three_circuits(),
        texel_m=0.15,
        cuboids=basis.cuboids,
        colours=surface_colours(ROOM),
    )
    assert encoded(again) == encoded(basis)
    assert zlib.decompress(encoded(basis)).count(b"\0") >= 1


# The picture ------------------------------------------------------------------------------------


def test_a_picture_is_brighter_with_more_light_and_never_clipped(basis):
    full = picture(basis=basis, levels=ALL_ON, width_px=160)
    low = picture(basis=basis, levels={"globe": 0.2}, width_px=160)
    none = picture(basis=basis, levels={}, width_px=160)
    assert full.shape == (100, 160, 3)
    assert full.mean() > low.mean() + 20 > none.mean() + 20
    assert none.max() > 0  # a dark room is not a black square
    for image in (full, low):
        assert (image == 255).all(axis=-1).mean() < 0.02


def test_print_and_browser_agree(basis):
    # What a browser draws from its bytes against what is drawn from the full numbers: the mean
    # of the picture within 2/255.
    held = decoded(encoded(basis))
    eye = camera(ROOM, "front")
    scene = {"down": 0.4, "cove": 1.0, "globe": 0.7}
    in_print = luminances(basis, scene, eye, 192, 120)
    shown = luminances(
        replace(
            basis,
            cells_lx=held.cells_lx,
            plane_lx=held.plane_lx,
            mean_cd_m2=np.array([entry["mean"] for entry in held.head["circuits"]]),
        ),
        scene,
        eye,
        192,
        120,
    )
    full = float(basis.mean_cd_m2.sum())
    level = exposure(scene_cd_m2=float(basis.weights(scene) @ basis.mean_cd_m2), full_cd_m2=full)
    one, other = to_bytes(in_print, level).astype(int), to_bytes(shown, level).astype(int)
    assert abs(one.mean() - other.mean()) < 2
    assert np.abs(one - other).max() <= 4


def test_a_warm_scene_is_warmer_than_a_cool_one():
    def mean_of(kelvin):
        colour = linear_rgb_of_cct(kelvin, adapted_to_k=3300)
        circuit = LitCircuit(key="a", fittings=downlights(), colour=colour)
        one = solve_circuits(room=ROOM, circuits=[circuit], texel_m=0.3)
        return picture(basis=one, levels={"a": 1.0}, width_px=64).mean(axis=(0, 1))

    warm, cool = mean_of(2200), mean_of(6500)
    assert warm[0] > warm[2]
    assert warm[0] - warm[2] > cool[0] - cool[2] + 20


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_fills_its_frame(basis, view):
    image = picture(basis=basis, levels=ALL_ON, view=view, width_px=96, smooth=1)
    assert image.shape[1] == 96
    assert image.min(axis=-1).max() > 60
    assert image.std() > 5


def test_views_from_opposite_walls_mirror_a_room_without_sides(monkeypatch):
    # No two floors are laid with boards that mirror each other.
    monkeypatch.setattr(room_view, "board_tone", lambda along, _across: np.ones(along.shape))
    circuit = LitCircuit(key="a", fittings=downlights())
    plain = solve_circuits(room=ROOM, circuits=[circuit], texel_m=0.2)
    front = picture(basis=plain, levels={"a": 1.0}, view="front", width_px=96)
    back = picture(basis=plain, levels={"a": 1.0}, view="back", width_px=96)
    assert np.abs(front.astype(int) - back).max() <= 2
    # The drawn edge is one pixel wide and so not quite in the middle.
    assert np.abs(front.astype(int) - front[:, ::-1]).mean() < 0.5


def test_a_globe_glows_where_it_hangs(basis):
    eye = camera(ROOM, "front")
    rays = sight_lines(eye, 160, 100)
    fitting = three_circuits()[2].fittings[0]
    shape, shine = glow((fitting,), eye.eye_m, rays, np.full(rays.shape[:2], 10.0))
    rows, columns = np.nonzero(shape)
    offset = np.array((3.2, 2.2, 1.4)) - np.array(eye.eye_m)
    on_frame = offset / offset[1] * -eye.eye_m[1] + np.array(eye.eye_m)
    assert columns.mean() / 160 == pytest.approx(on_frame[0] / 4, abs=0.01)
    assert 1 - rows.mean() / 100 == pytest.approx(on_frame[2] / 2.5, abs=0.015)
    inside, near, far = shine[shape].mean(), shine[~shape].max(), shine[0, 0]
    assert inside > near > far == 0.0
    away = np.array((3.2, 2.2, 1.4)) - np.array(eye.eye_m)
    cosine = (rays @ away) / np.linalg.norm(rays, axis=-1) / np.linalg.norm(away)
    tangent = np.degrees(np.sqrt(1 / cosine**2 - 1))
    assert (shine[tangent > VEIL_REACH_DEG] == 0).all()
    assert (shine[tangent < VEIL_REACH_DEG * 0.98] > 0).all()
    # Behind something nearer it is not seen itself.
    hidden, _ = glow((fitting,), eye.eye_m, rays, np.full(rays.shape[:2], 0.5))
    assert not hidden.any()


def test_edges_are_drawn_where_faces_meet_only():
    faces = np.zeros((4, 4), dtype=np.int32)
    faces[:, 2:] = 1
    shade = edge_shade(faces)
    assert (shade[:, 1] < 1).all()
    assert (shade[:, [0, 2, 3]] == 1).all()


@pytest.mark.parametrize(
    "kind",
    [
        "table",
        "bed",
        "sofa",
        "worktop",
        "wardrobe",
        "rug",
        "shelf",
        "door",
        "window",
        "mirror",
        "picture",
        "cupboard",
        "x",
    ],
)
def test_furniture_stays_in_the_room(kind):
    parts = furnish(kind=kind, corner_m=(0.0, 2.0, 0.0), size_m=(2.0, 1.5, 0.9), room=ROOM)
    assert parts
    for part in parts:
        for low, high, size in zip(part.low_m, part.high_m, ROOM.size_m, strict=True):
            assert -1e-9 <= low < high <= size + 1e-9


def test_the_eye_follows_the_colour_of_the_light_in_part():
    warm = np.array(linear_rgb_of_cct(2200, adapted_to_k=3300))
    gain = white_gain(warm)
    assert gain[0] < 1 < gain[2]
    # In part: what was warmer than white is less warm, and still warm.
    assert warm[0] / warm[2] > (warm * gain)[0] / (warm * gain)[2] > 1
    # On any scale of the light, and where a colour is missing, or all of them.
    assert white_gain(1000 * warm) == pytest.approx(gain)
    assert np.isfinite(white_gain(np.array([1.0, 0.0, 0.0]))).all()
    assert white_gain(np.zeros(3)).tolist() == [1.0, 1.0, 1.0]


def test_the_tones_are_one_formula():
    # Worked by hand: x = exposure·L = 1 → 1 − (1 + 1/2.2)^−2.2 = 0.5615 → sRGB 0.7745 → 197.
    assert to_bytes(np.array([1.0]), 1.0).tolist() == [197]
    # Bright light runs to white slowly: 3 times brighter than white paper still has a slope.
    assert to_bytes(np.array([3.0, 6.0]), 1.0).tolist() == [241, 251]
    dim, full = exposure(scene_cd_m2=1, full_cd_m2=100), exposure(scene_cd_m2=100, full_cd_m2=100)
    # The eye opens for a dim room, but less than it is dimmer.
    assert 1 < dim / full < 100


def test_a_window_shows_a_sky_over_land_at_the_height_of_the_eye():
    window = furnish(kind="window", corner_m=(1.0, 2.8, 0.6), size_m=(2.0, 0.2, 1.8), room=ROOM)
    held = solve_circuits(
        room=ROOM, circuits=[LitCircuit(key="a", fittings=downlights())], cuboids=window
    )
    eye = camera(ROOM, "front")
    light = luminances(held, {}, eye, 400, 250)[:, :, 2]

    def at(height_m):
        # A little beside the window's middle bar.
        rise = (height_m - eye.eye_m[2]) / (ROOM.width_m - eye.eye_m[1])
        z_at_frame = eye.eye_m[2] + rise * -eye.eye_m[1]
        return light[round((ROOM.height_m - z_at_frame) / ROOM.height_m * 250), 212]

    low_sky, high_sky, land = at(eye.eye_m[2] + 0.3), at(2.25), at(eye.eye_m[2] - 0.3)
    assert low_sky > 1.1 * high_sky > 2 * land > 0
    # A pane tells so after its own light; its narrow sides go with it.
    panes = [len(entry) for entry in header(held)["faces"] if entry[-1] == 1 and len(entry) > 12]
    assert panes == [16] * 8


@pytest.mark.parametrize(("view", "is_seen"), [("front", False), ("back", True), ("left", True)])
def test_what_hangs_on_the_wall_that_is_left_out_goes_with_it(view, is_seen):
    lamp = LitFitting(
        placement=Placement(position_m=(3.2, 0.12, 1.6)),
        intensity_cd=Globe(flux_lm=300),
        flux_lm=300,
        shape="globe",
        size_m=0.2,
    )
    box = Cuboid(low_m=(3.15, 0.0, 1.5), high_m=(3.25, 0.25, 1.7), casts=False)
    circuit = LitCircuit(key="a", fittings=(lamp,))
    lit = solve_circuits(room=ROOM, circuits=[circuit], texel_m=0.3, cuboids=[box])
    stage = room_view.stage(lit, camera(ROOM, view), 96, 60)
    assert bool(stage.shapes.any()) == is_seen
    assert bool((stage.glows[0] > 0).any()) == is_seen
    assert bool((stage.sight.face >= 6).any()) == is_seen
