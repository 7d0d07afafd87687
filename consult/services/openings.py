"""Deeds on what rooms are open to."""

from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.journal import apply, create, delete, update
from consult.models import Opening, Room


@deed(locks="room")
def opening_add(*, by: Person, room: Room, other: Room | None = None, **values: Any) -> Opening:
    """Open a room to another of the same job, or to what is no room of it."""
    _check(room, other)
    row = Opening(project_id=room.project_id, room=room, other=other, **values)
    apply(project=room.project, by=by, title="opening_add", about=str(row), changes=[create(row)])
    return row


@deed(locks="row")
def opening_change(*, by: Person, row: Opening, **values: Any) -> Opening:
    _check(row.room, values.get("other", row.other))
    apply(
        project=row.project,
        by=by,
        title="opening_change",
        about=str(row),
        changes=[update(row, **values)],
    )
    return row


@deed(locks="row", removes=True)
def opening_remove(*, by: Person, row: Opening) -> None:
    """Close an opening: there is wall, or a door, in its place."""
    about = str(row)
    apply(project=row.project, by=by, title="opening_remove", about=about, changes=[delete(row)])


def _check(room: Room, other: Room | None) -> None:
    if other is None:
        return
    if other.pk == room.pk:
        raise Refusal(_("A room is not open to itself. Choose another room."))
    if other.project_id != room.project_id:
        raise Refusal(_("That room belongs to another project."))
