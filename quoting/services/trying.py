"""Deeds on a try: begun, kept, thrown away."""

import uuid

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult import journal
from consult.models import JournalEntry, Project
from quoting.drafting import draft_of
from quoting.models import Quote, Trial


@deed(locks="project", makes="quoting.trial")
def trial_begin(*, by: Person, project: Project, new: uuid.UUID) -> Trial:
    """From now on changes to the design are tried: kept, or thrown away as one.

    Notes what the job comes to. Refused while something else is tried in it.
    """
    if project.is_library:
        raise Refusal(_("A pattern has no price to compare. Try it in a client's project."))
    if under_way := Trial.objects.filter(project=project).select_related("by").first():
        raise Refusal(
            _("%(person)s is trying something in this project. Keep or discard that first.")
            % {"person": under_way.by}
        )
    priced = draft_of(Quote(project=project)).priced
    return Trial.objects.create(
        pk=new,
        project=project,
        by=by,
        since=project.version,
        gross=priced.gross_total,
        currency=priced.currency,
    )


@deed(locks="trial", removes=True)
def trial_keep(*, by: Person, trial: Trial) -> None:
    """What was tried stays. It can still be taken back act by act."""
    trial.delete()


@deed(locks="trial", removes=True)
def trial_discard(*, by: Person, trial: Trial) -> None:
    """The design as it was before, in one act, which can be taken back.

    Refused where somebody else changed the design meanwhile: theirs would go too.
    """
    entries = journal.acts_since(trial.project, trial.since)
    others = sorted({str(each.person) for each in entries if each.person_id != trial.by_id})
    if others:
        raise Refusal(
            _(
                "%(people)s changed this design since %(person)s began: discarding would take that"
                " back as well. Keep it, and take back single acts in the history."
            )
            % {"people": ", ".join(others), "person": trial.by}
        )
    journal.apply(
        project=trial.project,
        by=by,
        title="trial_discard",
        about=_acts(entries),
        changes=journal.way_back(entries),
    )
    trial.delete()


def _acts(entries: list[JournalEntry]) -> str:
    standing = sum(each.kind == "act" and each.state == "done" for each in entries)
    return f"{standing} ×"
