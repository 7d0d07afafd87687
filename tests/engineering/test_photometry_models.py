"""Distributions of fittings without a file, and the polar curve."""

import math
import re
from xml.etree import ElementTree

import numpy as np
import pytest

from engineering import polar
from engineering.photometry import Luminaire
from engineering.photometry.models import (
    cosine_exponent,
    globe,
    spot,
    tape,
    up_down,
    wall_washer,
)

MODELS = [
    spot(flux_lm=800, beam_deg=24),
    spot(flux_lm=800, beam_deg=60),
    tape(flux_lm=800, length_m=2),
    globe(flux_lm=800, diameter_m=0.3),
    wall_washer(flux_lm=800),
    up_down(flux_lm=800, up_share=0.4),
]


@pytest.mark.parametrize("lamp", MODELS, ids=lambda lamp: lamp.name)
def test_a_model_gives_the_flux_it_was_asked_for(lamp: Luminaire) -> None:
    assert lamp.flux_lm() == pytest.approx(800, rel=1e-3)
    assert lamp.interpolated_flux_lm() == pytest.approx(800, rel=1e-3)
    assert lamp.is_absolute


@pytest.mark.parametrize("beam_deg", [4, 10, 24, 36, 60, 90, 120, 160])
def test_a_beam_is_as_wide_as_it_was_asked_for(beam_deg: float) -> None:
    lamp = spot(flux_lm=500, beam_deg=beam_deg)
    assert lamp.beam_angle_deg() == pytest.approx(beam_deg, rel=0.01)
    assert lamp.flux_lm() == pytest.approx(500, rel=0.02 if beam_deg < 10 else 3e-3)


def test_a_narrower_beam_is_brighter() -> None:
    peaks = [spot(flux_lm=500, beam_deg=beam).peak_cd() for beam in (60, 36, 24, 10)]
    assert peaks == sorted(peaks)


def test_tape_is_lambertian() -> None:
    lamp = tape(flux_lm=600, length_m=1.5)
    assert lamp.intensity(0, 0) == pytest.approx(600 / math.pi)
    assert lamp.intensity(0, 60) == pytest.approx(600 / math.pi / 2)
    assert lamp.intensity(0, 120) == 0.0
    assert lamp.opening.along_c90_m == 1.5


def test_a_washer_leans_to_c0_and_is_alike_on_both_sides() -> None:
    lamp = wall_washer(flux_lm=1000, beam_deg=40, aim_deg=30)
    gamma = np.arange(0, 90)
    assert int(np.argmax(lamp.intensity(0.0, gamma))) == 30
    assert np.allclose(lamp.intensity(40.0, gamma), lamp.intensity(320.0, gamma))
    assert lamp.intensity(0, 91) == 0.0


def test_up_and_down_share_the_flux() -> None:
    assert up_down(flux_lm=100, up_share=0.3).downward_share() == pytest.approx(0.7)
    assert up_down(flux_lm=100, up_share=1).intensity(0, 10) == 0.0


@pytest.mark.parametrize("beam_deg", [0, 3.9, 161, 180, math.nan])
def test_beams_that_cannot_be_are_refused(beam_deg: float) -> None:
    with pytest.raises(ValueError, match="beam_deg"):
        cosine_exponent(beam_deg)


def test_models_refuse_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="flux_lm must be above 0"):
        globe(flux_lm=0)
    with pytest.raises(ValueError, match="flux_lm must be above 0"):
        spot(flux_lm=math.nan, beam_deg=30)
    with pytest.raises(ValueError, match="aim_deg"):
        wall_washer(flux_lm=100, aim_deg=90)
    with pytest.raises(ValueError, match="up_share"):
        up_down(flux_lm=100, up_share=1.1)


# --- polar curve -----------------------------------------------------------------------------


def test_the_curve_points_down_where_the_light_goes() -> None:
    drawn = polar.curve(luminaire=spot(flux_lm=800, beam_deg=60))
    down = drawn.angles_deg.index(0.0)
    assert drawn.points[down] == pytest.approx((0.0, drawn.intensity_cd[down] / drawn.limit_cd))
    assert max(math.hypot(*point) for point in drawn.points) <= 1.0


def test_the_asked_plane_is_on_the_right() -> None:
    washer = wall_washer(flux_lm=800)
    assert max(x for x, _ in polar.curve(luminaire=washer).points) > 0.5
    assert max(x for x, _ in polar.curve(luminaire=washer, c_deg=180).points) < 0.2


@pytest.mark.parametrize(
    ("peak", "rings", "limit"), [(100, 4, 100), (101, 4, 200), (7, 4, 8), (0.031, 3, 0.06)]
)
def test_rings_are_round_numbers(peak: float, rings: int, limit: float) -> None:
    assert polar.round_limit(peak, rings=rings) == pytest.approx(limit)


@pytest.mark.parametrize("peak", [1e-3, 0.9, 1, 3.3, 99, 1e5])
def test_the_outer_ring_holds_the_peak(peak: float) -> None:
    assert peak <= polar.round_limit(peak) <= 4 * peak


def test_the_drawing_is_well_formed_and_has_a_title() -> None:
    drawing = polar.svg(luminaire=wall_washer(flux_lm=800), title='<Wall & "wash">')
    root = ElementTree.fromstring(drawing)
    space = "{http://www.w3.org/2000/svg}"
    assert root[0].tag == f"{space}title"
    assert root[0].text == '<Wall & "wash">'
    assert len(root.findall(f"{space}polygon")) == 2
    assert len(root.findall(f"{space}circle")) == 4
    assert not re.search(r"nan|inf|<script", drawing)


def test_planes_that_are_alike_are_drawn_once() -> None:
    assert polar.svg(luminaire=globe(flux_lm=800), title="Globe").count("<polygon") == 1


@pytest.mark.parametrize(
    "changes", [{"planes_deg": ()}, {"rings": 0}, {"size": 0}, {"planes_deg": (0.0, 1.0, 2.0)}]
)
def test_the_drawing_refuses_what_cannot_be(changes: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="must be"):
        polar.svg(luminaire=globe(flux_lm=800), title="Globe", **changes)  # type: ignore[arg-type]


def test_the_curve_refuses_a_limit_below_the_peak() -> None:
    with pytest.raises(ValueError, match="limit_cd"):
        polar.curve(luminaire=globe(flux_lm=800), limit_cd=1.0)
    with pytest.raises(ValueError, match="peak_cd"):
        polar.round_limit(math.nan)
