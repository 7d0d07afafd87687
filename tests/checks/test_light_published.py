"""Light: our sums against figures printed elsewhere. Each names its source beside it."""

import math

import numpy as np
import pytest

from engineering.arrangement import grid
from engineering.beams import pool, pool_diameter
from engineering.emission import total_flux_lm
from engineering.energy import (
    PlayedLoad,
    annual_kwh,
    assumed_people,
    dwelling_lighting,
    dwelling_lighting_2012,
    leni,
    scene_hours,
    scenes_kwh,
)
from engineering.glare import (
    GUTH_ROWS,
    GlareSource,
    guth_formula,
    guth_index,
    unified_glare_rating,
)
from engineering.light_guides import LUX_A_FOOT_CANDLE, light_guide
from engineering.light_sources import CosinePower, EvenCone, Globe, beam, lambertian
from engineering.lumen import average_illuminance, fittings_needed, room_index, row_spacing
from engineering.maintenance import CLEAN_THREE_YEARS, VERY_DIRTY_THREE_YEARS, maintenance_factor
from engineering.points import illuminance
from engineering.published import Certainty
from engineering.utilisation import UtilisationTable


def approx(value, share=1e-6, absolute=1e-12):
    return pytest.approx(value, rel=share, abs=absolute)


# Lumen method -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("needs", "exact", "count"),
    [
        # UK building-services lecture notes "Lumen method", example 1: factory 60 × 24 m.
        ((200, 60 * 24, 18_000, 0.4, 0.75), 53.33, 54),
        # Electrical Installation, lecture 11 (Alzuhairi), example 1: workshop 9 × 8 m.
        ((550, 9 * 8, 3700, 0.9, 0.8), 14.865, 15),
        # Public teaching text, office 10 × 8 m.
        ((500, 80, 4000, 0.67, 0.8), 18.66, 19),
        # Electrician training text: 12 500 lm are needed.
        ((300, 20, 3000, 0.6, 0.8), 12_500 / 3000, 5),
    ],
)
def test_it_counts_fittings_as_the_printed_examples_do(needs, exact, count):
    target, area, flux, utilisation, maintenance = needs
    found = fittings_needed(
        target_lx=target,
        area_m2=area,
        flux_lm=flux,
        utilisation=utilisation,
        maintenance=maintenance,
    )
    assert found.exact == pytest.approx(exact, abs=0.01)
    assert found.count == count
    assert found.illuminance_lx >= target


def test_a_workshop_gets_the_printed_illuminance():
    # Chakrabarti, Soni, Gupta, Bhatnagar, Power System Engineering, 2nd ed., ex. 4.8. The statement
    # prints a breadth of 5.25 m; the working uses 15.25 m.
    lux = average_illuminance(
        flux_lm=20 * 500 * 15, area_m2=36.6 * 15.25, utilisation=0.5, maintenance=0.7
    )
    assert lux == approx(94.06, 1e-3)


def test_a_room_asks_for_the_printed_flux():
    # University slides "Illumination", example 1: 5 × 7 m, 120 lx → 8750 lm.
    found = fittings_needed(
        target_lx=120, area_m2=35, flux_lm=8750, utilisation=0.6, maintenance=0.8
    )
    assert found.exact == approx(1.0, 1e-12)


def test_an_office_has_the_printed_index_and_illuminance():
    # Public teaching text: K = 2.020. It prints 506 lx for 19 fittings; the formula gives 509.2.
    assert room_index(length_m=10, width_m=8, mounting_height_m=2.2) == approx(2.020, 1e-3)
    lux = average_illuminance(flux_lm=19 * 4000, area_m2=80, utilisation=0.67, maintenance=0.8)
    assert lux == approx(509.2, 1e-3)
    assert approx(8.55, 1e-9) == 19 * 36 / 80  # W/m²


def test_two_lamps_on_a_square_give_the_printed_lux():
    # Malaysian public M&E services guide, ch. 7: 2 × 3650 lm, half of it reaches 3 × 3 m.
    lux = average_illuminance(flux_lm=2 * 3650, area_m2=9, utilisation=0.5, maintenance=1.0)
    assert lux == approx(405.56, 1e-3)


# Utilisation factors ----------------------------------------------------------------------------

