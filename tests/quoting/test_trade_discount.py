"""A trade discount: kept with whom it goes to, in our half of an issue alone, judged like any other."""

import io
from decimal import Decimal

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from quoting import documents, reports
from quoting.approving import digest_of
from quoting.drafting import draft_of, with_optional
from quoting.exports import csv_table, json_document, ubl_quotation, workbook
from quoting.issued import read_internal, read_offer
from quoting.models import Quote, QuotingRules
from quoting.selling import SellingRules, Sold, check_selling
from quoting.services import links, quotes, variations
from quoting.verifying import verify_all
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.test_documents import text_of
from tests.quoting.test_variations import order

pytestmark = pytest.mark.django_db

GIVEN = {
    "discount_share": "0", "deposit_share": "0", "validity_days": "30", "seen": "1",
    "delivery": "supply_and_install", "sell_by": "list",
}  # fmt: skip


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def quote(by):
    """£539.00 without tax, less a tenth for the interior designer."""
    quote = a_quote(by=by)
    quotes.quote_change(
        by=by, quote=quote, trade_share=Decimal("0.1"), trade_to="Odo Fenn, interiors"
    )
    return Quote.objects.get(pk=quote.pk)


def test_it_stands_in_the_internal_half_and_the_offer_keeps_its_full_prices(by, quote):
    plain = read_offer(quotes.quote_issue(by=by, quote=a_quote(by=by)))
    revision = quotes.quote_issue(by=by, quote=quote)
    internal, offer = read_internal(revision), read_offer(revision)
    assert internal.trade_discount == Decimal("53.90")
    assert internal.notes == ("Trade discount to Odo Fenn, interiors",)
    assert (offer.totals, offer.allowances) == (plain.totals, ())
    assert list(verify_all()) == []


def test_nothing_that_leaves_the_house_tells_of_it(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    content = read_offer(revision).to_content()
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    book = openpyxl.load_workbook(io.BytesIO(workbook.write(offer=content)))
    said = [
        bytes(revision.offer).decode(),
        text_of(documents.proposal_pdf(revision)),
        text_of(documents.pack_pdf(revision)),
        Client().get(reverse("quoting:offer", args=[secret])).content.decode(),
        *(form.write(offer=content).decode() for form in (csv_table, ubl_quotation, json_document)),
        *(str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row),
    ]
    for text in said:
        for hidden in ("Odo Fenn", "53.90", "rade discount"):
            assert hidden not in text


def test_the_page_takes_it_with_whom_it_goes_to_and_shows_what_is_left(by, quote):
    web = logged_in(by)
    where = reverse("quoting:quote_change", args=[quote.pk])
    asked = {**GIVEN, "seen": quote.version, "trade_share": "12,5"}
    web.post(reverse("consult:visit"), {"client": "away", "next": "/"})
    refused = web.post(where, asked)
    assert "Say who it goes to." in refused.content.decode()
    assert one(refused, "input[name=trade_share]")["value"] == "12,5"
    assert web.post(where, {**asked, "trade_to": "Odo Fenn"}).status_code == 302
    totals = one(web.get(quote.get_absolute_url()), ".totals").text
    assert "Trade discount to Odo Fenn£67.38" in totals.replace("\n", "")
    assert "Margin left" in totals


def test_beside_a_client_it_is_neither_told_nor_lost(by, quote):
    web = logged_in(by)
    page = web.get(quote.get_absolute_url())
    assert "Odo Fenn" not in page.content.decode()
    assert not all_of(page, "input[name=trade_share]")
    assert (
        web.post(
            reverse("quoting:quote_change", args=[quote.pk]), {**GIVEN, "seen": quote.version}
        ).status_code
        == 302
    )
    quote.refresh_from_db()
    assert (quote.trade_share, quote.trade_to) == (Decimal("0.1"), "Odo Fenn, interiors")


def test_it_counts_as_a_discount_against_the_limit_of_a_role(quote):
    seller = PersonFactory(role="designer")
    with pytest.raises(Refusal, match="discounts come to 10 % in all; your limit is 5 %"):
        quotes.quote_issue(by=seller, quote=quote)


def test_commission_and_trade_discount_count_against_the_least_margin(by, quote):
    QuotingRules.objects.create(minimum_margin=Decimal("0.4"))
    for given in (
        {"trade_share": Decimal("0.25")},
        {"trade_share": Decimal(0), "commission_share": Decimal("0.25"), "commission_to": "Q"},
    ):
        quotes.quote_change(by=by, quote=quote, **given)
        with pytest.raises(Refusal, match="The whole has a margin of"):
            quotes.quote_issue(by=by, quote=quote)
    quotes.quote_change(by=by, quote=quote, commission_share=Decimal(0))
    assert quotes.quote_issue(by=by, quote=quote)


def test_what_is_passed_on_lowers_the_margin_of_the_whole_alone():
    line = Sold(key="a", undiscounted=Decimal(100), net=Decimal(100), cost=Decimal(60))
    rules = SellingRules(
        discount_limits={"office": Decimal(1)}, minimum_margin=Decimal("0.4")
    )  # fmt: skip
    assert check_selling(lines=[line], role="office", rules=rules) == ()
    (found,) = check_selling(
        lines=[line], passed_on=Decimal("0.01"), role="office", rules=rules
    )  # fmt: skip
    assert (found.code, found.key) == ("whole_margin_below_minimum", "")


def test_an_approval_does_not_hold_for_another_trade_discount(by, quote):
    before = digest_of(with_optional(draft_of(quote)))
    quotes.quote_change(by=by, quote=quote, trade_share=Decimal("0.2"))
    assert digest_of(with_optional(draft_of(Quote.objects.get(pk=quote.pk)))) != before


def test_the_margin_of_the_month_is_what_is_left_and_a_variation_keeps_it(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    order(by, revision)
    this = reports.months(today=timezone.localdate())[-1]
    assert this.sold == Decimal("539.00")
    assert this.margin == read_internal(revision).margin_total - Decimal("53.90")
    made = variations.variation_start(by=by, revision=revision)
    assert (made.trade_share, made.trade_to) == (Decimal("0.1"), "Odo Fenn, interiors")


@pytest.mark.parametrize("share", ["101", "-1", "ten"])
def test_a_share_that_is_none_is_refused_with_a_sentence(by, quote, share):
    web = logged_in(by)
    web.post(reverse("consult:visit"), {"client": "away", "next": "/"})
    asked = {**GIVEN, "seen": quote.version, "trade_share": share, "trade_to": "Odo"}
    page = web.post(reverse("quoting:quote_change", args=[quote.pk]), asked)
    assert page.status_code == 200
    assert one(page, "input[name=trade_share]")["value"] == share
    quote.refresh_from_db()
    assert quote.trade_share == Decimal("0.1")
