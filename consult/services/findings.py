"""Deeds on findings: set aside with a reason, taken up again."""

from base.deeds import deed
from base.models import Person
from consult.journal import Change, apply, create, delete, update
from consult.models import Project, SetAside


@deed(locks="project")
def finding_set_aside(
    *, by: Person, project: Project, rule: str, about: str, values_sha256: str, reason: str
) -> SetAside:
    """Put a finding aside, as its values are now. With other values it is shown again."""
    row = SetAside.objects.filter(project=project, rule=rule, about=about).first()
    change: Change
    if row is None:
        row = SetAside(
            project=project,
            rule=rule,
            about=about,
            values_sha256=values_sha256,
            reason=reason,
            by=by,
        )
        change = create(row)
    else:
        change = update(row, values_sha256=values_sha256, reason=reason, by_id=by.pk)
    apply(project=project, by=by, title="finding_set_aside", about=reason, changes=[change])
    return row


@deed(locks="row")
def finding_take_up(*, by: Person, row: SetAside) -> None:
    apply(
        project=row.project,
        by=by,
        title="finding_take_up",
        about=row.reason,
        changes=[delete(row)],
    )
