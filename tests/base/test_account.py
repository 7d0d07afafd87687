"""Log-in, log-out and passwords in the showroom's own pages."""

import re

import pytest
from django.core import mail

from tests.conftest import all_of, one
from tests.factories import PersonFactory


@pytest.mark.parametrize("place", ["email/", "confirm-email/", "confirm-email/x:y/"])
def test_nobody_changes_the_address_they_log_in_with(designer_client, place):
    """A manager keeps it; the pages that a package has for that are not here."""
    for answer in (
        designer_client.get(f"/account/{place}"),
        designer_client.post(f"/account/{place}", {"email": "new@x.example", "action_add": ""}),
    ):
        assert answer.status_code == 404
        assert "Nothing here" in answer.content.decode()


def test_somebody_logs_in_and_out(client, db):
    PersonFactory(email="wren@pell.example")
    page = client.get("/account/login/")
    assert [field["name"] for field in all_of(page, "main input:not([type=hidden])")] == [
        "login",
        "password",
    ]
    answer = client.post(
        "/account/login/", {"login": "wren@pell.example", "password": "a long pass phrase"}
    )
    assert answer["Location"] == "/"
    assert not all_of(client.get("/"), ".messages .notice"), "who is logged in stands in the menu"
    assert client.post("/account/logout/")["Location"] == "/account/login/"
    assert client.get("/")["Location"].startswith("/account/login/")


def test_a_wrong_password_is_told_and_the_address_stays(client, db):
    PersonFactory(email="wren@pell.example")
    answer = client.post("/account/login/", {"login": "wren@pell.example", "password": "wrong one"})
    assert one(answer, "main .errors[role=alert]").text
    assert one(answer, "#id_login")["value"] == "wren@pell.example"


def test_a_forgotten_password_is_chosen_anew(client, db):
    person = PersonFactory(email="wren@pell.example")
    client.post("/account/password/reset/", {"email": "wren@pell.example"})
    link = re.search(r"https?://\S+", mail.outbox[0].body).group()
    form = client.get(link, follow=True)
    chosen = {"password1": "quay under rain 7", "password2": "quay under rain 7"}
    client.post(one(form, "main form")["action"], chosen)
    person.refresh_from_db()
    assert person.check_password("quay under rain 7")


def test_nobody_signs_up(client, db):
    page = client.get("/account/signup/")
    assert not all_of(page, "main form")
    assert "manager" in one(page, "h1").text


def test_a_password_is_changed(designer_client, designer):
    values = {
        "oldpassword": "a long pass phrase",
        "password1": "quay under rain 7",
        "password2": "quay under rain 7",
    }
    assert designer_client.post("/account/password/change/", values).status_code == 302
    designer.refresh_from_db()
    assert designer.check_password("quay under rain 7")
