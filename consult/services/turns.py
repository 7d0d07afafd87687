"""Taking back, and doing again."""

import uuid

from base.deeds import Gone, deed
from base.models import Person
from consult import journal
from consult.models import JournalEntry, Project
from consult.numbering import numbered


@deed(makes="consult.journalentry")
def undo(*, by: Person, project: Project, new: uuid.UUID) -> JournalEntry | None:
    """Take back the last act that stands. None when there is none."""
    return journal.undo(project=_held(project), by=by, new=new)


@deed(makes="consult.journalentry")
def redo(*, by: Person, project: Project, new: uuid.UUID) -> JournalEntry | None:
    """Do again what was last taken back. None when there is nothing, or something else was done."""
    return journal.redo(project=_held(project), by=by, new=new)


def _held(project: Project) -> Project:
    held = numbered(project)
    if held is None:
        raise Gone
    return held
