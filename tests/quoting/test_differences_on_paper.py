"""The difference of two issues, on its page and as a document that is read back."""

import io
from dataclasses import replace
from decimal import Decimal

import pikepdf
import pytest
from django.urls import reverse

from base.models import Business
from consult.models import Circuit, Scene
from consult.services import circuits, scenes
from quoting.documents.differing import groups
from quoting.issued import read_offer
from quoting.offer import Option, OptionGroup
from quoting.services import quotes
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_furnished_quote
from tests.quoting.random_offers import an_offer
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager")


@pytest.fixture
def web(by):
    return logged_in(by)


@pytest.fixture
def revision(by):
    """Issue B of a quote: two lights more, a line, another discount, a level, other terms."""
    quote = a_furnished_quote(by=by)
    quotes.quote_issue(by=by, quote=quote)
    quotes.quote_revise(by=by, quote=quote)
    circuit = Circuit.objects.get(name="Shelf")
    circuits.fitting_change(by=by, fitting=circuit.fittings.get(), pieces=8)
    scenes.level_set(
        by=by, scene=Scene.objects.get(), circuit=Circuit.objects.get(name="Cove"), level=35
    )
    quote.refresh_from_db()
    quotes.line_add(by=by, quote=quote, description="Making good", quantity=2, unit_price=40)
    quotes.quote_change(by=by, quote=quote, discount_share=Decimal("0.05"))
    Business.objects.update(terms="Shorter terms.", terms_version=2)
    return quotes.quote_issue(by=by, quote=quote)


def squeezed(text):
    return "".join(text.split())


def test_the_document_says_every_change_and_both_totals(web, revision):
    answer = web.get(reverse("quoting:differences_pdf", args=[revision.pk]))
    assert answer["Content-Type"] == "application/pdf"
    assert f"{revision.number}-A-B.pdf" in answer["Content-Disposition"]
    text = squeezed(text_of(answer.content))
    old, new = (read_offer(each) for each in revision.quote.revisions.order_by("order"))
    for offer in (old, new):
        for total in (offer.totals.taxable, offer.totals.tax, offer.totals.gross):
            assert f"£{total:,.2f}" in text
    assert f"+£{new.totals.gross - old.totals.gross:,.2f}" in text
    told = groups(old=old, new=new)
    assert {"Lines", "Rooms", "Levels in scenes", "Discounts and charges", "Payment", "Terms"} <= {
        group.title for group in told
    }
    for group in told:
        assert squeezed(group.title) in text
        for row in group.rows:
            for part in (row.name, row.place, row.before, row.after):
                assert squeezed(part) in text


def test_values_are_worded_as_people_read_them(revision):
    old, new = (read_offer(each) for each in revision.quote.revisions.order_by("order"))
    told = {group.title: group.rows for group in groups(old=old, new=new)}

    def row(title, name, field):
        (found,) = (r for r in told[title] if (r.name, r.how) == (name, field))
        return found.before, found.after

    assert row("Lines", "Quiet downlight", "quantity") == ("18", "20")
    assert row("Lines", "Making good", "new") == ("–", "£80.00")
    (cove,) = told["Levels in scenes"]
    assert (cove.place, cove.before, cove.after) == ("Evening", "15%", "35%")
    assert row("Terms", "text", "text") == (
        "We plan, supply and fit. Nothing is ours until it is paid.",
        "Shorter terms.",
    )


def test_the_price_of_an_option_is_money_in_the_offers_currency(db):
    option = Option(
        key="o", name="Picture lights", net_delta=Decimal(100), tax_delta=Decimal(20),
        gross_delta=Decimal(1120),
    )  # fmt: skip
    old = an_offer(options=(OptionGroup(key="g", name="Walls", options=(option,)),))
    dearer = replace(
        option, net_delta=Decimal(90), tax_delta=Decimal("18"), gross_delta=Decimal("-108.5")
    )
    new = replace(old, options=(OptionGroup(key="g", name="Walls", options=(dearer,)),))

    def told(before, after):
        rows = {group.title: group.rows for group in groups(old=before, new=after)}
        return [(r.name, r.place, r.how, r.before, r.after) for r in rows["What may be chosen"]]

    name = ("Picture lights", "Walls")
    assert told(old, new) == [(*name, "price with tax", "£1,120.00", "−£108.50")]
    none = replace(old, options=())
    assert told(none, old) == [(*name, "new", "–", "£1,120.00")]
    assert told(old, none) == [(*name, "gone", "£1,120.00", "–")]
    euros = told(replace(old, currency="EUR"), replace(new, currency="EUR"))
    assert euros[0][3] == "€1,120.00"


def test_the_document_is_tagged_and_the_same_each_time(web, revision):
    where = reverse("quoting:differences_pdf", args=[revision.pk])
    content = web.get(where).content
    assert web.get(where).content == content
    with pikepdf.open(io.BytesIO(content)) as opened:
        assert "/StructTreeRoot" in opened.Root
        assert str(opened.Root.Lang).lower() == "en-gb"
        assert str(opened.docinfo["/Title"]).startswith("What changed")


def test_the_page_leads_to_it_and_says_the_same(web, revision):
    page = web.get(reverse("quoting:differences", args=[revision.pk]))
    where = reverse("quoting:differences_pdf", args=[revision.pk])
    links = [a["href"] for a in all_of(page, ".page-head a.button")]
    assert f"{where}?from=A" in links
    assert "Making good" in one(page, "main").text


@pytest.mark.parametrize("letter", ["B", "Z", ""])
def test_there_is_none_of_an_issue_that_is_not_earlier(web, revision, letter):
    first = revision.quote.revisions.order_by("order").first()
    where = reverse("quoting:differences_pdf", args=[first.pk])
    assert web.get(where, {"from": letter}).status_code == 404
    later = reverse("quoting:differences_pdf", args=[revision.pk])
    assert web.get(later, {"from": letter or "B"}).status_code == 404


def test_a_stranger_gets_none(client, revision):
    where = reverse("quoting:differences_pdf", args=[revision.pk])
    assert client.get(where).status_code == 302
    assert client.post(where).status_code in {302, 405}


def test_nothing_of_the_costs_is_on_it(web, revision):
    text = text_of(web.get(reverse("quoting:differences_pdf", args=[revision.pk])).content)
    for cost in ("21.37", "93.21", "31.10", "7.77"):
        assert cost not in text
