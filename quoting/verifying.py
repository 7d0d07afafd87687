"""Whether what was issued is still what was issued: bytes, seals, sums, documents, guards."""

import datetime
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.db import connection
from django.db.models.fields.files import FieldFile

from base.models import StoredFile
from quoting import guards
from quoting.frozen import canonical, digest, verify
from quoting.internal import Internal
from quoting.models import FeeReceipt, Receipt, Revision
from quoting.offer import Offer
from quoting.offer_check import check_offer
from quoting.options import ChoiceRefused, chosen_totals


@dataclass(frozen=True, slots=True, kw_only=True)
class Flaw:
    """One thing that is not as it was issued: a code, and where."""

    code: str
    where: str = ""


def flaws_of(revision: Revision, *, previous: Revision | None) -> tuple[Flaw, ...]:
    """What is wrong with one issue. Reads its files, receipts, acceptance and the issue before."""
    offer, internal = bytes(revision.offer), bytes(revision.internal)
    found = list(_seal_flaws(revision, previous, offer, internal))
    try:
        shown = Offer.from_content(json.loads(offer))
        Internal.from_content(json.loads(internal))
    except (ValueError, KeyError, TypeError) as error:
        return (*found, Flaw(code="unreadable", where=str(error)[:120]))
    found += _offer_flaws(revision, shown)
    found += _file_flaws(revision)
    found += _receipt_flaws(revision)
    found += _picture_flaws(shown)
    found += _acceptance_flaws(revision, shown)
    return tuple(found)


def verify_all() -> Iterator[tuple[Revision, tuple[Flaw, ...]]]:
    """Every issue that is not as it was issued. Holds one issue in memory at a time."""
    before: Revision | None = None
    rows = Revision.objects.order_by("quote_id", "order").select_related("acceptance")
    for row in rows.prefetch_related("files__file", "payments__receipt__file").iterator(
        chunk_size=50
    ):
        previous = before if before is not None and before.quote_id == row.quote_id else None
        flaws = flaws_of(row, previous=previous)
        if flaws:
            yield row, flaws
        before = row


def fee_receipt_flaws() -> Iterator[str]:
    """One line for each kept receipt of a design fee that is lost or not those bytes."""
    for kept in FeeReceipt.objects.select_related("file", "payment").iterator(chunk_size=50):
        if code := _flaw_of(kept):
            yield f"design fee {kept.payment}: {code}"


def missing_guards() -> list[str]:
    return guards.missing(connection)


def _seal_flaws(
    revision: Revision, previous: Revision | None, offer: bytes, internal: bytes
) -> Iterator[Flaw]:
    if revision.previous_seal != (previous.seal if previous else ""):
        yield Flaw(code="chain_broken")
    if revision.order != (previous.order if previous else 0) + 1:
        yield Flaw(code="issue_missing", where=str(revision.order))
    if not verify(
        offer=offer, internal=internal, previous=revision.previous_seal, sha256=revision.seal
    ):
        yield Flaw(code="seal_broken")
    if digest(payload=offer) != revision.offer_sha256:
        yield Flaw(code="offer_digest_differs")
    for name, payload in (("offer", offer), ("internal", internal)):
        try:
            if canonical(content=json.loads(payload)) != payload:
                yield Flaw(code="not_canonical", where=name)
        except ValueError:
            yield Flaw(code="not_canonical", where=name)


def _offer_flaws(revision: Revision, offer: Offer) -> Iterator[Flaw]:
    """The columns beside the payload are copies: each must say what the payload says."""
    for name, column, frozen in (
        ("gross_total", revision.gross_total, offer.totals.gross),
        ("currency", revision.currency, offer.currency),
        ("number", revision.number, offer.number),
        ("letter", revision.letter, offer.revision),
        ("valid_until", revision.valid_until, offer.valid_until),
    ):
        if column != frozen:
            yield Flaw(code="column_differs", where=name)
    for fault in check_offer(offer=offer):
        yield Flaw(code=fault.code, where=fault.key)


def _file_flaws(revision: Revision) -> Iterator[Flaw]:
    for kept in revision.files.all():
        try:
            found = _sha256_of(kept.file.file)
        except OSError:
            yield Flaw(code="file_missing", where=kept.kind)
            continue
        if not found == kept.sha256 == kept.file.sha256:
            yield Flaw(code="file_differs", where=kept.kind)


def _receipt_flaws(revision: Revision) -> Iterator[Flaw]:
    """Receipts that are kept must be there and be those bytes; one not made yet is no flaw."""
    for payment in revision.payments.all():
        kept = getattr(payment, "receipt", None)
        if kept is not None and (code := _flaw_of(kept)):
            yield Flaw(code=code, where=str(payment))


def _flaw_of(kept: Receipt | FeeReceipt) -> str:
    """What is wrong with a receipt that is kept, by code; empty where it is those bytes."""
    try:
        found = _sha256_of(kept.file.file)
    except OSError:
        return "receipt_missing"
    return "" if found == kept.sha256 == kept.file.sha256 else "receipt_differs"


def _picture_flaws(offer: Offer) -> Iterator[Flaw]:
    """Every picture that the offer names by its SHA-256 must be there and be those bytes."""
    named = {offer.business.mark, *(line.picture for line in offer.lines())}
    named |= {sha256 for room in offer.rooms for sha256 in room.pictures}
    named.discard("")
    kept = {row.sha256: row for row in StoredFile.objects.filter(sha256__in=named)}
    for sha256 in sorted(named):
        row = kept.get(sha256)
        try:
            found = _sha256_of(row.file) if row else ""
        except OSError:
            found = ""
        if not found:
            yield Flaw(code="picture_missing", where=sha256[:12])
        elif found != sha256:
            yield Flaw(code="picture_differs", where=sha256[:12])


def _sha256_of(kept: FieldFile) -> str:
    with kept.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _acceptance_flaws(revision: Revision, offer: Offer) -> Iterator[Flaw]:
    acceptance = getattr(revision, "acceptance", None)
    if acceptance is None:
        return
    if acceptance.offer_sha256 != revision.offer_sha256:
        yield Flaw(code="acceptance_of_another_offer")
    try:
        total: Decimal = chosen_totals(
            totals=offer.totals, groups=offer.options, chosen=acceptance.options
        ).gross
    except ChoiceRefused as refused:
        yield Flaw(code="acceptance_options", where=refused.key)
        return
    if acceptance.gross_total != total:
        yield Flaw(code="acceptance_total")


def line(revision: Revision, flaws: tuple[Flaw, ...]) -> str:
    """One line that names the issue and all that is wrong with it."""
    said = ", ".join(f"{flaw.code} {flaw.where}".strip() for flaw in flaws)
    issued: datetime.datetime = revision.issued_at
    return f"{revision} ({issued:%Y-%m-%d}): {said}"
