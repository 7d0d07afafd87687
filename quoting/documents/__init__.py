"""Documents of an issue, made from its frozen content and kept with their digests."""

from collections.abc import Callable, Iterator

from django.db.models import Exists, OuterRef, Q

from base.services import store_file
from quoting.documents.certificate import shown_certificate
from quoting.documents.keeping import keep_paper
from quoting.documents.pack_reading import shown_pack
from quoting.documents.reading import shown
from quoting.documents.rendering import render_pdf
from quoting.issued import read_internal, read_offer
from quoting.models import Acceptance, Payment, Receipt, Revision, RevisionFile
from quoting.paying import account_of

__all__ = [
    "certificate_pdf",
    "keep_documents",
    "keep_receipt",
    "lacking",
    "pack_pdf",
    "proposal_pdf",
    "receipt_pdf",
    "shown",
]


def proposal_pdf(revision: Revision) -> bytes:
    """The proposal, from the frozen offer only."""
    offer = read_offer(revision)
    return render_pdf("documents/proposal.html", {"shown": shown(offer), "offer": offer})


def pack_pdf(revision: Revision) -> bytes | None:
    """The electrician's pack; None for an issue from before packs were frozen with it."""
    pack = read_internal(revision).pack
    if pack is None:
        return None
    context: dict[str, object] = {"shown": shown_pack(pack), "offer": read_offer(revision)}
    return render_pdf("documents/pack.html", context)


def certificate_pdf(revision: Revision) -> bytes | None:
    """The certificate of an issue's acceptance; None while nobody has accepted it."""
    accepted = Acceptance.objects.filter(revision=revision).first()
    if accepted is None:
        return None
    offer = read_offer(revision)
    certificate = shown_certificate(
        offer=offer,
        seal=revision.seal,
        name=accepted.name,
        role=accepted.role,
        at=accepted.at,
        options=accepted.options,
        gross_total=accepted.gross_total,
        terms_version=accepted.terms_version,
        offer_sha256=accepted.offer_sha256,
        reference=str(accepted.pk),
        asks_early_start=accepted.asks_early_start,
    )
    context: dict[str, object] = {"certificate": certificate, "offer": offer}
    return render_pdf("documents/certificate.html", context)


def receipt_pdf(payment: Payment) -> bytes:
    """The receipt of a payment, or of its taking back: the account as it stood with this entry."""
    account = account_of(payment.order, until=payment.at)
    if account is None:
        raise ValueError(f"{payment.order} is no order")
    entry = next(each for each in account.entries if each.payment.pk == payment.pk)
    context: dict[str, object] = {
        "account": account,
        "entry": entry,
        "payment": payment,
        "offer": account.offer,
    }
    return render_pdf("documents/receipt.html", context)


_MAKERS: dict[str, Callable[[Revision], bytes | None]] = {
    RevisionFile.Kind.PROPOSAL: proposal_pdf,
    RevisionFile.Kind.PACK: pack_pdf,
    RevisionFile.Kind.CERTIFICATE: certificate_pdf,
}


def lacking() -> Iterator[Revision]:
    """Issues without a proposal, a pack, the certificate of their acceptance or a receipt.

    An issue from before packs were frozen with it is among them, and stays so.
    """

    def has(kind: str) -> Exists:
        return Exists(RevisionFile.objects.filter(revision=OuterRef("pk"), kind=kind))

    bare = Exists(Payment.objects.filter(order=OuterRef("pk"), receipt=None))
    short = ~has("proposal") | ~has("pack") | (Q(acceptance__isnull=False) & ~has("certificate"))
    short |= bare
    rows = Revision.objects.filter(short).defer("offer", "internal").order_by("issued_at")
    yield from rows.iterator(chunk_size=50)


def keep_documents(revision_id: str) -> None:
    """Make what is missing of an issue's documents and receipts and keep it. Safe to repeat.

    One that cannot be made does not keep the other from being made; its error is raised at the end.
    """
    revision = Revision.objects.get(pk=revision_id)
    errors = []
    for kind, make in _MAKERS.items():
        try:
            _keep(revision, kind, make)
        except Exception as error:
            errors.append(error)
    for payment in Payment.objects.filter(order=revision, receipt=None).order_by("at", "pk"):
        try:
            keep_receipt(payment)
        except Exception as error:
            errors.append(error)
    if errors:
        raise ExceptionGroup(f"documents of {revision}", errors)


def keep_receipt(payment: Payment) -> Receipt:
    """Make the receipt of a payment and keep it; the one that is there stays. Safe to repeat."""
    return keep_paper(Receipt, payment, lambda: receipt_pdf(payment))


def _keep(revision: Revision, kind: str, make: Callable[[Revision], bytes | None]) -> None:
    if RevisionFile.objects.filter(revision=revision, kind=kind).exists():
        return
    content = make(revision)
    if content is None:
        return
    stored = store_file(content=content, media_type="application/pdf")
    RevisionFile.objects.get_or_create(
        revision=revision, kind=kind, defaults={"file": stored, "sha256": stored.sha256}
    )
