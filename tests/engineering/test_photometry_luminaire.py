"""The luminaire as a value: interpolation, flux, angles, and what it refuses."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.photometry import Luminaire, LuminousOpening
from engineering.photometry.beam import beam_width_deg
from engineering.photometry.flux import plane_shares


def luminaire(**changes: object) -> Luminaire:
    values: dict[str, object] = {
        "c_deg": [0.0, 90.0, 180.0, 270.0],
        "gamma_deg": [0.0, 45.0, 90.0],
        "intensity_cd": [[100, 80, 0], [100, 60, 0], [100, 40, 0], [100, 20, 0]],
        "lamp_flux_lm": 1000.0,
    }
    return Luminaire(**{**values, **changes})  # type: ignore[arg-type]


TABLES = st.integers(1, 6).flatmap(
    lambda planes: st.lists(
        st.lists(st.floats(0.01, 1e4), min_size=5, max_size=5), min_size=planes, max_size=planes
    )
)


def lamp_of(table: list[list[float]]) -> Luminaire:
    return Luminaire(
        c_deg=np.arange(len(table)) * 360.0 / len(table),
        gamma_deg=[0.0, 30.0, 60.0, 90.0, 180.0],
        intensity_cd=table,
        lamp_flux_lm=1e9,
    )


def test_intensity_is_linear_between_nodes() -> None:
    lamp = luminaire()
    assert lamp.intensity(0, 22.5) == 90.0
    assert lamp.intensity(45, 45) == 70.0
    assert lamp.intensity(315, 45) == 50.0  # between the last plane and the first
    assert lamp.intensity(-45, 45) == lamp.intensity(675, 45) == 50.0
    assert lamp.intensity(0, 90.0) == 0.0
    assert lamp.intensity(0, 91.0) == 0.0
    assert isinstance(lamp.intensity(0, 0), float)


def test_intensity_takes_arrays_that_fit_each_other() -> None:
    lamp = luminaire()
    c, gamma = np.array([0.0, 45.0, 315.0]), np.array([[0.0], [45.0]])
    found = lamp.intensity(c, gamma)
    assert found.shape == (2, 3)
    each = [[lamp.intensity(one, row[0]) for one in c] for row in gamma]
    assert found.tolist() == each
    assert lamp.intensity([], []).shape == (0,)


@given(TABLES, st.floats(-720, 720), st.floats(0, 180))
def test_intensity_lies_within_the_table_and_repeats_each_turn(
    table: list[list[float]], c: float, gamma: float
) -> None:
    lamp = lamp_of(table)
    value = lamp.intensity(c, gamma)
    assert np.min(table) * (1 - 1e-9) <= value <= np.max(table) * (1 + 1e-9)
    assert lamp.intensity(c + 360.0, gamma) == pytest.approx(value, rel=1e-6)


@given(TABLES, st.floats(0.1, 10))
def test_flux_is_linear_and_zones_add_up(table: list[list[float]], factor: float) -> None:
    lamp = lamp_of(table)
    double = lamp_of((np.array(table) * factor).tolist())
    assert double.flux_lm() == pytest.approx(lamp.flux_lm() * factor)
    assert lamp.zonal_flux_lm().sum() == pytest.approx(lamp.flux_lm())
    assert lamp.zonal_flux_lm((0, 17, 33.3, 180)).sum() == pytest.approx(lamp.flux_lm())
    assert 0 <= lamp.downward_share() <= 1


def test_interpolated_flux_is_what_the_directions_add_up_to() -> None:
    lamp = luminaire()
    gamma = (np.arange(1800) + 0.5) * 0.05
    c = np.arange(0.5, 360, 1.0)
    rings = lamp.intensity(c[:, np.newaxis], gamma).mean(axis=0)
    summed = 2 * math.pi * np.sum(rings * np.sin(np.radians(gamma))) * math.radians(0.05)
    assert lamp.interpolated_flux_lm() == pytest.approx(summed, rel=1e-5)


def test_planes_count_by_the_turn_they_stand_for() -> None:
    assert plane_shares(np.array([0.0, 90.0, 180.0])).tolist() == [0.375, 0.25, 0.375]
    assert plane_shares(np.array([5.0])).tolist() == [1.0]


def test_upward_light_counts_as_upward() -> None:
    lamp = luminaire(gamma_deg=[90.0, 135.0, 180.0])
    assert lamp.downward_share() == 0.0
    assert lamp.intensity(0, 89.9) == 0.0
    assert lamp.intensity(0, 90.0) == 100.0


def test_light_output_ratio_and_efficacy() -> None:
    lamp = luminaire(lamp_flux_lm=luminaire().flux_lm() * 2, watts=10.0)
    assert lamp.light_output_ratio() == pytest.approx(0.5)
    assert lamp.efficacy_lm_w() == pytest.approx(lamp.flux_lm() / 10)
    assert luminaire().efficacy_lm_w() is None


def test_beam_is_measured_in_its_plane() -> None:
    gamma = [0.0, 10.0, 20.0, 40.0, 90.0]
    table = [[100, 50, 10, 0, 0], [100, 100, 50, 10, 0]] * 2
    lamp = luminaire(gamma_deg=gamma, intensity_cd=table)
    assert (lamp.beam_angle_deg(0), lamp.field_angle_deg(0)) == (20.0, 40.0)
    assert (lamp.beam_angle_deg(90), lamp.field_angle_deg(90)) == (40.0, 80.0)


def test_a_lopsided_beam_is_measured_from_its_peak() -> None:
    lamp = luminaire(
        gamma_deg=[0.0, 30.0, 60.0, 90.0],
        intensity_cd=[[60, 100, 0, 0], [60, 30, 0, 0], [60, 0, 0, 0], [60, 30, 0, 0]],
    )
    # half is met at +45, and on the other side of straight down at -5
    assert lamp.beam_angle_deg(0) == pytest.approx(50.0)
    assert lamp.beam_angle_deg(180) == pytest.approx(50.0)


def test_light_that_never_falls_off_has_no_edge() -> None:
    even = luminaire(gamma_deg=[0.0, 90.0, 180.0], intensity_cd=[[5.0] * 3] * 4)
    assert even.beam_angle_deg() == 360.0
    half = luminaire(gamma_deg=[0.0, 45.0, 90.0], intensity_cd=[[5.0] * 3] * 4)
    assert half.beam_angle_deg() == pytest.approx(180.0, abs=0.01)
    up = luminaire(gamma_deg=[90.0, 135.0, 180.0], intensity_cd=[[0.0, 5.0, 10.0]] * 4)
    assert up.beam_angle_deg() == pytest.approx(90.0)


def test_a_dark_plane_has_no_beam() -> None:
    angles = np.array([-90.0, 0.0, 90.0])
    assert beam_width_deg(angles, np.zeros(3), 0.5) == 0.0
    with pytest.raises(ValueError, match="share"):
        beam_width_deg(angles, np.ones(3), math.nan)


def test_its_tables_cannot_be_changed() -> None:
    lamp = luminaire()
    with pytest.raises(ValueError, match="read-only"):
        lamp.intensity_cd[0, 0] = 5.0


@pytest.mark.parametrize(
    ("changes", "match"),
    [
        ({"c_deg": [0.0, 90.0, 180.0, 360.0]}, "c_deg"),
        ({"c_deg": [0.0, 90.0, 90.0, 270.0]}, "c_deg must rise"),
        ({"c_deg": []}, "c_deg"),
        ({"c_deg": [0.0, 90.0, math.nan, 270.0]}, "c_deg"),
        ({"gamma_deg": [0.0, 45.0, 181.0]}, "gamma_deg"),
        ({"gamma_deg": [0.0, 45.0]}, "4 planes of 2"),
        ({"intensity_cd": [[0.0] * 3] * 4}, "not be 0"),
        ({"intensity_cd": [[1.0, -1.0, 1.0]] * 4}, "0 or more"),
        ({"intensity_cd": [[1.0, math.nan, 1.0]] * 4}, "0 or more"),
        ({"intensity_cd": [[1.0, math.inf, 1.0]] * 4}, "0 or more"),
        ({"lamp_flux_lm": 0.0}, "lamp_flux_lm"),
        ({"lamp_flux_lm": math.nan}, "lamp_flux_lm"),
        ({"watts": -1.0}, "watts"),
        ({"watts": math.nan}, "watts"),
        ({"symmetry": "some"}, "symmetry"),
    ],
)
def test_it_refuses_what_cannot_be(changes: dict[str, object], match: str) -> None:
    with pytest.raises(ValueError, match=match):
        luminaire(**changes)


@pytest.mark.parametrize(
    ("c", "gamma"), [(0, -1), (0, 180.1), (0, math.nan), (math.nan, 0), (math.inf, 0)]
)
def test_it_refuses_directions_that_are_none(c: float, gamma: float) -> None:
    with pytest.raises(ValueError, match="must be"):
        luminaire().intensity(c, gamma)


@pytest.mark.parametrize("edges", [(0,), (0, 0), (90, 0), (-1, 90), (0, 181), (0, math.nan)])
def test_it_refuses_zones_that_are_none(edges: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="edges_deg"):
        luminaire().zonal_flux_lm(edges)


def test_an_opening_refuses_what_cannot_be() -> None:
    assert LuminousOpening(shape="rectangle", along_c0_m=2, along_c90_m=3).area_m2 == 6
    with pytest.raises(ValueError, match="shape"):
        LuminousOpening(shape="star")
    with pytest.raises(ValueError, match="height_m"):
        LuminousOpening(height_m=math.nan)
