"""Heights of switches, and heat and access of gear."""

import math

import pytest

from engineering.mounting import GearPlace, gear_place_codes, switch_height_codes


# Secondary public pages: 450 to 1200 mm above the floor in new dwellings.
@pytest.mark.parametrize(
    ("height_m", "is_outside"), [(0.44, True), (0.45, False), (1.2, False), (1.21, True)]
)
def test_switch_heights_in_new_dwellings(height_m, is_outside):
    assert bool(switch_height_codes(height_m=height_m, is_new_dwelling=True)) is is_outside
    assert switch_height_codes(height_m=height_m, is_new_dwelling=False) == ()


def gear(**more):
    known = {"losses_w": 20, "allowance_w": 25, "has_access": True, "is_ventilated": True}
    return [reason.code for reason in gear_place_codes(place=GearPlace(**(known | more)))]


def test_gear_in_a_good_place_has_nothing_against_it():
    assert gear() == []
    assert gear(losses_w=25) == []


def test_each_fault_of_a_place_is_named():
    assert gear(losses_w=25.1) == ["too-warm"]
    assert gear(has_access=False) == ["sealed-in"]
    assert gear(is_ventilated=False) == ["not-ventilated"]


def test_what_nobody_has_said_is_asked_for():
    assert gear(allowance_w=None, has_access=None, is_ventilated=None) == [
        "sealed-in-not-known",
        "not-ventilated-not-known",
        "too-warm-not-known",
    ]


def test_no_gear_asks_nothing():
    assert gear(losses_w=0, has_access=False) == []


def test_bad_values_are_refused():
    with pytest.raises(ValueError, match="losses_w"):
        gear(losses_w=math.nan)
    with pytest.raises(ValueError, match="allowance_w"):
        gear(allowance_w=0)
    with pytest.raises(ValueError, match="height_m"):
        switch_height_codes(height_m=0, is_new_dwelling=True)
