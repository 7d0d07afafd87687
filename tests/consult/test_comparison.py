"""Scene control against ordinary switches: counted as wiring texts do, honest about the price."""

import re

import pytest
from django.urls import reverse

from catalogue.models import LabourNorm
from consult.comparison import compare
from consult.derived import planned, read_house
from consult.models import Room, SwitchingPiece
from consult.services import keypads, switching
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_product, a_project, a_receiver

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def project(by):
    a_receiver()
    project = a_project(by=by)
    for name in ("by the door", "by the window"):
        keypads.position_add(by=by, room=Room.objects.get(), name=name)
    return project


def url(name, project):
    return reverse(f"consult:{name}", args=[project.pk])


def plates(cost="2.00", sell="5.00"):
    a_product(kind="dimmer", name="Rotary dimmer, one gang", sell=sell)
    a_product(kind="switch-plate", name="Switch plate, one gang", sell=sell)
    a_product(kind="accessory", name="Back box, one gang, 25 mm deep", sell=sell)
    a_product(kind="accessory", name="Back box, one gang, 35 mm deep", sell=sell)


def test_both_ways_stand_side_by_side_without_prices(staff, project):
    page = staff.get(url("comparison", project))
    first, second = all_of(page, ".two-ways article")
    assert "1 outputs of 1 receivers" in first.text
    # Dimmed at one place and worked from two: a dimmer there, a two-way switch at the other.
    assert "0 one-way, 2 two-way" in second.text or "0 one-way, 1 two-way" in second.text
    assert "Scenes" in second.text and "two places" in second.text
    assert "£" not in page.content.decode()


def test_without_prices_of_plates_nothing_is_called_cheaper(staff, project):
    page = staff.post(url("comparison_cost", project))
    assert "Not decided" in page.content.decode()
    assert "Ordinary switches cost less" not in page.content.decode()


def test_it_says_so_where_ordinary_switches_cost_less(staff, by, project):
    plates()
    switching.pieces_suggest(by=by)
    page = staff.post(url("comparison_cost", project))
    assert "Ordinary switches cost less here" in page.content.decode()
    assert "£" in one(page, ".two-ways article:last-child").text


def test_a_room_without_a_size_asks_for_it(staff, project):
    Room.objects.update(length_m=None)
    assert "Give every room" in staff.get(url("comparison", project)).content.decode()


def test_pieces_are_proposed_by_name_and_stored_by_a_press(staff, project):
    plates()
    page = staff.get(url("switching_pieces", project))
    chosen = one(page, "#id_dimmer-plate-1 option[selected]")
    assert "Rotary dimmer" in chosen.text
    staff.post(url("switching_pieces", project), {"dimmer-plate-1": chosen["value"], "led_w": "90"})
    assert SwitchingPiece.objects.get().led_w == 90
    staff.post(url("switching_pieces", project), {"dimmer-plate-1": ""})
    assert not SwitchingPiece.objects.exists()


def test_the_labour_of_scene_control_stands_beside_that_of_switches(staff, project):
    def labour():
        page = staff.get(url("comparison", project))
        shown = one(page, ".two-ways article:first-child").text
        return re.search(r"Labour\s*([\d.]+) h", shown)[1]

    before = float(labour())
    for kind, per, minutes in (
        ("receiver", "piece", 30),
        ("keypad", "piece", 20),
        ("", "scene", 10),
    ):
        LabourNorm.objects.create(operation="programming", kind=kind, per=per, minutes=minutes)
    house = read_house(project)
    (compared,) = compare(house, planned(house))
    keypads = sum(count for _name, count in compared.keypads)
    added = 30 * compared.units + 20 * keypads + 10 * compared.scenes
    assert compared.units and compared.scenes
    assert float(labour()) == pytest.approx(before + added / 60, abs=0.051)


def test_prices_want_a_press(staff, project):
    assert staff.get(url("comparison_cost", project)).status_code == 405
