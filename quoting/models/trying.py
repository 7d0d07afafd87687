"""A try: changes to a design that are kept or thrown away as one."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from base.keys import Versioned
from base.models import Person
from consult.models import Project


class Trial(Versioned):
    """That somebody tries something in a design: since which act, and what the job came to then.

    `since` is the number of the last act before it, `gross` the total with tax in `currency`. At
    most one of a project; it goes when its changes are kept or thrown away.
    """

    project = models.OneToOneField(Project, on_delete=models.PROTECT, related_name="trial")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    began_at = models.DateTimeField(default=timezone.now)
    since = models.PositiveIntegerField()
    gross = models.DecimalField(max_digits=16, decimal_places=4)
    currency = models.CharField(max_length=3)

    def lock_first(self) -> models.Model | None:
        return Project(pk=self.project_id)

    def __str__(self) -> str:
        return f"{self.project}: {self.since}"
