"""A design fee in parts: asked for by letter, each taxed and receipted, each taken off the order."""

from datetime import date
from decimal import Decimal

import pytest
from django.core import mail
from django.urls import reverse

from base import outbox
from base.deeds import Refusal
from base.models import Business, Outbox
from catalogue.models import TaxRate
from consult.models import Client
from quoting.drafting import draft_of
from quoting.fees import fee_stand
from quoting.issued import read_offer
from quoting.models import DesignFee, FeePayment
from quoting.offer_check import check_offer
from quoting.services import fees, quotes
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.agreement import amounts_in, file_faults, pdf_faults, sum_faults
from tests.quoting.test_design_fee import a_fee, a_link, accept, issue, receive

pytestmark = pytest.mark.django_db

HALVES = ((Decimal("0.5"), "when we begin"), (Decimal("0.5"), "with the drawings"))


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def quote(by):
    """£646.80 with 20 %: £539.00 without. Its client has an address."""
    quote = a_quote(by=by)
    client = Client.objects.create(name="Ida Marrow", email="ida@marrow.example")
    type(quote.project).objects.filter(pk=quote.project_id).update(client=client)
    quote.project.refresh_from_db()
    return quote


def stand(quote):
    return fee_stand(quote.project, currency="GBP")


def test_parts_make_the_fee_and_are_taxed_on_their_own_days(by, quote):
    TaxRate.objects.create(tax_class="standard", from_day=date(2026, 3, 10), share=Decimal("0.25"))
    fee = a_fee(by, quote.project, "100.01", parts=HALVES)
    first = receive(by, fee, day=date(2026, 3, 2))
    last = receive(by, fee, day=date(2026, 3, 12))
    assert [(str(p.net), str(p.tax), p.words) for p in (first, last)] == [
        ("50.01", "10.00", "Design of the lighting, when we begin"),
        ("50.00", "12.50", "Design of the lighting, with the drawings"),
    ]
    with pytest.raises(Refusal, match="paid already"):
        receive(by, fee)
    assert stand(quote).paid_net == Decimal("100.01")


def test_each_part_that_came_in_is_taken_off_the_offer_at_its_own_rate(by, quote):
    TaxRate.objects.create(tax_class="standard", from_day=date(2026, 3, 10), share=Decimal("0.25"))
    fee = a_fee(by, quote.project, parts=HALVES)
    receive(by, fee, day=date(2026, 3, 2))
    receive(by, fee, day=date(2026, 3, 12))
    revision = issue(by, quote)
    offer = read_offer(revision)
    taken = [(each.amount, each.tax_rate) for each in offer.allowances]
    assert taken == [(Decimal(50), Decimal("0.2")), (Decimal(50), Decimal("0.25"))]
    assert check_offer(offer=offer) == ()
    assert sum_faults(offer) == file_faults(offer) == pdf_faults(offer) == []
    _link, where, _secret = a_link(by, revision)
    page = logged_in(by).get(where)
    assert [amounts_in(p.text)[0] for p in all_of(page, "#design-fee p")] == [
        Decimal(60),
        Decimal("62.50"),
    ]
    margin = draft_of(quote).margin_total
    assert margin == draft_of(quote).priced.taxable_total + 100 - draft_of(quote).cost_total


def test_only_what_came_in_is_taken_off_and_the_rest_is_told(by, quote):
    receive(by, a_fee(by, quote.project, parts=HALVES))
    page = logged_in(by).get(quote.get_absolute_url())
    assert "not paid of it yet" in " ".join(each.text for each in all_of(page, ".notice.note"))
    assert [str(each.net) for each in read_offer(issue(by, quote)).fees()] == ["50.00"]


def test_an_offer_is_not_accepted_once_more_of_the_fee_came_in(by, quote):
    fee = a_fee(by, quote.project, parts=HALVES)
    receive(by, fee)
    link = a_link(by, issue(by, quote))[0]
    receive(by, fee)
    with pytest.raises(Refusal, match="More of the design fee was paid since"):
        accept(link)


def test_after_the_order_the_rest_is_no_longer_asked_for(by, quote):
    fee = a_fee(by, quote.project, parts=HALVES)
    receive(by, fee)
    accept(a_link(by, issue(by, quote))[0])
    for press in (lambda: receive(by, fee), lambda: fees.fee_ask(by=by, fee=fee)):
        with pytest.raises(Refusal, match="no longer asked for"):
            press()
    page = logged_in(by).get(reverse("quoting:fee", args=[quote.project_id]))
    assert "no longer asked for" in one(page, "#paid table").text


