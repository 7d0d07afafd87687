"""What an accepted issue promised is wired: the planner keeps its units where they are."""

import json

from consult.held import units_of
from consult.models import Project
from engineering.control_plan import Unit
from quoting.issued import read_internal
from quoting.models import Revision


def units_in_force(project: Project) -> tuple[Unit, ...]:
    """The units of the newest accepted issue of a project; none where nothing was accepted."""
    accepted = (
        Revision.objects.filter(quote__project=project, events__kind="accepted")
        .order_by("-issued_at")
        .first()
    )
    if accepted is None:
        return ()
    units = read_internal(accepted).units
    return units_of(json.loads(units)) if units else ()
