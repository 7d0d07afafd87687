"""Receipts: made once and kept with their digest, mailed, on the client's page; what is due, asked."""

import hashlib
import io
import re
import uuid
from decimal import Decimal
from pathlib import Path

import pikepdf
import pytest
from django.core import mail
from django.core.management import call_command
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from base import outbox
from base.deeds import Refusal
from base.models import Business, Outbox
from quoting import documents
from quoting.documents import keep_documents, lacking
from quoting.models import Link, Payment, Receipt
from quoting.services import answers, links, payments, quotes, variations
from quoting.verifying import verify_all
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.agreement import amounts_in
from tests.quoting.test_documents import text_of
from tests.quoting.test_variations import order, two_more

pytestmark = pytest.mark.django_db

SITE = "https://showroom.example/"


@pytest.fixture
def by():
    return PersonFactory(role="office", name="Nell Quill")


@pytest.fixture
def secret():
    return links.new_secret()


@pytest.fixture
def ordered(by, secret):
    """An order of £646.80 with a deposit of 40 %, by a client whose link has an address."""
    quote = a_quote(by=by)
    quotes.quote_change(by=by, quote=quote, deposit_share=Decimal("0.4"))
    revision = quotes.quote_issue(by=by, quote=quote)
    link = links.link_make(
        by=by, revision=revision, for_whom="Ida Marrow", secret=secret, email="ida@house.example"
    )
    answers.offer_accept(
        link=link, name="Ida", agrees=True, offer_sha256=revision.offer_sha256, terms_version="1"
    )
    Outbox.objects.all().delete()
    return revision


def pay(by, revision, amount, how="bank transfer"):
    return payments.payment_enter(
        by=by, revision=revision, amount=Decimal(amount), day=timezone.localdate(), how=how, site=SITE
    )  # fmt: skip


def kept(revision):
    keep_documents(str(revision.pk))


def content_of(payment):
    with Receipt.objects.get(payment=payment).file.file.open("rb") as file:
        return file.read()


# --- kept ---------------------------------------------------------------------------------------
def test_a_receipt_says_what_came_in_and_what_is_open_with_it(by, ordered):
    first = pay(by, ordered, "258.72")
    second = pay(by, ordered, "100.00", how="card")
    text = text_of(documents.receipt_pdf(first))
    for said in ("RECEIPT 1", "£258.72", "bank transfer", "Nell Quill", "£388.08"):
        assert said in text
    assert "card" not in text, "it stands as it stood"
    text = text_of(documents.receipt_pdf(second))
    came = text.partition("What came in")[2].partition("What is due")[0]
    assert re.findall(r"£[\d.,]+", came) == ["£258.72", "£258.72", "£100.00", "£358.72"]
    due = text.partition("What is due")[2]
    assert re.findall(r"£[\d.,]+", due)[-3:] == ["£646.80", "£358.72", "£288.08"]


def test_a_receipt_is_kept_with_its_digest_and_never_made_again(by, ordered):
    row = pay(by, ordered, "12.00")
    assert [each.pk for each in lacking()] == [ordered.pk]
    kept(ordered)
    assert list(lacking()) == []
    content = content_of(row)
    assert Receipt.objects.get().sha256 == hashlib.sha256(content).hexdigest()
    Business.objects.update(name="Another name")
    kept(ordered)
    assert content_of(row) == content
    assert Receipt.objects.count() == 1
    with pikepdf.open(io.BytesIO(content)) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert "/StructTreeRoot" in pdf.Root
    assert list(verify_all()) == []


