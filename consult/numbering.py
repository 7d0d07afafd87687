"""The numbers of a project's acts: its version counts them, so one locked row gives their order."""

from django.db.models import F
from django.utils import timezone

from base.asked import changed
from consult.models import Project


def numbered(project: Project) -> Project | None:
    """The project as it is now, locked and numbered for the one act that follows, in one statement.

    For deeds that make one act themselves, and no other before it. `journal.apply` takes the number,
    or gives it back where nothing is to change. None where the project is gone.
    """
    held = changed(
        Project.objects.filter(pk=project.pk), version=F("version") + 1, changed_at=timezone.now()
    )
    if held is not None:
        held.is_numbered = True
    return held


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