def test_a_part_taken_back_is_the_next_to_be_paid(by, quote):
    fee = a_fee(by, quote.project, parts=HALVES)
    first = receive(by, fee)
    receive(by, fee)
    fees.fee_undo(by=by, payment=first, reason="bounced")
    assert stand(quote).next_part.when == "when we begin"
    assert receive(by, fee).part == 0


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ([("0.5", "a"), ("0.4", "b")], "make 100 %"),
        ([("1.5", "a"), ("-0.5", "b")], "make 100 %"),
        ([("0.5", "a"), ("0.5", "a")], "words of its own"),
        ([("0.5", "a"), ("0.5", " ")], "words of its own"),
    ],
)
def test_bad_parts_are_refused_with_a_sentence(by, quote, parts, said):
    with pytest.raises(Refusal, match=said):
        a_fee(by, quote.project, parts=[(Decimal(share), when) for share, when in parts])
    assert not DesignFee.objects.exists()


def test_parts_too_small_for_a_coin_are_refused(by, quote):
    with pytest.raises(Refusal, match="too small for these parts"):
        a_fee(by, quote.project, "0.01", parts=HALVES)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("half at first", "is not read"),
        ("50 when we begin\n40 later", "100 % together"),
        ("\n".join(f"10 part {n}" for n in range(10)), "At most six parts"),
    ],
)
def test_what_was_typed_stays_with_what_is_wrong(quote, office_client, typed, said):
    where = reverse("quoting:fee", args=[quote.project_id])
    given = {"words": "Design", "net": "100", "tax_treatment": "standard", "seen": "0"}
    page = office_client.post(where, {**given, "parts": typed})
    assert said in page.content.decode()
    assert one(page, "textarea[name=parts]").text.split() == typed.split()
    assert not DesignFee.objects.exists()


def test_the_page_takes_parts_and_shows_them_again(quote, office_client):
    where = reverse("quoting:fee", args=[quote.project_id])
    given = {"words": "Design", "net": "100", "tax_treatment": "standard", "seen": "0"}
    given["parts"] = "33,3 % when we begin\n\n66.7 with the drawings"
    assert office_client.post(where, given).status_code == 302
    page = office_client.get(where)
    shown = one(page, "textarea[name=parts]").text
    assert shown.split() == ["33.3", "when", "we", "begin", "66.7", "with", "the", "drawings"]
    rows = [amounts_in(row.text) for row in all_of(page, "#paid tbody tr")]
    assert rows == [
        [Decimal(x) for x in ("33.30", "6.66", "39.96")],
        [Decimal(x) for x in ("66.70", "13.34", "80.04")],
    ]


def test_a_letter_asks_the_client_for_the_part_that_is_next(by, quote):
    fee = a_fee(by, quote.project, parts=HALVES)
    where = reverse("quoting:fee", args=[quote.project_id])
    press = one(logged_in(by).get(where), f'form[action$="{fee.pk}/ask/"]')
    assert press.text.strip() == "Mail the client: when we begin, £60.00"
    assert logged_in(by).post(press["action"]).status_code == 302
    outbox.deliver_due()
    (letter,) = mail.outbox
    assert letter.to == ["ida@marrow.example"]
    assert "Design of the lighting, when we begin: £60.00 (£50.00 and £10.00 VAT)" in letter.body
    assert "our letter of 3 March" in letter.body


def test_a_letter_for_what_was_paid_meanwhile_does_not_go_out(by, quote):
    fee = a_fee(by, quote.project, parts=HALVES)
    asked = fees.fee_ask(by=by, fee=fee)
    receive(by, fee)
    outbox.deliver_due()
    assert not any("is to be paid now" in each.body for each in mail.outbox)
    asked.refresh_from_db()
    assert "paid before the letter went out" in asked.error


def test_who_may_not_ask_or_has_nobody_to_ask_is_told(by, quote, designer):
    fee = a_fee(by, quote.project)
    with pytest.raises(Refusal, match="office or a manager"):
        fees.fee_ask(by=designer, fee=fee)
    Client.objects.update(email="")
    with pytest.raises(Refusal, match="no e-mail address"):
        fees.fee_ask(by=by, fee=DesignFee.objects.get())
    assert not Outbox.objects.exists()
    assert Business.objects.current().currency == "GBP"
    assert not FeePayment.objects.exists()
    assert quotes.quote_start(by=by, project=quote.project)
