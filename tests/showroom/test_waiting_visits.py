"""What waits of visits: who is coming, what came in beforehand, what clients asked."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from consult.brief_models import Appointment, VisitLink
from consult.services import appointments, visits
from quoting.models import Question, Revision
from quoting.services import quotes
from showroom import waiting
from tests.conftest import all_of, one
from tests.consult.visiting import a_visit_link
from tests.factories import a_project, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def project(designer):
    return a_project(by=designer)


def agree(designer, project, *, hours):
    return appointments.appointment_make(
        by=designer, project=project, colleague=designer, guest="Ida Marrow",
        starts_at=timezone.now() + datetime.timedelta(hours=hours),
    )  # fmt: skip


def tell(designer, project):
    link, secret = a_visit_link(by=designer, project=project)
    visits.visit_wishes_write(link=link, wishes="Soft")
    return visits.visit_send(link=link), secret


def ask(designer):
    quote = a_quote(by=designer)
    revision = quotes.quote_issue(by=designer, quote=quote)
    return Question.objects.create(revision=revision, text="Is the fan quiet?")


@pytest.mark.parametrize(
    ("hours", "is_there"), [(-2, False), (-0.5, True), (1, True), (14 * 24 - 1, True), (14 * 24 + 1, False)]
)  # fmt: skip
def test_who_comes_within_a_fortnight_is_told(designer, project, hours, is_there):
    agree(designer, project, hours=hours)
    assert bool(waiting.coming(user=designer, at=timezone.now())) is is_there


def test_who_was_called_off_is_not_coming(designer, project):
    appointments.appointment_cancel(by=designer, appointment=agree(designer, project, hours=5))
    assert waiting.coming(user=designer, at=timezone.now()) == []


def test_each_row_opens_its_place_and_the_counts_are_in_words(designer_client, designer, project):
    appointment, other = agree(designer, project, hours=5), agree(designer, project, hours=9)
    link, _secret = tell(designer, project)
    question = ask(designer)
    page = designer_client.get("/")
    assert [row["href"] for row in all_of(page, "#coming a.choice-row")] == [
        appointment.get_absolute_url(), other.get_absolute_url(),
    ]  # fmt: skip
    assert one(page, "#told a.choice-row")["href"] == reverse(
        "consult:visit_answers", args=[link.pk]
    )
    assert one(page, "#to-do a.choice-row")["href"] == (
        question.revision.get_absolute_url() + "#questions"
    )
    assert one(page, ".page-head .lead").text == (
        "Two appointments, one form that came in, one question."
    )


def test_what_is_done_waits_no_more(designer_client, designer, project):
    link, _secret = tell(designer, project)
    question = ask(designer)
    visits.visit_settle(by=designer, link=link)
    Question.objects.filter(pk=question.pk).update(answer="Yes.", answered_at=timezone.now())
    page = designer_client.get("/")
    assert not all_of(page, "#told")
    assert not all_of(page, "#to-do a")
    assert not all_of(page, ".page-head .lead")


def test_empty_places_say_so(designer_client, project):
    page = designer_client.get("/")
    assert "Nobody within a fortnight" in one(page, "#coming").text
    assert "Nothing waits" in one(page, "#to-do").text


def test_the_page_asks_the_same_however_many_wait(designer_client, designer, project, queries):
    def several(number):
        for hours in range(1, number + 1):
            agree(designer, project, hours=hours)
            tell(designer, a_project(by=designer))
        revision = Revision.objects.first() or ask(designer).revision
        Question.objects.bulk_create(
            [Question(revision=revision, text="And this?") for _each in range(number)]
        )

    several(1)
    few = queries(lambda: designer_client.get("/"))
    several(6)
    assert queries(lambda: designer_client.get("/")) == few
    assert (Appointment.objects.count(), VisitLink.objects.count()) == (7, 7)
    assert few <= 20
