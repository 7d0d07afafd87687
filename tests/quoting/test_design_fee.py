"""The design fee: a sale of its own, receipted, and taken off the order once, taxed once."""

import hashlib
import io
import json
import uuid
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from django.core import mail
from django.core.management import call_command
from django.db import DatabaseError, transaction
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from base import outbox
from base.deeds import Refusal, Stale
from base.models import Business, Outbox
from catalogue.models import TaxRate
from consult.models import Client
from quoting import documents
from quoting.documents.fee import fee_receipt_pdf, keep_fee_receipt
from quoting.drafting import draft_of
from quoting.exports import csv_table, ubl_quotation, workbook
from quoting.issued import read_internal, read_offer
from quoting.models import DesignFee, FeePayment, FeeReceipt, Quote, QuotingRules
from quoting.offer import Offer
from quoting.offer_check import check_offer
from quoting.paying import account_of
from quoting.services import answers, fees, links, quotes, variations
from quoting.verifying import verify_all
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.agreement import amounts_in, file_faults, pdf_faults, sum_faults, workbook_faults
from tests.quoting.readings import csv_amount, rule_faults, texts, ubl_root, ubl_totals
from tests.quoting.test_documents import text_of
from tests.quoting.test_variations import order, two_more

pytestmark = pytest.mark.django_db

DAY = date(2026, 3, 2)
REASON = "Design fee paid on 2 March 2026, credited"


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def quote(by):
    """£646.80 with 20 %: £539.00 without."""
    quote = a_quote(by=by)
    quotes.quote_change(by=by, quote=quote, deposit_share=Decimal("0.4"))
    return quote


def a_fee(by, project, net="100.00", **values):
    given = {
        "words": "Design of the lighting", "tax_treatment": "standard", "is_credited": True,
        "agreed_in": "our letter of 3 March", **values,
    }  # fmt: skip
    return fees.fee_set(by=by, project=project, net=Decimal(net), **given)


def receive(by, fee, **values):
    return fees.fee_receive(by=by, fee=fee, **{"day": DAY, "how": "card", **values})


@pytest.fixture
def paid(by, quote):
    return receive(by, a_fee(by, quote.project))


def issue(by, quote):
    return quotes.quote_issue(by=by, quote=Quote.objects.get(pk=quote.pk))


# --- the fee itself -----------------------------------------------------------------------------
def test_a_fee_is_received_whole_with_the_tax_of_its_day(by, quote):
    TaxRate.objects.create(tax_class="reduced", from_day=DAY, share=Decimal("0.05"))
    row = receive(by, a_fee(by, quote.project, "333.33", tax_treatment="reduced"))
    assert (row.net, row.tax, row.gross) == (
        Decimal("333.33"), Decimal("16.67"), Decimal("350.00"),
    )  # fmt: skip
    with pytest.raises(Refusal, match="paid already"):
        receive(by, row.fee)
    with pytest.raises(Refusal, match="stays as its receipt says"):
        a_fee(by, quote.project, "1", seen_fee=row.fee.version)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"net": "0"}, "above 0"),
        ({"net": "-5"}, "above 0"),
        ({"net": "1e12"}, "above 0"),
        ({"net": "1.005"}, "whole coins of GBP"),
        ({"agreed_in": " "}, "Say where it was agreed"),
    ],
)
def test_a_bad_fee_is_refused_with_a_sentence(by, quote, values, said):
    with pytest.raises(Refusal, match=said):
        a_fee(by, quote.project, **values)
    assert not DesignFee.objects.exists()


def test_a_bad_receiving_is_refused_with_a_sentence(by, quote, designer):
    fee = a_fee(by, quote.project)
    for values, said in (
        ({"how": " "}, "Say how"),
        ({"day": date(2999, 1, 1)}, "still to come"),
        ({"day": date(1999, 1, 1)}, "no tax rate"),
    ):
        with pytest.raises(Refusal, match=said):
            receive(by, fee, **values)
    for act in (
        lambda: receive(designer, fee),
        lambda: a_fee(designer, quote.project),
        lambda: fees.fee_remove(by=designer, fee=fee),
    ):
        with pytest.raises(Refusal, match="office or a manager"):
            act()
    assert not FeePayment.objects.exists()


def test_two_who_change_a_fee_do_not_overwrite_one_another(by, quote):
    a_fee(by, quote.project)
    a_fee(by, quote.project, "120", seen_fee=1)
    with pytest.raises(Stale):
        a_fee(by, quote.project, "130", seen_fee=1)
    assert DesignFee.objects.get().net == 120


