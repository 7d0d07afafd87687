"""Colour of light: laws, edges and refusals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering import colour

KELVINS = st.floats(1100, 20_000)


def luminance(rgb: tuple[float, float, float]) -> float:
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]


@given(KELVINS)
def test_a_black_body_has_the_temperature_it_was_made_with(kelvin: float) -> None:
    found = colour.cct_k(*colour.black_body_xy(kelvin))
    assert colour.mired(found) == pytest.approx(colour.mired(kelvin), abs=0.1)


@given(st.floats(4000, 20_000))
def test_daylight_has_the_temperature_it_was_made_with(kelvin: float) -> None:
    found = colour.cct_k(*colour.daylight_xy(kelvin))
    assert colour.mired(found) == pytest.approx(colour.mired(kelvin), abs=0.6)


@given(KELVINS)
def test_a_lamp_has_the_temperature_it_was_made_with(kelvin: float) -> None:
    found = colour.cct_k(*colour.white_xy(kelvin))
    assert colour.mired(found) == pytest.approx(colour.mired(kelvin), abs=0.6)


@pytest.mark.parametrize("kelvin", [4000, 5000, 7000])
def test_colours_do_not_jump_where_the_formulas_change(kelvin: float) -> None:
    below, above = colour.white_xy(kelvin - 0.01), colour.white_xy(kelvin + 0.01)
    assert below == pytest.approx(above, abs=2e-4 if kelvin == 7000 else 1e-5)


@given(KELVINS, st.one_of(st.none(), st.floats(2000, 10_000)))
def test_channels_are_never_negative_and_keep_the_luminance(
    kelvin: float, white: float | None
) -> None:
    rgb = colour.linear_rgb_of_cct(kelvin, adapted_to_k=white)
    assert min(rgb) >= 0
    assert luminance(rgb) == pytest.approx(1.0, abs=1e-9)


@given(st.floats(1500, 15_000), st.floats(10, 200))
def test_warmer_light_is_redder_and_less_blue(kelvin: float, step: float) -> None:
    warm, cool = colour.linear_rgb_of_cct(kelvin), colour.linear_rgb_of_cct(kelvin + step)
    assert warm[0] > cool[0]
    assert warm[2] <= cool[2]


@pytest.mark.parametrize("kelvin", [2000, 2700, 3000, 4000, 5000, 6500])
def test_the_light_the_eye_is_adapted_to_is_grey(kelvin: float) -> None:
    rgb = colour.linear_rgb_of_cct(kelvin, adapted_to_k=kelvin)
    assert rgb == pytest.approx((1, 1, 1), abs=2e-3)


def test_adaptation_shows_the_difference_and_not_all_of_the_orange() -> None:
    plain = colour.linear_rgb_of_cct(2700)
    adapted = colour.linear_rgb_of_cct(2700, adapted_to_k=3500)
    assert plain[2] < adapted[2] < 1 < adapted[0] < plain[0]


def test_candle_light_is_drawn_into_the_gamut() -> None:
    rgb = colour.linear_rgb_of_cct(1200)
    assert min(rgb) == pytest.approx(0, abs=1e-12)
    assert rgb[0] > rgb[1] > rgb[2]


def test_two_whites_mix_by_their_flux() -> None:
    warm, cool = colour.white_xy(2700), colour.white_xy(6500)
    mixes = [
        colour.cct_k(*colour.mixed_xy([(*warm, 100 - flux), (*cool, flux)]))
        for flux in (0, 25, 50, 75, 100)
    ]
    assert mixes == sorted(mixes)
    assert mixes[0] == pytest.approx(2700, abs=2)
    assert mixes[-1] == pytest.approx(6500, abs=15)
    assert colour.mixed_xy([(*warm, 5.0)]) == pytest.approx(warm)


@pytest.mark.parametrize("kelvin", [0, 999, 25_001, -3000, math.nan, math.inf])
def test_temperatures_out_of_range_are_refused(kelvin: float) -> None:
    functions = (colour.colour_group, colour.mired, colour.black_body_xy, colour.white_xy)
    for function in (*functions, colour.daylight_xy, colour.linear_rgb_of_cct):
        with pytest.raises(ValueError, match="cct_k"):
            function(kelvin)


@pytest.mark.parametrize(
    ("x", "y"), [(0, 0.3), (0.3, 0), (0.6, 0.6), (math.nan, 0.3), (0.3, math.inf)]
)
def test_chromaticities_that_are_none_are_refused(x: float, y: float) -> None:
    for function in (colour.cct_k, colour.mccamy_cct_k, colour.linear_rgb):
        with pytest.raises(ValueError, match="chromaticity"):
            function(x, y)


@pytest.mark.parametrize(("x", "y"), [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06), (0.22, 0.22)])
def test_what_is_no_white_has_no_colour_temperature(x: float, y: float) -> None:
    with pytest.raises(ValueError, match="white light"):
        colour.cct_k(x, y)


def test_mixing_refuses_darkness() -> None:
    with pytest.raises(ValueError, match="some light"):
        colour.mixed_xy([])
    with pytest.raises(ValueError, match="some light"):
        colour.mixed_xy([(0.3, 0.3, 0.0)])
    with pytest.raises(ValueError, match="flux_lm"):
        colour.mixed_xy([(0.3, 0.3, math.nan)])
