"""What an issue says of receivers: accepted it is wired and stays; before, the plan keeps to it."""

import json
import uuid
from functools import lru_cache

from django.db.models import Exists, OuterRef

from consult.held import Earlier, units_of
from consult.models import Project
from engineering.control_plan import Unit
from quoting.issued import read_internal
from quoting.models import Revision, RevisionEvent


def units_issued(project: Project) -> Earlier:
    """The units of the newest accepted issue of a project, and of the newest one if not accepted.

    One query; one more for each issue that this process has not read yet.
    """
    accepted = RevisionEvent.objects.filter(revision=OuterRef("pk"), kind="accepted")
    issues = list(
        Revision.objects.filter(quote__project=project)
        .annotate(is_accepted=Exists(accepted))
        .order_by("-issued_at")
        .values_list("pk", "is_accepted")
    )
    in_force = next((pk for pk, is_accepted in issues if is_accepted), None)
    newest = issues[0][0] if issues else None
    return Earlier(
        held=_units(in_force) if in_force else (),
        previous=_units(newest) if newest and newest != in_force else (),
    )


@lru_cache(maxsize=64)  # an issue never changes
def _units(revision: uuid.UUID) -> tuple[Unit, ...]:
    units = read_internal(Revision.objects.get(pk=revision)).units
    return units_of(json.loads(units)) if units else ()
