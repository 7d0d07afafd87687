"""Deeds on the brief, on who takes part, and on notes."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, Stale, deed
from base.models import Person
from base.services import store_file
from base.uploads import Upload
from consult.brief_models import Brief, Note, NotePhoto, Party
from consult.journal import Change, apply, create, delete, update
from consult.models import Project, Room

MOST_PHOTOS = 8


# --- the brief ----------------------------------------------------------------------------------
@deed(locks="project")
def brief_begin(*, by: Person, project: Project, **values: Any) -> Brief:
    """The first words of a brief. Raises `Stale` where somebody else has begun it meanwhile."""
    there = Brief.objects.filter(project=project).first()
    if there is not None:
        raise Stale(there)
    brief = Brief(project=project, **values)
    apply(
        project=project,
        by=by,
        title="brief_change",
        about=project.name,
        changes=[create(brief)],
    )
    return brief


@deed(locks="brief")
def brief_change(*, by: Person, brief: Brief, **values: Any) -> Brief:
    project = brief.project
    change = update(brief, **values)
    apply(project=project, by=by, title="brief_change", about=project.name, changes=[change])
    return brief


# --- who takes part -----------------------------------------------------------------------------
@deed(locks="project")
def party_add(*, by: Person, project: Project, role: str, name: str, **values: Any) -> Party:
    party = Party(project=project, role=role, name=name, **values)
    apply(project=project, by=by, title="party_add", about=name, changes=[create(party)])
    return party


@deed(locks="party")
def party_change(*, by: Person, party: Party, **values: Any) -> Party:
    change = update(party, **values)
    apply(project=party.project, by=by, title="party_change", about=party.name, changes=[change])
    return party


@deed(locks="party", removes=True)
def party_remove(*, by: Person, party: Party) -> None:
    apply(
        project=party.project,
        by=by,
        title="party_remove",
        about=party.name,
        changes=[delete(party)],
    )


# --- notes --------------------------------------------------------------------------------------
@deed(locks="project")
def note_add(
    *,
    by: Person,
    project: Project,
    room: Room | None = None,
    text: str = "",
    photos: Sequence[Upload] = (),
) -> Note:
    """A note for us, of a room or of the job, with photos that were made ready by `uploads.photo`."""
    if not text.strip() and not photos:
        raise Refusal(_("Write something, or add a photo."))
    if len(photos) > MOST_PHOTOS:
        raise Refusal(_("%(most)d photos at most in one note.") % {"most": MOST_PHOTOS})
    if room is not None and room.project_id != project.pk:
        raise Refusal(_("That room is of another project."))
    note = Note(project=project, room=room, text=text, by=by)
    rows = [
        NotePhoto(
            project=project,
            note=note,
            file=store_file(content=each.content, media_type=each.media_type),
            width_px=each.width_px,
            height_px=each.height_px,
            position=place,
        )
        for place, each in enumerate(photos, start=1)
    ]
    changes = [create(note), *(create(row) for row in rows)]
    about = room.name if room is not None else project.name
    apply(project=project, by=by, title="note_add", about=about, changes=changes)
    return note


@deed(locks="note")
def note_change(*, by: Person, note: Note, text: str) -> Note:
    if not text.strip() and not note.photos.exists():
        raise Refusal(_("Write something, or remove the note."))
    change = update(note, text=text)
    apply(project=note.project, by=by, title="note_change", about=str(note), changes=[change])
    return note


@deed(locks="note", removes=True)
def note_remove(*, by: Person, note: Note) -> None:
    """Remove a note with its photos. Taking back brings both again; the bytes are kept."""
    apply(
        project=note.project,
        by=by,
        title="note_remove",
        about=str(note),
        changes=removal_of_notes([note]),
    )


def removal_of_notes(notes: Sequence[Note]) -> list[Change]:
    photos = NotePhoto.objects.filter(note__in=notes)
    return [delete(row) for row in [*photos, *notes]]
