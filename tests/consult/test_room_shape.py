"""A room that is no rectangle: its floor and way round as typed, where they count, and said so."""

from decimal import Decimal

import pytest
from django.urls import reverse

from consult.derived import read_house
from consult.light.quick import quick_light
from consult.light.targets import GUIDES
from consult.models import Room
from consult.room_size import area_m2, perimeter_m
from consult.services.patterns import factor
from tests.consult.houses import a_circuit, a_house, a_room, findings, hung
from tests.consult.test_sloping_ceiling import changed, url
from tests.factories import a_project


@pytest.fixture
def room(designer):
    return Room.objects.get(project=a_project(by=designer))


L_SHAPE = {"length_m": Decimal(5), "width_m": Decimal(4), "floor_m2": Decimal(14)}


def test_what_is_typed_goes_before_the_box():
    box = a_room(length_m=Decimal(5), width_m=Decimal(4))
    assert (area_m2(box), perimeter_m(box)) == (20, 18)
    odd = a_room(**L_SHAPE, round_m=Decimal(22))
    assert (area_m2(odd), perimeter_m(odd)) == (14, 22)
    bare = a_room(length_m=None)
    assert (area_m2(bare), perimeter_m(bare)) == (None, None)


def test_patterns_grow_by_the_floor_and_the_way_round_that_are_typed():
    box, odd = Room(length_m=5, width_m=4), Room(**L_SHAPE, round_m=Decimal(27))
    assert factor("area", box, odd) == Decimal("0.7")
    assert factor("area", odd, box) == Decimal(20) / 14
    assert factor("perimeter", box, odd) == Decimal("1.5")
    assert factor("perimeter", box, Room(length_m=5)) is None


def test_the_quick_answer_spreads_its_light_over_the_floor_there_is():
    box = a_room(length_m=Decimal(5), width_m=Decimal(4))
    odd = a_room(**L_SHAPE)
    whole = quick_light(a_house(rooms=(box,)), box, GUIDES).average_lx
    less = quick_light(a_house(rooms=(odd,)), odd, GUIDES).average_lx
    assert less == pytest.approx(whole * 20 / 14)


def test_a_room_is_judged_by_the_floor_there_is():
    def dark(**values):
        lit = a_circuit("C1", hung(arrangement="grid", pieces=10))
        return findings(a_house(lit, rooms=(a_room(use="study", **values),)), "room-too-dark")

    assert dark(length_m=Decimal(5), width_m=Decimal(4))
    assert not dark(**(L_SHAPE | {"floor_m2": Decimal(10)}))


@pytest.mark.django_db
def test_it_is_typed_and_said(designer_client, room):
    assert "is no rectangle" not in designer_client.get(url("room_light", room)).content.decode()
    assert changed(designer_client, room, floor_m2="14,5", round_m="18").status_code == 302
    room.refresh_from_db()
    assert (room.floor_m2, room.round_m) == (Decimal("14.5"), Decimal(18))
    page = designer_client.get(url("room_light", room)).content.decode()
    assert "The room has 14.50 m² of floor and is no rectangle" in page
    assert "Nothing is said of what this room is open to: all its walls count as closed" in page
    sheet = designer_client.get(reverse("consult:room", args=[room.pk])).content.decode()
    assert "14.50 m² of floor" in sheet
    part = read_house(room.project).design.room_of[str(room.pk)]
    assert (part.floor_m2, part.round_m) == (Decimal("14.5"), Decimal(18))


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"floor_m2": "20.01"}, "More floor than length times width, 20.00 m²"),
        (
            {"round_m": "12.8"},
            "Shorter than any way round a room of this length and width, 12.81 m",
        ),
        ({"floor_m2": "14", "width_m": ""}, "Give the longest length and width too"),
        ({"round_m": "18", "length_m": ""}, "Give the longest length and width too"),
        ({"floor_m2": "0"}, "greater than or equal to 0.1"),
    ],
)
def test_a_shape_that_cannot_be_is_refused_in_words(designer_client, room, values, words):
    answer = changed(designer_client, room, **values)
    assert answer.status_code == 200
    text = answer.content.decode()
    assert words in text
    assert all(f'value="{each}"' in text for each in values.values() if each)
    room.refresh_from_db()
    assert (room.floor_m2, room.round_m) == (None, None)


@pytest.mark.django_db
def test_a_box_that_is_just_filled_is_taken(designer_client, room):
    assert changed(designer_client, room, floor_m2="20", round_m="18").status_code == 302


def test_how_many_pieces_it_can_hold_goes_by_the_floor_there_is():
    """40 in any room and 40 a square metre: 0.5 m² of floor holds 60, its box of 2 m² 120."""
    box = a_room(length_m=Decimal(2), width_m=Decimal(1))
    corner = a_room(length_m=Decimal(2), width_m=Decimal(1), floor_m2=Decimal("0.5"))

    def told(room, pieces):
        lit = a_circuit("C1", hung(arrangement="grid", pieces=pieces))
        return findings(a_house(lit, rooms=(room,)), "light-not-workable")

    assert not told(box, 120)
    assert told(box, 121)
    assert not told(corner, 60)
    (found,) = told(corner, 61)
    assert dict(found.values)["area"] == "0.5"
