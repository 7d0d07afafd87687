"""The certificate of acceptance: made after it, kept with its digest, sent, and read back."""

import hashlib
import io
import re
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pikepdf
import pytest
from django.core import mail
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from base import outbox
from base.models import Business, Outbox
from consult.models import Circuit, Option, OptionGroup, Room
from quoting import documents
from quoting.issued import read_offer
from quoting.models import RevisionFile
from quoting.options import chosen_totals
from quoting.services import answers, links, quotes
from quoting.tasks import make_documents
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_circuit, a_furnished_quote, a_product
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db

LIGHTS = "Picture lights"


@pytest.fixture
def by():
    Business.objects.update_or_create(defaults={"name": "Pell", "email": "us@showroom.example"})
    return PersonFactory(role="manager")


@pytest.fixture
def revision(by):
    """An issue with a discount, a deposit, and picture lights to choose."""
    quote = a_furnished_quote(by=by)
    group = OptionGroup.objects.create(project=quote.project, name="Extras")
    lights = Option.objects.create(project=quote.project, group=group, name=LIGHTS)
    room = Room.objects.filter(project=quote.project).first()
    circuit = a_circuit(by=by, room=room, product=a_product(name="Picture light"), name="Pictures")
    Circuit.objects.filter(pk=circuit.pk).update(option=lights)
    quotes.quote_change(by=by, quote=quote, deposit_share=Decimal("0.4"))
    return quotes.quote_issue(by=by, quote=quote)


@pytest.fixture
def secret(by, revision):
    secret = links.new_secret()
    links.link_make(
        by=by, revision=revision, for_whom="Ida Marrow", secret=secret, email="ida@house.example"
    )
    return secret


@pytest.fixture
def accepted(revision, secret, django_capture_on_commit_callbacks):
    """Ordered with the picture lights; what follows the commit has run."""
    lights = read_offer(revision).options[0].options[0].key
    with django_capture_on_commit_callbacks(execute=True):
        return answers.offer_accept(
            link=links.find_link(secret), name="Ida Marrow", role="owner", agrees=True,
            offer_sha256=revision.offer_sha256, terms_version=read_offer(revision).terms.version,
            options=[lights], site="https://us.example",
        )  # fmt: skip


def kept_pdf(revision) -> bytes:
    kept = RevisionFile.objects.select_related("file").get(revision=revision, kind="certificate")
    with kept.file.file.open("rb") as file:
        content = file.read()
    assert hashlib.sha256(content).hexdigest() == kept.sha256
    return content


def test_no_certificate_before_anybody_accepts(revision):
    make_documents.enqueue(str(revision.pk))
    kinds = {each.kind for each in RevisionFile.objects.filter(revision=revision)}
    assert kinds == {"proposal", "pack"}
    assert documents.certificate_pdf(revision) is None


def test_the_certificate_says_who_ordered_what_when_and_for_how_much(revision, accepted):
    offer, text = read_offer(revision), text_of(kept_pdf(revision))
    totals = chosen_totals(totals=offer.totals, groups=offer.options, chosen=accepted.options)
    assert totals.gross == accepted.gross_total > offer.totals.gross
    for amount in (totals.gross, totals.taxable, totals.tax):
        assert f"£{amount:,.2f}" in text
    local = timezone.localtime(accepted.at)
    for said in (
        "Ida Marrow", "owner", offer.client.name, f"{offer.number} {offer.revision}",
        f"{local.day} {local:%B %Y}, {local:%H:%M:%S}", f"Chosen: {LIGHTS}",
        f"Options taken: {LIGHTS}.", "Order with an obligation to pay",
        f"version {offer.terms.version}",
    ):  # fmt: skip
        assert said in text
    joined = text.replace(" ", "")
    for digest in (accepted.offer_sha256, revision.seal):
        assert digest in joined


def test_what_the_certificate_lists_adds_up_to_its_total(revision, accepted):
    offer = read_offer(revision)
    text = text_of(kept_pdf(revision))
    listed = text.partition("What was ordered")[2].partition("In all")[0]
    amounts = [
        Decimal(found.replace("£", "").replace(",", "").replace("−", "-").replace("+", ""))
        for found in re.findall(r"[−+-]?£[\d,]+\.\d\d", listed)
    ]
    assert len(amounts) == len(offer.rooms) + len(offer.sections()) + len(offer.allowances) + 1
    assert sum(amounts) == accepted.gross_total
    stages = text.partition("Payment")[2].partition("What it is bound to")[0]
    parts = [Decimal(each.replace(",", "")) for each in re.findall(r"£([\d,]+\.\d\d)", stages)]
    assert len(parts) == len(offer.stages) > 1
    assert sum(parts) == accepted.gross_total


def test_the_certificate_is_tagged_and_says_language_title_and_the_day_of_the_order(
    revision, accepted
):
    opened = pikepdf.open(io.BytesIO(kept_pdf(revision)))
    assert bool(opened.Root.MarkInfo.Marked) is True
    assert "/StructTreeRoot" in opened.Root
    assert str(opened.Root.Lang).lower() == "en-gb"
    assert str(opened.docinfo["/Title"]).startswith("Certificate of acceptance")
    assert str(opened.docinfo["/CreationDate"]).startswith(accepted.at.strftime("D:%Y%m%d%H%M"))
    with opened.open_metadata() as xmp:
        assert xmp["pdfuaid:part"] == "1"
    assert len(opened.pages) == 1


