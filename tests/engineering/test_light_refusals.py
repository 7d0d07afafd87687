"""Bad input is refused in plain words, or bounded; never guessed."""

import math

import numpy as np
import pytest

from engineering import arrangement, beams, energy, glare, lumen
from engineering.box import BoxRoom
from engineering.furniture import furnish
from engineering.light_basis import solve_circuits
from engineering.light_code import decoded, packed, solve_for_browser
from engineering.light_guides import LightGuide, light_guide
from engineering.light_sources import CosinePower, EvenCone, Globe, beam, line, up_down
from engineering.lit_circuits import LitCircuit, LitFitting
from engineering.maintenance import maintenance_factor
from engineering.points import illuminance, intensities
from engineering.published import COMMON_PRACTICE
from engineering.radiosity import exchange
from engineering.room import Source, solve
from engineering.room_faces import Cuboid
from engineering.room_view import camera, picture
from engineering.tone import exposure
from engineering.utilisation import UtilisationTable, utilisation_by_exchange

NAN, INFINITE = math.nan, math.inf
ROOM = BoxRoom(length_m=4, width_m=3, height_m=2.5)
LAW = Globe(flux_lm=500)
LAMP = Source(position_m=(2, 1.5, 2.4), intensity_cd=LAW, flux_lm=500)
WHOLE = {"room": ROOM, "sources": [LAMP], "plane_height_m": 0.8, "grid": (4, 3)}


def fitting(x=2.0, **changes):
    values = {"placement": arrangement.Placement(position_m=(x, 1.5, 2.4))}
    return LitFitting(**(values | {"intensity_cd": LAW, "flux_lm": 500} | changes))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"length_m": 0}, "length_m must be from"),
        ({"width_m": -1}, "width_m must be from"),
        ({"height_m": NAN}, "height_m must be from"),
        ({"length_m": INFINITE}, "length_m must be from"),
        ({"floor": 1.0}, "floor reflectance must be"),
        ({"walls": -0.1}, "walls reflectance must be"),
        ({"ceiling": NAN}, "ceiling reflectance must be"),
    ],
)
def test_a_room_that_cannot_be(change, message):
    with pytest.raises(ValueError, match=message):
        BoxRoom(**({"length_m": 4, "width_m": 3, "height_m": 2.5} | change))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"position_m": (1, 2)}, "position_m must be three"),
        ({"position_m": (1, 2, NAN)}, "position_m must be three"),
        ({"flux_lm": 0}, "flux_lm must be above 0"),
        ({"flux_lm": NAN}, "flux_lm must be above 0"),
        ({"intensity_cd": 100.0}, "must be a function"),
        ({"aim": (0, 0, 0)}, "aim must not be of zero length"),
        ({"turn_deg": NAN}, "turn_deg must be finite"),
        ({"part": 0}, "part must be above 0"),
    ],
)
def test_a_source_that_cannot_be(change, message):
    values = {"position_m": (2, 1.5, 2.4), "intensity_cd": LAW, "flux_lm": 500}
    with pytest.raises(ValueError, match=message):
        Source(**(values | change))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"sources": []}, "needs 1 to"),
        ({"plane_height_m": 2.5}, "plane_height_m must be"),
        ({"plane_height_m": -0.1}, "plane_height_m must be"),
        ({"plane_height_m": NAN}, "plane_height_m must be"),
        ({"grid": (0, 3)}, "grid must be two whole numbers"),
        ({"grid": (2.5, 3)}, "grid must be two whole numbers"),
        ({"grid": (1000, 1000)}, "at most 10000 points"),
        ({"points_m": [(5, 1)]}, "is not inside the room"),
        ({"points_m": [(1, 1, 9)]}, "is not inside the room"),
        ({"points_m": [(1, NAN)]}, "is not inside the room"),
        ({"points_m": [(1,)]}, "is not inside the room"),
    ],
)
def test_a_question_about_a_room_that_cannot_be_answered(change, message):
    with pytest.raises(ValueError, match=message):
        solve(**(WHOLE | change))


@pytest.mark.parametrize("place", [(2, 1.5, -0.1), (2, 1.5, 2.6), (-1, 1, 1), (2, 3.5, 1)])
def test_a_light_outside_the_room_is_refused_by_number(place):
    outside = Source(position_m=place, intensity_cd=LAW, flux_lm=500)
    with pytest.raises(ValueError, match="source 1 is outside the room"):
        solve(**(WHOLE | {"sources": [LAMP, outside]}))


def test_five_hundred_fittings_in_a_cupboard_are_refused():
    cupboard = BoxRoom(length_m=0.8, width_m=0.6, height_m=2.2)
    lamps = [Source(position_m=(0.4, 0.3, 2), intensity_cd=LAW, flux_lm=500)] * 500
    with pytest.raises(ValueError, match=r"500 fittings in 0\.48 m²: at most 59"):
        solve(room=cupboard, sources=lamps, plane_height_m=0.5, grid=(3, 3))


