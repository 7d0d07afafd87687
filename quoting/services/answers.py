"""Deeds of the client: accept, decline. Bound to the bytes of the offer, once only."""

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed, lock
from quoting.models import Acceptance, Link, Quote, Revision, RevisionEvent


@deed()
def offer_accept(
    *,
    by: None = None,
    link: Link,
    name: str,
    agrees: bool,
    offer_sha256: str,
    terms_version: str,
    address: str | None = None,
) -> Acceptance:
    """The client's yes to exactly what was shown."""
    if not name.strip():
        raise Refusal(_("Write your name, so that we know who accepts."))
    if not agrees:
        raise Refusal(_("Tick that you have read the terms."))
    revision = _open_revision(link)
    if offer_sha256 != revision.offer_sha256:
        raise Refusal(
            _(
                "The offer is no longer the one you were shown. Please read it again before you accept."
            )
        )
    try:
        with transaction.atomic():
            acceptance = Acceptance.objects.create(
                revision=revision,
                link=link,
                name=name.strip(),
                terms_version=terms_version,
                offer_sha256=offer_sha256,
                gross_total=revision.gross_total,
                address=address,
            )
            RevisionEvent.objects.create(revision=revision, kind="accepted", note=name.strip())
    except IntegrityError as error:
        raise Refusal(_("This offer is accepted already.")) from error
    return acceptance


@deed()
def offer_decline(*, by: None = None, link: Link, reason: str) -> RevisionEvent:
    """The client's no, with a reason if they give one."""
    revision = _open_revision(link)
    return RevisionEvent.objects.create(
        revision=revision, kind="declined", note=reason.strip()[:1000]
    )


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
