"""A try as it stands: what was changed since, by whom, and what that does to the price."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, F, Q

from consult.models import Project
from quoting.models import Trial
from quoting.pricing import Priced


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialStand:
    """A try, and how many acts since then stand."""

    trial: Trial
    acts: int

    def dearer(self, priced: Priced) -> Decimal | None:
        """How much more the job comes to now, with tax; None where the currency is another."""
        if priced.currency != self.trial.currency:
            return None
        return priced.gross_total - self.trial.gross


def trial_stand(project: Project) -> TrialStand | None:
    """What is tried in a design now. One query."""
    stands = Q(
        project__journal__number__gt=F("since"),
        project__journal__kind="act",
        project__journal__state="done",
    )
    rows = Trial.objects.filter(project=project).select_related("by")
    trial = rows.annotate(acts=Count("project__journal", filter=stands)).first()
    return TrialStand(trial=trial, acts=trial.acts) if trial else None
