"""Findings on their pages: grouped, linked, set aside with a reason, shown again when they change."""

import uuid

import pytest
from django.urls import reverse

from consult.found import read_findings
from consult.models import Circuit, Room, SetAside
from consult.services import scenes, turns
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_project, a_receiver

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
    return a_project(by=by)  # a room without a keypad: one finding at least


def url(name, *args):
    return reverse(f"consult:{name}", args=args)


def row_of(project, rule):
    return next(row for row in read_findings(project).rows if row.found.rule == rule)


def aside(staff, project, rule, **data):
    row = row_of(project, rule)
    given = {
        "rule": row.found.rule,
        "about": row.found.about,
        "values_sha256": row.values_sha256,
        "reason": "worked from the hall",
        **data,
    }
    return staff.post(url("finding_aside", project.pk), given)


def test_findings_are_grouped_and_each_opens_its_place(staff, project):
    page = staff.get(url("findings", project.pk))
    links = [link["href"] for link in all_of(page, "#look .finding h3 a")]
    assert url("controls", project.pk) in links
    for href in links:
        assert staff.get(href).status_code == 200
    assert "Source:" in one(page, "#look .finding:first-child").text


def test_one_is_set_aside_with_its_reason_and_taken_up_again(staff, by, project):
    assert aside(staff, project, "group-without-position").status_code == 302
    page = staff.get(url("findings", project.pk))
    assert "worked from the hall" in one(page, "#aside .finding").text
    assert not row_of(project, "group-without-position").is_open
    staff.post(url("finding_take_up", SetAside.objects.get().pk))
    assert row_of(project, "group-without-position").is_open
    turns.undo(by=by, project=project)
    assert not row_of(project, "group-without-position").is_open


def test_it_is_shown_again_when_its_values_change(staff, by, project):
    aside(staff, project, "group-without-position")
    from tests.factories import a_circuit, a_product

    a_circuit(by=by, room=Room.objects.get(), product=a_product())
    row = row_of(project, "group-without-position")
    assert row.is_open and row.is_again
    assert "changed since" in staff.get(url("findings", project.pk)).content.decode()
    aside(staff, project, "group-without-position", reason="still so")
    assert SetAside.objects.get().reason == "still so"


@pytest.mark.parametrize(
    "data", [{"reason": ""}, {"values_sha256": "no digest"}, {"reason": "x" * 301}]
)
def test_without_a_reason_nothing_is_set_aside(staff, project, data):
    answer = aside(staff, project, "group-without-position", **data)
    assert answer.status_code == 200
    assert "Not set aside" in one(answer, ".notice.stop[role=alert]").text
    assert not SetAside.objects.exists()


def test_the_room_shows_its_own(staff, by, project):
    scene_id = Circuit.objects.get().levels.get().scene
    scenes.scene_remove(by=by, scene=scene_id)
    page = staff.get(url("room_findings", Room.objects.get().pk))
    assert "A circuit that no scene touches" in one(page, "#findings").text
    assert (
        "A circuit that no scene touches"
        in one(staff.get(Room.objects.get().get_absolute_url()), "#findings").text
    )


def test_deeds_want_a_post_a_row_and_somebody_who_works_here(client, staff, project):
    assert staff.get(url("finding_aside", project.pk)).status_code == 405
    assert staff.post(url("finding_take_up", uuid.uuid4())).status_code == 404
    assert staff.post(url("finding_aside", uuid.uuid4())).status_code == 404
    client.logout()
    answer = client.post(url("finding_aside", project.pk), {"reason": "x"})
    assert answer.status_code == 302 and "/account/login/" in answer["Location"]
    assert not SetAside.objects.exists()
