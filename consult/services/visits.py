"""Deeds on what a client tells before the visit: the address, their answers, taking rooms over.

An address has a secret of 256 bits, of which only the hash is kept; it works until a day, or until
it is revoked. What a client writes is theirs and no part of the journal; what we take over is.
"""

import datetime
import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Sum
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from base.services import MEGABYTE, store_file
from base.uploads import Upload
from consult.brief_models import Brief, VisitFile, VisitLink, VisitOpening, VisitRoom, VisitSecret
from consult.journal import Change, apply, create, update
from consult.models import Floor, Project, Room, RoomGroup
from consult.services.house import next_position

SECRET_BYTES = 32  # 256 bits
MOST_ROOMS = 40
MOST_FILES = 20
MOST_BYTES = 150 * MEGABYTE


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedUpload:
    name: str
    upload: Upload


# --- the address --------------------------------------------------------------------------------
def new_secret() -> str:
    return secrets.token_urlsafe(SECRET_BYTES)


def digest_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def find_visit(secret: str) -> VisitLink | None:
    """The link of a secret with its project, whether or not it still works."""
    found = (
        VisitSecret.objects.filter(digest=digest_of(secret)).select_related("link__project").first()
    )
    return found.link if found else None


def note_opening(link: VisitLink) -> None:
    """Remember that the address was opened: when, and nothing else."""
    VisitOpening.objects.create(link=link)


@deed()
def visit_link_make(
    *, by: Person, project: Project, for_whom: str, until: datetime.datetime, secret: str
) -> VisitLink:
    """An address for one person, working until a time to come."""
    _must_be_to_come(until)
    link = VisitLink.objects.create(
        project=project, for_whom=for_whom, expires_at=until, created_by=by
    )
    VisitSecret.objects.create(link=link, digest=digest_of(secret))
    return link


@deed(locks="link")
def visit_link_remake(*, by: Person, link: VisitLink, secret: str) -> VisitLink:
    """Another secret where the address was lost. The earlier ones go on working."""
    if not link.works(at=timezone.now()):
        raise Refusal(_("This link is revoked or has expired. Make a new one."))
    VisitSecret.objects.create(link=link, digest=digest_of(secret))
    return link


@deed(locks="link")
def visit_link_revoke(*, by: Person, link: VisitLink) -> VisitLink:
    """From now on nobody gets in by it. What was told stays."""
    if link.revoked_at is None:
        _write(link, revoked_at=timezone.now())
    return link


@deed(locks="link")
def visit_settle(*, by: Person, link: VisitLink) -> VisitLink:
    """Looked at: it waits no more, until the client sends again."""
    _write(link, settled_at=timezone.now())
    return link


# --- what the client tells ----------------------------------------------------------------------
@deed(locks="link")
def visit_wishes_write(*, link: VisitLink, wishes: str) -> VisitLink:
    _must_work(link)
    _write(link, wishes=wishes)
    return link


@deed(locks="link")
def visit_room_add(*, link: VisitLink, name: str, use: str, wish: str = "") -> VisitRoom:
    _must_work(link)
    if link.rooms.filter(name__iexact=name).exists():
        raise Refusal(_("You named this room already."))
    if link.rooms.count() >= MOST_ROOMS:
        raise Refusal(_("%(most)d rooms at most. Write the rest as wishes.") % {"most": MOST_ROOMS})
    return VisitRoom.objects.create(link=link, name=name, use=use, wish=wish)


@deed(locks="link")
def visit_room_remove(*, link: VisitLink, room: VisitRoom) -> None:
    _must_work(link)
    link.rooms.filter(pk=room.pk).delete()