def test_no_cost_of_ours_is_on_the_certificate(revision, accepted):
    from tests.quoting.test_documents import costs_of

    text = text_of(kept_pdf(revision))
    for cost in costs_of(revision):
        assert cost not in text


def test_the_same_acceptance_gives_the_same_bytes(revision, accepted):
    assert documents.certificate_pdf(revision) == kept_pdf(revision)


def test_an_acceptance_that_is_not_of_this_offer_is_never_certified(revision, accepted):
    content = documents.shown_certificate
    given = {
        "offer": read_offer(revision), "seal": revision.seal, "name": "Ida", "role": "",
        "at": accepted.at, "options": accepted.options, "terms_version": "1",
        "offer_sha256": accepted.offer_sha256, "reference": "x",
    }  # fmt: skip
    assert content(**given, gross_total=accepted.gross_total)
    with pytest.raises(ValueError, match="not of this offer"):
        content(**given, gross_total=accepted.gross_total + Decimal("0.01"))
    with pytest.raises(ValueError, match="not of this offer"):
        content(**{**given, "options": ["no-such"]}, gross_total=accepted.gross_total)


def test_client_and_office_get_it_by_mail_each_with_an_address_of_their_own(accepted, revision):
    assert {row.state for row in Outbox.objects.filter(name="accepted")} == {"sent"}
    by_to = {
        message.to[0]: message for message in mail.outbox if "Order received" in message.subject
    }
    assert set(by_to) == {"us@showroom.example", "ida@house.example"}
    for message in by_to.values():
        name, content, kind = message.attachments[0]
        assert (name, kind) == (f"{revision.number}-A-certificate.pdf", "application/pdf")
        assert content == kept_pdf(revision)
        assert f"£{accepted.gross_total:,.2f}" in message.body
    assert revision.get_absolute_url() in by_to["us@showroom.example"].body
    found = re.search(r"https://us\.example(/o/\S+/)", by_to["ida@house.example"].body)
    assert found is not None
    assert Client().get(found[1]).status_code == 200


def test_the_letter_waits_for_a_certificate_that_is_not_made_yet(revision, secret, monkeypatch):
    def broken(_revision):
        raise OSError("the disk is full")

    monkeypatch.setitem(documents._MAKERS, "certificate", broken)
    answers.offer_accept(
        link=links.find_link(secret), name="Ida Marrow", agrees=True,
        offer_sha256=revision.offer_sha256, terms_version="1", site="https://us.example",
    )  # fmt: skip
    assert make_documents.enqueue(str(revision.pk)).status == "FAILED"
    outbox.deliver_due()
    assert {row.state for row in Outbox.objects.filter(name="accepted")} == {"waiting"}
    monkeypatch.undo()
    make_documents.enqueue(str(revision.pk))
    outbox.deliver_due(now=timezone.now() + timedelta(hours=1))
    assert {row.state for row in Outbox.objects.filter(name="accepted")} == {"sent"}


def test_the_client_and_the_office_open_it_where_the_order_stands(
    accepted, revision, secret, manager_client
):
    page = Client().get(reverse("quoting:offer", args=[secret]))
    link = one(page, "[role=status] a")
    answer = Client().get(link["href"])
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content) == kept_pdf(revision)
    desk = manager_client.get(revision.get_absolute_url())
    shown = [a["href"] for a in all_of(desk, "a.button") if "certificate" in a["href"]]
    assert len(shown) == 1
    assert manager_client.get(shown[0]).status_code == 200


def test_until_it_is_made_both_pages_say_so(revision, secret, manager_client):
    answers.offer_accept(
        link=links.find_link(secret), name="Ida Marrow", agrees=True,
        offer_sha256=revision.offer_sha256, terms_version="1",
    )  # fmt: skip
    page = Client().get(reverse("quoting:offer", args=[secret]))
    assert "is being made" in one(page, "[role=status]").text
    desk = manager_client.get(revision.get_absolute_url()).content.decode()
    assert "The certificate of acceptance is being made." in desk


def test_an_electrician_never_opens_it(accepted, revision, by):
    secret = links.new_secret()
    links.link_make(
        by=by, revision=revision, for_whom="Joss", secret=secret, audience="electrician"
    )
    assert (
        Client().get(reverse("quoting:offer_document", args=[secret, "certificate"])).status_code
        == 404
    )


def test_verify_quotes_finds_a_flipped_byte_in_the_certificate(revision, accepted, capsys):
    call_command("verify_quotes")
    path = Path(RevisionFile.objects.get(revision=revision, kind="certificate").file.file.path)
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.chmod(0o600)
    path.write_bytes(content)
    with pytest.raises(SystemExit):
        call_command("verify_quotes")
    assert "file_differs certificate" in capsys.readouterr().out
