"""Deeds of the client: accept, decline. Bound to the bytes of the offer, once only."""

from collections.abc import Iterable

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed, lock
from base.outbox import write
from quoting.fees import cannot_credit
from quoting.issued import read_offer
from quoting.models import Acceptance, Link, Quote, Revision, RevisionEvent
from quoting.options import ChoiceRefused, ChosenTotals, base_choice, chosen_totals
from quoting.services.questions import office_address
from quoting.tasks import make_documents
from quoting.varying import what_stands
from quoting.words import choice_sentence


@deed()
def offer_accept(
    *,
    by: None = None,
    link: Link,
    name: str,
    agrees: bool,
    offer_sha256: str,
    terms_version: str,
    role: str = "",
    options: Iterable[str] | None = None,
    asks_early_start: bool | None = None,
    address: str | None = None,
    site: str = "",
) -> Acceptance:
    """The client's yes to exactly what was shown, with the options chosen.

    `options` None is the offer as it stands. The total is worked out here from the frozen offer,
    never taken from the request.
    """
    if not name.strip():
        raise Refusal(_("Write your name, so that we know who accepts."))
    if not agrees:
        raise Refusal(_("Tick that you have read the terms."))
    revision = _open_revision(link)
    shown = (revision.offer_sha256, read_offer(revision).terms.version)
    if (offer_sha256, terms_version) != shown:
        raise Refusal(
            _(
                "The offer is no longer the one you were shown. Please read it again before you accept."
            )
        )
    _must_still_change(revision)
    _must_still_credit(revision)
    chosen = _chosen(revision, options)
    try:
        with transaction.atomic():
            acceptance = Acceptance.objects.create(
                revision=revision,
                link=link,
                name=name.strip(),
                terms_version=terms_version,
                offer_sha256=offer_sha256,
                role=role.strip(),
                options=sorted(chosen.chosen),
                asks_early_start=asks_early_start,
                gross_total=chosen.gross,
                address=address,
            )
            RevisionEvent.objects.create(revision=revision, kind="accepted", note=name.strip())
    except IntegrityError as error:
        raise Refusal(_("This offer is accepted already.")) from error
    key = str(revision.pk)
    transaction.on_commit(lambda: make_documents.enqueue(key))  # before the letters that carry it
    ids = {"acceptance": str(acceptance.pk), "site": site}
    told = {office_address(revision): ids, link.email: {**ids, "link": str(link.pk)}}
    for to, each in told.items():
        if to:
            write(name="accepted", to=to, ids=each, about=key)
    return acceptance


@deed()
def offer_decline(*, by: None = None, link: Link, reason: str, site: str = "") -> RevisionEvent:
    """The client's no, with a reason if they give one."""
    revision = _open_revision(link)
    event = RevisionEvent.objects.create(
        revision=revision, kind="declined", note=reason.strip()[:1000]
    )
    if to := office_address(revision):
        ids = {"event": str(event.pk), "site": site}
        write(name="declined", to=to, ids=ids, about=str(revision.pk))
    return event


def _chosen(revision: Revision, options: Iterable[str] | None) -> ChosenTotals:
    offer = read_offer(revision)
    wanted = base_choice(groups=offer.options) if options is None else options
    try:
        return chosen_totals(totals=offer.totals, groups=offer.options, chosen=wanted)
    except ChoiceRefused as refused:
        raise Refusal(choice_sentence(refused, offer.options)) from refused


def _must_still_change(revision: Revision) -> None:
    """A variation changes what stood when it was issued, and nothing that was ordered after."""
    variation, order = read_offer(revision).variation, revision.quote.varies
    if variation is None or order is None:
        return
    lock(Quote(pk=order.quote_id))
    stands = what_stands(order)
    if stands is None or str(stands.revision) != variation.since:
        raise Refusal(
            _(
                "Another change of your order was accepted meanwhile, so this one no longer fits. "
                "Ask the showroom for a new one."
            )
        )


def _must_still_credit(revision: Revision) -> None:
    """A design fee is credited once in a project, whole, and only while its payments stand."""
    if read_offer(revision).design_fee is not None:
        lock(revision.quote.project)
        if said := cannot_credit(revision):
            raise Refusal(said)


def _open_revision(link: Link) -> Revision:
    """The issue of a working link, if it can still be answered. Its quote stays locked."""
    lock(Quote(pk=link.revision.quote_id))
    fresh = Link.objects.select_related("revision").get(pk=link.pk)
    if not fresh.works(at=timezone.now()) or fresh.audience != Link.Audience.CLIENT:
        raise Refusal(_("This link no longer works. Please ask the showroom for a new one."))
    state = fresh.revision.state(on=timezone.localdate())
    if state != "issued":
        raise Refusal(
            {
                "accepted": _("This offer is accepted already."),
                "declined": _("This offer was declined. Ask the showroom for a new one."),
                "withdrawn": _("This offer was withdrawn. Ask the showroom for a new one."),
                "superseded": _("There is a newer offer. Ask the showroom for its link."),
                "expired": _("This offer has expired. Ask the showroom to renew it."),
            }[state]
        )
    return fresh.revision
