"""Protective devices against published figures; 'as quoted' means that the standard was not read."""

import pytest

from engineering import cables, protection
from engineering.protection import Curve, Device
from engineering.published import Certainty


# BS 7671:2018 Table 41.3 as quoted: 0.95 · 230 / (5 · In), and 10 · In for type C.
@pytest.mark.parametrize(
    ("curve", "rating_a", "ohm"), [("B", 6, 7.28), ("B", 10, 4.37), ("B", 16, 2.73), ("C", 6, 3.64)]
)
def test_greatest_fault_loop(curve, rating_a, ohm):
    figure = protection.greatest_fault_loop_ohm(
        device=Device(curve=Curve(curve), rating_a=rating_a)
    )
    assert figure.value == pytest.approx(ohm, rel=0.005)
    assert (figure.source.place, figure.source.edition) == ("Table 41.3", "2018")


@pytest.mark.parametrize(("rating_a", "ohm"), [(6, 5.82), (10, 3.50)])
def test_eighty_per_cent_rule(rating_a, ohm):
    # Rule of 80 % for a value measured cold, as quoted: 5.82 and 3.50 ohm for B6 and B10.
    greatest = protection.greatest_fault_loop_ohm(device=Device(curve=Curve.B, rating_a=rating_a))
    assert protection.HOT_FAULT_SHARE * greatest.value == pytest.approx(ohm, rel=0.005)


# On-Site Guide Table I1; Locke Table 4.3; read. 1.5 mm² twin and earth has a 1.0 mm² protective
# conductor, so 30.2: a public page that prints 24.2 is wrong.
@pytest.mark.parametrize(
    ("line_mm2", "protective_mm2", "ohm_per_km"),
    [(1.0, 1.0, 36.2), (1.5, 1.0, 30.2), (2.5, 1.5, 19.51)],
)
def test_loop_resistance_of_a_cable(line_mm2, protective_mm2, ohm_per_km):
    figure = protection.loop_resistance(line_mm2=line_mm2, protective_mm2=protective_mm2)
    assert figure.value == pytest.approx(ohm_per_km, rel=0.005)
    solid = cables.SOLID_OHM_PER_KM
    assert figure.value == pytest.approx(solid[line_mm2] + solid[protective_mm2], rel=0.005)


def test_loop_resistance_of_two_lengths():
    # Same tables: 22 m of 2.5/1.5 is 0.429 ohm; 50 m of 1.5/1.0 is 1.51 ohm.
    first = protection.loop_resistance(line_mm2=2.5, protective_mm2=1.5).value
    second = protection.loop_resistance(line_mm2=1.5, protective_mm2=1.0).value
    assert first * 22 / 1000 == pytest.approx(0.429, rel=0.005)
    assert second * 50 / 1000 == pytest.approx(1.51, rel=0.005)


def test_longest_cable_by_fault_loop():
    # Worked example in a public text: (5.82 - 0.35) / 0.0362 = 151.1 m of 1.0 mm² on a B6; voltage
    # drop limits first, 26 m at 6 A.
    length_m = protection.longest_by_fault_loop_m(
        device=Device(curve=Curve.B, rating_a=6),
        external_ohm=0.35,
        line_mm2=1.0,
        protective_mm2=1.0,
    )
    assert length_m == pytest.approx(151.1, rel=0.005)
    assert cables.longest_run_m(current_a=6, size_mm2=1.0) < length_m


def test_tripping_bands():
    # BS EN 60898-1 as quoted: B 3 to 5, C 5 to 10, D 10 to 20 times the rating.
    assert protection.MAGNETIC_BAND == {Curve.B: (3, 5), Curve.C: (5, 10), Curve.D: (10, 20)}
    # 1.13 no trip in an hour, 1.45 trip within one: wording from memory.
    assert (protection.CONVENTIONAL_NO_TRIP, protection.CONVENTIONAL_TRIP) == (1.13, 1.45)
    assert protection.CONVENTIONAL_SOURCE.certainty is Certainty.MEMORY


# A driver maker's recommendation table, read: C16 = 100 %, C10 62, C20 125, B10 37, B16 60, B20 75 %.
SCALE = {"C16": 100, "C10": 62, "C20": 125, "B10": 37, "B16": 60, "B20": 75}


@pytest.mark.parametrize(("name", "count"), SCALE.items())
def test_driver_count_scales_from_a_c16(name, count):
    answer = protection.drivers_on_device(
        device=Device(curve=Curve(name[0]), rating_a=int(name[1:])),
        full_load_a=0.01,
        maker_counts={(Curve.C, 16): 100},
    )
    assert answer.count == count
    assert answer.basis == ("maker" if name == "C16" else "maker-scaled")


def test_guide_counts_by_watts():
    # BEAMA guide of 2021 as discussed in a professional forum, read: B10 15 × 10 W or 4 × 75 W;
    # B16 22 × 10 W or 8 × 75 W; C10 30 × 10 W or 5 × 150 W.
    assert protection.INRUSH_GUIDE == {
        (Curve.B, 10): {10: 15, 75: 4},
        (Curve.B, 16): {10: 22, 75: 8},
        (Curve.C, 10): {10: 30, 150: 5},
    }


# N = min(floor(k·n·In/Ipk), floor(In/If)), formula read in a forum; numbers computed from it.
@pytest.mark.parametrize(
    ("curve", "rating_a", "peak_a", "full_a", "count", "limit"),
    [
        ("B", 10, 8, 0.2, 3, "inrush"),  # 3·10/8 = 3.75; 10/0.2 = 50
        ("C", 10, 8, 0.2, 6, "inrush"),  # 5·10/8 = 6.25
        ("D", 6, 2, 0.3, 20, "current"),  # 10·6/2 = 30; 6/0.3 = 20
    ],
)
def test_driver_count_by_peak_and_by_running_current(curve, rating_a, peak_a, full_a, count, limit):
    answer = protection.drivers_on_device(
        device=Device(curve=Curve(curve), rating_a=rating_a),
        full_load_a=full_a,
        inrush_peak_a=peak_a,
    )
    assert (answer.count, answer.limited_by) == (count, limit)


def test_standing_leakage_is_at_most_thirty_per_cent():
    # BS 7671 as quoted in secondary public pages: 30 mA device, 9 mA standing leakage at most.
    assert protection.leakage(items=[]).limit_ma == pytest.approx(9)