# Lecture 11 (Alzuhairi), table 2: fluorescent prismatic luminaire, floor 0.2.
PRISMATIC = UtilisationTable(
    room_indices=(0.75, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0),
    rows={
        (0.7, 0.5): (0.44, 0.50, 0.56, 0.60, 0.65, 0.69, 0.72, 0.75, 0.77),
        (0.7, 0.3): (0.38, 0.44, 0.50, 0.54, 0.60, 0.64, 0.68, 0.72, 0.74),
        (0.7, 0.1): (0.33, 0.40, 0.46, 0.50, 0.56, 0.61, 0.64, 0.69, 0.72),
        (0.5, 0.5): (0.39, 0.44, 0.49, 0.52, 0.57, 0.60, 0.62, 0.65, 0.67),
        (0.5, 0.3): (0.34, 0.40, 0.44, 0.48, 0.53, 0.56, 0.59, 0.62, 0.64),
        (0.5, 0.1): (0.30, 0.36, 0.41, 0.44, 0.50, 0.53, 0.56, 0.60, 0.62),
        (0.3, 0.5): (0.34, 0.39, 0.42, 0.45, 0.49, 0.51, 0.53, 0.55, 0.57),
        (0.3, 0.3): (0.30, 0.35, 0.39, 0.42, 0.46, 0.49, 0.51, 0.53, 0.55),
        (0.3, 0.1): (0.27, 0.32, 0.36, 0.39, 0.44, 0.47, 0.49, 0.52, 0.54),
    },
    floor=0.2,
)


@pytest.mark.parametrize(
    ("index", "ceiling", "walls", "factor"),
    [
        (1.50, 0.5, 0.5, 0.52),  # stated in the lecture
        (1.75, 0.7, 0.5, 0.625),  # straight line between its columns
        (2.02, 0.7, 0.5, 0.6516),
    ],
)
def test_a_published_table_is_read_and_interpolated(index, ceiling, walls, factor):
    found = PRISMATIC.factor(room_index=index, ceiling=ceiling, walls=walls)
    assert found == approx(factor, 1e-6)


def test_a_published_table_rises_with_index_and_reflectances():
    for index in np.linspace(0.75, 5, 18):
        dark = PRISMATIC.factor(room_index=index, ceiling=0.4, walls=0.2)
        assert PRISMATIC.factor(room_index=index, ceiling=0.6, walls=0.2) > dark
        assert PRISMATIC.factor(room_index=index, ceiling=0.4, walls=0.4) > dark
        assert index == 5 or PRISMATIC.factor(room_index=index + 0.1, ceiling=0.4, walls=0.2) > dark


def test_a_black_room_has_its_own_row():
    # Lecture 11, table 2, last row 0/0/0.
    black = UtilisationTable(
        room_indices=PRISMATIC.room_indices,
        rows={(0.0, 0.0): (0.22, 0.26, 0.29, 0.31, 0.34, 0.36, 0.38, 0.40, 0.41)},
        floor=0.0,
    )
    assert black.factor(room_index=1.0, ceiling=0.0, walls=0.0) == approx(0.26)


# Maintenance and spacing ------------------------------------------------------------------------


def test_the_maintenance_factor_is_the_product_of_its_parts():
    # CIE 97.2:2005 / EN 12665: MF = LLMF × LSF × LMF × RSMF; product worked out here.
    found = maintenance_factor(
        lamp_flux=0.90, lamp_survival=1.00, luminaire=0.85, room_surfaces=0.95
    )
    assert found == approx(0.72675, 1e-9)


def test_reference_maintenance_factors_are_those_printed():
    # Trade lighting handbook quoting the European standard: 3-year service.
    assert (CLEAN_THREE_YEARS.value, VERY_DIRTY_THREE_YEARS.value) == (0.67, 0.50)


def test_rows_stand_half_a_space_from_the_wall():
    # Public M&E services guide: luminaire to wall at most half the spacing.
    spacing = row_spacing(length_m=7.2, count=4)
    assert (spacing.spacing_m, spacing.end_gap_m) == (approx(1.8), approx(0.9))
    first = grid(length_m=7.2, width_m=5, columns=4, rows=1, height_m=2.5)[0]
    assert first.position_m[0] == approx(0.9)


# Inverse square and cosine ----------------------------------------------------------------------


def flat(candela):
    return lambda c, gamma: candela


@pytest.mark.parametrize(
    ("normal", "lux"), [((0, 0, 1), 25.0), ((1, 0, 1), 17.678), ((1, 0, 0), 0.0)]
)
def test_a_lamp_lights_a_surface_by_its_tilt(normal, lux):
    # Power System Engineering, ex. 4.2 (corrected): 100 cd at 2 m, normal / 45° / 90°.
    found = illuminance(
        intensity_cd=flat(100.0), source_m=(0, 0, 2), point_m=(0, 0, 0), normal=normal
    )
    assert found == approx(lux, 1e-4, 1e-9)


