"""The numbers of a project's acts: its version counts them, so one locked row gives their order."""

from functools import cache

from django.db import connection
from django.utils import timezone

from consult.models import Project


def numbered(project: Project) -> Project | None:
    """The project as it is now, locked and numbered for the one act that follows, in one statement.

    For deeds that make one act themselves, and no other before it. `journal.apply` takes the number,
    or gives it back where nothing is to change. None where the project is gone.
    """
    sql = _numbering(connection.vendor)
    at, key = (
        Project._meta.get_field(name).get_db_prep_value(value, connection)
        for name, value in (("changed_at", timezone.now()), ("id", project.pk))
    )
    held = next(iter(Project.objects.raw(sql, [at, key])), None)
    if held is not None:
        held.is_numbered = True
    return held


@cache
def _numbering(_vendor: str) -> str:
    """Put together once: every press at the table needs it."""
    table = connection.ops.quote_name(Project._meta.db_table)
    return f"UPDATE {table} SET version = version + 1, changed_at = %s WHERE id = %s RETURNING *"  # noqa: S608


def number_of(project: Project) -> int:
    """Number this act, where it has no number yet. Locks the project."""
    if project.is_numbered:
        project.is_numbered = False
        return project.version
    while True:
        raised = project.version + 1
        rows = Project.objects.filter(pk=project.pk, version=project.version)
        if rows.update(version=raised, changed_at=timezone.now()):
            project.version = raised
            return raised
        # Read earlier than another act: read again, under lock.
        fresh = Project.objects.select_for_update().filter(pk=project.pk)
        project.version = fresh.values_list("version", flat=True).get()


def give_back(project: Project) -> None:
    """Take the number of an act that came to nothing back, so that the next act has it."""
    if project.is_numbered:
        project.is_numbered = False
        project.version -= 1
        Project.objects.filter(pk=project.pk).update(version=project.version)
