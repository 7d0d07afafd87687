"""Laws, edges and refusals of voltage drop and cable choice."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering import cable_capacity, cable_cores, cables, switched_rooms
from engineering.cable_capacity import Laying, Method
from engineering.cables import Conductor, Feed
from engineering.control_problem import CHANNELS, LOAD_KINDS

SIZES = st.sampled_from(sorted(cables.MILLIVOLTS))
NOT_NUMBERS = [math.nan, math.inf, -1.0]


@given(current_a=st.floats(0, 60), length_m=st.floats(0, 500), size_mm2=SIZES)
def test_twice_the_length_is_twice_the_drop(current_a, length_m, size_mm2):
    once = cables.voltage_drop(current_a=current_a, length_m=length_m, size_mm2=size_mm2)
    twice = cables.voltage_drop(current_a=current_a, length_m=2 * length_m, size_mm2=size_mm2)
    assert twice.drop_v == pytest.approx(2 * once.drop_v)
    assert once.share == pytest.approx(once.drop_v / 230)


@given(loads=st.integers(1, 200))
def test_spreading_never_drops_more_than_lumping_and_never_less_than_half(loads):
    assert 0.5 < cables.spread_factor(loads=loads) <= 1


def test_spread_factor_is_the_sum_of_the_sections():
    for loads in (1, 2, 3, 10):
        ladder = sum(sections for sections in range(1, loads + 1)) / loads**2
        assert cables.spread_factor(loads=loads) == pytest.approx(ladder)


def test_another_supply_changes_the_share_and_not_the_volts():
    low = cables.voltage_drop(current_a=3, length_m=20, size_mm2=1.0, supply_v=110)
    high = cables.voltage_drop(current_a=3, length_m=20, size_mm2=1.0)
    assert low.drop_v == high.drop_v
    assert low.share == pytest.approx(high.share * 230 / 110)


@pytest.mark.parametrize("bad", NOT_NUMBERS)
@pytest.mark.parametrize("name", ["current_a", "length_m", "supply_v"])
def test_voltage_drop_refuses_a_bad_number(name, bad):
    good = {"current_a": 1, "length_m": 1, "size_mm2": 1.0, "supply_v": 230}
    with pytest.raises(ValueError, match=name):
        cables.voltage_drop(**(good | {name: bad}))


@pytest.mark.parametrize("size_mm2", [0.75, 3, 0, -1.5, math.nan])
def test_voltage_drop_refuses_a_size_that_is_not_tabulated(size_mm2):
    with pytest.raises(ValueError, match="size_mm2"):
        cables.voltage_drop(current_a=1, length_m=1, size_mm2=size_mm2)


@pytest.mark.parametrize("loads", [0, -1, 1.5, True])
def test_voltage_drop_refuses_a_number_of_loads_that_is_not_whole(loads):
    with pytest.raises(ValueError, match="loads"):
        cables.voltage_drop(current_a=1, length_m=1, size_mm2=1.0, loads=loads)


def test_arguments_are_keyword_only():
    with pytest.raises(TypeError):
        cables.voltage_drop(3, 20, 1.0)


@pytest.mark.parametrize("bad", NOT_NUMBERS)
@pytest.mark.parametrize("name", ["current_a", "length_m", "ohm_per_km", "supply_v"])
def test_dc_voltage_drop_refuses_a_bad_number(name, bad):
    good = {"current_a": 1, "length_m": 1, "ohm_per_km": 12.1, "supply_v": 24}
    with pytest.raises(ValueError, match=name):
        cables.dc_voltage_drop(**(good | {name: bad}))


def test_a_hot_conductor_drops_more():
    feed = {"current_a": 3, "length_m": 10, "ohm_per_km": 12.1, "supply_v": 24}
    cold = cables.dc_voltage_drop(**feed)
    hot = cables.dc_voltage_drop(**feed, temperature_c=70)
    assert hot.drop_v == pytest.approx(1.2 * cold.drop_v)


@pytest.mark.parametrize("temperature_c", [-40, 250])
def test_the_ends_of_the_temperature_scale_are_taken(temperature_c):
    feed = {"current_a": 1, "length_m": 10, "ohm_per_km": 10, "supply_v": 24}
    drop = cables.dc_voltage_drop(**feed, temperature_c=temperature_c)
    assert drop.drop_v == pytest.approx(0.2 * (1 + 0.004 * (temperature_c - 20)))
    hot = cables.conductor_resistance(size_mm2=1.0, temperature_c=temperature_c)
    assert hot.value == pytest.approx(18.1 * (1 + 0.004 * (temperature_c - 20)))
    with pytest.raises(ValueError, match="temperature_c"):
        cables.conductor_resistance(size_mm2=1.0, temperature_c=temperature_c * 1.01)


@pytest.mark.parametrize("temperature_c", [math.nan, -60, 400])
def test_dc_voltage_drop_refuses_a_temperature_off_the_scale(temperature_c):
    with pytest.raises(ValueError, match="temperature_c"):
        cables.dc_voltage_drop(
            current_a=1, length_m=1, ohm_per_km=12.1, supply_v=24, temperature_c=temperature_c
        )


def test_the_common_core_carries_the_sum_of_the_channels():
    # Colour and white, 1 A each, 10 m of 12.1 ohm/km: own leg 0.121 V, common leg 4 × 0.121 V.
    drop = cables.dc_channel_drop(
        channel_currents_a=(1, 1, 1, 1), length_m=10, ohm_per_km=12.1, supply_v=24
    )
    assert drop.drop_v == pytest.approx(5 * 0.121)
    with pytest.raises(ValueError, match="channel_currents_a"):
        cables.dc_channel_drop(channel_currents_a=(), length_m=1, ohm_per_km=1, supply_v=24)


@given(
    current_a=st.floats(0.1, 20),
    length_m=st.floats(0.1, 60),
    conductor=st.sampled_from(list(Conductor)),
)
def test_the_conductor_chosen_is_the_smallest_that_keeps_the_limit(current_a, length_m, conductor):
    size_mm2 = cables.dc_size_mm2(
        channel_currents_a=(current_a,),
        length_m=length_m,
        supply_v=24,
        limit_share=0.03,
        conductor=conductor,
    )
    table = cables.SOLID_OHM_PER_KM if conductor is Conductor.SOLID else cables.FLEXIBLE_OHM_PER_KM
    for size, ohm in table.items():
        keeps = 2 * ohm / 1000 * length_m * 1.2 * current_a <= 0.03 * 24
        if size_mm2 is None or size < size_mm2:
            assert not keeps
        elif size == size_mm2:
            assert keeps


def test_the_longest_tape_reaches_just_its_limit_and_both_ends_double_it():
    tape = {"watts_per_m": 9.6, "ohm_per_m": 0.08, "supply_v": 24}
    one_m = cables.longest_tape_m(**tape, limit_share=0.05, feed=Feed.ONE_END)
    drop = cables.tape_drop(**tape, length_m=one_m, feed=Feed.ONE_END)
    assert drop.share == pytest.approx(0.05)
    both_m = cables.longest_tape_m(**tape, limit_share=0.05, feed=Feed.BOTH_ENDS)
    assert both_m == pytest.approx(2 * one_m)


def test_tape_refuses_bad_numbers():
    for name in ("watts_per_m", "length_m", "ohm_per_m", "supply_v"):
        good = {"watts_per_m": 9.6, "length_m": 5, "ohm_per_m": 0.08, "supply_v": 24}
        with pytest.raises(ValueError, match=name):
            cables.tape_drop(**(good | {name: math.nan}), feed=Feed.ONE_END)
    with pytest.raises(ValueError, match="supply_v"):
        cables.tape_run_guide_m(supply_v=48)


# Common practice, no source: a common core and one core for each channel.
@pytest.mark.parametrize(
    ("load_kind", "power", "signal"),
    [
        ("switched", 2, 0),
        ("phase-dimmed", 2, 0),
        ("dc-white", 2, 0),
        ("dc-tunable", 3, 0),
        ("dc-rgb", 4, 0),
        ("dc-rgbw", 5, 0),
        ("dc-rgb-tunable", 6, 0),
        ("analogue-dimmed", 2, 2),
        ("digital-dimmed", 2, 2),
        ("motor", 3, 0),
    ],
)
def test_cores_by_load_kind(load_kind, power, signal):
    cores = cable_cores.cores(load_kind=load_kind)
    assert (cores.power, cores.signal) == (power, signal)
    assert cores.needs_earth is not load_kind.startswith("dc-")
    assert cores.has_common is load_kind.startswith("dc-")
    assert cores.conductors == power + signal + int(cores.needs_earth)


def test_every_load_kind_of_the_planner_has_its_cores_and_its_way_of_switching():
    assert set(cable_cores.CORES) == set(LOAD_KINDS) == switched_rooms.LOAD_KINDS
    for kind, outputs in CHANNELS.items():
        if kind.startswith("dc-"):
            assert cable_cores.cores(load_kind=kind).channels == outputs


def test_cores_refuse_an_unknown_load_kind():
    with pytest.raises(ValueError, match="load_kind"):
        cable_cores.cores(load_kind="steam")


def test_every_size_with_a_capacity_has_a_voltage_drop():
    for column in cable_capacity.CAPACITY_A.values():
        assert set(column) <= set(cables.MILLIVOLTS)


def test_capacity_rises_with_size_in_every_method():
    for column in cable_capacity.CAPACITY_A.values():
        amps = [column[size] for size in sorted(column)]
        assert amps == sorted(amps)


def test_a_size_is_refused_for_its_capacity_and_for_its_drop_by_name():
    laying = Laying(method=Method.STUD_WALL_IN_INSULATION)
    choice = cable_capacity.choose_size(current_a=9, device_a=10, length_m=40, laying=laying)
    reasons = {each.size_mm2: each.reasons for each in choice.verdicts}
    assert reasons[1.0] == ("capacity-below-device", "drop-above-limit")
    assert reasons[1.5] == ("drop-above-limit",)
    assert reasons[2.5] == ()
    assert choice.size_mm2 == 2.5
    assert choice.verdicts[2].would_do


def test_a_capacity_or_a_drop_at_its_very_limit_would_do():
    # 1.0 mm² in a stud wall with insulation carries 8 A; 44 mV · 8 A · 10 m is 3.52 V.
    laying = Laying(method=Method.STUD_WALL_IN_INSULATION)
    case = {"current_a": 8, "device_a": 8, "length_m": 10, "laying": laying, "supply_v": 352}
    assert cable_capacity.choose_size(**case, limit_share=0.01).size_mm2 == 1.0
    assert cable_capacity.choose_size(**case, limit_share=0.0099).size_mm2 == 1.5
    # Without a limit of one's own the published 3 % holds: 3.52 V of 110 V is 3.2 %.
    assert cable_capacity.choose_size(**(case | {"supply_v": 110})).size_mm2 == 1.5


def test_no_size_may_do_and_says_so():
    laying = Laying(method=Method.STUD_WALL_IN_INSULATION, surrounded_m=0.5, circuits=5)
    choice = cable_capacity.choose_size(current_a=30, device_a=32, length_m=90, laying=laying)
    assert choice.size_mm2 is None
    assert all(each.reasons for each in choice.verdicts)


def test_a_device_under_the_design_current_is_refused():
    laying = Laying(method=Method.CLIPPED_DIRECT)
    with pytest.raises(ValueError, match="device_a"):
        cable_capacity.choose_size(current_a=12, device_a=10, length_m=5, laying=laying)


@pytest.mark.parametrize(
    ("field", "bad"),
    [("circuits", 6), ("circuits", 0), ("temperature_c", 41), ("temperature_c", math.nan),
     ("surrounded_m", -1), ("method", "Z")],
)  # fmt: skip
def test_laying_refuses_what_the_tables_do_not_hold(field, bad):
    with pytest.raises(ValueError, match=field if field != "method" else "Z"):
        Laying(**({"method": Method.CLIPPED_DIRECT} | {field: bad}))


@given(temperature_c=st.floats(-20, 40), surrounded_m=st.floats(0, 3), circuits=st.integers(1, 5))
def test_derating_never_gives_a_bonus(temperature_c, surrounded_m, circuits):
    laying = Laying(
        method=Method.CLIPPED_DIRECT,
        temperature_c=temperature_c,
        surrounded_m=surrounded_m,
        circuits=circuits,
    )
    assert 0 < laying.factor <= 1