def test_a_tape_in_many_parts_is_one_fitting():
    cupboard = BoxRoom(length_m=0.8, width_m=0.6, height_m=2.2)
    parts = line(start_m=(0, 0.3, 2), end_m=(0.8, 0.3, 2), flux_lm=400, nearest_m=0.02)
    assert len(parts) == 200
    light = solve(room=cupboard, sources=parts, plane_height_m=0.5, grid=(3, 3))
    assert light.energy_error < 1e-3


def test_a_lamp_flush_with_a_surface_is_no_trouble():
    for place in ((0, 0, 0), (4, 3, 2.5), (2, 1.5, 2.5), (0, 1.5, 1)):
        lamp = Source(position_m=place, intensity_cd=LAW, flux_lm=500)
        light = solve(**(WHOLE | {"sources": [lamp]}))
        assert np.isfinite(light.total_lx).all()
        assert light.energy_error < 1e-3


def test_a_negative_or_endless_intensity_is_refused():
    for wrong in (lambda c, g: -1.0, lambda c, g: NAN, lambda c, g: INFINITE):
        with pytest.raises(ValueError, match="intensity"):
            illuminance(intensity_cd=wrong, source_m=(0, 0, 1), point_m=(0, 0, 0))
        with pytest.raises(ValueError, match="intensity"):
            intensities(wrong, np.zeros(2), np.zeros(2))
        with pytest.raises(ValueError, match="intensity"):
            source = Source(position_m=(2, 1, 2), intensity_cd=wrong, flux_lm=1)
            solve(**(WHOLE | {"sources": [source]}))


def test_a_function_for_single_numbers_is_taken_too():
    def plain(c_deg, gamma_deg):
        return 159.155 * max(0.0, math.cos(math.radians(gamma_deg))) if gamma_deg < 90 else 0.0

    lamp = Source(position_m=(2, 1.5, 2.4), intensity_cd=plain, flux_lm=500)
    quick = Source(
        position_m=(2, 1.5, 2.4), intensity_cd=beam(flux_lm=500, beam_deg=120), flux_lm=500
    )
    slow_light = solve(**(WHOLE | {"sources": [lamp]})).total_lx
    assert slow_light == pytest.approx(solve(**(WHOLE | {"sources": [quick]})).total_lx, rel=1e-5)


def test_a_point_at_the_lamp_has_no_value():
    with pytest.raises(ValueError, match="the source is at the point"):
        illuminance(intensity_cd=LAW, source_m=(0, 0, 1), point_m=(0, 0, 1))
    with pytest.raises(ValueError, match="normal must not be of zero length"):
        illuminance(intensity_cd=LAW, source_m=(0, 0, 1), point_m=(0, 0, 0), normal=(0, 0, 0))


THREE = {
    "areas_m2": [1.0, 1.0],
    "reflectances": [0.5, 0.5],
    "form_factors": [[0, 1], [1, 0]],
    "direct_lx": [1, 0],
}


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"areas_m2": [1.0, 0.0]}, "areas_m2 must be"),
        ({"areas_m2": []}, "areas_m2 must list"),
        ({"reflectances": [0.5, 1.0]}, "reflectances must be at least 0 and below 1"),
        ({"reflectances": [0.5]}, "2 areas but reflectances"),
        ({"form_factors": [[0, 1]]}, "form_factors must be 2 × 2"),
        ({"form_factors": [[0, 1.2], [1, 0]]}, "form_factors must be from 0 to 1"),
        ({"form_factors": [[0.5, 1], [1, 0.5]]}, "not add up to more than 1"),
        ({"form_factors": [[0, 1], [0.4, 0]]}, "break reciprocity"),
        ({"direct_lx": [1, -1]}, "direct_lx must be finite and not below 0"),
        ({"direct_lx": [1, 2, 3]}, "direct_lx must list 2"),
    ],
)
def test_an_exchange_that_cannot_be(change, message):
    with pytest.raises(ValueError, match=message):
        exchange(**(THREE | change))


