"""A variation while it is drafted: what changes with tax in, goods that go back, labour in vain."""

import json
from datetime import timedelta
from decimal import Decimal
from unittest import mock

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from consult.models import Circuit
from consult.services import circuits
from quoting import documents
from quoting.drafting import draft_of
from quoting.issued import read_offer
from quoting.models import ManualLine, Quote
from quoting.offer import Offer
from quoting.offer_check import check_offer
from quoting.services import links, quotes, variations
from quoting.varied_draft import varied
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.agreement import amounts_in, file_faults
from tests.quoting.readings import csv_rows, csv_sum
from tests.quoting.spreadsheet import Book
from tests.quoting.test_documents import text_of
from tests.quoting.test_variations import order, two_more

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def ordered(by):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    order(by, revision)
    return revision


@pytest.fixture
def fewer(by, ordered):
    """A variation of the order with two fittings less."""
    made = variations.variation_start(by=by, revision=ordered)
    fitting = Circuit.objects.get(project=ordered.quote.project).fittings.get()
    circuits.fitting_change(by=by, fitting=fitting, pieces=fitting.pieces - 2)
    return made


def found(quote):
    return varied(draft_of(Quote.objects.select_related("varies").get(pk=quote.pk)))


def gone(quote):
    return next(each for each in found(quote).sent_back if each.key.startswith("fitting"))


def issue(by, quote):
    return read_offer(quotes.quote_issue(by=by, quote=Quote.objects.get(pk=quote.pk)))


def test_the_draft_tells_the_difference_before_it_is_issued(by, ordered, fewer):
    said = found(fewer).variation
    offer = issue(by, fewer)
    assert said.gross_change == offer.variation.gross_change < 0
    assert said.changes == offer.variation.changes
    page = logged_in(by).get(a_quote(by=by).get_absolute_url())
    assert not all_of(page, "#varied")


def test_each_change_is_told_with_tax_in_and_they_make_the_difference(by, fewer):
    quotes.quote_change(by=by, quote=fewer, discount_share=Decimal("0.0333"))
    offer = issue(by, fewer)
    rows = offer.variation.changes
    assert sum(row.gross_delta for row in rows) == offer.variation.gross_change
    assert sum(row.net_delta for row in rows) == offer.variation.net_change
    line = next(row for row in rows if row.after is not None)
    assert abs(line.gross_delta - line.net_delta * Decimal("1.2")) <= Decimal("0.01")
    assert check_offer(offer=offer) == ()
    assert file_faults(offer) == []


def test_a_line_only_treated_otherwise_is_a_change_of_tax(by, ordered):
    made = variations.variation_start(by=by, revision=ordered)
    line = next(x for x in draft_of(made).lines if x.key.startswith("fitting"))
    quotes.override_set(
        by=by, quote=made, line_key=line.key, field="tax_treatment", value="zero", reason="letter"
    )
    offer = issue(by, made)
    (row,) = offer.variation.changes
    assert (row.net_delta, row.gross_delta) == (0, -(line.net * Decimal("0.2")))
    assert row.what == line.description
    assert check_offer(offer=offer) == ()


def test_client_and_paper_read_each_change_with_tax(by, fewer):
    revision = quotes.quote_issue(by=by, quote=Quote.objects.get(pk=fewer.pk))
    rows = read_offer(revision).variation.changes
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    page = Client().get(reverse("quoting:offer", args=[secret]))
    assert "With VAT" in one(page, "#variation thead").text
    told = [amounts_in(row.text)[-1] for row in all_of(page, "#variation tbody tr")]
    assert told == [row.gross_delta for row in rows]
    text = text_of(documents.proposal_pdf(revision))
    assert all(f"−£{-row.gross_delta:,.2f}" in text for row in rows)