def test_a_fee_that_nobody_paid_goes_away_and_one_with_money_stays(by, quote):
    fees.fee_remove(by=by, fee=a_fee(by, quote.project))
    assert not DesignFee.objects.exists()
    row = receive(by, a_fee(by, quote.project))
    fees.fee_undo(by=by, payment=row, reason="bounced")
    with pytest.raises(Refusal, match="it is kept"):
        fees.fee_remove(by=by, fee=row.fee)


def test_the_database_keeps_what_came_in_as_it_was(by, paid):
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        paid.delete()
    keep_fee_receipt(paid)
    for rows, values in ((FeePayment, {"net": 6}), (FeeReceipt, {"sha256": ""})):
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            rows.objects.update(**values)


# --- its receipt --------------------------------------------------------------------------------
def test_the_receipt_says_what_for_what_of_it_is_tax_and_what_becomes_of_it(by, paid):
    text = text_of(fee_receipt_pdf(paid))
    for said in (
        "RECEIPT OF A DESIGN FEE", "Design of the lighting", "£100.00", "£20.00", "£120.00", "20%",
        "2 March 2026", "card", "our letter of 3 March", "Nell Quill",
    ):  # fmt: skip
        assert said in text
    counter = fees.fee_undo(by=by, payment=paid, reason="bounced")
    text = text_of(fee_receipt_pdf(counter)).replace("−", "-")
    assert amounts_in(text) == [Decimal(each) for each in ("-120", "-100", "-20", "-120")]
    assert "bounced" in text
    assert "taken off the order" not in text


def test_a_receipt_without_tax_says_why(by, quote):
    row = receive(by, a_fee(by, quote.project, tax_treatment="reverse_charge"))
    assert row.gross == 100
    assert "Reverse charge" in text_of(fee_receipt_pdf(row))


def test_the_receipt_is_kept_and_mailed(by, quote, django_capture_on_commit_callbacks):
    Client.objects.update(email="ida@house.example", name="Ida Marrow")
    with django_capture_on_commit_callbacks(execute=True):
        row = receive(by, a_fee(by, quote.project))
    kept = FeeReceipt.objects.get()
    with kept.file.file.open("rb") as file:
        content = file.read()
    assert hashlib.sha256(content).hexdigest() == kept.sha256
    (letter,) = mail.outbox
    assert (letter.to, letter.attachments[0][1]) == (["ida@house.example"], content)
    assert "Dear Ida Marrow" in letter.body
    assert "On 2 March 2026 we received £120.00, card." in letter.body
    Business.objects.update(name="Another name")
    assert keep_fee_receipt(row) == kept
    assert Outbox.objects.get().state == "sent"


def test_verify_quotes_finds_a_flipped_byte_in_it(by, paid, capsys):
    path = Path(keep_fee_receipt(paid).file.file.path)
    content = path.read_bytes()
    path.write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
    with pytest.raises(SystemExit):
        call_command("verify_quotes")
    assert "receipt_differs" in capsys.readouterr().out


def test_the_command_makes_a_receipt_that_is_missing(by, paid):
    call_command("make_documents")
    assert FeeReceipt.objects.get().payment == paid


# --- credited -----------------------------------------------------------------------------------
def test_it_is_taken_off_as_an_allowance_of_its_own_rate_and_taxed_once(by, quote):
    before = draft_of(quote).priced
    paid = receive(by, a_fee(by, quote.project))
    offer = read_offer(issue(by, quote))
    (allowance,) = offer.allowances
    assert (allowance.reason, allowance.amount) == (REASON, Decimal("100.00"))
    assert offer.totals.taxable == before.taxable_total - 100
    # What the client pays in all, and the tax of it, is what the job comes to without a fee.
    assert offer.totals.gross + paid.gross == before.gross_total
    assert offer.totals.tax + paid.tax == before.tax_total
    assert check_offer(offer=offer) == ()


