"""Deeds on links: capability addresses for a client or an electrician."""

import datetime
import hashlib
import secrets

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Outbox, Person
from base.outbox import write
from quoting.models import Link, LinkSecret, LinkVisit, Revision
from quoting.words import state as state_word

SECRET_BYTES = 32  # 256 bits


def new_secret() -> str:
    """A secret for an address. Whoever makes a link makes the secret first: only its hash is kept."""
    return secrets.token_urlsafe(SECRET_BYTES)


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


@deed()
def link_make(
    *,
    by: Person,
    revision: Revision,
    for_whom: str,
    secret: str,
    audience: str = "client",
    days: int = 30,
    email: str = "",
) -> Link:
    """A link to one issue for one person."""
    state = revision.state(on=timezone.localdate())
    if state in {"withdrawn", "superseded"}:
        raise Refusal(
            _("This issue is %(state)s: make a link to the newest one.")
            % {"state": state_word(state)}
        )
    link = Link.objects.create(
        revision=revision,
        audience=audience,
        for_whom=for_whom,
        email=email,
        expires_at=timezone.now() + datetime.timedelta(days=days),
        created_by=by,
    )
    LinkSecret.objects.create(link=link, digest=digest_of(secret))
    return link


@deed(locks="link")
def link_remake(*, by: Person, link: Link, secret: str) -> Link:
    """Another secret for a link whose address was lost. The earlier ones go on working."""
    if not link.works(at=timezone.now()):
        raise Refusal(_("This link is revoked or has expired. Make a new one."))
    LinkSecret.objects.create(link=link, digest=digest_of(secret))
    return link


@deed(locks="link")
def link_send(*, by: Person, link: Link, site: str, with_pdf: bool = False) -> Outbox:
    """Mail the link to whom it is for. The letter has an address of its own; earlier ones work on."""
    if not link.email:
        raise Refusal(_("This link has no e-mail address. Make one that has."))
    if not link.works(at=timezone.now()):
        raise Refusal(_("This link is revoked or has expired. Make a new one."))
    state = link.revision.state(on=timezone.localdate())
    if state in {"withdrawn", "superseded", "expired"}:
        raise Refusal(
            _("This issue is %(state)s: send the newest one.") % {"state": state_word(state)}
        )
    ids = {"link": str(link.pk), "site": site, **({"pdf": "1"} if with_pdf else {})}
    return write(name="offer", to=link.email, ids=ids, about=str(link.revision_id), by=by)


@deed(locks="link")
def link_revoke(*, by: Person, link: Link) -> Link:
    """From now on nobody gets in by this link."""
    if link.revoked_at is None:
        link.revoked_at = timezone.now()
        link.version += 1
        link.save()
    return link


@deed(locks="link")
def link_extend(*, by: Person, link: Link, days: int) -> Link:
    """Let the link work for so many more days from today."""
    if link.revoked_at is not None:
        raise Refusal(_("This link is revoked. Make a new one."))
    link.expires_at = timezone.now() + datetime.timedelta(days=days)
    link.version += 1
    link.save()
    return link


def find_link(secret: str) -> Link | None:
    """The link of a secret, with its issue, whether or not it still works."""
    found = (
        LinkSecret.objects.filter(digest=digest_of(secret))
        .select_related("link__revision__quote__project")
        .first()
    )
    return found.link if found else None


def note_visit(link: Link, page: str) -> None:
    """Remember that a page was opened: when, and which."""
    LinkVisit.objects.create(link=link, page=page)
