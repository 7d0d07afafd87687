"""Cables against published figures. Paid standards were not read: where a source says 'as quoted',
the number was read in public texts that quote the standard in the edition named."""

import pytest

from engineering import cable_capacity, cables
from engineering.cable_capacity import Laying, Method
from engineering.published import Certainty

# BS 7671:2018 Appendix 4, Table 4D5 (also 4D2B), as quoted in three texts.
MILLIVOLTS = {1.0: 44, 1.5: 29, 2.5: 18, 4.0: 11, 6.0: 7.3, 10.0: 4.4}


@pytest.mark.parametrize(("size_mm2", "expected"), MILLIVOLTS.items())
def test_millivolts_per_amp_metre_are_the_published_ones(size_mm2, expected):
    figure = cables.millivolts_per_amp_metre(size_mm2=size_mm2)
    assert figure.value == expected
    assert (figure.source.work, figure.source.edition) == ("BS 7671", "2018")
    assert figure.source.certainty is Certainty.QUOTED


# BS 7671:2018 Appendix 4, Table 4Ab, as quoted: 3 % lighting, 5 % other, of a public supply;
# over 100 m +0.005 % a metre, +0.5 % at most. (Texts that say 'Appendix 12' use old numbering.)
@pytest.mark.parametrize(
    ("use", "length_m", "expected"),
    [
        ("lighting", 0, 0.03),
        ("lighting", 100, 0.03),
        ("lighting", 140, 0.032),
        ("lighting", 200, 0.035),
        ("lighting", 900, 0.035),
        ("other", 20, 0.05),
    ],
)
def test_limit_of_voltage_drop(use, length_m, expected):
    figure = cables.drop_limit(use=cables.Use(use), length_m=length_m)
    assert figure.value == pytest.approx(expected, abs=1e-12)
    assert "4Ab" in figure.source.place


def test_limits_in_volts_at_230_v():
    # Same table: 6.9 V and 11.5 V of 230 V.
    assert cables.drop_limit().value * 230 == pytest.approx(6.9)
    assert cables.drop_limit(use=cables.Use.OTHER).value * 230 == pytest.approx(11.5)


# Formula mV · Ib · L / 1000 as quoted from BS 7671 Appendix 4; results computed from it.
@pytest.mark.parametrize(("size_mm2", "drop_v"), [(1.0, 2.64), (1.5, 1.74), (2.5, 1.08)])
def test_drop_at_3_a_over_20_m(size_mm2, drop_v):
    drop = cables.voltage_drop(current_a=3, length_m=20, size_mm2=size_mm2)
    assert drop.drop_v == pytest.approx(drop_v, rel=0.005)
    assert drop.share == pytest.approx(drop_v / 230, rel=0.005)


# Computed from the same formula: longest run at 6 A for 6.9 V; at 3 A double.
@pytest.mark.parametrize(("size_mm2", "length_m"), [(1.0, 26.14), (1.5, 39.66), (2.5, 63.89)])
def test_longest_run_at_6_a_and_at_3_a(size_mm2, length_m):
    run = cables.longest_run_m(current_a=6, size_mm2=size_mm2)
    assert run == pytest.approx(length_m, rel=0.005)
    half = cables.longest_run_m(current_a=3, size_mm2=size_mm2)
    assert half == pytest.approx(2 * length_m, rel=0.005)


def test_ten_fittings_spread_along_25_m():
    # Circuit theory, (n + 1) / (2n): 10 × 7 W, 1.0 mm²: 0.335 V (0.146 %) lumped, 0.184 V spread.
    place = {"current_a": 70 / 230, "length_m": 25, "size_mm2": 1.0}
    lumped = cables.voltage_drop(**place)
    assert lumped.drop_v == pytest.approx(0.335, rel=0.01)
    assert lumped.share == pytest.approx(0.00146, rel=0.01)
    assert cables.voltage_drop(**place, loads=10).drop_v == pytest.approx(0.184, rel=0.01)


# IEC 60228 class 1/2 and 5, plain copper at 20 °C, as tabulated in texts that cite it (Locke, Guide
# to the Wiring Regulations, Table 4.1); read.
SOLID = {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83}
FLEXIBLE = {1.0: 19.5, 1.5: 13.3, 2.5: 7.98}


@pytest.mark.parametrize(
    ("size_mm2", "conductor", "ohm"),
    [(s, cables.Conductor.SOLID, o) for s, o in SOLID.items()]
    + [(s, cables.Conductor.FLEXIBLE, o) for s, o in FLEXIBLE.items()],
)
def test_resistance_at_20_degrees(size_mm2, conductor, ohm):
    figure = cables.conductor_resistance(size_mm2=size_mm2, conductor=conductor)
    assert figure.value == ohm
    assert figure.source.work == "IEC 60228"


@pytest.mark.parametrize("size_mm2", [1.0, 1.5, 2.5])
def test_millivolts_follow_from_resistance_at_70_degrees(size_mm2):
    # On-Site Guide Table I3: factor 1.20 at 70 °C, as quoted. 2 · R20 · 1.20 ≈ mV/A/m, within 2 %.
    hot = cables.conductor_resistance(size_mm2=size_mm2, temperature_c=70).value
    assert hot == pytest.approx(1.20 * SOLID[size_mm2])
    assert 2 * hot == pytest.approx(MILLIVOLTS[size_mm2], rel=0.02)