def test_the_files_of_a_variation_hold_each_change_as_the_client_reads_it(by, fewer):
    quotes.quote_change(by=by, quote=fewer, discount_share=Decimal("0.0333"))
    revision = quotes.quote_issue(by=by, quote=Quote.objects.get(pk=fewer.pk))
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    page = Client().get(reverse("quoting:offer", args=[secret]))
    rows = all_of(page, "#variation tbody tr")
    read = [(row.all("th")[0].text, amounts_in(row.text)[-1]) for row in rows]
    assert len(read) > 2
    told = read_offer(revision).variation
    office = logged_in(by)
    table = office.get(reverse("quoting:export", args=[revision.pk, "csv"])).content
    records = [row for row in csv_rows(table) if row["kind"] == "change"]
    assert [(row["description"], Decimal(row["change_with_tax"])) for row in records] == read
    assert csv_sum(table, "change_net") == told.net_change
    assert csv_sum(table, "change_tax") == told.tax_change
    assert csv_sum(table, "change_with_tax") == told.gross_change
    book = Book(office.get(reverse("quoting:export", args=[revision.pk, "xlsx"])).content)
    cells = [
        (book.value("Changes", f"A{row}"), book.value("Changes", f"H{row}"))
        for row in range(2, len(read) + 2)
    ]
    assert cells == read
    for what in ("without", "of", "with"):
        row = book.row_of("Totals", f"Change {what} tax")
        assert book.value("Totals", f"E{row}") == 0


def test_payloads_from_before_are_told_without_tax_as_they_were(by, fewer):
    content = json.loads(bytes(quotes.quote_issue(by=by, quote=fewer).offer))
    for row in content["variation"]["changes"]:
        del row["gross_delta"]
    old = Offer.from_content(content)
    assert check_offer(offer=old) == ()
    assert not documents.shown(old).tells_change_with_tax


def test_goods_that_go_back_keep_a_share_of_what_they_were_ordered_for(by, ordered, fewer):
    back = gone(fewer)
    assert back.quantity == 2
    old = next(x for x in read_offer(ordered).lines() if x.key == back.key)
    made = variations.restocking_add(
        by=by, quote=fewer, of=back.key, quantity=Decimal(2), share=Decimal("0.25")
    )
    assert made.unit_price == old.unit_price / 4
    assert made.description.startswith("Restocking of what goes back: ")
    assert "25 % of its price" in made.description
    row = next(x for x in issue(by, fewer).variation.changes if x.what == made.description)
    assert row.net_delta == old.unit_price / 2


def test_labour_in_vain_is_charged_by_the_hour_of_the_order(by, ordered, fewer):
    work = found(fewer).work[0]
    made = variations.in_vain_add(by=by, quote=fewer, of=work.key, hours=Decimal("1.5"))
    assert (made.quantity, made.unit_price) == (Decimal("1.5"), work.unit_net)
    assert made.description == f"Labour in vain: {work.name}, 1.5 h"
    row = next(x for x in issue(by, fewer).variation.changes if x.what == made.description)
    assert row.net_delta == (work.unit_net * Decimal("1.5")).quantize(Decimal("0.01"))


def test_it_is_taxed_as_what_it_is_about(by):
    quote = a_quote(by=by)
    line = next(x for x in draft_of(quote).lines if x.key.startswith("fitting"))
    quotes.override_set(
        by=by, quote=quote, line_key=line.key, field="tax_treatment", value="zero", reason="letter"
    )
    revision = quotes.quote_issue(by=by, quote=Quote.objects.get(pk=quote.pk))
    order(by, revision)
    made = variations.variation_start(by=by, revision=revision)
    row = variations.restocking_add(
        by=by, quote=made, of=line.key, quantity=Decimal(1), share=Decimal("0.1")
    )
    assert (row.tax_treatment, row.tax_reason) == ("zero", "letter")
    new = next(x for x in issue(by, made).lines() if x.description == row.description)
    assert (new.tax_rate, new.tax_treatment, new.tax_reason) == (0, "zero", "letter")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"quantity": "0"}, "at most the 6"),
        ({"quantity": "7"}, "at most the 6"),
        ({"quantity": "NaN"}, "at most the 6"),
        ({"share": "0"}, "at most 100 %"),
        ({"share": "1.1"}, "at most 100 %"),
        ({"of": "fitting|nothing"}, "not part of the order"),
    ],
)
def test_a_bad_restocking_is_refused_with_a_sentence(by, fewer, given, said):
    asked = {"of": gone(fewer).key, "quantity": "1", "share": "0.2", **given}
    with pytest.raises(Refusal, match=said):
        variations.restocking_add(
            by=by, quote=fewer, of=asked["of"],
            quantity=Decimal(asked["quantity"]), share=Decimal(asked["share"]),
        )  # fmt: skip
    assert not ManualLine.objects.exists()


