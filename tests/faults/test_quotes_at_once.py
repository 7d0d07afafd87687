"""Quotes under many hands: numbers without a gap, one answer, one effect of each press.

SQLite's write lock hides races that PostgreSQL shows, so the run on PostgreSQL is the one that counts.
"""

import random
import uuid
from collections import Counter

import pytest
from django.apps import apps
from django.db import transaction
from django.db.models import Sum
from django.test import Client, TestCase
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from base.keys import Versioned
from base.models import Deed, Outbox
from quoting.models import (
    Acceptance,
    LinkVisit,
    NumberSeries,
    Quote,
    Revision,
    RevisionEvent,
)
from quoting.services import answers, links, quotes
from quoting.verifying import verify_all
from tests.conftest import logged_in
from tests.factories import PersonFactory, a_quote
from tests.faults.test_concurrent_deeds import at_once
from tests.quoting.test_pressed_twice import PRESSES, Desk

pytestmark = pytest.mark.django_db(transaction=True)

ISSUERS = 16
EACH = 3


class RolledBack(Exception):
    pass


class NoDocuments:
    @staticmethod
    def enqueue(_key: str) -> None:
        pass


@pytest.fixture(autouse=True)
def nothing_after_the_commit(monkeypatch):
    """What is at stake is what the transaction writes; documents and letters are made after it."""
    monkeypatch.setattr("base.outbox._enqueue", lambda _key: None)
    for place in ("quotes", "answers"):
        monkeypatch.setattr(f"quoting.services.{place}.make_documents", NoDocuments)


@pytest.fixture
def by():
    return PersonFactory(role="manager")


def many_quotes(by, count: int) -> list[Quote]:
    first = a_quote(by=by)
    return [
        first,
        *(quotes.quote_start(by=by, project=first.project, title=str(n)) for n in range(count - 1)),
    ]


def test_sixteen_issuers_with_rollbacks_leave_no_gap_and_give_no_number_twice(by):
    """The whole service: freeze, seal, number, event; three in ten of the transactions fail."""
    drafts = many_quotes(by, ISSUERS * EACH)
    dice = random.Random(7)
    fails = {quote.pk: dice.random() < 0.3 for quote in drafts}
    assert 0 < sum(fails.values()) < len(drafts) / 2

    def issue(number: int) -> list[str]:
        given = []
        for quote in drafts[number * EACH : number * EACH + EACH]:
            try:
                with transaction.atomic():
                    revision = quotes.quote_issue(by=by, quote=quote)
                    if fails[quote.pk]:
                        raise RolledBack
            except RolledBack:
                continue
            given.append(revision.number)
        return given

    answers_given = at_once(issue, ISSUERS)
    assert not [each for each in answers_given if isinstance(each, Exception)], answers_given
    given = [number for each in answers_given for number in each]
    committed = len(drafts) - sum(fails.values())
    year = timezone.localdate().year
    assert sorted(given) == [f"{year}-{number:04d}" for number in range(1, committed + 1)]
    assert NumberSeries.objects.get().last == committed
    assert sorted(Revision.objects.values_list("number", flat=True)) == sorted(given)
    assert RevisionEvent.objects.filter(kind="issued").count() == committed
    for quote in Quote.objects.all():
        assert (quote.number is None) == quote.is_open == fails[quote.pk]
    assert list(verify_all()) == []


def test_one_quote_issued_by_many_at_once_is_issued_once(by):
    quote = a_quote(by=by)
    given = at_once(lambda _n: quotes.quote_issue(by=by, quote=quote))
    assert sum(isinstance(each, Revision) for each in given) == 1, given
    assert sum(isinstance(each, Refusal) for each in given) == len(given) - 1, given
    assert Revision.objects.count() == RevisionEvent.objects.count() == 1
    assert NumberSeries.objects.get().last == 1


def an_issue_with_links(by, count: int):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    made = [
        links.link_make(by=by, revision=revision, for_whom=f"{n}", secret=links.new_secret())
        for n in range(count)
    ]
    return revision, made


