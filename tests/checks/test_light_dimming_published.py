"""The standard dimming curve of IEC 62386-102 against what was published of it."""

import pytest

from engineering.dimming_curve import HIGHEST_LEVEL, arc_power, light_by_percent, light_share


# Landmarks of the curve as the trade rounds them, in percent of the light: from memory.
@pytest.mark.parametrize(
    ("level", "percent"), [(1, 0.1), (85, 1.0), (170, 10.0), (229, 50.0), (254, 100.0)]
)
def test_landmarks_of_the_curve(level, percent):
    assert 100 * arc_power(level) == pytest.approx(percent, rel=0.011)


def test_the_upper_four_fifths_of_the_light_take_59_levels():
    """Read in a driver maker's public note on the curve of 2019, with 0.1 % as its least."""
    above = [level for level in range(1, HIGHEST_LEVEL + 1) if arc_power(level) >= 0.2]
    assert len(above) == 59


def test_every_step_is_the_same_ratio_and_none_is_dark():
    steps = {round(arc_power(n + 1) / arc_power(n), 9) for n in range(1, HIGHEST_LEVEL)}
    assert len(steps) == 1
    assert light_share(0.001, "logarithmic") == pytest.approx(0.001)
    assert light_share(0, "logarithmic") == 0


def test_without_a_curve_a_level_is_a_share():
    assert light_by_percent("") == tuple(percent / 100 for percent in range(101))


@pytest.mark.parametrize("wrong", [-0.1, 1.1, float("nan")])
def test_a_level_out_of_its_range_is_refused(wrong):
    with pytest.raises(ValueError, match="level"):
        light_share(wrong, "logarithmic")


def test_a_curve_nobody_knows_is_refused():
    with pytest.raises(ValueError, match="curve"):
        light_share(0.5, "steep")


@pytest.mark.parametrize("wrong", [0, 255])
def test_no_such_arc_power_level(wrong):
    with pytest.raises(ValueError, match="level"):
        arc_power(wrong)