def test_an_even_lamp_of_800_lm_has_the_corrected_candela():
    # Power System Engineering, ex. 4.2; the printed book slips in the mean spherical candela.
    assert Globe(flux_lm=800)(0, 0).item() == approx(63.662, 1e-5)


def test_a_disc_under_a_lamp_gets_the_printed_light():
    # Power System Engineering, ex. 4.3: 200 cd, 6 m up, disc of 10 m. Two of its figures are slips:
    # the edge of 4.268 lx is I·cos θ/h² (the law, and its own ex. 4.6, have cos³: 2.519), and the
    # 'average without reflector' of 2.0 uses half of the half angle (3.708, which fits 2.519).
    lamp = {"intensity_cd": flat(200.0), "source_m": (0, 0, 6)}
    assert total_flux_lm(flat(200.0)) == approx(2513.3, 1e-4)
    assert illuminance(point_m=(0, 0, 0), **lamp) == approx(5.556, 1e-4)
    edge = illuminance(point_m=(5, 0, 0), **lamp)
    assert edge == approx(2.519, 1e-3)
    assert edge / (36 / 61) == approx(4.268, 1e-3)
    radii = (np.arange(400) + 0.5) * (5 / 400)
    ring = [illuminance(point_m=(radius, 0, 0), **lamp) * radius for radius in radii]
    assert sum(ring) / radii.sum() == approx(3.708, 1e-3)
    # 60 % of the whole flux on the disc, by the reflector:
    assert 0.6 * total_flux_lm(flat(200.0)) / (math.pi * 25) == approx(19.2, 1e-3)


def test_a_polar_curve_gives_the_lux_along_the_ground():
    # Power System Engineering, ex. 4.6: curve printed, results by E = I·cos³γ/h².
    curve = [500, 560, 600, 520, 400, 300, 150, 50]
    expected = [13.889, 14.857, 13.829, 9.382, 4.995, 2.213, 0.521, 0.056]
    distances = [0, 1.058, 2.184, 3.464, 5.035, 7.151, 10.392, 16.485]
    for step, (lux, distance) in enumerate(zip(expected, distances, strict=True)):
        assert 6 * math.tan(math.radians(10 * step)) == approx(distance, 1e-3, 1e-9)
        found = illuminance(
            intensity_cd=lambda c, g: float(np.interp(g, range(0, 80, 10), curve)),
            source_m=(0, 0, 6),
            point_m=(6 * math.tan(math.radians(10 * step)), 0, 0),
        )
        assert found == approx(lux, 1e-3, 6e-4)


@pytest.mark.parametrize(
    ("candela", "source", "point", "lux"),
    [
        (100.0, (0, 0, 4), (0, 0, 0), 6.25),  # "Point by point" slides, problem 1
        (100.0, (1.5, 1.5, 2.5), (0, 0, 0), 7.093),  # the same, problem 2: corner of a table
    ],
)
def test_point_by_point_slides(candela, source, point, lux):
    found = illuminance(intensity_cd=flat(candela), source_m=source, point_m=point)
    assert found == approx(lux, 1e-3)


def test_a_tilted_card_one_metre_off():
    # Physics question-and-answer text: 628 lm even, 1 m, card turned 37°: 50 cd, 40 lx.
    candela = Globe(flux_lm=628)(0, 0).item()
    assert candela == approx(50, 1e-3)
    turned = math.radians(37)
    found = illuminance(
        intensity_cd=flat(candela),
        source_m=(0, 0, 1),
        point_m=(0, 0, 0),
        normal=(math.sin(turned), 0, math.cos(turned)),
    )
    assert found == approx(40, 5e-3)


def test_a_flat_diffuse_lamp_falls_off_by_the_fourth_power_of_the_cosine():
    # Textbook problem: 25 lx straight below at 2.4 m; 1.8 m aside 10.24 lx (cos⁴). An even source
    # would give 12.80 there (cos³).
    for law, lux in ((CosinePower(peak_cd=144.0, power=1), 10.24), (flat(144.0), 12.80)):
        for point, expected in (((0, 0, 0), 25.0), ((1.8, 0, 0), lux)):
            found = illuminance(intensity_cd=law, source_m=(0, 0, 2.4), point_m=point)
            assert found == approx(expected, 1e-9)


