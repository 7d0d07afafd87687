"""Laws of the energy that scenes take in a year."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.energy import PlayedLoad, annual_kwh, leni, scene_hours, scenes_kwh

WATTS, SHARES = st.floats(0, 5000), st.floats(0, 1)
LOADS = st.lists(st.builds(PlayedLoad, watts=WATTS, share=SHARES), max_size=6)


def kwh(loads, hours):
    return scenes_kwh(scenes=[scene_hours(loads=loads, hours_a_day=hours)])


def near(value):
    return pytest.approx(value, rel=1e-9, abs=1e-9)


@given(LOADS, st.floats(0, 12))
def test_it_is_linear_in_the_hours(loads, hours):
    assert kwh(loads, 2 * hours) == near(2 * kwh(loads, hours))


@given(LOADS, LOADS, st.floats(0, 24))
def test_loads_add_up(some, others, hours):
    assert kwh(some + others, hours) == near(kwh(some, hours) + kwh(others, hours))


@given(LOADS, LOADS, st.floats(0, 12), st.floats(0, 12))
def test_scenes_add_up(some, others, one, other):
    both = [scene_hours(loads=some, hours_a_day=one), scene_hours(loads=others, hours_a_day=other)]
    assert scenes_kwh(scenes=both) == near(kwh(some, one) + kwh(others, other))


@given(st.lists(WATTS, max_size=6), st.floats(0, 24))
def test_at_level_nothing_it_takes_nothing(watts, hours):
    assert kwh([PlayedLoad(watts=each, share=0) for each in watts], hours) == 0


@given(WATTS, SHARES, st.floats(0, 24))
def test_one_scene_is_the_form_of_one_load(watts, share, hours):
    load = PlayedLoad(watts=watts, share=share)
    assert kwh([load], hours) == near(annual_kwh(watts=watts, hours_a_day=hours, dim_share=share))


@given(LOADS, st.floats(0, 24), st.floats(1, 500))
def test_over_a_floor_it_is_the_numeric_indicator(loads, hours, floor):
    use = scene_hours(loads=loads, hours_a_day=hours)
    found = leni(power_w=use.watts, area_m2=floor, day_hours=0, night_hours=use.hours_a_day * 365)
    assert found * floor == near(kwh(loads, hours))
