"""What waits for the office of quoting: questions, letters that went wrong, whom to ask again."""

import datetime
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils.translation import gettext as _

from base.models import Outbox
from quoting.models import DesignFee, Question, Quote, QuotingRules, Revision


@dataclass(frozen=True, slots=True, kw_only=True)
class Waits:
    """One thing to do: what it is of, kind of mark, what, about whom, where, the day it is about.

    ``what``: letter, question or reminder. ``url`` is empty where there is no page for it.
    """

    what: str
    kind: str
    word: str
    about: str
    url: str
    day: datetime.date


def for_home(*, user: Any, on: datetime.date) -> list[Waits]:
    """What waits in quoting, the most pressing first. Six queries, whatever waits."""
    return [*_letters(), *_questions(user), *_to_ask_again(user, on)]


def _letters() -> list[Waits]:
    rows = list(Outbox.objects.filter(state__in=["failed", "unknown"]).order_by("made_at")[:20])
    keys = [row.about for row in rows if row.about]
    issues = {
        str(issue.pk): issue
        for issue in Revision.objects.filter(pk__in=keys).defer("offer", "internal")
    }
    fees = {str(fee.pk): fee for fee in DesignFee.objects.filter(pk__in=keys)}
    return [
        Waits(
            what="letter",
            kind="stop",
            word=_("A letter went wrong") if row.state == "failed" else _("Was it sent?"),
            about=f"{issues[row.about]}, {row.to}" if row.about in issues else row.to,
            url=_page_of(issues.get(row.about) or fees.get(row.about)),
            day=row.made_at.date(),
        )
        for row in rows
    ]


def _page_of(row: Revision | DesignFee | None) -> str:
    """Where a letter about it is settled; '' where nowhere."""
    if row is None:
        return ""
    if isinstance(row, DesignFee):
        return reverse("quoting:fee", args=[row.project_id]) + "#letters"
    return row.get_absolute_url() + "#letters"


def _questions(user: Any) -> list[Waits]:
    rows = Question.objects.filter(answer="", revision__quote__in=Quote.objects.for_user(user))
    rows = rows.select_related("revision__quote__project").defer(
        "revision__offer", "revision__internal"
    )
    return [
        Waits(
            what="question",
            kind="look",
            word=_("A question to answer"),
            about=f"{row.revision.quote.project}: {row.text[:80]}",
            url=row.revision.get_absolute_url() + "#questions",
            day=row.asked_at.date(),
        )
        for row in rows.order_by("asked_at")[:20]
    ]


def _to_ask_again(user: Any, on: datetime.date) -> list[Waits]:
    """Issued and unanswered: the day set for it has come, or so many days since its newest issue."""
    since = on - datetime.timedelta(QuotingRules.objects.current().remind_days)
    latest = Revision.objects.filter(pk=OuterRef("latest_id"), issued_at__date__lte=since)
    quiet = Q(follow_up_on=None) & Exists(latest)
    found = Quote.objects.for_user(user).with_state(on=on).filter(state_now="issued")
    found = found.filter(Q(follow_up_on__lte=on) | quiet).select_related("project")
    return [
        Waits(
            what="reminder",
            kind="note",
            word=_("Ask again"),
            about=f"{row.number}, {row.project}",
            url=row.get_absolute_url(),
            day=row.follow_up_on or on,
        )
        for row in found.order_by("follow_up_on", "created_at")[:20]
    ]