def test_every_document_and_file_says_the_same_with_it(by, quote, paid):
    quotes.quote_change(by=by, quote=Quote.objects.get(), discount_share=Decimal("0.05"))
    revision = issue(by, quote)
    offer = read_offer(revision)
    assert [each.reason for each in offer.allowances] == ["Discount", REASON]
    assert sum_faults(offer) + file_faults(offer) + workbook_faults(offer) + pdf_faults(offer) == []
    content = offer.to_content()
    assert csv_amount(csv_table.write(offer=content)) == offer.totals.taxable
    root = ubl_root(ubl_quotation.write(offer=content))
    assert (ubl_totals(root), rule_faults(root)) == (offer.totals, [])
    assert REASON in texts(root, "cac:AllowanceCharge/cbc:AllowanceChargeReason")
    book = openpyxl.load_workbook(io.BytesIO(workbook.write(offer=content)))
    assert book["Adjustments"]["B3"].value == REASON
    assert sum(stage.amount for stage in offer.stages) == offer.totals.gross
    text = text_of(documents.proposal_pdf(revision))
    assert REASON in text
    assert "£120.00 with VAT, paid on 2 March 2026, is taken off here with its VAT." in text


def test_a_discount_is_not_given_on_the_fee(by, quote):
    quotes.quote_change(by=by, quote=quote, discount_share=Decimal("0.1"))
    before = draft_of(Quote.objects.get()).priced
    receive(by, a_fee(by, quote.project))
    after = draft_of(Quote.objects.get())
    assert after.priced.allowance_total == before.allowance_total + 100
    assert after.discount_total == before.allowance_total


def test_the_margin_counts_the_fee_and_asks_for_no_approval(by, quote, paid):
    without = Quote.objects.get()
    draft = draft_of(without)
    cost = draft.cost_total
    assert draft.margin_total == Decimal("539.00") - cost
    QuotingRules.objects.create(minimum_margin=Decimal("0.4"))  # with the fee lost it would be 35 %
    internal = read_internal(issue(by, quote))
    assert internal.margin_total == (Decimal("539.00") - cost).quantize(Decimal("0.01"))
    assert (internal.approved_by, internal.margin_share) == (
        "", draft.margin_share.quantize(Decimal("0.0001")),
    )  # fmt: skip


def test_a_fee_of_another_rate_gives_back_the_tax_it_carried(by, quote):
    TaxRate.objects.create(tax_class="reduced", from_day=DAY, share=Decimal("0.05"))
    receive(by, a_fee(by, quote.project, tax_treatment="reduced"))
    offer = read_offer(issue(by, quote))
    assert {t.rate: (t.taxable, t.tax) for t in offer.taxes} == {
        Decimal("0.2"): (Decimal("539.00"), Decimal("107.80")),
        Decimal("0.05"): (Decimal("-100.00"), Decimal("-5.00")),
    }
    assert sum_faults(offer) == []


@pytest.mark.parametrize("case", ["not agreed", "not paid", "taken back"])
def test_what_was_not_agreed_or_not_paid_is_not_credited(by, quote, case):
    fee = a_fee(by, quote.project, is_credited=case != "not agreed", agreed_in="x")
    if case != "not paid":
        row = receive(by, fee)
    if case == "taken back":
        fees.fee_undo(by=by, payment=row, reason="bounced")
    page = logged_in(by).get(quote.get_absolute_url())
    said = [each.text for each in all_of(page, ".notice.note") if "design fee" in each.text]
    assert bool(said) == (case != "not agreed")
    offer = read_offer(issue(by, quote))
    assert (offer.design_fee, offer.allowances) == (None, ())


def test_a_fee_above_what_the_job_comes_to_stops_the_issue(by, quote):
    receive(by, a_fee(by, quote.project, "539.01"))
    with pytest.raises(Refusal, match="more than this quote comes to"):
        issue(by, quote)
    assert not Quote.objects.get().revisions.exists()


def test_a_fee_that_leaves_only_tax_stops_the_issue_too(by, quote):
    receive(by, a_fee(by, quote.project, "600.00", tax_treatment="exempt"))
    assert draft_of(Quote.objects.get()).priced.gross_total > 0
    with pytest.raises(Refusal, match="more than this quote comes to"):
        issue(by, quote)


def test_a_fee_of_the_whole_leaves_nothing_to_pay(by, quote):
    receive(by, a_fee(by, quote.project, "539.00"))
    assert read_offer(issue(by, quote)).totals.gross == 0


def test_a_fee_with_tax_beside_lines_outside_its_scope_is_stopped(by, quote):
    Business.objects.update(tax_number="")
    receive(by, a_fee(by, quote.project))
    for line in draft_of(quote).lines:
        quotes.override_set(
            by=by, quote=quote, line_key=line.key, field="tax_treatment", value="outside", reason="r"
        )  # fmt: skip
    with pytest.raises(Refusal, match="outside the scope"):
        issue(by, quote)


