"""Where a keypad hangs is typed, not read from its name."""

from importlib import import_module

import pytest
from django.apps import apps
from django.urls import reverse

from consult.models import KeypadPosition, Room
from consult.reader import read_design
from consult.services import keypads, turns
from tests.conftest import one
from tests.factories import PersonFactory, a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def position(by):
    room = Room.objects.get(project=a_project(by=by))
    return keypads.position_add(by=by, room=room, name="by the door")


def test_it_is_typed_shown_and_taken_back(client, by, position):
    client.force_login(by)
    typed = {
        "name": position.name, "room": position.room_id, "group": position.group_id, "height_mm": "1100", "is_outside": "on",
        "seen": position.version,
    }  # fmt: skip
    client.post(reverse("consult:position_change", args=[position.pk]), typed)
    assert read_design(position.project).positions[0].is_outside
    page = client.get(reverse("consult:controls", args=[position.project_id]))
    assert "outside the room" in one(page, ".position").text
    turns.undo(by=by, project=position.project)
    assert not read_design(position.project).positions[0].is_outside


def test_those_that_were_outside_by_their_name_say_so_by_their_place(by, position):
    other = keypads.position_add(by=by, room=position.room, name="Outside the door")
    import_module("consult.migrations.0012_outside_by_its_name").say_outside(apps, None)
    said = dict(KeypadPosition.objects.values_list("pk", "is_outside"))
    assert said == {position.pk: False, other.pk: True}
