"""A sloping ceiling: typed by its lowest side, worked out as the box round the room, and said so."""

from decimal import Decimal

import pytest
from django.urls import reverse

from consult.derived import read_house
from consult.light.problem import box_of
from consult.models import Room
from tests.factories import a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(designer):
    return Room.objects.get(project=a_project(by=designer))


def url(name, room):
    return reverse(f"consult:{name}", args=[room.pk])


def changed(client, room, **values):
    data = {
        "name": room.name, "use": room.use, "dampness": room.dampness, "group": str(room.group_id),
        "length_m": "5", "width_m": "4", "height_m": "2.5", "seen": room.version, **values,
    }  # fmt: skip
    return client.post(url("room_change", room), data)


def test_it_is_typed_said_and_worked_out_as_a_box(designer_client, room):
    level = designer_client.get(url("room_light", room)).content.decode()
    assert "The ceiling slopes" not in level
    assert changed(designer_client, room, eaves_m="1,4").status_code == 302
    room.refresh_from_db()
    assert room.eaves_m == Decimal("1.4")
    page = designer_client.get(url("room_light", room)).content.decode()
    assert "The ceiling slopes from 2.50 m down to 1.40 m" in page
    part = read_house(room.project).design.room_of[str(room.pk)]
    assert box_of(part).height_m == 2.5


@pytest.mark.parametrize(
    "values", [{"eaves_m": "2.5"}, {"eaves_m": "3"}, {"eaves_m": "1.4", "height_m": ""}]
)
def test_a_lowest_side_that_is_not_lower_is_refused_in_words(designer_client, room, values):
    answer = changed(designer_client, room, **values)
    assert answer.status_code == 200
    assert "The lowest side is lower" in answer.content.decode()
    assert f'value="{values["eaves_m"]}"' in answer.content.decode()
    room.refresh_from_db()
    assert room.eaves_m is None
