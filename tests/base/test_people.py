"""The page of people: a manager adds, changes, and takes away log-ins."""

import uuid

import pytest

from base.models import Person
from tests.conftest import all_of, one
from tests.factories import PersonFactory

PEOPLE = "/business/people/"


def test_a_manager_adds_somebody_who_then_chooses_a_password(manager_client, client):
    values = {"name": "Isolde Wray", "email": "isolde@pell.example", "role": "office"}
    assert manager_client.post(PEOPLE + "add/", values).status_code == 302
    added = Person.objects.get(email="isolde@pell.example")
    page = manager_client.post(f"{PEOPLE}{added.pk}/link/")
    link = one(page, "#link")["value"]
    form = client.get(link, follow=True)
    address = one(form, "main form")["action"]
    chosen = {"password1": "quay under rain 7", "password2": "quay under rain 7"}
    assert client.post(address, chosen).status_code == 302
    assert Person.objects.get(pk=added.pk).check_password("quay under rain 7")
    again = client.get(link, follow=True)
    assert "no longer works" in one(again, "h1").text


def test_the_link_is_not_kept_by_browsers(manager_client, designer):
    answer = manager_client.post(f"{PEOPLE}{designer.pk}/link/")
    assert "no-store" in answer["Cache-Control"]


def test_an_address_in_use_is_told_at_its_field(manager_client, designer):
    answer = manager_client.post(
        PEOPLE + "add/", {"name": "X", "email": designer.email, "role": "office"}
    )
    assert one(answer, "#id_email_error").text
    assert one(answer, "#id_email")["value"] == designer.email


def test_a_manager_changes_a_role(manager_client, designer):
    values = {"name": "New Name", "email": designer.email, "role": "office"}
    assert manager_client.post(f"{PEOPLE}{designer.pk}/", values).status_code == 302
    assert Person.objects.get(pk=designer.pk).role == "office"


def test_the_last_manager_is_told_why_not(manager_client, manager):
    answer = manager_client.post(f"{PEOPLE}{manager.pk}/leave/", follow=True)
    assert "last manager" in one(answer, "#messages .notice.stop").text
    assert Person.objects.get(pk=manager.pk).is_active


def test_somebody_who_left_is_out_at_once_and_may_return(manager_client, designer, designer_client):
    assert designer_client.get("/").status_code == 200
    manager_client.post(f"{PEOPLE}{designer.pk}/leave/")
    assert designer_client.get("/").status_code == 302
    assert "Left" in one(manager_client.get(PEOPLE), "main tbody .state.stop").text
    manager_client.post(f"{PEOPLE}{designer.pk}/return/")
    assert Person.objects.get(pk=designer.pk).is_active


@pytest.mark.parametrize("path", ["add/", "{pk}/"])
def test_others_see_who_works_here_and_no_more(designer_client, designer, path):
    assert designer_client.get(PEOPLE).status_code == 200
    assert not all_of(designer_client.get(PEOPLE), "main tbody a")
    assert designer_client.get(PEOPLE + path.format(pk=designer.pk)).status_code == 403


@pytest.mark.parametrize("path", ["add/", "{pk}/", "{pk}/link/", "{pk}/leave/", "{pk}/return/"])
def test_others_change_nobody(designer_client, designer, path):
    before = Person.objects.values_list().get(pk=designer.pk)
    values = {"name": "X", "email": "x@pell.example", "role": "manager"}
    assert designer_client.post(PEOPLE + path.format(pk=designer.pk), values).status_code == 403
    assert Person.objects.values_list().get(pk=designer.pk) == before
    assert Person.objects.count() == 1


@pytest.mark.parametrize("path", ["", "link/", "leave/", "return/"])
def test_nobody_by_that_key_is_not_found(manager_client, path):
    assert manager_client.post(f"{PEOPLE}{uuid.uuid4()}/{path}").status_code == 404


@pytest.mark.parametrize("path", ["link/", "leave/", "return/"])
def test_a_deed_is_never_done_by_looking(manager_client, designer, path):
    assert manager_client.get(f"{PEOPLE}{designer.pk}/{path}").status_code == 405


def test_the_page_asks_the_same_however_many_work_here(manager_client, queries):
    manager_client.get(PEOPLE)  # makes the business, once
    few = queries(lambda: manager_client.get(PEOPLE))
    PersonFactory.create_batch(15)
    assert queries(lambda: manager_client.get(PEOPLE)) == few
