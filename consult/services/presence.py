"""Seeing who else is at a project. Two small queries, so that it may be asked often."""

import datetime
from collections.abc import Sequence

from django.utils import timezone

from base.models import Person
from consult.models import Project, Room
from consult.presence_models import Presence

GONE_AFTER = datetime.timedelta(seconds=50)


def seen(*, by: Person, project: Project, room: Room | None) -> Sequence[Presence]:
    """Note that somebody is here, and give those who were seen within the last minute."""
    now = timezone.now()
    Presence.objects.bulk_create(
        [Presence(project=project, person=by, room=room, seen_at=now)],
        update_conflicts=True,
        unique_fields=["project", "person"],
        update_fields=["room", "seen_at"],
    )
    others = Presence.objects.filter(project=project, seen_at__gte=now - GONE_AFTER)
    return list(others.exclude(person=by).select_related("person", "room").order_by("person__name"))