@pytest.mark.parametrize(
    "change",
    [{"net": Decimal(99)}, {"reason": "Other"}, {"tax_rate": None}, {"tax_treatment": "zero"}],
)
def test_an_offer_whose_credit_is_not_its_allowance_is_found(by, quote, paid, change):
    offer = read_offer(issue(by, quote))
    bad = replace(offer, design_fee=replace(offer.design_fee, **change))
    assert "wrong_fee" in {fault.code for fault in check_offer(offer=bad)}


def test_payloads_from_before_fees_were_credited_are_read_as_they_are(by, quote):
    content = json.loads(bytes(issue(by, quote).offer))
    del content["design_fee"]
    old = Offer.from_content(content)
    assert (old.design_fee, check_offer(offer=old)) == (None, ())


# --- ordered ------------------------------------------------------------------------------------
def a_link(by, revision):
    secret = links.new_secret()
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    return link, reverse("quoting:offer", args=[secret]), secret


def accept(link):
    revision = link.revision
    return answers.offer_accept(
        link=link, name="Ida", agrees=True, offer_sha256=revision.offer_sha256, terms_version="1"
    )


def test_the_clients_page_shows_it_its_receipt_and_the_order_comes_to_the_rest(by, quote, paid):
    keep_fee_receipt(paid)
    revision = issue(by, quote)
    link, where, _secret = a_link(by, revision)
    page = Browser().get(where)
    row = next(r for r in all_of(page, "#price table.sums tr") if REASON in r.text)
    assert amounts_in(row.text) == [Decimal("-100"), Decimal("-20"), Decimal("-120")]
    assert "£120.00 with VAT, paid on 2 March 2026" in one(page, "#design-fee").text
    receipt = Browser().get(one(page, "#design-fee a")["href"])
    assert b"".join(receipt.streaming_content).startswith(b"%PDF")
    accepted = accept(link)
    assert accepted.gross_total == Decimal("526.80")
    account = account_of(revision)
    assert account.due == Decimal("526.80")
    assert [str(stage.due) for stage in account.stages] == ["210.72", "316.08"]
    text = text_of(documents.certificate_pdf(revision))
    assert REASON in text
    assert "£526.80" in text
    assert list(verify_all()) == []


def test_nobody_elses_fee_receipt_is_given(by, quote, paid):
    keep_fee_receipt(paid)
    second, third = a_quote(by=by), a_quote(by=by)
    receive(by, a_fee(by, third.project))
    for other in (second, third):
        _link, _where, secret = a_link(by, issue(by, other))
        where = reverse("quoting:offer_receipt", args=[secret, paid.pk])
        assert Browser().get(where).status_code == 404


def test_the_fee_is_credited_on_one_order_alone(by, quote, paid):
    second = quotes.quote_start(by=by, project=quote.project)
    offers = [issue(by, each) for each in (quote, second)]
    assert all(read_offer(each).design_fee for each in offers)
    first, last = (a_link(by, each)[0] for each in offers)
    accept(first)
    with pytest.raises(Refusal, match="credited on another order already"):
        accept(last)
    assert offers[1].state(on=timezone.localdate()) == "issued"
    third = quotes.quote_start(by=by, project=quote.project)
    assert read_offer(issue(by, third)).design_fee is None


def test_an_offer_whose_fee_was_taken_back_since_is_not_accepted(by, quote, paid):
    link = a_link(by, issue(by, quote))[0]
    fees.fee_undo(by=by, payment=paid, reason="bounced")
    with pytest.raises(Refusal, match="taken back since"):
        accept(link)


def test_what_an_order_credits_is_not_taken_back_under_it(by, quote, paid):
    revision = issue(by, quote)
    accept(a_link(by, revision)[0])
    with pytest.raises(Refusal, match=f"Order {revision} takes this fee off"):
        fees.fee_undo(by=by, payment=paid, reason="bounced")


def test_a_variation_keeps_the_credit_of_its_order(by, quote, paid):
    revision = issue(by, quote)
    order(by, revision)
    gain = two_more(by, revision)
    varied = issue(by, variations.variation_start(by=by, revision=revision))
    offer = read_offer(varied)
    assert offer.design_fee == read_offer(revision).design_fee
    assert offer.variation.gross_change >= gain > 0
    assert all("fee" not in change.what for change in offer.variation.changes)
    order(by, varied)
    assert account_of(revision).due == varied.gross_total


