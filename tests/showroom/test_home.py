"""What waits: first steps, answers due, jobs under way."""

import datetime

import pytest
from django.utils import timezone

from base import services
from base.models import Business, Outbox
from quoting.models import Quote, Revision, RevisionEvent
from quoting.services import quotes
from showroom import waiting
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_project, a_quote

TODAY = datetime.date(2026, 3, 10)


def a_revision(*, valid_until, number="Q-1", ended=""):
    """An issue of a quote that holds until a day, with what ended it, if anything."""
    quote = Quote.objects.create(project=a_project(), priced_on=TODAY, number=number)
    revision = Revision.objects.create(
        quote=quote, letter="A", order=1, number=number, issued_at=timezone.now(),
        valid_until=valid_until, gross_total=100, currency="GBP", offer=b"{}", internal=b"{}",
        offer_sha256="0" * 64, seal=number.rjust(64, "0"),
    )  # fmt: skip
    if ended:
        at = datetime.datetime.combine(TODAY, datetime.time(12), tzinfo=datetime.UTC)
        RevisionEvent.objects.create(revision=revision, kind=ended, at=at)
    return revision


def words(on=TODAY):
    return [(str(item.word), str(item.revision)) for item in waiting.answers(on=on)]


def test_a_new_showroom_sees_its_first_steps_and_one_thing_to_do(manager, manager_client):
    page = manager_client.get("/")
    assert len(all_of(page, ".steps > li")) == 3
    assert one(page, ".button.next")["href"] == "/business/"
    services.change_business(by=manager, business=Business.objects.current(), name="Pell")
    page = manager_client.get("/")
    assert one(page, ".steps > li:first-child .state.good").text == "Done"
    assert not all_of(page, ".steps > li:first-child a")


def test_first_steps_go_when_all_are_done(manager, manager_client):
    a_project(by=manager)
    services.change_business(by=manager, business=Business.objects.current(), name="Pell")
    page = manager_client.get("/")
    assert not all_of(page, ".steps")
    assert "Granary Yard" in one(page, "main tbody").text


def test_own_jobs_come_first(designer):
    theirs, own = a_project(), a_project()
    type(own).objects.filter(pk=own.pk).update(designer=designer)
    type(own).objects.filter(pk=theirs.pk).update(changed_at=timezone.now())
    assert [project.pk for project, _url in waiting.jobs(user=designer)] == [own.pk, theirs.pk]


def test_closed_jobs_and_the_library_are_not_under_way(designer):
    project = a_project()
    for change in ({"stage": "closed"}, {"stage": "design", "is_library": True}):
        type(project).objects.filter(pk=project.pk).update(**change)
        assert waiting.jobs(user=designer) == []


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("days", "word"),
    [(-15, ""), (-14, "Lapsed unanswered"), (-1, "Lapsed unanswered"), (0, "Lapses soon"),
     (7, "Lapses soon"), (8, "")],
)  # fmt: skip
def test_a_quote_waits_around_the_day_it_lapses(days, word):
    a_revision(valid_until=TODAY + datetime.timedelta(days))
    assert words() == ([(word, "Q-1 A")] if word else [])


@pytest.mark.django_db
@pytest.mark.parametrize("ended", ["declined", "withdrawn", "superseded"])
def test_an_ended_quote_waits_for_nobody(ended):
    a_revision(valid_until=TODAY, ended=ended)
    assert words() == []


@pytest.mark.django_db
def test_an_accepted_quote_is_told_for_a_fortnight():
    a_revision(valid_until=TODAY, ended="accepted")
    assert words() == [("Accepted", "Q-1 A")]
    assert words(on=TODAY + datetime.timedelta(14)) == [("Accepted", "Q-1 A")]
    assert words(on=TODAY + datetime.timedelta(15)) == []


def test_the_page_asks_the_same_however_many_wait(designer_client, queries):
    def several(numbers):
        for number in numbers:
            a_revision(valid_until=timezone.localdate(), number=f"Q-{number}")

    several(range(2))
    few = queries(lambda: designer_client.get("/"))
    several(range(2, 6))
    PersonFactory.create_batch(3)
    assert queries(lambda: designer_client.get("/")) == few


def test_nobody_sees_it_without_log_in(client, db):
    assert client.get("/").status_code == 302
    assert client.get("/style/").status_code == 302


def test_letters_that_went_wrong_and_clients_to_ask_again_wait_with_their_pages(
    designer, designer_client
):
    quote = a_quote(by=designer)
    revision = quotes.quote_issue(by=designer, quote=quote)
    Outbox.objects.create(
        name="offer", to="ida@house.example", about=str(revision.pk), state="unknown",
        message_id="<a@b.example>",
    )  # fmt: skip
    Quote.objects.update(follow_up_on=timezone.localdate())
    page = designer_client.get("/")
    assert [row["href"] for row in all_of(page, "#to-do a.choice-row")] == [
        f"{revision.get_absolute_url()}#letters", quote.get_absolute_url(),
    ]  # fmt: skip
    assert [each.text for each in all_of(page, "#to-do .state")] == ["Was it sent?", "Ask again"]
    assert "One letter to settle, one client to ask again" in one(page, ".page-head .lead").text
