"""Who takes part in a job, as an issue keeps it: by role, in the order of roles.

Clients read who bills, builds and wires, and whom to ring on the site; no other way to reach
anybody is kept. Whoever brought the job stands in the staff's half alone.
"""

from collections.abc import Iterable

from consult.brief_kinds import PartyRole
from consult.brief_models import Party as TakingPart
from consult.models import Project
from quoting.offer import Party

OURS_ALONE = frozenset({PartyRole.INTRODUCER.value})


def parties_of(project: Project) -> tuple[tuple[Party, ...], tuple[Party, ...]]:
    """What the offer says of who takes part, and what stands in the staff's half. One query."""
    rows = sorted(
        TakingPart.objects.filter(project=project),
        key=lambda row: (PartyRole.values.index(row.role), row.name),
    )
    return (
        _kept(row for row in rows if row.role not in OURS_ALONE),
        _kept(row for row in rows if row.role in OURS_ALONE),
    )


def _kept(rows: Iterable[TakingPart]) -> tuple[Party, ...]:
    return tuple(
        Party(
            role=row.role,
            name=row.name,
            firm=row.firm,
            phone=row.phone if row.role == PartyRole.SITE_CONTACT else "",
        )
        for row in rows
    )
