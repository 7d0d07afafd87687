"""Ordinary switching against four UK wiring texts and two trade texts on plates and boxes, all read."""

import pytest

from engineering import dimmers, switching
from engineering.published import Certainty


# Four UK wiring texts: n positions take 2 two-way and n - 2 intermediate switches for a circuit.
@pytest.mark.parametrize(
    ("positions", "one_way", "two_way", "intermediate"),
    [(1, 1, 0, 0), (2, 0, 2, 0), (3, 0, 2, 1), (4, 0, 2, 2), (6, 0, 2, 4)],
)
def test_switches_of_one_circuit(positions, one_way, two_way, intermediate):
    switches = switching.conventional(circuits=1, positions=positions)
    assert (switches.one_way, switches.two_way, switches.intermediate) == (
        one_way,
        two_way,
        intermediate,
    )
    assert switches.gangs == positions


# Two trade texts: 1 to 3 gangs on a single box, 4 and 6 gangs on a double.
def test_plates_and_the_boxes_they_take():
    assert switching.SWITCH_PLATES == {1: 1, 2: 1, 3: 1, 4: 2, 6: 2}
    for gangs in (1, 2, 3, 4, 6):
        assert switching.plates_for(gangs=gangs) == (gangs,)


def test_five_gangs_take_the_six_gang_plate():
    # There is no plate of 5 gangs in those texts.
    assert switching.plates_for(gangs=5) == (6,)


def test_box_depths():
    # Two trade texts: 16, 25, 35, 47 mm; 25 standard, 35 flat plate or dimmer.
    assert dimmers.BOX_DEPTHS_MM == (16, 25, 35, 47)
    assert dimmers.box_depth_mm(is_dimmer=False) == 25
    assert dimmers.box_depth_mm(is_dimmer=True) == 35
    assert dimmers.box_depth_mm(is_dimmer=False, is_flat_plate=True) == 35


def test_dimmer_derating():
    # Rule-of-thumb texts, no authoritative source: a tenth of the rating (400 W carries 40 W of LED);
    # a published LED rating always comes first.
    thumb = dimmers.led_capacity(rating_w=400)
    assert (thumb.led_w, thumb.basis) == (40, "rule-of-thumb")
    assert thumb.source.certainty is Certainty.COMMON_PRACTICE
    assert dimmers.led_capacity(rating_w=400, led_rating_w=120).led_w == 120
    assert dimmers.OLD_LEADING_EDGE_LEAST_W == 40


def test_dimmer_plates_are_common_practice():
    # Common practice, no source: 1 or 2 gangs on a single box, 3 or 4 on a double.
    assert switching.DIMMER_PLATES == {1: 1, 2: 1, 3: 2, 4: 2}
