"""What an issue says of receivers: accepted it is wired and stays; before, the plan keeps to it."""

import json
from functools import lru_cache
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet

from consult.held import units_of
from consult.models import Project
from engineering.control_plan import Unit
from quoting.issued import read_internal
from quoting.models import Revision, RevisionEvent


def issues(project: Project) -> QuerySet[Any]:
    """The issues of a project: key, since when, and whether it is accepted."""
    accepted = RevisionEvent.objects.filter(revision=OuterRef("pk"), kind="accepted")
    return Revision.objects.filter(quote__project=project).annotate(
        key=F("pk"), since=F("issued_at"), is_accepted=Exists(accepted)
    )


@lru_cache(maxsize=64)
def units_of_issue(key: str) -> tuple[Unit, ...]:
    """The units of an issue. Read once in a process: an issue never changes."""
    units = read_internal(Revision.objects.get(pk=key)).units
    return units_of(json.loads(units)) if units else ()