def test_bad_hours_and_what_is_no_labour_are_refused(by, fewer):
    work = found(fewer).work[0].key
    for of, hours, said in (
        (work, "0", "Above 0"),
        (work, "NaN", "Above 0"),
        ("x", "1", "not part"),
    ):
        with pytest.raises(Refusal, match=said):
            variations.in_vain_add(by=by, quote=fewer, of=of, hours=Decimal(hours))
    with pytest.raises(Refusal, match="not part"):
        variations.in_vain_add(by=by, quote=fewer, of=gone(fewer).key, hours=Decimal(1))
    assert not ManualLine.objects.exists()


def test_neither_is_added_to_a_quote_that_varies_nothing_or_is_issued(by, fewer):
    of = gone(fewer).key
    given = {"of": of, "quantity": Decimal(1), "share": Decimal("0.2")}
    with pytest.raises(Refusal, match="changes no order"):
        variations.restocking_add(by=by, quote=a_quote(by=by), **given)
    quotes.quote_issue(by=by, quote=Quote.objects.get(pk=fewer.pk))
    with pytest.raises(Refusal, match="issued and cannot be changed"):
        variations.restocking_add(by=by, quote=Quote.objects.get(pk=fewer.pk), **given)


def test_the_page_shows_it_adds_both_and_keeps_what_was_typed(by, fewer):
    web, where = logged_in(by), fewer.get_absolute_url()
    page = web.get(where)
    assert "Nothing yet" not in one(page, "#varied").text
    assert "−£" in one(page, "#varied > p strong").text
    form = one(page, 'form[action*="/restocking/add/"]')
    bad = web.post(form["action"], {"of": gone(fewer).key, "quantity": "9", "share": "20"})
    assert "at most the 6 that were ordered" in one(bad, "#varied").text
    assert one(bad, "#varied input[name=quantity]")["value"] == "9"
    good = {"of": gone(fewer).key, "quantity": "2", "share": "20"}
    assert web.post(form["action"], good).status_code == 302
    hours = one(page, 'form[action*="/in-vain/add/"]')["action"]
    assert web.post(hours, {"of": found(fewer).work[0].key, "hours": "2"}).status_code == 302
    told = [row.text for row in all_of(web.get(where), "#varied tbody tr")]
    assert sum("Restocking" in each or "in vain" in each for each in told) == 2


def test_what_was_ordered_keeps_its_price_when_the_catalogue_moves(by, ordered):
    line = next(x for x in read_offer(ordered).lines() if x.key.startswith("fitting"))
    fitting = Circuit.objects.get(project=ordered.quote.project).fittings.get()
    day = timezone.localdate() + timedelta(days=1)
    fitting.product.prices.create(from_day=day, cost=Decimal(90), sell=Decimal(900))
    later = timezone.now() + timedelta(days=3)
    with mock.patch("django.utils.timezone.now", return_value=later):
        made = variations.variation_start(by=by, revision=ordered)
        assert made.priced_on == timezone.localdate(ordered.issued_at)
        assert found(made).variation.changes == ()
        quotes.quote_change(by=by, quote=made, priced_on=timezone.localdate())
        (row, *_rest) = found(made).variation.changes
        assert row.net_delta == (900 - line.unit_price) * line.quantity


def test_more_of_a_thing_is_nothing_that_goes_back(by, ordered):
    made = variations.variation_start(by=by, revision=ordered)
    two_more(by, ordered)
    assert not found(made).sent_back
    page = logged_in(by).get(made.get_absolute_url())
    assert not all_of(page, 'form[action*="/restocking/add/"]')
