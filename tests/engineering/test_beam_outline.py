"""The edge of a scallop: as high and as wide as its two formulas say, whatever the tilt."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.beams import scallop_outline, scallop_top, scallop_width

SIZES = {
    "mounting_height_m": st.floats(1.5, 4.0),
    "offset_m": st.floats(0.05, 0.6),
    "beam_deg": st.floats(10, 110),
}


@given(tilt_deg=st.floats(0, 60), **SIZES)
def test_its_top_is_the_top_of_the_formula(tilt_deg, **sizes):
    edge = scallop_outline(tilt_deg=tilt_deg, **sizes)
    top = scallop_top(tilt_deg=tilt_deg, **sizes)
    if top < 0:
        assert edge == ()
    elif tilt_deg + sizes["beam_deg"] / 2 < 89:
        assert max(z for _x, z in edge) == pytest.approx(top, abs=1e-9)


@given(**SIZES)
def test_each_place_is_half_the_width_of_the_formula_off_the_middle(**sizes):
    for x, z in scallop_outline(**sizes):
        assert 2 * abs(x) == pytest.approx(scallop_width(at_height_m=z, **sizes), abs=1e-6)


@given(tilt_deg=st.floats(0, 60), **SIZES)
def test_it_is_the_same_to_the_left_and_to_the_right(tilt_deg, **sizes):
    edge = scallop_outline(tilt_deg=tilt_deg, **sizes)
    for (x, z), (other, low) in zip(edge, reversed(edge), strict=True):
        assert (x, z) == pytest.approx((-other, low), abs=1e-9)


@given(tilt_deg=st.floats(0, 80), **SIZES)
def test_every_place_lies_on_the_cone_above_the_floor(tilt_deg, **sizes):
    tilt = math.radians(tilt_deg)
    for x, z in scallop_outline(tilt_deg=tilt_deg, **sizes):
        down, off = sizes["mounting_height_m"] - z, sizes["offset_m"]
        along = (off * math.sin(tilt) + down * math.cos(tilt)) / math.hypot(x, off, down)
        assert math.degrees(math.acos(along)) == pytest.approx(sizes["beam_deg"] / 2, abs=1e-4)
        assert z >= 0


@pytest.mark.parametrize(
    ("name", "value"), [("tilt_deg", 91), ("points", 2), ("offset_m", 0), ("beam_deg", 180)]
)
def test_a_value_out_of_range_is_refused(name, value):
    given_ = {"mounting_height_m": 2.4, "offset_m": 0.3, "beam_deg": 40, name: value}
    with pytest.raises(ValueError, match=name):
        scallop_outline(**given_)