# --- its page -----------------------------------------------------------------------------------
def test_the_page_takes_a_fee_receives_it_and_shows_its_receipt(quote, office_client):
    where = reverse("quoting:fee", args=[quote.project_id])
    of_project = reverse("quoting:of_project", args=[quote.project_id])
    assert where in [a["href"] for a in all_of(office_client.get(of_project), "a.button")]
    given = {
        "words": "Design", "net": "100,50", "tax_treatment": "standard", "is_credited": "on",
        "agreed_in": "our letter", "seen": "0", "key": str(uuid.uuid4()),
    }  # fmt: skip
    assert office_client.post(where, given).status_code == 302
    fee = DesignFee.objects.get()
    page = office_client.get(where)
    assert "£120.60" in one(page, "#paid .title-block").text
    received = reverse("quoting:fee_receive", args=[fee.pk])
    office_client.post(received, {"day": "2026-03-02", "how": "card", "key": str(uuid.uuid4())})
    row = FeePayment.objects.get()
    page = office_client.get(where)
    assert "credited, as agreed in our letter" in one(page, "#paid .title-block").text
    make = reverse("quoting:fee_receipt_make", args=[row.pk])
    office_client.post(make)
    receipt = reverse("quoting:fee_receipt", args=[row.pk])
    assert receipt in [a["href"] for a in all_of(office_client.get(where), "#paid a")]
    assert office_client.get(receipt)["Content-Type"] == "application/pdf"


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"net": "lots"}, "Give a number"),
        ({"net": "0"}, "above 0"),
        ({"words": ""}, "required"),
        ({"agreed_in": ""}, "Say where it was agreed"),
        ({"tax_treatment": "half"}, "Select a valid choice"),
    ],
)
def test_the_page_says_what_is_wrong_and_keeps_what_was_typed(quote, office_client, values, said):
    given = {
        "words": "Design", "net": "100", "tax_treatment": "standard", "is_credited": "on",
        "agreed_in": "letter", "seen": "0", **values,
    }  # fmt: skip
    html = office_client.post(reverse("quoting:fee", args=[quote.project_id]), given)
    assert said in one(html, "form.sheet").text
    for name in ("words", "net", "agreed_in"):
        assert one(html, f"form.sheet [name={name}]").get("value") == given[name]
    assert not DesignFee.objects.exists()


def test_a_bad_day_of_receiving_keeps_what_was_typed(by, quote, office_client):
    fee = a_fee(by, quote.project)
    where = reverse("quoting:fee_receive", args=[fee.pk])
    html = office_client.post(where, {"day": "2999-01-01", "how": "card"})
    assert "still to come" in one(html, f'form[action="{where}"]').text
    assert one(html, f'form[action="{where}"] [name=how]')["value"] == "card"
    assert not FeePayment.objects.exists()


def test_a_designer_reads_it_and_changes_nothing(by, quote, paid, designer_client):
    page = designer_client.get(reverse("quoting:fee", args=[quote.project_id]))
    assert "£120.00" in one(page, "#paid .title-block").text
    assert not all_of(page, "main .sheet form, main form.sheet, #paid details")


def test_strangers_and_wrong_addresses_get_nothing(quote, paid, client, office_client):
    for name, key in (
        ("fee", quote.project_id), ("fee_remove", paid.fee_id), ("fee_receive", paid.fee_id),
        ("fee_undo", paid.pk), ("fee_receipt", paid.pk), ("fee_receipt_make", paid.pk),
    ):  # fmt: skip
        is_read = name in {"fee", "fee_receipt"}
        where = reverse(f"quoting:{name}", args=[key])
        answer = client.get(where) if is_read else client.post(where, {})
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("account_login"))
        nowhere = reverse(f"quoting:{name}", args=[uuid.uuid4()])
        answer = office_client.get(nowhere) if is_read else office_client.post(nowhere, {})
        assert answer.status_code == 404
    assert FeePayment.objects.count() == 1


def test_a_letter_of_a_fee_is_settled_from_its_page(by, quote, office_client):
    Client.objects.update(email="ida@house.example")
    receive(by, a_fee(by, quote.project))
    outbox.deliver_due()
    letter = Outbox.objects.get()
    assert letter.state == "waiting"
    where = reverse("quoting:fee", args=[quote.project_id])
    assert "Receipt of a design fee" in one(office_client.get(where), "#letters").text
    answer = office_client.post(
        reverse("quoting:letter_settle", args=[letter.pk]), {"was_sent": "0"}
    )
    assert answer["Location"] == where + "#letters"
    assert Outbox.objects.get().state == "cancelled"
