"""What was issued cannot be changed in the database, and `verify_quotes` finds it where it was."""

import hashlib
import json
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from base.services import store_file
from quoting import guards
from quoting.models import (
    Acceptance,
    DesignFee,
    FeePayment,
    FeeReceipt,
    PackRelease,
    Payment,
    QuoteApproval,
    Receipt,
    Revision,
    RevisionEvent,
    RevisionFile,
)
from quoting.services import answers, links, quotes
from quoting.verifying import flaws_of
from tests.factories import PersonFactory, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def accepted():
    """A quote in two issues with a document each, the second accepted, with an approval."""
    by = PersonFactory(role="manager")
    quote = a_quote(by=by)
    for _issue in range(2):
        revision = quotes.quote_issue(by=by, quote=quote)
        stored = store_file(
            content=f"%PDF-1.7 of {revision}".encode(), media_type="application/pdf"
        )
        RevisionFile.objects.get_or_create(
            revision=revision, kind="certificate", file=stored, sha256=stored.sha256
        )
        if revision.letter == "A":
            quotes.quote_revise(by=by, quote=quote)
    link = links.link_make(
        by=by, revision=revision, for_whom="Ida Marrow", secret=links.new_secret()
    )
    answers.offer_accept(
        link=link, name="Ida Marrow", agrees=True,
        offer_sha256=revision.offer_sha256, terms_version="1",
    )  # fmt: skip
    QuoteApproval.objects.create(quote=quote, by=by, reason="known", findings_sha256="0" * 64)
    paid = Payment.objects.create(order=revision, amount=5, day="2026-03-02", how="cash", by=by)
    Receipt.objects.create(payment=paid, file=stored, sha256=stored.sha256)
    fee = DesignFee.objects.create(project=quote.project, words="Design", net=5)
    paid = FeePayment.objects.create(
        fee=fee, words="Design", currency="GBP", net=5, tax_treatment="standard", tax=1,
        day="2026-03-02", how="cash", by=by,
    )  # fmt: skip
    FeeReceipt.objects.create(payment=paid, file=stored, sha256=stored.sha256)
    PackRelease.objects.create(order=revision, reason="known", by=by)
    return revision


GUARDED = [
    Revision, RevisionEvent, RevisionFile, Acceptance, QuoteApproval, Payment, Receipt, PackRelease,
    FeePayment, FeeReceipt,
]  # fmt: skip


@pytest.mark.parametrize("model", GUARDED)
def test_the_database_refuses_to_change_or_remove_what_was_issued(accepted, model):
    field = {
        "Revision": "letter",
        "RevisionEvent": "note",
        "QuoteApproval": "reason",
        "Payment": "how",
        "FeePayment": "how",
        "PackRelease": "reason",
    }.get(model.__name__, "sha256" if model in {RevisionFile, Receipt, FeeReceipt} else "name")
    table = model._meta.db_table
    before = list(model.objects.order_by("pk").values())
    assert before
    for statement in (f"UPDATE {table} SET {field} = 'Z'", f"DELETE FROM {table}"):
        with (
            pytest.raises(DatabaseError, match="never changed"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)
    assert list(model.objects.order_by("pk").values()) == before


def test_every_guard_is_there_and_a_missing_one_is_told(accepted):
    assert guards.missing(connection) == []
    guards.remove(connection)
    assert len(guards.missing(connection)) == 2 * len(GUARDED)
    assert "guard missing" in bad_lines()
    guards.install(connection)
    assert guards.missing(connection) == []


def bad_lines():
    out = StringIO()
    with pytest.raises(SystemExit) as exit_:
        call_command("verify_quotes", stdout=out)
    assert exit_.value.code == 1
    return out.getvalue()


def test_issues_as_they_were_made_verify(accepted):
    out = StringIO()
    call_command("verify_quotes", stdout=out)
    assert "2 issues hold" in out.getvalue()


def changed(accepted, **values):
    """The row as somebody without guards would have left it."""
    guards.remove(connection)
    Revision.objects.filter(pk=accepted.pk).update(**values)
    guards.install(connection)
    return Revision.objects.get(pk=accepted.pk)


@pytest.mark.parametrize("payload", ["offer", "internal"])
def test_any_flipped_byte_of_a_payload_is_found(accepted, payload):
    whole = bytes(getattr(accepted, payload))
    previous = Revision.objects.get(letter="A")
    for place in range(0, len(whole), 97):
        flipped = bytearray(whole)
        flipped[place] ^= 1
        setattr(accepted, payload, bytes(flipped))
        codes = {flaw.code for flaw in flaws_of(accepted, previous=previous)}
        assert "seal_broken" in codes


@pytest.mark.parametrize(
    ("values", "code"),
    [
        ({"gross_total": Decimal("1.00")}, "column_differs gross_total"),
        ({"currency": "EUR"}, "column_differs currency"),
        ({"offer_sha256": "0" * 64}, "offer_digest_differs"),
        ({"previous_seal": ""}, "chain_broken"),
        ({"seal": "f" * 64}, "seal_broken"),
    ],
)
def test_a_changed_column_is_one_line(accepted, values, code):
    changed(accepted, **values)
    lines = bad_lines().splitlines()
    assert len(lines) == 1
    assert code in lines[0]
    assert str(accepted.number) in lines[0]


def test_other_bytes_with_a_seal_of_their_own_break_the_sums_or_the_chain(accepted):
    from quoting.frozen import canonical, seal

    content = json.loads(bytes(accepted.offer))
    content["totals"]["gross"] = "1.00"
    offer = canonical(content=content)
    sealed = seal(offer=offer, internal=bytes(accepted.internal), previous=accepted.previous_seal)
    changed(
        accepted, offer=offer, offer_sha256=hashlib.sha256(offer).hexdigest(), seal=sealed,
        gross_total=Decimal("1.00"),
    )  # fmt: skip
    assert "wrong_total gross" in bad_lines()


def test_a_flipped_byte_in_a_stored_document_is_found(accepted):
    kept = RevisionFile.objects.get(revision=accepted, kind="certificate")
    with open(kept.file.file.path, "r+b") as file:
        file.write(b"!")
    assert "file_differs certificate" in bad_lines()


def test_a_lost_document_is_found(accepted):
    Path(RevisionFile.objects.get(revision=accepted, kind="certificate").file.file.path).unlink()
    assert "file_missing certificate" in bad_lines()


def test_an_issue_taken_out_of_the_chain_is_found(accepted):
    guards.remove(connection)
    RevisionFile.objects.filter(revision__letter="A").delete()
    RevisionEvent.objects.filter(revision__letter="A").delete()
    Revision.objects.filter(letter="A").delete()
    guards.install(connection)
    assert "chain_broken" in bad_lines()


def test_an_acceptance_of_another_total_is_found(accepted):
    guards.remove(connection)
    Acceptance.objects.update(gross_total=Decimal("1.00"))
    guards.install(connection)
    assert "acceptance_total" in bad_lines()
