"""Pages for when something went wrong: drawn without session or database."""

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from showroom import views
from tests.conftest import one


@pytest.mark.parametrize(
    ("view", "status"),
    [
        (lambda request: views.bad_request(request, Exception()), 400),
        (lambda request: views.forbidden(request, Exception()), 403),
        (lambda request: views.not_found(request, Exception()), 404),
        (views.server_error, 500),
        (views.csrf_failure, 403),
    ],
)
def test_it_is_drawn_without_database_or_session(view, status):
    answer = view(RequestFactory().get("/"))  # no `db` fixture: a query would fail the test
    assert answer.status_code == status
    assert one(answer, "h1").text
    assert one(answer, "a.button.next")["href"] == "/"


def test_a_wrong_address_is_told_in_our_own_words(designer_client):
    answer = designer_client.get("/nowhere/")
    assert answer.status_code == 404
    assert one(answer, "h1").text == "Nothing here"


def test_a_form_without_its_token_is_told_what_to_do(designer):
    client = Client(enforce_csrf_checks=True)
    client.force_login(designer, backend="django.contrib.auth.backends.ModelBackend")
    answer = client.post(reverse("base:look"), {"look": "dark"})
    assert answer.status_code == 403
    assert "once more" in one(answer, "h1").text
