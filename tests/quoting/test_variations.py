"""What changes an order after it was accepted: numbered, priced as a difference, accepted on its link."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from consult.models import Circuit, Option, OptionGroup, Room
from consult.services import circuits
from quoting import documents, reports
from quoting.drafting import draft_of
from quoting.issued import read_offer
from quoting.models import Acceptance, Quote
from quoting.services import answers, links, quotes, variations
from quoting.verifying import verify_all
from tests.conftest import logged_in, one
from tests.factories import PersonFactory, a_circuit, a_product, a_quote
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager")


def order(by, revision, options=None) -> Acceptance:
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=links.new_secret())
    return answers.offer_accept(
        link=link, name="Ida Marrow", agrees=True, offer_sha256=revision.offer_sha256,
        terms_version=read_offer(revision).terms.version, options=options,
    )  # fmt: skip


@pytest.fixture
def ordered(by):
    """An accepted quote with a line added by hand, an overruled price and a deposit."""
    quote = a_quote(by=by)
    quotes.quote_change(by=by, quote=quote, deposit_share=Decimal("0.4"))
    quotes.line_add(by=by, quote=quote, description="Aiming", quantity=1, unit_price=Decimal(280))
    line = next(each for each in draft_of(quote).lines if each.key.startswith("fitting"))
    quotes.override_set(
        by=by, quote=quote, line_key=line.key, field="unit_price", value="41.50", reason="agreed"
    )
    revision = quotes.quote_issue(by=by, quote=quote)
    order(by, revision)
    return revision


def two_more(by, ordered) -> Decimal:
    """Two more fittings on the circuit; returns what their line gains without tax."""
    fitting = Circuit.objects.get(project=ordered.quote.project).fittings.get()
    line = next(x for x in read_offer(ordered).lines() if x.key.startswith("fitting"))
    circuits.fitting_change(by=by, fitting=fitting, pieces=fitting.pieces + 2)
    return line.unit_price * 2


def test_a_variation_begins_with_all_that_was_ordered_and_changes_nothing(by, ordered):
    made = variations.variation_start(by=by, revision=ordered)
    assert made.varies == ordered
    offer = read_offer(quotes.quote_issue(by=by, quote=made))
    assert offer.totals == read_offer(ordered).totals
    assert offer.variation.changes == ()
    assert (offer.variation.number, offer.variation.order) == (1, str(ordered))
    assert offer.variation.ordered_gross == ordered.gross_total


def test_it_says_what_changes_and_what_the_difference_is(by, ordered):
    before = bytes(ordered.offer)
    gain = two_more(by, ordered)
    made = variations.variation_start(by=by, revision=ordered)
    quotes.line_add(
        by=by, quote=made, description="Restocking of what goes back", quantity=1,
        unit_price=Decimal(35),
    )  # fmt: skip
    quotes.quote_change(by=by, quote=made, effect_on_dates="Second fix moves by a week.")
    revision = quotes.quote_issue(by=by, quote=made)
    offer = read_offer(revision)
    told = {row.what: (row.before, row.after, row.net_delta) for row in offer.variation.changes}
    assert told["Restocking of what goes back"] == (None, Decimal(1), Decimal(35))
    assert "Aiming" not in told
    assert gain in {delta for _before, _after, delta in told.values()}
    deltas = sum((row.net_delta for row in offer.variation.changes), Decimal(0))
    assert deltas == offer.totals.net - read_offer(ordered).totals.net
    assert offer.stages == ()
    change = offer.totals.gross - ordered.gross_total
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    page = Client().get(reverse("quoting:offer", args=[secret]))
    for text in (one(page, "#variation").text, text_of(documents.proposal_pdf(revision))):
        assert "Variation 1 of your order" in text
        assert f"+£{change:,.2f}" in text
        assert f"£{ordered.gross_total:,.2f}" in text
        assert "Second fix moves by a week." in text
        assert "Restocking of what goes back" in text
    assert f"changes your order by +£{change:,.2f}" in one(page, "#answer").text
    ordered.refresh_from_db()
    assert bytes(ordered.offer) == before


def test_once_accepted_it_is_what_stands_and_the_first_acceptance_is_kept(by, ordered):
    first = Acceptance.objects.get()
    two_more(by, ordered)
    made = variations.variation_start(by=by, revision=ordered)
    revision = quotes.quote_issue(by=by, quote=made)
    kept = order(by, revision)
    assert Acceptance.objects.get(pk=first.pk).gross_total == ordered.gross_total
    assert ordered.state(on=timezone.localdate()) == "accepted"
    certificate = text_of(documents.certificate_pdf(revision))
    assert f"Variation 1 of order {ordered}" in certificate
    second = variations.variation_start(by=by, revision=revision)
    assert second.varies == ordered
    offer = read_offer(quotes.quote_issue(by=by, quote=second))
    assert (offer.variation.number, offer.variation.since) == (2, str(revision))
    assert offer.variation.ordered_gross == kept.gross_total
    assert offer.variation.changes == ()
    assert list(verify_all()) == []


def test_only_the_difference_counts_as_sold_and_stands_in_the_columns(by, ordered):
    two_more(by, ordered)
    revision = quotes.quote_issue(
        by=by, quote=variations.variation_start(by=by, revision=ordered)
    )  # fmt: skip
    today = timezone.localdate()
    order(by, revision)
    months = reports.months(today=today)[-1]
    offer = read_offer(revision)
    assert months.sold == offer.totals.taxable
    assert (months.issued, months.accepted) == (1, 1)
    found = {row.pk: row.stands_at for row in Quote.objects.with_state(on=today)}
    assert sum(found.values()) == revision.gross_total
    assert found[revision.quote_id] == revision.gross_total - ordered.gross_total > 0


def test_a_variation_of_what_no_longer_stands_is_not_accepted(by, ordered):
    two_more(by, ordered)
    one_of_them, other = (
        quotes.quote_issue(by=by, quote=variations.variation_start(by=by, revision=ordered))
        for _each in range(2)
    )
    assert [read_offer(each).variation.number for each in (one_of_them, other)] == [1, 2]
    order(by, other)
    with pytest.raises(Refusal, match="Another change of your order"):
        order(by, one_of_them)
    assert Acceptance.objects.count() == 2


def test_a_further_issue_of_a_variation_keeps_its_number(by, ordered):
    first, second = (
        quotes.quote_issue(by=by, quote=variations.variation_start(by=by, revision=ordered))
        for _each in range(2)
    )
    quote = Quote.objects.get(pk=first.quote_id)
    quotes.quote_revise(by=by, quote=quote)
    again = quotes.quote_issue(by=by, quote=Quote.objects.get(pk=quote.pk))
    numbers = [read_offer(each).variation.number for each in (first, second, again)]
    assert numbers == [1, 2, 1]


def test_what_was_chosen_is_in_the_variation(by):
    quote = a_quote(by=by)
    group = OptionGroup.objects.create(project=quote.project, name="Extras")
    lights = Option.objects.create(project=quote.project, group=group, name="Picture lights")
    room = Room.objects.get(project=quote.project)
    circuit = a_circuit(by=by, room=room, product=a_product(), name="Pictures")
    Circuit.objects.filter(pk=circuit.pk).update(option=lights)
    revision = quotes.quote_issue(by=by, quote=quote)
    kept = order(by, revision, options=[str(lights.pk)])
    made = variations.variation_start(by=by, revision=revision)
    assert Option.objects.get().is_in
    offer = read_offer(quotes.quote_issue(by=by, quote=made))
    assert offer.totals.gross == kept.gross_total
    told = offer.variation
    assert (told.net_change, told.tax_change, told.gross_change) == (0, 0, 0)
    rows = {row.what: row.net_delta for row in told.changes}
    assert rows["Ordered already: Picture lights"] < 0
    assert "Discounts and charges on the whole" not in rows
    assert sum(row.net_delta for row in told.changes) == 0


def test_what_is_taken_off_in_all_is_part_of_what_changes(by, ordered):
    gain = two_more(by, ordered)
    made = variations.variation_start(by=by, revision=ordered)
    quotes.quote_change(by=by, quote=made, discount_share=Decimal("0.1"))
    offer = read_offer(quotes.quote_issue(by=by, quote=made))
    told = offer.variation
    assert gain in {row.net_delta for row in told.changes}
    off = next(row for row in told.changes if row.what == "Discounts and charges on the whole")
    assert off.net_delta == -offer.totals.allowance
    assert sum(row.net_delta for row in told.changes) == told.net_change
    assert told.net_change + told.tax_change == told.gross_change
    assert told.gross_change == offer.totals.gross - ordered.gross_total


def test_nothing_is_varied_before_it_is_accepted(by):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    with pytest.raises(Refusal, match="start a revision"):
        variations.variation_start(by=by, revision=revision)
    assert Quote.objects.count() == 1


def test_the_office_starts_it_from_the_order_and_sees_what_it_is(by, ordered):
    web = logged_in(by)
    page = web.get(ordered.get_absolute_url())
    where = reverse("quoting:variation_start", args=[ordered.pk])
    assert one(page, f'form[action="{where}"]')
    answer = web.post(where, follow=True)
    made = Quote.objects.get(varies=ordered)
    assert answer.redirect_chain[-1][0] == made.get_absolute_url()
    assert f"A variation of order {ordered}" in one(answer, ".notice.note").text
    assert one(answer, "[name=effect_on_dates]")
    order_page = web.get(ordered.get_absolute_url())
    assert one(order_page, ".changed-by a").text == "a draft"
    in_list = one(
        web.get(reverse("quoting:of_project", args=[made.project_id])),
        f"a[href='{made.get_absolute_url()}']",
    )
    assert f"variation of {ordered}" in in_list.text
    issued = web.post(reverse("quoting:quote_issue", args=[made.pk]), follow=True)
    assert "Variation 1 of order" in one(issued, ".notice.note").text
