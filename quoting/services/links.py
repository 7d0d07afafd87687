"""Deeds on links: capability addresses for a client or an electrician."""

import datetime
import hashlib
import secrets

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from quoting.models import Link, LinkSecret, LinkVisit, Revision

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
) -> Link:
    """A link to one issue for one person."""
    state = revision.state(on=timezone.localdate())
    if state in {"withdrawn", "superseded"}:
        raise Refusal(
            _("This issue is %(state)s: make a link to the newest one.") % {"state": state}
        )
    link = Link.objects.create(
        revision=revision,
        audience=audience,
        for_whom=for_whom,
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
