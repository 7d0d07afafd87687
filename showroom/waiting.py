"""What waits: the first steps of a new showroom, answers due on quotes, and jobs under way."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import models
from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from base.models import Business, Person
from catalogue.models import Product
from consult.kinds import Stage
from consult.models import Project
from quoting.models import Revision, RevisionEvent

SOON_DAYS = 7
LATELY_DAYS = 14
MOST_JOBS = 12
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
