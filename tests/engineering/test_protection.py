"""Laws, edges and refusals of protective devices."""

import math

import pytest

from engineering import protection
from engineering.protection import Curve, Device, Leaking

B10 = Device(curve=Curve.B, rating_a=10)


def test_the_makers_own_count_comes_before_everything():
    answer = protection.drivers_on_device(
        device=B10,
        full_load_a=0.1,
        maker_counts={(Curve.B, 10): 9, (Curve.C, 16): 100},
        inrush_peak_a=1,
    )
    assert (answer.count, answer.basis) == (9, "maker")


def test_scaling_takes_the_smallest_of_the_makers_counts():
    answer = protection.drivers_on_device(
        device=B10, full_load_a=0.1, maker_counts={(Curve.C, 16): 100, (Curve.B, 16): 30}
    )
    # 37 from the C16; 30 · 0.37 / 0.60 = 18.5 from the B16.
    assert (answer.count, answer.basis) == (18, "maker-scaled")


def test_the_running_current_still_limits_a_makers_count():
    answer = protection.drivers_on_device(
        device=B10, full_load_a=0.9, maker_counts={(Curve.B, 10): 40}
    )
    assert (answer.count, answer.limited_by, answer.by_inrush) == (11, "current", 40)


def test_exactly_full_is_full_and_not_one_less():
    # 3 · 6 / 1.8 and 6 / 0.6 are both ten, whatever the last binary digit says.
    answer = protection.drivers_on_device(
        device=Device(curve=Curve.B, rating_a=6), full_load_a=0.6, inrush_peak_a=1.8
    )
    assert (answer.by_current, answer.by_inrush) == (10, 10)
    # Where both limit alike, the inrush is named: it is the one that trips a breaker at switch-on.
    assert answer.limited_by == "inrush"


def test_an_unknown_inrush_stays_unknown():
    answer = protection.drivers_on_device(device=B10, full_load_a=0.1)
    assert (answer.count, answer.basis, answer.by_current) == (None, "not-known", 100)
    # A type D has no scale in the table, so a count for a C16 says nothing of it.
    d10 = Device(curve=Curve.D, rating_a=10)
    scaled = protection.drivers_on_device(
        device=d10, full_load_a=0.1, maker_counts={(Curve.C, 16): 100}
    )
    assert scaled.count is None


@pytest.mark.parametrize(
    ("field", "bad"),
    [("full_load_a", 0), ("full_load_a", math.nan), ("inrush_peak_a", -1), ("pulse_factor", 0.5),
     ("pulse_factor", math.nan), ("maker_counts", {(Curve.C, 16): -1})],
)  # fmt: skip
def test_driver_count_refuses_bad_values(field, bad):
    with pytest.raises(ValueError, match=field):
        protection.drivers_on_device(**({"device": B10, "full_load_a": 0.1} | {field: bad}))


@pytest.mark.parametrize("rating_a", [0, -6, 6.5, True])
def test_a_device_has_a_whole_rating(rating_a):
    with pytest.raises(ValueError, match="rating_a"):
        Device(curve=Curve.B, rating_a=rating_a)


def test_no_cable_is_short_enough_where_the_supply_alone_is_too_much():
    length_m = protection.longest_by_fault_loop_m(
        device=B10, external_ohm=20, line_mm2=1.0, protective_mm2=1.0
    )
    assert length_m == 0


def test_loop_resistance_refuses_a_pair_that_is_not_tabulated():
    # 1.5 mm² twin and earth has a 1.0 mm² protective conductor: no pair 1.5/1.5 here.
    with pytest.raises(ValueError, match="sizes"):
        protection.loop_resistance(line_mm2=1.5, protective_mm2=1.5)


def test_leakage_within_above_and_not_known():
    within = protection.leakage(items=[Leaking(leakage_ma=0.3, pieces=30)])
    assert within.is_within is True  # 9.0 of 9.0 mA
    above = protection.leakage(items=[Leaking(leakage_ma=0.31, pieces=30)])
    assert above.is_within is False
    unknown = protection.leakage(
        items=[Leaking(leakage_ma=0.3, pieces=3), Leaking(leakage_ma=None, pieces=2)]
    )
    assert (unknown.is_within, unknown.unknown_pieces) == (None, 2)
    # Too much is too much, whatever else is not known.
    worse = protection.leakage(
        items=[Leaking(leakage_ma=1, pieces=30), Leaking(leakage_ma=None, pieces=2)]
    )
    assert worse.is_within is False
    with pytest.raises(ValueError, match="leakage_ma"):
        Leaking(leakage_ma=math.nan, pieces=1)
    with pytest.raises(ValueError, match="rated_ma"):
        protection.leakage(items=[], rated_ma=0)


def test_type_ac_only_where_no_load_has_a_dc_part():
    assert protection.residual_type_codes(has_dc_part=False) == ("rcd-30-ma",)
    assert "rcd-not-type-ac" in protection.residual_type_codes(has_dc_part=True)
    assert "rcd-type-not-known" in protection.residual_type_codes(has_dc_part=None)