@deed(locks="link")
def visit_files_add(*, link: VisitLink, kind: str, files: Sequence[NamedUpload]) -> None:
    """Keep plans or photos, all or none. The same bytes twice are kept once."""
    _must_work(link)
    there = link.files.aggregate(bytes=Sum("file__size"))["bytes"] or 0
    if link.files.count() + len(files) > MOST_FILES:
        raise Refusal(
            _("%(most)d files at most. Remove some, or bring the rest with you.")
            % {"most": MOST_FILES}
        )
    if there + sum(len(each.upload.content) for each in files) > MOST_BYTES:
        raise Refusal(_("%(most)d MB at most in all.") % {"most": MOST_BYTES // MEGABYTE})
    for each in files:
        upload = each.upload
        kept = store_file(content=upload.content, media_type=upload.media_type)
        VisitFile.objects.get_or_create(
            link=link,
            file=kept,
            defaults={"kind": kind, "name": each.name[:120], "pages": upload.pages or None},
        )


@deed(locks="link")
def visit_file_remove(*, link: VisitLink, file: VisitFile) -> None:
    _must_work(link)
    link.files.filter(pk=file.pk).delete()


@deed(locks="link")
def visit_send(*, link: VisitLink) -> VisitLink:
    """Say that it is ready to be read. It may still be changed and sent again."""
    _must_work(link)
    if not (link.wishes.strip() or link.rooms.exists() or link.files.exists()):
        raise Refusal(_("There is nothing to send yet: name a room, a wish, or add a plan."))
    _write(link, sent_at=timezone.now())
    return link


# --- taking over --------------------------------------------------------------------------------
def rooms_to_take(link: VisitLink) -> list[VisitRoom]:
    """Rooms they named that the project has none of by that name. Two queries."""
    names = Room.objects.filter(project=link.project_id).values_list("name", flat=True)
    there = {name.strip().casefold() for name in names}
    return [room for room in link.rooms.all() if room.name.strip().casefold() not in there]


@deed(locks="link")
def visit_take_over(*, by: Person, link: VisitLink) -> VisitLink:
    """Make the rooms they named, on the lowest floor, as one act; their wishes go into the brief."""
    project = link.project
    # The project first: its lock makes two who press at once queue.
    Project.objects.select_for_update().filter(pk=project.pk).first()
    changes = [*_rooms(link), *_wishes(link)]
    if not changes:
        raise Refusal(_("Every room they named is in the project already."))
    apply(project=project, by=by, title="visit_take_over", about=link.for_whom, changes=changes)
    _write(link, settled_at=timezone.now())
    return link


def _rooms(link: VisitLink) -> list[Change]:
    wished = rooms_to_take(link)
    floor = Floor.objects.select_for_update().filter(project=link.project_id).first()
    if not wished:
        return []
    if floor is None:
        raise Refusal(_("The project has no floor. Add one first."))
    group_place = next_position(RoomGroup.objects.filter(project=link.project_id))
    place = next_position(Room.objects.filter(floor=floor))
    changes: list[Change] = []
    for step, each in enumerate(wished):
        group = RoomGroup(project_id=link.project_id, name=each.name, position=group_place + step)
        room = Room(
            project_id=link.project_id,
            floor=floor,
            group=group,
            number=floor.last_room_number + 1 + step,
            name=each.name,
            use=each.use,
            note=each.wish,
            position=place + step,
        )
        changes += [create(group), create(room)]
    Floor.objects.filter(pk=floor.pk).update(last_room_number=floor.last_room_number + len(wished))
    return changes


def _wishes(link: VisitLink) -> list[Change]:
    """Their wishes into the brief, where it has none yet: what a colleague wrote is never replaced."""
    brief = Brief.objects.select_for_update().filter(project=link.project_id).first()
    if not link.wishes.strip() or (brief is not None and brief.wishes.strip()):
        return []
    if brief is None:
        return [create(Brief(project_id=link.project_id, wishes=link.wishes))]
    return [update(brief, wishes=link.wishes)]


def _must_work(link: VisitLink) -> None:
    if not link.works(at=timezone.now()):
        raise Refusal(_("This address works no more. Ask us for another."))


def _must_be_to_come(until: datetime.datetime) -> None:
    if until <= timezone.now():
        raise Refusal(_("Choose a time to come: the address works until then."))


def _write(link: VisitLink, **values: Any) -> None:
    for name, value in values.items():
        setattr(link, name, value)
    link.version += 1
    link.save(update_fields=[*values, "version"])