# Beams ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("beam_deg", "distance", "diameter"),
    [
        (10, 1, 0.175),
        (10, 2.4, 0.420),
        (24, 2.4, 1.020),
        (36, 1, 0.650),
        (36, 2.4, 1.560),
        (38, 2.4, 1.653),
        (60, 2.4, 2.771),
    ],
)
def test_pools_have_the_width_of_the_beam_formula(beam_deg, distance, diameter):
    # D = 2·d·tan(β/2), printed in several trade texts.
    found = pool_diameter(distance_m=distance, beam_deg=beam_deg)
    assert found == pytest.approx(diameter, abs=6e-4)


def test_an_even_cone_has_the_candela_of_its_solid_angle():
    # 500 lm in 36°: I = Φ/2π(1 − cos 18°), worked out.
    cone = EvenCone(flux_lm=500, beam_deg=36)
    assert cone(0, 0).item() == approx(1625.9, 1e-4)
    assert total_flux_lm(cone) == approx(500, 1e-3)


@pytest.mark.parametrize(
    ("power", "flux_over_peak", "width"),
    [
        (1, math.pi, 120.0),
        (2, 2.0944, 90.0),
        (3, 1.5708, 74.93),
        (5, 1.0472, 58.95),
        (10, 0.57120, 42.17),
    ],
)
def test_cosine_powers_have_their_closed_flux_and_width(power, flux_over_peak, width):
    # Φ = 2π·I₀/(n + 1); full width at half peak 2·acos(0.5^(1/n)): closed forms.
    law = CosinePower(peak_cd=1.0, power=power)
    assert law.flux_lm == approx(flux_over_peak, 1e-4)
    assert law.beam_deg == pytest.approx(width, abs=6e-3)
    assert total_flux_lm(law) == approx(flux_over_peak, 1e-4)
    back = beam(flux_lm=law.flux_lm, beam_deg=law.beam_deg)
    assert back.power == approx(power, 1e-9)
    assert pool(intensity_cd=law, beam_deg=law.beam_deg, distance_m=1).edge_lx == approx(
        0.5 * math.cos(math.radians(law.beam_deg / 2)) ** 3, 1e-9
    )


def test_a_lambertian_kilolumen_has_its_peak():
    # I₀ = Φ/π.
    assert lambertian(flux_lm=1000).peak_cd == approx(318.310, 1e-6)


# Guides -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("use", "lux", "glare", "even", "rendering"),
    [
        # EN 12464-1 as reprinted in the SLL Code for Lighting (2012), tables 2.5 and 2.6.
        ("circulation", 100, 28, 0.40, 40),
        ("stairs at work", 100, 25, 0.40, 40),
        ("canteen", 200, 22, 0.40, 80),
        ("rest room", 100, 22, 0.40, 80),
        ("washroom at work", 200, 25, 0.40, 80),
        ("medical attention", 500, 16, 0.60, 90),
        ("plant room", 200, 25, 0.40, 60),
    ],
)
def test_work_place_guides_are_those_reprinted(use, lux, glare, even, rendering):
    guide = light_guide(use=use)
    assert (guide.low_lx, guide.glare_limit, guide.uniformity, guide.colour_rendering) == (
        (lux, glare, even, rendering)
    )
    assert guide.source.certainty is Certainty.QUOTED


def test_home_guides_say_that_no_source_stands_behind_them():
    for use in ("living", "kitchen", "bedroom, bedhead", "wc"):
        assert light_guide(use=use).source.certainty is Certainty.COMMON_PRACTICE
    # SLL Lighting Handbook 2018, extract on washrooms.
    assert light_guide(use="washroom basin").low_lx == 200


def test_a_foot_candle_is_a_lumen_a_square_foot():
    assert approx(LUX_A_FOOT_CANDLE, 1e-5) == 1 / 0.3048**2


# Glare ------------------------------------------------------------------------------------------


def test_the_glare_rating_of_one_lamp():
    # CIE 117:1995, UGR = 8·log₁₀(0.25/Lb·Σ L²ω/p²): worked from the formula.
    lamp = GlareSource(luminance_cd_m2=10_000, solid_angle_sr=0.01, position_index=1.5)
    one = unified_glare_rating(background_cd_m2=40, sources=[lamp])
    assert one == approx(27.550, 2e-5)
    two = unified_glare_rating(background_cd_m2=40, sources=[lamp, lamp])
    assert two - one == approx(2.408, 2e-4)


