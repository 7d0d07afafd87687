"""What changes the ground: the business's profile, its people, stored files."""

import hashlib
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from base import signatures
from base.deeds import Refusal, deed
from base.models import Business, Person, StoredFile

MEGABYTE = 1024 * 1024

# What may be kept, and how much of it in one file. No SVG and no HTML: both can carry a script.
LIMITS_B: dict[str, int] = {
    "image/png": 12 * MEGABYTE,
    "image/jpeg": 12 * MEGABYTE,
    "image/webp": 12 * MEGABYTE,
    "application/pdf": 40 * MEGABYTE,
    "text/plain": 2 * MEGABYTE,
    "text/csv": 10 * MEGABYTE,
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": 20 * MEGABYTE,
    "application/json": 20 * MEGABYTE,
}
PICTURES = frozenset({"image/png", "image/jpeg", "image/webp"})

PROFILE = frozenset(
    {
        "name", "address", "email", "phone", "tax_number", "tax_name", "currency", "locale",
        "terms", "quote_validity_days", "deposit_share", "tax_rounding", "supply_v",
        "driver_headroom", "prices_hold_days",
    }
)  # fmt: skip


class NotAllowed(Refusal):
    """Only a manager does this."""

    def __init__(self) -> None:
        super().__init__(_("Only a manager may change this."))


class LastManager(Refusal):
    def __init__(self) -> None:
        super().__init__(
            _("This is the last manager. Make somebody else a manager first, then change this.")
        )


class AddressTaken(Refusal):
    def __init__(self) -> None:
        super().__init__(_("Somebody here already uses this e-mail address."))


class FileRefused(Refusal):
    """Too large, empty, of a kind that is not kept, or not what it says it is."""


def _must_manage(by: Person) -> None:
    if not (by.is_active and by.is_manager):
        raise NotAllowed


# --- the business -------------------------------------------------------------------------------
@deed(locks="business")
def change_business(*, by: Person, business: Business, **values: Any) -> Business:
    """Change the profile. New wording of the terms counts as their next version.

    Raises `NotAllowed`; `ValueError` for a field that is no part of the profile.
    """
    _must_manage(by)
    if unknown := set(values) - PROFILE:
        raise ValueError(f"no part of the profile: {sorted(unknown)}")
    if "terms" in values and values["terms"] != business.terms:
        business.terms_version += 1
    for name, value in values.items():
        setattr(business, name, value)
    business.version += 1
    business.save()
    return business


@deed(locks="business")
def change_mark(*, by: Person, business: Business, content: bytes | None) -> Business:
    """Set the business's mark from the bytes of a picture; None takes it away."""
    _must_manage(by)
    business.mark = None if content is None else store_picture(content=content)
    business.version += 1
    business.save(update_fields=["mark", "version"])
    return business


# --- people -------------------------------------------------------------------------------------
@deed()
def add_person(*, by: Person, name: str, email: str, role: str) -> Person:
    """Add somebody who works here. They choose their password by a link. Raises `AddressTaken`."""
    _must_manage(by)
    email = email.strip().lower()
    if Person.objects.filter(email=email).exists():
        raise AddressTaken
    person: Person = Person.objects.create_user(email=email, name=name, role=role)
    return person


@deed()
def change_person(*, by: Person, person: Person, name: str, email: str, role: str) -> Person:
    """Change name, address, role. Refused where it would leave the business without a manager."""
    _must_manage(by)
    person = _locked(person)
    email = email.strip().lower()
    if Person.objects.exclude(pk=person.pk).filter(email=email).exists():
        raise AddressTaken
    if role != Person.Role.MANAGER:
        _must_not_be_last_manager(person)
    person.name, person.email, person.role = name, email, role
    person.save(update_fields=["name", "email", "role"])
    return person


@deed()
def let_go(*, by: Person, person: Person) -> Person:
    """Take away somebody's log-in. What they did stays theirs; open sessions end at once."""
    _must_manage(by)
    person = _locked(person)
    _must_not_be_last_manager(person)
    person.is_active = False
    person.save(update_fields=["is_active"])
    return person


@deed()
def take_back(*, by: Person, person: Person) -> Person:
    """Let somebody log in again."""
    _must_manage(by)
    person = _locked(person)
    person.is_active = True
    person.save(update_fields=["is_active"])
    return person


def _locked(person: Person) -> Person:
    """The person read afresh. All managers are locked too, so that two cannot both be the last."""
    rows = Person.objects.select_for_update().order_by("pk")
    list(rows.filter(role=Person.Role.MANAGER))
    fresh: Person = rows.get(pk=person.pk)
    return fresh


def _must_not_be_last_manager(person: Person) -> None:
    others = Person.objects.filter(role=Person.Role.MANAGER, is_active=True).exclude(pk=person.pk)
    if person.is_manager and person.is_active and not others.exists():
        raise LastManager


# --- files --------------------------------------------------------------------------------------
def store_file(*, content: bytes, media_type: str) -> StoredFile:
    """Keep bytes once, under their own SHA-256; the same bytes again give the same row.

    Parameters
    ----------
    content:
        The bytes, at least one and at most `LIMITS_B` of the media type.
    media_type:
        One of `LIMITS_B`. The bytes must begin as such a file begins.

    Raises
    ------
    FileRefused
        Another type, too large, empty, or bytes that are not of that type.
    """
    _must_be_kept(content, media_type)
    sha256 = hashlib.sha256(content).hexdigest()
    if kept := StoredFile.objects.filter(sha256=sha256).first():
        return kept
    # Same name, same bytes: what an earlier, undone transaction left behind is used again.
    name = f"files/{sha256[:2]}/{sha256}"
    if not default_storage.exists(name):
        name = default_storage.save(name, ContentFile(content))
    try:
        with transaction.atomic():
            return StoredFile.objects.create(
                sha256=sha256, media_type=media_type, size=len(content), file=name
            )
    except IntegrityError:  # somebody stored the same bytes meanwhile
        return StoredFile.objects.get(sha256=sha256)


def store_picture(*, content: bytes) -> StoredFile:
    """Keep a picture whose kind is read from its first bytes. Raises `FileRefused`."""
    media_type = signatures.media_type(content)
    if media_type not in PICTURES:
        raise FileRefused(_("Give a picture as PNG, JPEG or WebP."))
    return store_file(content=content, media_type=media_type)


def _must_be_kept(content: bytes, media_type: str) -> None:
    if media_type not in LIMITS_B:
        raise FileRefused(_("Files of this kind are not kept: %(kind)s.") % {"kind": media_type})
    if not content:
        raise FileRefused(_("The file is empty."))
    if len(content) > LIMITS_B[media_type]:
        raise FileRefused(
            _("The file is larger than %(most)d MB.") % {"most": LIMITS_B[media_type] // MEGABYTE}
        )
    if not signatures.begins_as(content, media_type):
        raise FileRefused(_("The file is not what its name says it is."))
