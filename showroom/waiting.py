"""What waits: first steps of a new showroom, who is coming, what came in, answers, jobs under way."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib.humanize.templatetags.humanize import apnumber
from django.db import models
from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from base.models import Business, Person
from catalogue.models import Product
from consult.brief_models import Appointment, VisitLink
from consult.kinds import Stage
from consult.models import Project
from quoting.models import Revision, RevisionEvent
from quoting.waiting import Waits

COMING_DAYS = 14
SOON_DAYS = 7
LATELY_DAYS = 14
MOST_JOBS = 12
MOST_ROWS = 20
UNDER_WAY = (Stage.ENQUIRY, Stage.DESIGN, Stage.ON_SITE)
_ENDS = (
    RevisionEvent.Kind.ACCEPTED,
    RevisionEvent.Kind.DECLINED,
    RevisionEvent.Kind.WITHDRAWN,
    RevisionEvent.Kind.SUPERSEDED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A first step: what to do, why, where, and whether it is done."""

    title: Promise
    why: Promise
    action: Promise
    url: str
    is_done: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A quote that somebody should look after: kind of state, word, whose, and the day it is about."""

    kind: str
    word: Promise
    revision: Revision
    url: str
    day: datetime.date


def first_steps() -> list[Step]:
    """What a new showroom does first, in order. Three queries."""
    business = Business.objects.current()
    return [
        Step(
            title=_("Say who you are"),
            why=_("Name, address, terms and tax stand on every quote."),
            action=_("Fill in the profile"),
            url=page("base:business"),
            is_done=business.version > 1,
        ),
        Step(
            title=_("Fill the catalogue"),
            why=_("Fittings, drivers, receivers and keypads, with what each draws and costs."),
            action=_("Open the catalogue"),
            url=page("catalogue:products"),
            is_done=Product.objects.exists(),
        ),
        Step(
            title=_("Begin the first project"),
            why=_("A client, a house, its rooms: then the light, room by room."),
            action=_("Begin a project"),
            url=page("consult:project_add", "consult:projects"),
            is_done=Project.objects.jobs().exists(),
        ),
    ]


def answers(*, on: datetime.date) -> list[Waiting]:
    """Quotes that were answered lately, lapse soon or lapsed lately. Three queries."""
    soon, lately = datetime.timedelta(SOON_DAYS), datetime.timedelta(LATELY_DAYS)
    asked = Revision.objects.defer("offer", "internal").select_related("quote__project__client")
    still_open = asked.exclude(events__kind__in=_ENDS)
    accepted = asked.filter(
        events__kind=RevisionEvent.Kind.ACCEPTED, events__at__date__gte=on - lately
    ).annotate(answered_on=models.functions.TruncDate("events__at"))
    return [
        *_waiting(accepted.order_by("events__at"), "good", _("Accepted"), "answered_on"),
        *_waiting(
            still_open.filter(valid_until__range=(on, on + soon)).order_by("valid_until"),
            "look",
            _("Lapses soon"),
            "valid_until",
        ),
        *_waiting(
            still_open.filter(valid_until__range=(on - lately, on - datetime.timedelta(1))),
            "stop",
            _("Lapsed unanswered"),
            "valid_until",
        ),
    ]


def coming(*, user: Person, at: datetime.datetime) -> list[Appointment]:
    """Who is coming within a fortnight, the next one first. One query."""
    rows = Appointment.objects.for_user(user).coming(at=at)
    soon = rows.filter(starts_at__lte=at + datetime.timedelta(COMING_DAYS))
    return list(soon.select_related("project__client", "colleague")[:MOST_ROWS])


def came_in(*, user: Person) -> list[VisitLink]:
    """What clients told before a visit and nobody has looked at. One query."""
    rows = VisitLink.objects.for_user(user).came_in().select_related("project__client")
    return list(rows.order_by("sent_at")[:MOST_ROWS])


def in_words(
    *,
    coming: list[Appointment],
    told: list[VisitLink],
    to_do: list[Waits],
    answers: list[Waiting],
) -> str:
    """How much there is of each, as one line: 'one visit, two questions, one quote to look after'."""
    asked, letters, again = (
        [each for each in to_do if each.what == what] for what in ("question", "letter", "reminder")
    )
    found = [
        (coming, ngettext("%(n)s appointment", "%(n)s appointments", len(coming))),
        (told, ngettext("%(n)s form that came in", "%(n)s forms that came in", len(told))),
        (asked, ngettext("%(n)s question", "%(n)s questions", len(asked))),
        (letters, ngettext("%(n)s letter to settle", "%(n)s letters to settle", len(letters))),
        (again, ngettext("%(n)s client to ask again", "%(n)s clients to ask again", len(again))),
        (
            answers,
            ngettext("%(n)s quote to look after", "%(n)s quotes to look after", len(answers)),
        ),
    ]
    said = [words % {"n": apnumber(len(rows))} for rows, words in found if rows]
    return ", ".join(said)


def jobs(*, user: Person) -> list[tuple[Project, str]]:
    """Projects under way with their addresses, one's own first, the latest touched first. One query."""
    is_own = models.Case(models.When(designer=user, then=0), default=1)
    found = (
        Project.objects.for_user(user)
        .jobs()
        .with_people()
        .filter(stage__in=UNDER_WAY)
        .order_by(is_own, "-changed_at")[:MOST_JOBS]
    )
    return [(project, _of(project)) for project in found]


def _waiting(
    revisions: Iterable[Revision], kind: str, word: Promise, day: str
) -> Iterable[Waiting]:
    for revision in revisions:
        yield Waiting(
            kind=kind, word=word, revision=revision, url=_of(revision), day=getattr(revision, day)
        )


def page(*names: str) -> str:
    """The address of the first page that exists; '' where none does."""
    for name in names:
        try:
            return reverse(name)
        except NoReverseMatch:
            continue
    return ""


def _of(row: Project | Revision) -> str:
    """The row's own page; '' where no page of it is served, so that it is named and not linked."""
    try:
        return row.get_absolute_url()
    except NoReverseMatch:
        return ""
