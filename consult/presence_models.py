"""Who is at which project just now. Not part of the design: no journal, no version."""

from django.db import models
from django.utils import timezone

from base.models import Person
from consult.models import Project, Room


class Presence(models.Model):
    """Where somebody was seen last. A row for each person and project, written over."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    room = models.ForeignKey(Room, null=True, on_delete=models.SET_NULL, related_name="+")
    seen_at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name_plural = "presence"
        constraints = [models.UniqueConstraint(fields=["project", "person"], name="presence_once")]

    def __str__(self) -> str:
        return f"{self.person}: {self.project}"
