"""Ways of radio: described at the position, followed by findings, gone with what they lead to."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from base.deeds import Refusal
from consult.found import read_findings
from consult.models import Enclosure, KeypadPosition, Room
from consult.radio_models import RadioPath
from consult.reader import read_design
from consult.services import house, keypads, radio, turns
from tests.conftest import one
from tests.factories import PersonFactory, a_keypad, a_project, a_receiver

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by)
    return client


@pytest.fixture
def position(by):
    a_receiver()
    a_keypad()
    room = Room.objects.get(project=a_project(by=by))
    return keypads.position_add(by=by, room=room, name="by the door")


def values(**given):
    zero = dict.fromkeys(("light_walls", "masonry_walls", "timber_floors", "concrete_floors"), "0")
    return {**zero, "distance_m": "6,5", **given}


def set_url(position, enclosure=None):
    place = enclosure or Enclosure.objects.get(project=position.project_id).pk
    return reverse("consult:radio_set", args=[position.pk, place])


def said(position, rule):
    return [r.words.why for r in read_findings(position.project).rows if r.found.rule == rule]


def test_a_way_is_described_changed_and_taken_back(staff, by, position):
    assert said(position, "radio-not-said") and not said(position, "radio-path")
    staff.post(set_url(position), values(masonry_walls="2"))
    (part,) = read_design(position.project).radio
    assert (part.distance_m, part.masonry_walls) == (Decimal("6.5"), 2)
    assert not said(position, "radio-not-said")
    (why,) = said(position, "radio-path")
    assert "6.5 m" in why and "stated range" in why
    page = staff.get(reverse("consult:position_change", args=[position.pk]))
    assert "6.5 m" in one(page, "#radio").text
    staff.post(set_url(position), values(has_steel="on"))
    assert "metal" in said(position, "radio-path")[0]
    staff.post(reverse("consult:radio_remove", args=[RadioPath.objects.get().pk]))
    assert not read_design(position.project).radio
    turns.undo(by=by, project=position.project)
    assert RadioPath.objects.get().has_steel


@pytest.mark.parametrize(
    "wrong", [{"distance_m": "-1"}, {"distance_m": "far"}, {"masonry_walls": "21"}]
)
def test_what_cannot_be_is_refused_and_stays_typed(staff, position, wrong):
    answer = staff.post(set_url(position), values(light_walls="3", **wrong))
    assert answer.status_code == 200
    assert one(answer, "#id_light_walls")["value"] == "3"
    assert not RadioPath.objects.exists()


def test_strangers_and_rows_that_are_not_there(client, staff, by, position):
    other = Enclosure.objects.get(project=a_project(by=by))
    assert staff.get(set_url(position, other.pk)).status_code == 404
    assert staff.get(set_url(position, uuid.uuid4())).status_code == 404
    assert staff.post(reverse("consult:radio_remove", args=[uuid.uuid4()])).status_code == 404
    assert staff.get(reverse("consult:radio_remove", args=[uuid.uuid4()])).status_code == 405
    with pytest.raises(Refusal, match="another project"):
        radio.radio_set(by=by, row=position, enclosure=other, distance_m=Decimal(3))
    client.logout()
    assert "/account/login/" in client.get(set_url(position))["Location"]


def test_it_goes_with_its_position_its_room_and_its_place_and_comes_back(by, position):
    spare = house.enclosure_add(by=by, project=position.project, name="Spare", kind="cupboard")
    for place in Enclosure.objects.filter(project=position.project):
        radio.radio_set(by=by, row=position, enclosure=place, distance_m=Decimal(3))
    house.enclosure_remove(by=by, enclosure=spare)
    assert RadioPath.objects.count() == 1
    keypads.position_remove(by=by, row=KeypadPosition.objects.get())
    assert not RadioPath.objects.exists()
    turns.undo(by=by, project=position.project)
    assert RadioPath.objects.count() == 1
    house.room_remove(by=by, room=Room.objects.get(pk=position.room_id))
    assert not RadioPath.objects.exists()
