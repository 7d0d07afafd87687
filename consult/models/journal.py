"""The journal: every deed on a design, before and after."""

from __future__ import annotations

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import OwnKey
from base.models import Person
from consult.models.people import Project


class JournalEntry(OwnKey):
    """One act: what it changed, row by row, before and after. Never altered but for its undoing."""

    class Kind(models.TextChoices):
        ACT = "act", _("did")
        UNDO = "undo", _("took back")
        REDO = "redo", _("did again")

    class State(models.TextChoices):
        DONE = "done", _("stands")
        UNDONE = "undone", _("taken back")
        ABANDONED = "abandoned", _("taken back for good")

    project = models.ForeignKey(
        Project, null=True, on_delete=models.PROTECT, related_name="journal"
    )
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=6, choices=Kind, default=Kind.ACT)
    of = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="turns")
    state = models.CharField(max_length=10, choices=State, default=State.DONE)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(default=timezone.now)
    title = models.CharField(max_length=60)
    about = models.CharField(max_length=200, blank=True)
    schema = models.PositiveSmallIntegerField(default=1)
    changes = models.JSONField()

    class Meta:
        verbose_name_plural = "journal entries"
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["project", "number"], name="journal_number_once")
        ]
        indexes = [models.Index(fields=["project", "kind", "state"], name="journal_turns")]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"
