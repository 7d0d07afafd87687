"""Assumptions and exclusions of one quote, and the visit after furnishing."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from base.deeds import Refusal
from catalogue.models import LabourRate
from quoting import documents
from quoting.drafting import draft_of
from quoting.issued import read_offer
from quoting.models import ManualLine, Quote, QuotingRules
from quoting.services import copies, links, quotes
from tests.conftest import logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def quote(by):
    return a_quote(by=by)


def a_rate():
    return LabourRate.objects.update_or_create(
        grade="commissioner", from_day="2026-01-01", defaults={"cost": 35, "sell": 70}
    )


def test_what_this_quote_assumes_and_leaves_out_stands_beside_what_every_quote_does(by, quote):
    QuotingRules.objects.create(assumptions="Walls are dry.", exclusions="Making good.\nA skip.")
    quotes.quote_change(
        by=by, quote=quote, assumptions="The hall is empty.\n\nWalls are dry.",
        exclusions="Removing asbestos.\nA skip.",
    )  # fmt: skip
    revision = quotes.quote_issue(by=by, quote=Quote.objects.get(pk=quote.pk))
    offer = read_offer(revision)
    assert offer.assumptions == ("Walls are dry.", "The hall is empty.")
    assert offer.exclusions == ("Making good.", "A skip.", "Removing asbestos.")
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    page = Client().get(reverse("quoting:offer", args=[secret]))
    for text in (page.content.decode(), text_of(documents.proposal_pdf(revision))):
        assert "The hall is empty." in text
        assert "Removing asbestos." in text
    copy = copies.quote_copy(by=by, quote=quote, project=quote.project)
    assert copy.exclusions == "Removing asbestos.\nA skip."


def test_the_terms_take_them_on_their_page(by, quote):
    given = {
        "discount_share": "0", "deposit_share": "0", "validity_days": "30", "sell_by": "list",
        "delivery": "supply_and_install", "seen": quote.version, "exclusions": "Parking.",
    }  # fmt: skip
    web = logged_in(by)
    assert web.post(reverse("quoting:quote_change", args=[quote.pk]), given).status_code == 302
    page = web.get(quote.get_absolute_url())
    assert one(page, "textarea[name=exclusions]").text.strip() == "Parking."


def test_the_evening_visit_is_a_line_at_the_commissioners_rate(by, quote):
    a_rate()
    quotes.evening_add(by=by, quote=quote, hours=Decimal("2.5"))
    line = next(x for x in draft_of(quote).lines if x.manual)
    assert (line.net, line.cost) == (Decimal(175), Decimal("87.5"))
    assert line.description.startswith("Evening visit after furnishing")


def test_without_a_rate_or_hours_it_is_refused_and_what_was_typed_stays(by, quote):
    LabourRate.objects.all().delete()
    web, where = logged_in(by), reverse("quoting:evening_add", args=[quote.pk])
    page = web.post(where, {"hours": "2,5"})
    assert "no rate of a commissioner" in one(page, "#evening").text
    assert one(page, "#evening input[name=hours]")["value"] == "2,5"
    for hours in ("0", "NaN"):
        with pytest.raises(Refusal, match="Above 0 hours"):
            quotes.evening_add(by=by, quote=quote, hours=Decimal(hours))
    assert not ManualLine.objects.exists()


def test_an_issued_quote_takes_no_visit(by, quote):
    a_rate()
    quotes.quote_issue(by=by, quote=quote)
    with pytest.raises(Refusal, match="issued and cannot be changed"):
        quotes.evening_add(by=by, quote=Quote.objects.get(pk=quote.pk), hours=Decimal(1))
