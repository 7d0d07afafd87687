"""Deeds on the rules of selling, the factors of access, hours as worked, and wording of letters."""

import datetime
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, Stale, deed
from base.models import MailText, Person
from base.outbox import KINDS
from consult.models import Project
from quoting.models import AccessFactor, ActualHours, QuotingRules


def _must_be_manager(by: Person) -> None:
    if not by.is_manager:
        raise Refusal(_("Only a manager changes the rules."))


@deed()
def rules_change(*, by: Person, seen_rules: int = 0, **values: Any) -> QuotingRules:
    """Change the one set of rules. `seen_rules`: the version that was shown; 0 for none yet."""
    _must_be_manager(by)
    row = QuotingRules.objects.select_for_update().first() or QuotingRules()
    is_new = row._state.adding
    if not is_new and seen_rules != row.version:
        raise Stale(row)
    for name, value in values.items():
        setattr(row, name, value)
    if not is_new:
        row.version += 1
    row.save()
    return row


@deed()
def factor_set(
    *, by: Person, what: str, factor: Decimal, up_to_m: Decimal | None = None
) -> AccessFactor:
    _must_be_manager(by)
    if (what == "height") != (up_to_m is not None):
        raise Refusal(_("A height belongs to 'ceiling up to', and only there."))
    row, _made = AccessFactor.objects.update_or_create(
        what=what, up_to_m=up_to_m, defaults={"factor": factor}
    )
    return row


@deed(locks="row")
def factor_remove(*, by: Person, row: AccessFactor) -> None:
    _must_be_manager(by)
    row.delete()


@deed(locks="project")
def hours_add(
    *,
    by: Person,
    project: Project,
    operation: str,
    hours: Decimal,
    day: datetime.date,
    note: str = "",
) -> ActualHours:
    """Hours as they were worked, to stand beside the norm."""
    return ActualHours.objects.create(
        project=project, operation=operation, hours=hours, day=day, note=note, by=by
    )


@deed(locks="row")
def hours_remove(*, by: Person, row: ActualHours) -> None:
    row.delete()


@deed()
def wording_set(*, by: Person, name: str, subject: str, body: str) -> MailText:
    """The business's own wording of a kind of letter."""
    _must_be_manager(by)
    if name not in KINDS:
        raise Refusal(_("There is no such letter."))
    row, _made = MailText.objects.update_or_create(
        name=name, defaults={"subject": subject, "body": body}
    )
    return row


@deed()
def wording_drop(*, by: Person, name: str) -> None:
    """Back to the built-in wording."""
    _must_be_manager(by)
    MailText.objects.filter(name=name).delete()