# BS 7671:2018 Table 4D5. C, 100 and 103 as quoted in texts; 101, 102 and A from memory.
CAPACITY = {
    1.0: (16, 13, 10.5, 13, 8, 11.5),
    1.5: (20, 16, 13, 16, 10, 14.5),
    2.5: (27, 21, 17, 21, 13.5, 20),
    4.0: (37, 27, 22, 27, 17.5, 26),
    6.0: (47, 34, 27, 35, 23.5, 32),
}
METHODS = ("C", "100", "101", "102", "103", "A")


@pytest.mark.parametrize("size_mm2", CAPACITY)
def test_current_capacity_by_reference_method(size_mm2):
    for method, expected in zip(METHODS, CAPACITY[size_mm2], strict=True):
        figure = cable_capacity.capacity_a(size_mm2=size_mm2, method=Method(method))
        assert figure.value == expected, method
        is_memory = figure.source.certainty is Certainty.MEMORY
        assert is_memory == (method in {"101", "102", "A"})


def test_factors_for_heat_grouping_and_insulation():
    # BS 7671:2018 Tables 4B1 and 4C1 and regulation 523.9, as quoted.
    heat = {35: 0.94, 40: 0.87}
    group = {2: 0.80, 3: 0.70, 4: 0.65, 5: 0.60}
    for temperature_c, factor in heat.items():
        assert cable_capacity.ambient_factor(temperature_c=temperature_c).value == factor
    for circuits, factor in group.items():
        assert cable_capacity.grouping_factor(circuits=circuits).value == factor
    assert cable_capacity.insulation_factor(surrounded_m=0.1).value == 0.78
    assert cable_capacity.insulation_factor(surrounded_m=0.5).value == 0.5
    assert cable_capacity.insulation_factor(surrounded_m=4).value == 0.5


def test_a_derated_cable_is_the_product_of_the_published_factors():
    # 1.5 mm² clipped direct 20 A; three bunched 0.70, 35 °C 0.94 (same tables): 13.16 A.
    laying = Laying(method=Method.CLIPPED_DIRECT, circuits=3, temperature_c=35)
    choice = cable_capacity.choose_size(current_a=5, device_a=10, length_m=10, laying=laying)
    derated = {verdict.size_mm2: verdict.derated_a for verdict in choice.verdicts}
    assert derated[1.5] == pytest.approx(13.16)


def test_extra_low_voltage_feeds():
    # Computed with 12.1 mΩ/m a core (IEC 60228, 1.5 mm²): 24 V 3 A over 10 m loses 0.726 V, 3.0 %;
    # 12 V 6 A loses 1.452 V, 12.1 %.
    drop = cables.dc_voltage_drop(current_a=3, length_m=10, ohm_per_km=12.1, supply_v=24)
    assert drop.drop_v == pytest.approx(0.726, rel=0.005)
    assert drop.share == pytest.approx(0.03025, rel=0.005)
    drop = cables.dc_voltage_drop(current_a=6, length_m=10, ohm_per_km=12.1, supply_v=12)
    assert drop.drop_v == pytest.approx(1.452, rel=0.005)
    assert drop.share == pytest.approx(0.121, rel=0.005)


def test_uniform_tape_loses_half_of_r_l_i_and_a_quarter_of_that_fed_from_both_ends():
    # Circuit theory: end drop r · L · I / 2; feeding both ends gives a quarter. 14.4 W/m × 5 m at
    # 24 V is 3 A; with 0.1 ohm/m: 0.1 · 5 · 3 / 2 = 0.75 V.
    tape = {"watts_per_m": 14.4, "length_m": 5, "ohm_per_m": 0.1, "supply_v": 24}
    one = cables.tape_drop(**tape, feed=cables.Feed.ONE_END)
    both = cables.tape_drop(**tape, feed=cables.Feed.BOTH_ENDS)
    assert one.drop_v == pytest.approx(0.75)
    assert both.drop_v == pytest.approx(0.75 / 4)


def test_tape_formula_against_a_ladder_of_small_sections():
    # Independent of the closed formula: 2000 sections, each carrying what lies beyond it.
    sections, length_m, total_a, ohm_per_m = 2000, 5.0, 3.0, 0.1
    step_ohm = ohm_per_m * length_m / sections
    ladder = sum(step_ohm * total_a * (sections - k) / sections for k in range(sections))
    tape = cables.tape_drop(
        watts_per_m=14.4, length_m=5, ohm_per_m=0.1, supply_v=24, feed=cables.Feed.ONE_END
    )
    assert tape.drop_v == pytest.approx(ladder, rel=0.001)


def test_tape_run_guide_is_marked_as_common_practice():
    # Common practice, no source: 12 V 5 m, 24 V 5 to 10 m; the maker's own run comes first.
    assert cables.tape_run_guide_m(supply_v=12).value == 5
    assert 5 <= cables.tape_run_guide_m(supply_v=24).value <= 10
    assert cables.tape_run_guide_m(supply_v=24).source.certainty is Certainty.COMMON_PRACTICE
