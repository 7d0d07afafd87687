"""Laws, edges and refusals of connected load."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering import loads
from engineering.loads import CircuitLoads, Load

SHARES = st.one_of(st.none(), st.floats(0.3, 1))
SOME_LOADS = st.lists(
    st.builds(
        Load,
        watts=st.floats(0, 500),
        pieces=st.integers(0, 40),
        driver_efficiency=SHARES,
        power_factor=SHARES,
    ),
    max_size=6,
)


def test_a_driver_draws_its_loss_and_its_volt_amperes():
    # 72 W of tape behind a driver of 0.9 draws 80 W, at power factor 0.8 100 VA.
    total = loads.add_up(
        loads=[Load(watts=14.4, pieces=5, driver_efficiency=0.9, power_factor=0.8)], supply_v=230
    )
    assert total.load_w == pytest.approx(72)
    assert total.loss_w == pytest.approx(8)
    assert total.connected_w == pytest.approx(80)
    assert total.apparent_va == pytest.approx(100)
    assert total.current_a == pytest.approx(100 / 230)
    assert total.assumed_w == 0


def test_the_supply_is_230_v_unless_it_is_said():
    lamps = [Load(watts=230, pieces=1, power_factor=1)]
    circuit = CircuitLoads(code="Q1", enclosure="A", loads=tuple(lamps))
    assert loads.add_up(loads=lamps).current_a == 1
    assert loads.add_up(loads=lamps, supply_v=115).current_a == 2
    assert loads.add_up_house(circuits=[circuit]).total.current_a == 1
    assert loads.add_up_house(circuits=[circuit], supply_v=115).total.current_a == 2


def test_an_unknown_power_factor_is_assumed_and_said():
    known = Load(watts=50, pieces=1, power_factor=1.0)
    unknown = Load(watts=45, pieces=1)
    total = loads.add_up(loads=[known, unknown])
    assert total.assumed_w == pytest.approx(45)
    assert total.apparent_va == pytest.approx(50 + 45 / 0.9)
    other = loads.add_up(loads=[known, unknown], assumed_power_factor=0.5)
    assert other.apparent_va == pytest.approx(50 + 90)


@given(first=SOME_LOADS, second=SOME_LOADS)
def test_the_load_of_two_lots_is_the_sum_of_their_loads(first, second):
    apart = [loads.add_up(loads=lot) for lot in (first, second)]
    both = loads.add_up(loads=first + second)
    for name in ("load_w", "loss_w", "connected_w", "apparent_va", "current_a", "assumed_w"):
        assert getattr(both, name) == pytest.approx(sum(getattr(each, name) for each in apart))
    assert both.apparent_va >= both.connected_w - 1e-6


@given(lots=st.lists(st.tuples(st.sampled_from("AB"), SOME_LOADS), max_size=5))
def test_the_house_is_the_sum_of_its_enclosures_and_of_its_circuits(lots):
    circuits = [
        CircuitLoads(code=f"Q{place}", enclosure=enclosure, loads=tuple(lot))
        for place, (enclosure, lot) in enumerate(lots)
    ]
    house = loads.add_up_house(circuits=circuits)
    for sums in (house.circuits, house.enclosures):
        assert house.total.connected_w == pytest.approx(
            sum(each.connected_w for each in sums.values())
        )


def test_a_circuit_code_comes_once():
    twin = CircuitLoads(code="Q1", enclosure="A", loads=())
    with pytest.raises(ValueError, match="Q1"):
        loads.add_up_house(circuits=[twin, twin])


@pytest.mark.parametrize(
    ("field", "bad"),
    [("watts", -1), ("watts", math.nan), ("pieces", -1), ("pieces", math.inf),
     ("driver_efficiency", 0), ("driver_efficiency", 1.1), ("power_factor", math.nan)],
)  # fmt: skip
def test_a_load_refuses_bad_values(field, bad):
    with pytest.raises(ValueError, match=field):
        Load(**({"watts": 10, "pieces": 1} | {field: bad}))


def test_diversity_leaves_the_connected_current_as_it_is():
    after = loads.after_diversity(connected_va=2300)
    assert after.connected_a == pytest.approx(10)
    assert after.after_a == pytest.approx(6.6)


def test_a_lampholder_with_a_larger_lamp_counts_as_that_lamp():
    assert loads.lampholders_w(holders=2, lamp_w=150) == 300
    assert loads.lampholders_w(holders=2, lamp_w=9) == 200
    assert loads.lampholders_w(holders=0) == 0
    with pytest.raises(ValueError, match="holders"):
        loads.lampholders_w(holders=-1)
    with pytest.raises(ValueError, match="supply_v"):
        loads.add_up(loads=[], supply_v=math.nan)
