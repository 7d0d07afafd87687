"""The plain form of receiver planning."""

import pytest

from engineering.receivers import CircuitLoad, ReceiverOption, plan


def _receiver(reference="R4", outputs=4, limits=None, unit_max_w=600, cost_minor=9000):
    return ReceiverOption(
        reference=reference,
        outputs=outputs,
        limits=limits or {"switched": (0, 200)},
        unit_max_w=unit_max_w,
        cost_minor=cost_minor,
    )


def _load(code="A", kind="switched", fittings=(40,), **more):
    return CircuitLoad(code=code, load_kind=kind, fittings_w=fittings, **more)


def test_every_circuit_is_on_an_output_or_named():
    found = plan(
        circuits=[_load("A"), _load("B", "motor"), _load("C", fittings=(100, 100, 100))],
        receivers=[_receiver()],
    )
    carried = {}
    for unit in found.units:
        for output in unit.outputs:
            carried[output.circuit] = carried.get(output.circuit, 0) + output.power_w
    assert carried == {"A": 40, "C": 300}
    ((code, reason),) = found.unserved
    assert (code, reason) == ("B", "no_receiver_for_kind")
    assert found.unserved[0].reason == reason


def test_a_colour_circuit_takes_its_channels_in_one_unit():
    units = plan(
        circuits=[_load("A", "dc-rgbw", (80,), channels=4), _load("B", "dc-rgbw", (80,))],
        receivers=[_receiver("D5", 5, {"dc-rgbw": (0, 60)})],
    ).units
    assert [[output.power_w for output in unit.outputs] for unit in units] == [[20] * 4] * 2
    assert [unit.spare_outputs for unit in units] == [1, 1]


def test_fixed_pairs_and_held_units_are_obeyed():
    options = [_receiver(), _receiver("R2", 2, cost_minor=12000)]
    first = plan(circuits=[_load("A")], receivers=options, fixed=[("A", "R2")])
    assert (first.units[0].reference, first.cost_minor) == ("R2", 12000)
    again = plan(circuits=[_load("A"), _load("B")], receivers=options, held=first.units)
    assert [unit.reference for unit in again.units] == ["R2"]
    broken = plan(circuits=[_load("A")], receivers=options, fixed=[("A", "R9")])
    assert (broken.broken[0][0], broken.cost_minor) == ("fixed_cannot_hold", 9000)


def test_a_contradictory_product_is_named():
    found = plan(circuits=[_load()], receivers=[_receiver("X", limits={"switched": (9, 1)})])
    assert found.refused == ("X",)
    assert found.unserved == (("A", "limits_contradictory"),)


def test_bad_input_is_refused():
    with pytest.raises(ValueError, match="own code"):
        plan(circuits=[_load(), _load()], receivers=[])
    with pytest.raises(ValueError, match="load_kind"):
        _load(kind="candle")
    with pytest.raises(ValueError, match="at least one"):
        _load(fittings=())
    with pytest.raises(ValueError, match="watts"):
        _load(fittings=(float("nan"),))
