"""The glare of a room is told where every light has a file with its opening, and nowhere else."""

import pytest
from django.core.cache import caches
from django.urls import reverse

from catalogue import photometric
from consult.derived import read_house
from consult.light.glare import glare_of
from consult.light.problem import room_problem
from consult.models import Circuit, Room
from engineering.glare import BrightLamp, seated_glare
from engineering.room import Source
from tests.factories import a_circuit, a_product, a_project

pytestmark = pytest.mark.django_db


def a_file(width="0.3", length="0.3"):
    return (
        "IESNA:LM-63-2002\n[TEST] A1\n[TESTLAB] ours\n[ISSUEDATE] 2026\n[MANUFAC] ours\n"
        f"TILT=NONE\n1 1000 1 5 1 1 2 {width} {length} 0\n1 1 8\n0 30 60 75 90\n0\n"
        "500 400 200 50 0\n"
    ).encode()


@pytest.fixture(autouse=True)
def nothing_kept():
    caches["drawn"].clear()


@pytest.fixture
def room(designer):
    return Room.objects.get(project=a_project(by=designer))


def with_files(room, content=None):
    for circuit in Circuit.objects.filter(room=room):
        for fitting in circuit.fittings.select_related("product"):
            photometric.attach(
                by=None, product=fitting.product, name="lamp.ies", content=content or a_file()
            )


def stated(room):
    house = read_house(room.project)
    return room_problem(house, house.design.room_of[str(room.pk)], 0.75)


def said(client, room):
    return client.get(reverse("consult:room_light", args=[room.pk])).content.decode()


def test_nothing_is_told_without_files(designer_client, room):
    assert glare_of(stated(room)) is None
    assert "UGR" not in said(designer_client, room)


def test_one_light_without_a_file_is_enough_to_tell_nothing(designer, room):
    with_files(room)
    a_circuit(by=designer, room=room, product=a_product())
    assert glare_of(stated(room)) is None


def test_an_opening_of_no_size_tells_nothing(room):
    with_files(room, a_file("0", "0"))
    assert glare_of(stated(room)) is None


def test_the_page_tells_the_worst_of_four_views(designer_client, room):
    with_files(room)
    problem = stated(room).problem
    found = glare_of(stated(room))
    lamps = [
        BrightLamp(
            source=Source(position_m=each.placement.position_m, flux_lm=each.law.flux_lm,
                          intensity_cd=each.law.intensity()),
            opening_m2=0.09,
        )
        for each in problem.channels[0].hung
    ]  # fmt: skip
    views = {
        "back": (2.5, 0.4, 1.2), "front": (2.5, 3.6, 1.2),
        "right": (0.4, 2.0, 1.2), "left": (4.6, 2.0, 1.2),
    }  # fmt: skip
    rated = [
        seated_glare(room=problem.room, lamps=lamps, eye_m=eye, look=look)
        for look, eye in views.items()
    ]
    assert found.rating == pytest.approx(max(rated), abs=0.06)
    assert f"UGR {found.rating:.0f}" in said(designer_client, room)


def test_a_smaller_opening_of_the_same_light_dazzles_more(room):
    with_files(room)
    wide = glare_of(stated(room)).rating
    with_files(room, a_file("0.1", "0.1"))
    assert glare_of(stated(room)).rating > wide + 3


def test_what_is_kept_is_not_asked_for_again(room, monkeypatch):
    with_files(room)
    first = glare_of(stated(room))
    monkeypatch.setattr("consult.light.glare.seated_glare", None)
    assert glare_of(stated(room)) == first