def accept(revision, link):
    return answers.offer_accept(
        link=link, name=link.for_whom, agrees=True,
        offer_sha256=revision.offer_sha256, terms_version="1",
    )  # fmt: skip


def test_of_many_who_accept_at_once_one_does_and_the_others_are_told(by):
    revision, made = an_issue_with_links(by, 8)
    given = at_once(lambda n: accept(revision, made[n]))
    assert sum(isinstance(each, Acceptance) for each in given) == 1, given
    assert {str(each) for each in given if isinstance(each, Refusal)} == {
        "This offer is accepted already."
    }
    assert Acceptance.objects.count() == 1


@pytest.mark.parametrize("_round", range(3))
def test_a_yes_a_no_and_a_withdrawal_at_once_leave_one_of_them(by, _round):
    revision, made = an_issue_with_links(by, 6)
    quote = Quote.objects.get()

    def answer(number: int):
        if number < 3:
            return accept(revision, made[number])
        if number < 6:
            return answers.offer_decline(link=made[number], reason="no")
        return quotes.quote_withdraw(by=by, quote=quote)

    given = at_once(answer, 8)
    done = [each for each in given if not isinstance(each, Exception)]
    assert len(done) == 1, given
    assert all(isinstance(each, Refusal) for each in given if each not in done), given
    ends = RevisionEvent.objects.exclude(kind="issued")
    assert ends.count() == 1
    assert Acceptance.objects.count() == ends.filter(kind="accepted").count()


def test_a_yes_and_the_next_issue_at_once_never_leave_two_that_count(by):
    revision, made = an_issue_with_links(by, 4)
    quote = Quote.objects.get()
    quotes.quote_revise(by=by, quote=quote)

    def answer(number: int):
        if number < 4:
            return accept(revision, made[number])
        return quotes.quote_issue(by=by, quote=quote)

    given = at_once(answer, 8)
    assert sum(not isinstance(each, Exception) for each in given) == 1, given
    states = Counter(each.state(on=timezone.localdate()) for each in Revision.objects.all())
    assert states in (Counter({"accepted": 1}), Counter({"superseded": 1, "issued": 1}))
    assert list(verify_all()) == []


UNCOUNTED = {Deed, LinkVisit}


def tally() -> Counter:
    """How many rows there are of each kind, and how often they were changed."""
    found: Counter = Counter()
    for label in ("quoting", "consult", "base"):
        for model in apps.get_app_config(label).get_models():
            if model in UNCOUNTED or model.__name__ in {"Presence", "StoredFile"}:
                continue
            found[model.__name__] = model.objects.count()
            if issubclass(model, Versioned):
                summed = model.objects.aggregate(v=Sum("version"))["v"] or 0
                found[f"{model.__name__} version"] = summed
    for state in Outbox.objects.values_list("state", flat=True):
        found[f"letters {state}"] += 1
    return found


def sent(name: str, desk: Desk, times: int) -> tuple[list, Counter]:
    """What a press changes when it is sent so many times at once with the key of one page."""
    args, given = PRESSES[name](desk)
    where, key = reverse(f"quoting:{name}", args=args), str(uuid.uuid4())
    before = tally()

    def press(_number: int):
        web = Client() if name.startswith("offer_") else logged_in(desk.by)
        return web.post(where, {**given, "key": key}).status_code

    if times == 1:  # in a transaction that is undone: what waits for its end is done at once
        with TestCase.captureOnCommitCallbacks(execute=True):
            answered = [press(0)]
    else:
        answered = at_once(press, times)
    after = tally()
    after.subtract(before)
    return answered, Counter({what: n for what, n in after.items() if n})


@pytest.mark.parametrize("name", sorted(PRESSES))
def test_a_press_sent_twice_at_once_has_the_effect_of_one(name):
    with transaction.atomic():
        _answered, once = sent(name, Desk(), 1)
        transaction.set_rollback(True)
    answered, twice = sent(name, Desk(), 2)
    gone = {404} if name.endswith(("_remove", "_discard", "_clear", "_drop")) else set()
    assert set(answered) <= {200, 302} | gone, answered
    assert once, "the press did nothing"
    assert twice == once
