"""Efficacy beside a setting: unknown stays unknown."""

import math

import pytest

from engineering import efficacy


def test_what_is_not_known_is_neither_met_nor_missed():
    for lumens, watts in ((None, 10), (800, None), (None, None)):
        verdict = efficacy.against_setting(source_lm=lumens, circuit_w=watts, setting_lm_per_w=75)
        assert (verdict.lm_per_w, verdict.is_met) == (None, None)


def test_the_setting_is_met_at_its_very_value():
    # 0.1 and 0.3 have no exact binary value: 22.5 lm / 0.3 W is 75 and meets 75.
    assert efficacy.against_setting(source_lm=22.5, circuit_w=0.3, setting_lm_per_w=75).is_met


@pytest.mark.parametrize(
    ("field", "bad"),
    [("source_lm", -1), ("source_lm", math.nan), ("circuit_w", 0), ("setting_lm_per_w", math.nan)],
)
def test_bad_values_are_refused(field, bad):
    good = {"source_lm": 800, "circuit_w": 10, "setting_lm_per_w": 75}
    with pytest.raises(ValueError, match=field):
        efficacy.against_setting(**(good | {field: bad}))


def test_an_outside_fitting_of_unknown_efficacy_is_asked_for():
    found = efficacy.external_codes(lm_per_w=None, has_daylight_off=False, has_presence_off=False)
    assert [reason.code for reason in found] == ["needs-daylight-off", "presence-off-not-known"]
