"""Arrangements, beams, glare and utilisation: what they say about a room."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering import arrangement, beams
from engineering.box import BoxRoom
from engineering.energy import SceneHours, efficacy, scenes_kwh
from engineering.glare import BrightLamp, seated_glare
from engineering.light_sources import (
    Globe,
    beam,
    downlight,
    globe,
    lambertian,
    up_down,
    wall_washer,
)
from engineering.lumen import is_spacing_within
from engineering.room import Source, solve
from engineering.utilisation import utilisation_by_exchange

ROOM = BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0.2, walls=0.5, ceiling=0.7)


@given(st.integers(1, 12), st.integers(1, 12), st.floats(0.5, 20), st.floats(0.5, 20))
def test_a_grid_keeps_half_a_space_at_the_walls(columns, rows, length, width):
    places = arrangement.grid(
        length_m=length, width_m=width, columns=columns, rows=rows, height_m=2.4
    )
    assert len(places) == columns * rows
    across = sorted({round(place.position_m[0], 9) for place in places})
    assert across[0] == pytest.approx(length / columns / 2)
    assert length - across[-1] == pytest.approx(across[0])
    gaps = [other - one for one, other in itertools.pairwise(across)]
    assert gaps == pytest.approx([length / columns] * (columns - 1))


@given(st.integers(1, 40), st.floats(0, 1.4))
def test_a_perimeter_keeps_its_offset_and_even_steps(pieces, offset):
    places = arrangement.perimeter(
        length_m=4, width_m=3, offset_m=offset, height_m=2.4, pieces=pieces
    )
    assert len(places) == pieces
    for place in places:
        x, y, _ = place.position_m
        assert min(x, y, 4 - x, 3 - y) == pytest.approx(offset, abs=1e-9)


@pytest.mark.parametrize(
    ("wall", "place", "aim"),
    [
        ("front", (2, 0.3), (0, -1)),
        ("right", (3.7, 1.5), (1, 0)),
        ("back", (2, 2.7), (0, 1)),
        ("left", (0.3, 1.5), (-1, 0)),
    ],
)
def test_along_a_wall_stands_off_it_and_tilts_to_it(wall, place, aim):
    (found,) = arrangement.along_wall(
        wall=wall, length_m=4, width_m=3, offset_m=0.3, height_m=2.4, pieces=1, tilt_deg=30
    )
    assert found.position_m[:2] == pytest.approx(place)
    assert found.aim == pytest.approx((aim[0] / 2, aim[1] / 2, -math.sqrt(3) / 2), abs=1e-9)


def test_over_a_long_table_the_row_runs_along_it():
    found = arrangement.over_object(corner_m=(1, 1), size_m=(0.8, 2), height_m=1.5, pieces=2)
    assert [place.position_m for place in found] == [(1.4, 1.5, 1.5), (1.4, 2.5, 1.5)]


def test_runs_round_and_along_have_the_length_of_the_tape():
    ring = arrangement.run_round(length_m=4, width_m=3, offset_m=0.1, height_m=2.3)
    assert sum(run.length_m for run in ring) == pytest.approx(2 * (3.8 + 2.8))
    run = arrangement.run_along_wall(
        wall="right", length_m=4, width_m=3, offset_m=0.1, height_m=2.3, margin_m=0.2
    )
    assert run.length_m == pytest.approx(2.6)
    assert run.position_m == pytest.approx((3.9, 0.2, 2.3))


def test_marked_points_and_arrangements_are_the_same_kind_of_value():
    marked = arrangement.at_points(points_m=[(1.0, 0.75)], height_m=2.4)
    worked_out = arrangement.grid(length_m=2, width_m=1.5, columns=1, rows=1, height_m=2.4)
    assert marked == worked_out


def test_a_scallop_starts_where_the_beams_edge_meets_the_wall():
    top = beams.scallop_top(mounting_height_m=2.4, offset_m=0.5, beam_deg=40)
    assert top == pytest.approx(2.4 - 0.5 / math.tan(math.radians(20)))
    assert beams.scallop_top(mounting_height_m=2.4, offset_m=0.5, beam_deg=40, tilt_deg=20) > top
    assert (
        beams.scallop_width(
            mounting_height_m=2.4, offset_m=0.5, beam_deg=40, at_height_m=top + 0.01
        )
        == 0
    )
    # On the floor the hyperbola is nearly as wide as the pool less the offset.
    wide = beams.scallop_width(mounting_height_m=2.4, offset_m=0.5, beam_deg=40, at_height_m=0)
    pool = beams.pool_diameter(distance_m=2.4, beam_deg=40)
    assert wide == pytest.approx(math.sqrt(pool**2 - 1))


def test_a_fitting_nearer_the_wall_has_a_higher_scallop():
    tops = [
        beams.scallop_top(mounting_height_m=2.4, offset_m=offset, beam_deg=36)
        for offset in (0.1, 0.3, 0.6)
    ]
    assert tops == sorted(tops, reverse=True)


def test_spacing_is_held_against_height():
    assert is_spacing_within(spacing_m=1.5, mounting_height_m=1.5, spacing_to_height_max=1.0)
    assert not is_spacing_within(spacing_m=1.6, mounting_height_m=1.5, spacing_to_height_max=1.0)


def test_our_own_utilisation_rises_with_each_reflectance_and_with_the_room():
    def factor(**changes):
        sizes = {"length_m": 4, "width_m": 3, "height_m": 2.5, "floor": 0.2, "walls": 0.3}
        room = BoxRoom(**(sizes | {"ceiling": 0.5} | changes))
        return utilisation_by_exchange(
            room=room,
            intensity_cd=lambertian(flux_lm=1000),
            flux_lm=1000,
            mounting_height_m=2.4,
            plane_height_m=0.8,
        )

    plain = factor()
    assert factor(floor=0.5) > plain
    assert factor(walls=0.6) > plain
    assert factor(ceiling=0.8) > plain
    assert factor(length_m=12, width_m=9) > plain


def test_a_washer_lights_the_wall_it_is_turned_to():
    lamp = wall_washer(position_m=(2, 0.6, 2.4), flux_lm=900, towards=(0, -1))
    other = wall_washer(position_m=(2, 0.6, 2.4), flux_lm=900, towards=(0, 1))

    def front_wall(source):
        light = solve(room=ROOM, sources=[source], plane_height_m=0.8, grid=(4, 3))
        return light.patches_lx[2 * 12 * 9 : 2 * 12 * 9 + 12 * 8].mean()

    assert front_wall(lamp) > 3 * front_wall(other)


def test_an_up_and_down_light_sends_light_both_ways():
    both = up_down(position_m=(0.1, 1.5, 1.8), up_lm=400, down_lm=200)
    assert [source.flux_lm for source in both] == [400, 200]
    assert [source.aim[2] for source in both] == [1, -1]
    only = up_down(position_m=(0.1, 1.5, 1.8), up_lm=400, down_lm=0)
    light = solve(room=ROOM, sources=only, plane_height_m=0.8, grid=(4, 3))
    assert light.ceiling_lx > light.floor_lx
    assert light.direct_lx.max() == 0


def test_a_globe_lights_the_ceiling_and_a_downlight_does_not_directly():
    hung = globe(position_m=(2, 1.5, 2.0), flux_lm=800)
    flush = downlight(position_m=(2, 1.5, 2.0), flux_lm=800, beam_deg=60)
    lit = [
        solve(room=ROOM, sources=[lamp], plane_height_m=0.8, grid=(4, 3)).ceiling_lx
        for lamp in (hung, flush)
    ]
    assert lit[0] > 2 * lit[1]


def lamp_at(x, flux=1000):
    law = lambertian(flux_lm=flux)
    return BrightLamp(
        source=Source(position_m=(x, 1.5, 2.4), intensity_cd=law, flux_lm=flux), opening_m2=0.05
    )


def test_glare_is_rated_for_lamps_in_sight_only():
    eye = (1.0, 1.5, 1.2)
    ahead = seated_glare(room=ROOM, lamps=[lamp_at(3)], eye_m=eye, look="right")
    assert ahead is not None
    assert 10 < ahead < 30
    assert seated_glare(room=ROOM, lamps=[lamp_at(3)], eye_m=eye, look="left") is None
    dark = BoxRoom(length_m=4, width_m=3, height_m=2.5, floor=0, walls=0, ceiling=0)
    assert seated_glare(room=dark, lamps=[lamp_at(3)], eye_m=eye, look="right") is None


def test_a_smaller_opening_of_the_same_flux_glares_more():
    eye = (1.0, 1.5, 1.2)
    small = BrightLamp(source=lamp_at(3).source, opening_m2=0.01)
    rated = [
        seated_glare(room=ROOM, lamps=[lamp], eye_m=eye, look="right")
        for lamp in (small, lamp_at(3))
    ]
    # A fifth of the area: L²ω grows five times, 8·log₁₀ 5.
    assert rated[0] - rated[1] == pytest.approx(8 * math.log10(5))


def test_glare_is_the_same_looking_from_the_mirrored_place():
    one = seated_glare(room=ROOM, lamps=[lamp_at(3)], eye_m=(1, 1.5, 1.2), look="right")
    other = seated_glare(room=ROOM, lamps=[lamp_at(1)], eye_m=(3, 1.5, 1.2), look="left")
    assert one == pytest.approx(other, abs=0.02)


def test_scenes_and_standby_add_up():
    scenes = [SceneHours(watts=300, hours_a_day=2), SceneHours(watts=50, hours_a_day=3)]
    assert scenes_kwh(scenes=scenes) == pytest.approx((600 + 150) * 365 / 1000)
    assert scenes_kwh(scenes=[], standby_w=0.5) == pytest.approx(4.38)
    assert efficacy(flux_lm=700, watts=7) == 100


def test_a_beam_law_keeps_its_flux_and_width():
    for width in (8, 24, 36, 60, 120, 150):
        law = beam(flux_lm=777, beam_deg=width)
        assert law.flux_lm == pytest.approx(777)
        assert law.beam_deg == pytest.approx(width)
        assert law(0, width / 2).item() == pytest.approx(law.peak_cd / 2)
    assert Globe(flux_lm=777)(0, 180).item() == pytest.approx(777 / (4 * math.pi))