def test_position_indices_are_read_from_the_table():
    # CIE 117, table 4.1 (transcription): T/R 0 and 0.2.
    assert guth_index(height_over_distance=0.4) == approx(2.35)
    assert guth_index(height_over_distance=1.7) == approx(16.20)
    assert guth_index(height_over_distance=0.5, side_over_distance=0.2) == approx(2.66)
    assert guth_index(height_over_distance=0.15) == approx((1.26 + 1.53) / 2)
    assert guth_index(height_over_distance=0.3, side_over_distance=0.05) == approx((1.9 + 1.8) / 2)


def test_beyond_the_rows_read_the_formula_meets_them():
    # The formula is from memory; the table's rows (CIE 117, table 4.1) hold it.
    for side, row in GUTH_ROWS.items():
        for step, value in enumerate(row):
            found = guth_formula(height_over_distance=step / 10, side_over_distance=side)
            assert found == approx(value, 0.07)
    assert guth_index(height_over_distance=1.0, side_over_distance=1.0) > 4


# Energy -----------------------------------------------------------------------------------------


def test_a_year_of_evenings():
    # kWh a year = W · h/day · 365 / 1000.
    assert annual_kwh(watts=300, hours_a_day=4) == approx(438)


def test_a_year_of_scenes():
    # kWh a year = Σ W · h/day · 365 · share / 1000, worked through by hand: 300 W for 4 h make 438;
    # at 40 % for 5 h with 20 W at full beside them (120 + 20) · 5 · 365 / 1000 = 255.5.
    bright = scene_hours(loads=[PlayedLoad(watts=300, share=1)], hours_a_day=4)
    low = scene_hours(
        loads=[PlayedLoad(watts=300, share=0.4), PlayedLoad(watts=20, share=1)], hours_a_day=5
    )
    assert scenes_kwh(scenes=[bright]) == approx(438)
    assert scenes_kwh(scenes=[low]) == approx(255.5)
    assert scenes_kwh(scenes=[bright, low]) == approx(693.5)


def test_a_year_of_scenes_in_the_form_of_the_numeric_indicator():
    # EN 15193, formula with Fo = FD = 1 and no parasitic energy: Pn·Fc·tN/1000/A. 300 W at 0.4 for
    # 5 h a day over 30 m²: 300·0.4·1825/1000/30 = 7.3 kWh/m², by hand; over the floor the same kWh.
    low = scene_hours(loads=[PlayedLoad(watts=300, share=0.4)], hours_a_day=5)
    found = leni(
        power_w=300, area_m2=30, day_hours=0, night_hours=low.hours_a_day * 365, constant_light=0.4
    )
    assert found == approx(7.3)
    assert found * 30 == approx(scenes_kwh(scenes=[low]))


def test_the_numeric_indicator():
    # EN 15193, formula; inputs worked through by hand: 300·0.9·(2250·0.9·0.8 + 250·0.9)/1000/30.
    found = leni(
        power_w=300,
        area_m2=30,
        day_hours=2250,
        night_hours=250,
        constant_light=0.9,
        occupancy=0.9,
        daylight=0.8,
    )
    assert found == approx(16.605, 1e-9)
    with_standby = leni(
        power_w=0, area_m2=30, day_hours=0, night_hours=0, parasitic_kwh_m2=1 + 5
    )  # EN 15193 quick method: 1 emergency + 5 standby kWh/m² a year
    assert with_standby == 6


def test_a_dwelling_of_100_square_metres():
    # SAP 10.2, Appendix L; constants read in a public implementation, structure from memory.
    found = dwelling_lighting(floor_m2=100, fixed_lm_per_w=100, daylight_factor=0.96)
    assert found.people == approx(2.7395, 2e-5)
    assert found.base == approx(9430.4, 2e-5)
    assert found.required == approx(6035.5, 2e-5)
    assert found.provided == approx(3383.5, 2e-5)
    assert found.fixed_kwh == approx(33.84, 2e-4)
    assert found.portable_kwh == approx(141.68, 1e-4)
    assert found.total_kwh == approx(175.5, 2e-4)


def test_the_form_of_2012():
    # SAP 2012: 59.73·(TFA·N)^0.4714 · (1 − 0.5·low-energy share) · C2.
    whole = 59.73 * (100 * assumed_people(floor_m2=100)) ** 0.4714
    assert dwelling_lighting_2012(floor_m2=100, low_energy_share=0) == approx(whole)
    assert dwelling_lighting_2012(floor_m2=100, low_energy_share=1) == approx(whole / 2)