def test_a_payment_has_its_receipt_made(by, ordered, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        row = pay(by, ordered, "12.00")
    assert content_of(row).startswith(b"%PDF")
    assert Outbox.objects.get(name="receipt").state == "sent"


def test_the_database_keeps_a_receipt_as_it_is(by, ordered):
    pay(by, ordered, "12.00")
    kept(ordered)
    for act in (lambda: Receipt.objects.update(sha256="0"), Receipt.objects.all().delete):
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            act()


def test_verify_quotes_finds_a_flipped_byte_in_a_receipt_and_a_lost_one(by, ordered, capsys):
    pay(by, ordered, "12.00")
    kept(ordered)
    path = Path(Receipt.objects.get().file.file.path)
    content = path.read_bytes()
    path.write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
    with pytest.raises(SystemExit):
        call_command("verify_quotes")
    assert "receipt_differs" in capsys.readouterr().out
    path.unlink()
    with pytest.raises(SystemExit):
        call_command("verify_quotes")
    assert "receipt_missing" in capsys.readouterr().out


def test_what_was_taken_back_has_a_receipt_of_its_own(by, ordered):
    row = pay(by, ordered, "12.00")
    kept(ordered)
    before = content_of(row)
    counter = payments.payment_undo(by=by, payment=row, reason="bounced", site=SITE)
    kept(ordered)
    text = text_of(content_of(counter))
    assert "−£12.00" in text
    assert "bounced" in text
    assert content_of(row) == before


def test_the_office_opens_what_is_kept(by, ordered, office_client):
    row = pay(by, ordered, "12.00")
    where = reverse("quoting:payment_receipt", args=[row.pk])
    assert office_client.get(where).status_code == 404
    page = office_client.get(ordered.get_absolute_url())
    assert "the receipt is being made" in one(page, "#payments").text
    office_client.post(reverse("quoting:documents_make", args=[ordered.pk]))
    answer = office_client.get(where)
    assert answer["Content-Type"] == "application/pdf"
    assert f"{ordered.number}-A-receipt-1.pdf" in answer["Content-Disposition"]
    assert b"".join(answer.streaming_content) == content_of(row)
    assert [
        a["href"] for a in all_of(office_client.get(ordered.get_absolute_url()), "#payments li a")
    ] == [where]


# --- mailed -------------------------------------------------------------------------------------
def test_the_client_gets_the_receipt_and_what_is_open(by, ordered):
    row = pay(by, ordered, "258.72")
    kept(ordered)
    outbox.deliver_due()
    (letter,) = mail.outbox
    assert letter.to == ["ida@house.example"]
    assert "Dear Ida Marrow" in letter.body
    assert "we received £258.72, bank transfer." in letter.body
    assert "Of £646.80 in all £388.08 is open." in letter.body
    ((name, content, kind),) = letter.attachments
    assert (name, kind) == (f"{ordered.number}-A-receipt.pdf", "application/pdf")
    assert content == content_of(row)
    (where,) = re.findall(r"https://showroom.example(/o/\S+)", letter.body)
    assert one(Client().get(where), "#payments")


def test_the_letter_waits_for_a_receipt_that_is_not_made_yet(by, ordered):
    pay(by, ordered, "258.72")
    outbox.deliver_due()
    assert (mail.outbox, Outbox.objects.get().state) == ([], "waiting")


def test_a_taking_back_is_told_too(by, ordered):
    row = pay(by, ordered, "258.72")
    payments.payment_undo(by=by, payment=row, reason="bounced", site=SITE)
    kept(ordered)
    outbox.deliver_due()
    assert "£258.72 that we had entered is taken back on" in mail.outbox[-1].body
    assert ": bounced." in mail.outbox[-1].body


def test_without_an_address_nothing_is_mailed_and_the_payment_stands(by, ordered):
    Link.objects.update(email="")
    pay(by, ordered, "1.00")
    assert not Outbox.objects.exists()
    assert Payment.objects.count() == 1


def test_a_refused_payment_mails_nothing(by, ordered):
    with pytest.raises(Refusal):
        pay(by, ordered, "0")
    assert not Outbox.objects.exists()


def test_where_their_link_is_over_the_letter_says_so_instead_of_an_address(by, ordered):
    pay(by, ordered, "1.00")
    kept(ordered)
    Link.objects.update(revoked_at=timezone.now())
    outbox.deliver_due()
    assert "ask us for a new one" in mail.outbox[0].body
    assert "/o/" not in mail.outbox[0].body


# --- asked for ----------------------------------------------------------------------------------
def test_the_stage_that_is_open_is_asked_for_by_mail(by, ordered, office_client):
    page = office_client.get(ordered.get_absolute_url())
    where = reverse("quoting:payment_ask", args=[ordered.pk])
    press = one(page, f'form[action="{where}"] button')
    assert press.text == "Mail the client: Deposit, £258.72"
    pay(by, ordered, "100.00")
    office_client.post(where, {"key": str(uuid.uuid4())})
    Outbox.objects.filter(name="receipt").delete()
    outbox.deliver_due()
    assert "Deposit, with the order: £158.72" in mail.outbox[0].body
    assert "Of £646.80 in all £546.80 is open." in mail.outbox[0].body


def test_what_was_paid_meanwhile_is_not_asked_for(by, ordered):
    payments.payment_ask(by=by, revision=ordered, site=SITE)
    pay(by, ordered, "646.80")
    Outbox.objects.filter(name="receipt").delete()
    outbox.deliver_due()
    assert (mail.outbox, Outbox.objects.get().state) == ([], "cancelled")


def test_what_cannot_be_asked_for_is_refused_with_a_sentence(by, ordered, designer):
    with pytest.raises(Refusal, match="office or a manager"):
        payments.payment_ask(by=designer, revision=ordered)
    pay(by, ordered, "646.80")
    with pytest.raises(Refusal, match="Everything is paid"):
        payments.payment_ask(by=by, revision=ordered)
    Link.objects.update(email="")
    pay_back = Payment.objects.get()
    payments.payment_undo(by=by, payment=pay_back, reason="bounced")
    with pytest.raises(Refusal, match="No link of the client"):
        payments.payment_ask(by=by, revision=ordered)
    other = quotes.quote_issue(by=by, quote=a_quote(by=by))
    with pytest.raises(Refusal, match="Nobody has accepted"):
        payments.payment_ask(by=by, revision=other)


# --- the client's page --------------------------------------------------------------------------
def address(secret, name="offer", *more):
    return reverse(f"quoting:{name}", args=[secret, *more])


def test_the_clients_page_lists_what_is_paid_what_is_open_and_each_receipt(by, ordered, secret):
    row = pay(by, ordered, "300.00")
    page = Client().get(address(secret))
    assert "the receipt is being made" in one(page, "#payments").text
    kept(ordered)
    page = Client().get(address(secret))
    cells = [each.text for each in all_of(page, "#payments td")]
    assert cells == [
        "£258.72", "£258.72", "£0.00", "£388.08", "£41.28", "£346.80", "£646.80", "£300.00", "£346.80",
    ]  # fmt: skip
    assert amounts_in(one(page, "#payments .lead").text) == [Decimal("346.80")]
    (link,) = all_of(page, "#payments li a")
    answer = Client().get(link["href"])
    assert b"".join(answer.streaming_content) == content_of(row)
    assert answer["Referrer-Policy"] == "no-referrer"


def test_before_the_order_there_is_nothing_of_payments(by, secret):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    assert not all_of(Client().get(address(secret)), "#payments")


def test_all_paid_says_so(by, ordered, secret):
    pay(by, ordered, "650.00")
    text = one(Client().get(address(secret)), "#payments").text
    assert "Everything is paid" in text
    assert "£3.20 more came in than is due" in text


def test_a_variations_link_shows_the_account_of_the_order(by, ordered):
    row = pay(by, ordered, "258.72")
    kept(ordered)
    two_more(by, ordered)
    varied = quotes.quote_issue(by=by, quote=variations.variation_start(by=by, revision=ordered))
    order(by, varied)
    secret = links.new_secret()
    links.link_make(by=by, revision=varied, for_whom="Ida", secret=secret)
    page = Client().get(address(secret))
    assert [a["href"] for a in all_of(page, "#payments li a")] == [
        address(secret, "offer_receipt", row.pk)
    ]
    assert "what you changed since is +£" in one(page, "#payments").text


def test_nobody_elses_receipt_is_given(by, ordered, secret):
    row = pay(by, ordered, "1.00")
    kept(ordered)
    other, theirs = quotes.quote_issue(by=by, quote=a_quote(by=by)), links.new_secret()
    links.link_make(by=by, revision=other, for_whom="Ute", secret=theirs)
    electricians = links.new_secret()
    links.link_make(
        by=by, revision=ordered, for_whom="Joss", secret=electricians, audience="electrician"
    )
    for whose in (theirs, electricians):
        assert Client().get(address(whose, "offer_receipt", row.pk)).status_code == 404
    assert Client().get(address("wrong", "offer_receipt", row.pk)).status_code == 404
    assert Client().get(address(secret, "offer_receipt", uuid.uuid4())).status_code == 404
    assert Client().post(address(secret, "offer_receipt", row.pk)).status_code == 405
    Link.objects.update(revoked_at=timezone.now())
    assert Client().get(address(secret, "offer_receipt", row.pk)).status_code == 410


def test_the_clients_page_asks_no_more_of_the_database_for_more_payments(
    by, ordered, secret, queries
):
    pay(by, ordered, "1.00")
    kept(ordered)
    Client().get(address(secret))
    few = queries(lambda: Client().get(address(secret)))
    for _each in range(4):
        pay(by, ordered, "1.00")
    kept(ordered)
    assert queries(lambda: Client().get(address(secret))) == few


def test_the_letters_of_an_order_show_on_its_page(by, ordered):
    pay(by, ordered, "1.00")
    web = logged_in(by)
    assert "Receipt of a payment" in one(web.get(ordered.get_absolute_url()), "#letters").text
