"""What hangs on a wall where an opening leaves none: each bound from both sides, and the words."""

from dataclasses import replace
from decimal import Decimal

import pytest

from consult.design import OpeningPart
from consult.findings.wording import sentences
from tests.consult.houses import (
    a_circuit,
    a_feed,
    a_fitting,
    a_house,
    a_position,
    a_room,
    findings,
    hung,
    made,
)

# The room is 5 × 4 × 2.4 m. Two pieces along a wall of 5 m hang at 1.25 and 3.75 m.


def an_opening(**values):
    given = {
        "id": "o",
        "other": "s",
        "wall": "back",
        "from_m": "1",
        "width_m": "1",
        "height_m": "2.1",
    }
    given |= values
    numbers = {"from_m", "width_m", "low_m", "height_m"}
    return made(
        OpeningPart,
        **{k: Decimal(v) if k in numbers and v is not None else v for k, v in given.items()},
    )


def on_wall(**values):
    given = {
        "arrangement": "along-wall",
        "wall": "back",
        "offset_m": "0.1",
        "mounting_height_m": "1.8",
    }
    given |= values
    numbers = {"offset_m", "mounting_height_m", "length_m"}
    return hung(
        **{k: Decimal(v) if k in numbers and v is not None else v for k, v in given.items()}
    )


def told(fitting, *gaps, products=(), rule="fitting-in-opening"):
    rooms = (
        a_room(openings=gaps),
        a_room(id="s", name="Landing", openings=()),
    )
    return findings(a_house(a_circuit("C1", fitting), rooms=rooms, products=products), rule)


def test_it_says_which_fitting_which_opening_and_how_to_mend_it():
    (found,) = told(on_wall(), an_opening())
    read = sentences(found)
    assert read.why == (
        "C1 Ceiling: 1 of 2 × The lamp would hang in the opening to Landing. The back wall is open "
        "there from 1.00 to 2.00 m along it and from 0.00 to 2.10 m up, so there is nothing to fix to."
    )
    assert "higher than 2.10 m" in read.mend and "another wall" in read.mend
    assert (found.severity, found.place, found.place_key) == ("look", "circuit", "key-C1")
    (nowhere,) = told(on_wall(), an_opening(other=None))
    assert "the opening to what is no room of this job" in sentences(nowhere).why


@pytest.mark.parametrize(
    ("opening", "speaks"),
    [
        ({"from_m": "1.26", "width_m": "2"}, False),
        ({"from_m": "1.24", "width_m": "2"}, True),
        ({"from_m": "0.2", "width_m": "1.04"}, False),
        ({"from_m": "0.2", "width_m": "1.06"}, True),
        ({"height_m": "1.79"}, False),
        ({"height_m": "1.81"}, True),
        ({"low_m": "1.79", "height_m": "0.4"}, True),
        ({"low_m": "1.81", "height_m": "0.4"}, False),
        ({"wall": "front"}, False),
        ({"wall": ""}, False),
        ({"from_m": None}, False),
    ],
)
def test_it_speaks_of_what_is_inside_the_outline_of_an_opening(opening, speaks):
    assert bool(told(on_wall(), an_opening(**opening))) is speaks


@pytest.mark.parametrize(
    ("fitting", "speaks"),
    [
        ({"offset_m": "0.24"}, True),
        ({"offset_m": "0.26"}, False),  # off the wall: it hangs from the ceiling or stands
        ({"mounting_height_m": "2.24"}, True),
        ({"mounting_height_m": "2.26"}, False),  # on the ceiling
        ({"mounting_height_m": "0.16"}, True),
        ({"mounting_height_m": "0.14"}, False),  # in the floor
        ({"arrangement": "grid", "offset_m": None}, False),
        ({"wall": "left", "offset_m": "0.1"}, False),
        ({"room": "s"}, False),
    ],
)
def test_it_speaks_of_what_is_fixed_to_the_wall_itself(fitting, speaks):
    assert bool(told(on_wall(**fitting), an_opening(height_m="2.4"))) is speaks


@pytest.mark.parametrize(
    ("wall", "from_m"), [("front", "1"), ("back", "1"), ("left", "0.8"), ("right", "0.8")]
)
def test_every_wall_has_its_own_ends(wall, from_m):
    """Two pieces along a wall of 4 m hang at 1 and 3 m."""
    (found,) = told(on_wall(wall=wall), an_opening(wall=wall, from_m=from_m, width_m="0.5"))
    assert dict(found.values)["count"] == "1"


@pytest.mark.parametrize(("start", "speaks"), [("2.94", True), ("2.97", False)])
def test_a_run_may_lap_over_an_edge_and_no_further(start, speaks):
    """A metre in the middle of 5 m ends at 3 m."""
    tape = a_fitting("tape", kind="tape", unit="metre", feed=a_feed(load_kinds=("phase-dimmed",)))
    row = on_wall(product="tape", pieces=1, length_m="1", mounting_height_m="1")
    found = told(row, an_opening(from_m=start), products=(tape,))
    assert bool(found) is speaks


def test_each_opening_is_said_and_another_feed_of_the_same_pieces_is_not():
    gaps = (an_opening(), an_opening(id="p", from_m="3.5", other=None))
    both = told(on_wall(), *gaps)
    assert [dict(each.values)["start"] for each in both] == ["1.00", "3.50"]
    other_feed = replace(on_wall(), id="down", same_pieces_as="row-lamp")
    assert not told(other_feed, *gaps)


def test_a_placeholder_is_named_as_it_was_typed():
    row = replace(
        on_wall(), product=None, placeholder="Wall light", placeholder_lm=Decimal(400),
        placeholder_w=Decimal(6),
    )  # fmt: skip
    (found,) = told(row, an_opening())
    assert "Wall light" in sentences(found).why


def test_no_size_no_place_and_too_high_say_nothing_here():
    house = a_house(
        a_circuit("C1", on_wall()), rooms=(a_room(openings=(an_opening(),), height_m=None),)
    )
    assert not findings(house, "fitting-in-opening")
    assert not told(on_wall(mounting_height_m="3"), an_opening())


@pytest.mark.parametrize(
    ("place", "speaks"),
    [
        ({}, True),
        ({"x_m": Decimal("2.2")}, False),
        ({"y_m": Decimal("3.7")}, False),
        ({"height_mm": 2200}, False),
        ({"is_outside": True}, False),
        ({"y_m": None}, False),
    ],
)
def test_a_keypad_needs_a_wall_too(place, speaks):
    position = a_position(**{"x_m": Decimal("1.5"), "y_m": Decimal(4), **place})
    rooms = (a_room(openings=(an_opening(),)), a_room(id="s", name="Landing"))
    found = findings(a_house(rooms=rooms, positions=(position,)), "keypad-in-opening")
    assert bool(found) is speaks
    if speaks:
        read = sentences(found[0])
        assert "K1 by the door would hang in the opening to Landing" in read.why
        assert found[0].place == "position"
