"""Holes that meet joists, against drilling every position."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.joists import JoistLayout, joist_clashes

LAYOUT = {"runs_along": "x", "first_m": 0.3, "centres_m": 0.4, "thickness_m": 0.05}


def clashes(points_m, cut_out_m=0.08, **more):
    return joist_clashes(
        points_m=points_m, cut_out_m=cut_out_m, layout=JoistLayout(**(LAYOUT | more))
    )


@given(across_m=st.floats(0, 6), cut_out_m=st.floats(0.02, 0.3))
def test_a_hole_clashes_just_where_it_overlaps_some_joist(across_m, cut_out_m):
    gaps = [abs(across_m - (0.3 + 0.4 * n)) - 0.025 - cut_out_m / 2 for n in range(30)]
    found = clashes([(1.0, across_m)], cut_out_m)
    if min(gaps) < -2e-4:
        assert len(found) == 1
    elif min(gaps) >= 0:
        assert found == ()


@given(across_m=st.floats(0, 6))
def test_the_move_clears_every_joist_and_no_shorter_one_does(across_m):
    for clash in clashes([(1.0, across_m)]):
        assert clashes([(1.0, across_m + clash.move_m)]) == ()
        shorter_m = abs(clash.move_m) - 2e-4  # a tenth of a millimetre decides nothing
        for way in (-1, 1):
            assert shorter_m < 0 or clashes([(1.0, across_m + way * shorter_m)])


def test_joists_along_the_other_axis_look_at_the_other_coordinate():
    assert clashes([(0.3, 0.5)], runs_along="y")[0].joist_m == pytest.approx(0.3)
    assert clashes([(0.5, 0.3)], runs_along="y") == ()


def test_a_hole_wider_than_the_gap_has_no_move():
    assert clashes([(0, 0.3)], cut_out_m=0.36)[0].move_m is None


def test_there_is_no_joist_before_the_first():
    # 0.1 m from the wall is 0.2 m before the first joist; one joist fewer stands there.
    assert clashes([(0, -0.1)]) == ()


@pytest.mark.parametrize(
    ("field", "bad"),
    [("first_m", -1), ("centres_m", 0), ("thickness_m", 0.4), ("thickness_m", math.nan),
     ("depth_m", 0), ("runs_along", "z")],
)  # fmt: skip
def test_bad_layouts_are_refused(field, bad):
    with pytest.raises(ValueError, match=field):
        clashes([(0, 0)], **{field: bad})


def test_bad_points_are_refused():
    with pytest.raises(ValueError, match="points_m"):
        clashes([(0, math.nan)])
    with pytest.raises(ValueError, match="cut_out_m"):
        clashes([(0, 0)], cut_out_m=0)
