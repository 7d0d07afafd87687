"""What a consumer is told of cancelling, and asked before work begins early: where it may apply only."""

import uuid

import pytest
from django.test import Client
from django.urls import reverse

from base.models import Business
from quoting import documents
from quoting.models import Acceptance
from quoting.services import links, quotes
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db
FORM = "I/we give notice that I/we cancel my/our contract for offer"


@pytest.fixture
def by():
    Business.objects.update_or_create(
        defaults={"name": "Pell", "address": "1 Quay", "email": "us@showroom.example"}
    )
    return PersonFactory(role="manager")


def an_offer_of(by, **values):
    quote = a_quote(by=by)
    quotes.quote_change(by=by, quote=quote, **values)
    revision, secret = quotes.quote_issue(by=by, quote=quote), links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    return revision, reverse("quoting:offer", args=[secret]), secret


def accepting(revision, secret, **values):
    given = {
        "name": "Ida", "agrees": "on", "terms_version": "1", "key": str(uuid.uuid4()),
        "offer_sha256": revision.offer_sha256, **values,
    }  # fmt: skip
    return Client().post(reverse("quoting:offer_accept", args=[secret]), given)


@pytest.mark.parametrize("place", ["distance", "off_premises"])
def test_the_form_stands_on_page_and_paper_with_our_name_and_the_offers_number(by, place):
    revision, where, _secret = an_offer_of(by, deal_place=place)
    for text in (
        " ".join(Client().get(where).content.decode().split()),
        text_of(documents.proposal_pdf(revision)),
    ):
        assert f"To Pell, 1 Quay, us@showroom.example: {FORM} {revision}." in text
        assert "we confirm what applies to your order" in text


@pytest.mark.parametrize(
    "values",
    [
        {"deal_place": "premises"}, {"deal_place": ""},
        {"deal_place": "distance", "is_consumer": False},
    ],
)  # fmt: skip
def test_elsewhere_there_is_no_form_and_nothing_to_tick(by, values):
    revision, where, secret = an_offer_of(by, **values)
    page = Client().get(where)
    assert FORM not in page.content.decode()
    assert FORM not in text_of(documents.proposal_pdf(revision))
    assert all_of(page, "[name=asks_early_start]") == []
    accepting(revision, secret, asks_early_start="on")
    assert Acceptance.objects.get().asks_early_start is None


@pytest.mark.parametrize(
    ("ticked", "kept", "said"),
    [
        ({"asks_early_start": "on"}, True, "It asks to begin before"),
        ({}, False, "It does not ask to begin before"),
    ],
)
def test_the_wish_to_begin_early_is_asked_kept_and_certified(by, ticked, kept, said):
    revision, where, secret = an_offer_of(by, deal_place="distance")
    assert one(Client().get(where), "[name=asks_early_start]")
    accepting(revision, secret, **ticked)
    assert Acceptance.objects.get().asks_early_start is kept
    assert said in text_of(documents.certificate_pdf(revision))
    page = logged_in(by).get(revision.get_absolute_url()).content.decode()
    assert ("ask us to begin before" in page) is kept
