"""The two whites that a tunable light is mixed from, and what lies between them."""

import math

import numpy as np
import pytest

from engineering import tunable_white
from engineering.colour import cct_k, linear_rgb, mixed_xy, white_xy
from engineering.tunable_white import tunable_rgb

PAIRS = [(2200, 5000), (1800, 2700), (2700, 6500)]


def uv(x, y):
    below = -2 * x + 12 * y + 3
    return 4 * x / below, 6 * y / below


def off(xy):
    """Distance to the nearest white [u, v], with its side: above the curve, as greenish, is positive."""
    place = uv(*xy)
    kelvins = np.linspace(1500, 8000, 6501)
    curve = np.array([uv(*white_xy(kelvin)) for kelvin in kelvins])
    gaps = np.hypot(*(curve - place).T)
    return math.copysign(gaps.min(), place[1] - curve[gaps.argmin()][1])


def worst(one, other):
    return max(
        abs(off(mixed_xy([(*one, 1 - share), (*other, share)])))
        for share in (0, 0.25, 0.5, 0.75, 1)
    )


@pytest.mark.parametrize(("low", "high"), PAIRS)
def test_mixes_of_raised_whites_keep_nearer_to_the_curve(low, high):
    duv = min(tunable_white.MOST_DUV, tunable_white.RAISED * tunable_white._sag(low, high))
    raised = [tunable_white._above(kelvin, duv) for kelvin in (low, high)]
    plain = [white_xy(kelvin) for kelvin in (low, high)]
    assert worst(*raised) < worst(*plain) * 0.96
    assert off(mixed_xy([(*raised[0], 0.5), (*raised[1], 0.5)])) > -0.0021
    for kelvin, place in zip((low, high), raised, strict=True):
        assert 0 < off(place) <= tunable_white.MOST_DUV + 1e-4
        assert cct_k(*place) == pytest.approx(kelvin, rel=0.03)


@pytest.mark.parametrize(("low", "high"), PAIRS)
def test_both_have_luminance_one_and_the_warm_one_is_redder(low, high):
    warm, cool = tunable_rgb(low, high, adapted_to_k=3300)
    for red, green, blue in (warm, cool):
        assert 0.2126 * red + 0.7152 * green + 0.0722 * blue == pytest.approx(1)
    assert warm[0] > cool[0] and warm[2] < cool[2]
    plain = linear_rgb(*white_xy(low), adapted_to_k=3300)
    assert warm[1] > plain[1]  # a little greener than the white of its name


@pytest.mark.parametrize(("low", "high"), [(3000, 3000), (4000, 3000), (500, 3000), (2000, 90_000)])
def test_what_is_no_pair_of_whites_is_refused(low, high):
    with pytest.raises(ValueError):
        tunable_rgb(low, high)