@pytest.mark.parametrize(
    "call",
    [
        lambda: lumen.room_index(length_m=0, width_m=1, mounting_height_m=1),
        lambda: lumen.average_illuminance(flux_lm=1, area_m2=1, utilisation=2.1, maintenance=1),
        lambda: lumen.average_illuminance(flux_lm=1, area_m2=1, utilisation=1, maintenance=1.1),
        lambda: lumen.average_illuminance(flux_lm=NAN, area_m2=1, utilisation=1, maintenance=1),
        lambda: lumen.fittings_needed(
            target_lx=1e9, area_m2=1e9, flux_lm=1, utilisation=1, maintenance=1
        ),
        lambda: lumen.row_spacing(length_m=1, count=0),
        lambda: maintenance_factor(lamp_flux=1.01),
        lambda: beams.pool_diameter(distance_m=1, beam_deg=180),
        lambda: beams.pool(intensity_cd=lambda c, g: -1.0, beam_deg=10, distance_m=1),
        lambda: beams.scallop_top(mounting_height_m=2, offset_m=0, beam_deg=30),
        lambda: beams.scallop_top(mounting_height_m=2, offset_m=1, beam_deg=30, tilt_deg=91),
        lambda: energy.annual_kwh(watts=-1, hours_a_day=1),
        lambda: energy.annual_kwh(watts=1, hours_a_day=25),
        lambda: energy.scenes_kwh(scenes=[energy.SceneHours(watts=1, hours_a_day=13)] * 2),
        lambda: energy.PlayedLoad(watts=-1, share=1),
        lambda: energy.PlayedLoad(watts=1, share=1.01),
        lambda: energy.PlayedLoad(watts=1, share=NAN),
        lambda: energy.scene_hours(loads=[], hours_a_day=24.5),
        lambda: energy.leni(power_w=1, area_m2=1, day_hours=8000, night_hours=800),
        lambda: energy.dwelling_lighting(floor_m2=0, fixed_lm_per_w=1),
        lambda: glare.unified_glare_rating(background_cd_m2=0, sources=[]),
        lambda: glare.unified_glare_rating(background_cd_m2=1, sources=[]),
        lambda: glare.guth_index(height_over_distance=-0.1),
        lambda: glare.guth_index(height_over_distance=NAN),
        lambda: beam(flux_lm=500, beam_deg=1),
        lambda: beam(flux_lm=0, beam_deg=30),
        lambda: CosinePower(peak_cd=1, power=NAN),
        lambda: EvenCone(flux_lm=1, beam_deg=360),
        lambda: line(start_m=(0, 0, 0), end_m=(0, 0, 0), flux_lm=1),
        lambda: up_down(position_m=(1, 1, 1), up_lm=0, down_lm=0),
        lambda: up_down(position_m=(1, 1, 1), up_lm=-1, down_lm=5),
        lambda: arrangement.grid(length_m=4, width_m=3, columns=0, rows=1, height_m=2),
        lambda: arrangement.grid(length_m=4, width_m=3, columns=100, rows=100, height_m=2),
        lambda: arrangement.aim(tilt_deg=181),
        lambda: arrangement.wall_line(wall="top", length_m=4, width_m=3, offset_m=0, height_m=2),
        lambda: arrangement.wall_line(wall="left", length_m=4, width_m=3, offset_m=4, height_m=2),
        lambda: arrangement.perimeter(length_m=4, width_m=3, offset_m=1.5, height_m=2, pieces=4),
        lambda: arrangement.at_points(points_m=[], height_m=2),
        lambda: light_guide(use="ballroom"),
        lambda: LightGuide(use="x", low_lx=100, high_lx=50, source=COMMON_PRACTICE),
        lambda: exposure(scene_cd_m2=1, full_cd_m2=0),
        lambda: camera(ROOM, "above"),
        lambda: Cuboid(low_m=(0, 0, 0), high_m=(1, 1, 0)),
        lambda: Cuboid(low_m=(0, 0, 0), high_m=(1, 1, 1), colour=(2, 0, 0)),
        lambda: furnish(kind="bed", corner_m=(9, 9, 0), size_m=(1, 2, 0.5), room=ROOM),
        lambda: UtilisationTable(room_indices=(2.0, 1.0), rows={(0.7, 0.5): (0.4, 0.5)}),
        lambda: UtilisationTable(
            room_indices=(1.0,), rows={(0.7, 0.5): (0.4,), (0.5, 0.3): (0.3,)}
        ),
        lambda: utilisation_by_exchange(
            room=ROOM, intensity_cd=LAW, flux_lm=1, mounting_height_m=0.5, plane_height_m=0.8
        ),
        lambda: decoded(b"not light"),
        lambda: packed(np.array([40_000])),
    ],
)
def test_values_out_of_range_are_refused(call):
    with pytest.raises(ValueError, match=r"\w"):
        call()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"circuits": []}, "1 to 60 circuits"),
        ({"circuits": [LitCircuit(key="a", fittings=(fitting(),))] * 2}, "distinct keys"),
        ({"plane_height_m": 3.0}, "plane_height_m"),
        ({"texel_m": 0.001}, "texel_m"),
    ],
)
def test_a_basis_that_cannot_be(change, message):
    values = {"room": ROOM, "circuits": [LitCircuit(key="a", fittings=(fitting(),))]}
    with pytest.raises(ValueError, match=message):
        solve_circuits(**(values | change))


def test_levels_and_sizes_of_a_picture_are_checked():
    circuit = LitCircuit(key="a", fittings=(fitting(),))
    basis = solve_circuits(room=ROOM, circuits=[circuit], texel_m=0.5)
    for levels in ({"a": 1.1}, {"a": NAN}, {"b": 1.0}):
        with pytest.raises(ValueError, match=r"level|no circuit"):
            basis.plane(levels)
    for change in ({"width_px": 10}, {"smooth": 9}, {"width_px": 9000}):
        with pytest.raises(ValueError, match=r"width_px|sight lines"):
            picture(basis=basis, levels={"a": 1.0}, **change)
    with pytest.raises(ValueError, match="most_bytes"):
        solve_for_browser(room=ROOM, circuits=[circuit], most_bytes=10)
    with pytest.raises(ValueError, match="no fitting"):
        LitCircuit(key="a", fittings=())
    with pytest.raises(ValueError, match="shape"):
        fitting(shape="star")
