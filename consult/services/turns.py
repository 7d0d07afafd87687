"""Taking back, and doing again."""

import uuid

from base.deeds import deed
from base.models import Person
from consult import journal
from consult.models import JournalEntry, Project


@deed(locks="project", makes="consult.journalentry")
def undo(*, by: Person, project: Project, new: uuid.UUID) -> JournalEntry | None:
    """Take back the last act that stands. None when there is none."""
    return journal.undo(project=project, by=by, new=new)


@deed(locks="project", makes="consult.journalentry")
def redo(*, by: Person, project: Project, new: uuid.UUID) -> JournalEntry | None:
    """Do again what was last taken back. None when there is nothing, or something else was done."""
    return journal.redo(project=project, by=by, new=new)
