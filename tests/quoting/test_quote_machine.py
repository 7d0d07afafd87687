"""A quote's life as a state machine: whatever is tried in whatever order, the rules hold."""

import datetime

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)

from base.deeds import Refusal
from quoting.models import Acceptance, Link, Quote, Revision
from quoting.services import answers, quotes
from quoting.verifying import flaws_of
from tests.factories import PersonFactory, a_quote

pytestmark = pytest.mark.django_db


class QuoteLife(RuleBasedStateMachine):
    """The model: whether the quote is open, and the state of each issue, oldest first.

    An issue that nobody answered is `issued` in the model; whether it has expired follows from the
    model's own day and the day until which it holds.
    """

    def __init__(self) -> None:
        super().__init__()
        self.room = transaction.atomic()
        self.room.__enter__()
        self.today = timezone.localdate()
        self.clock = pytest.MonkeyPatch()
        self.clock.setattr(timezone, "localdate", lambda *_given: self.today)

    def teardown(self) -> None:
        self.clock.undo()
        transaction.set_rollback(True)
        self.room.__exit__(None, None, None)

    @initialize()
    def begin(self) -> None:
        self.by = PersonFactory(role="manager")
        self.quote = a_quote(by=self.by)
        self.is_open, self.states, self.until = True, [], []

    def state_at(self, place: int) -> str:
        """The state of an issue on the model's day."""
        state = self.states[place]
        return "expired" if state == "issued" and self.today > self.until[place] else state

    @rule(days=st.sampled_from([1, 29, 30]))  # a quote holds for 30: its last day is met
    def days_go_by(self, days: int) -> None:
        self.today += datetime.timedelta(days=days)

    def tried(self, deed, *, may: bool, **given) -> None:
        """The deed works exactly where the model says that it may."""
        try:
            with transaction.atomic():
                deed(**given)
        except Refusal:
            assert not may, deed.__name__
        else:
            assert may, deed.__name__

    def newest(self) -> Revision | None:
        return Revision.objects.filter(quote=self.quote).order_by("-order").first()

    def link_of(self, revision: Revision) -> Link:
        return Link.objects.create(
            revision=revision, for_whom="Ida",
            expires_at=timezone.now() + datetime.timedelta(days=9),
        )  # fmt: skip

    @rule()
    def issue(self) -> None:
        may = self.is_open and "accepted" not in self.states
        self.tried(quotes.quote_issue, may=may, by=self.by, quote=self.quote)
        if may:
            if self.states and self.states[-1] == "issued":
                self.states[-1] = "superseded"
            self.states.append("issued")
            self.until.append(self.today + datetime.timedelta(days=self.quote.validity_days))
            self.is_open = False

    @rule()
    def revise(self) -> None:
        may = not self.is_open and self.states[-1] != "accepted"
        self.tried(quotes.quote_revise, may=may, by=self.by, quote=self.quote)
        self.is_open = self.is_open or may

    @rule()
    def withdraw(self) -> None:
        may = bool(self.states) and self.states[-1] == "issued"
        self.tried(quotes.quote_withdraw, may=may, by=self.by, quote=self.quote)
        if may:
            self.states[-1] = "withdrawn"

    @rule(which=st.integers(min_value=0, max_value=5), says_yes=st.booleans())
    def answer(self, which: int, says_yes: bool) -> None:
        if not self.states:
            return
        place = which % len(self.states)
        revision = Revision.objects.get(quote=self.quote, order=place + 1)
        may = self.state_at(place) == "issued"
        link = self.link_of(revision)
        if says_yes:
            self.tried(
                answers.offer_accept, may=may, link=link, name="Ida", agrees=True,
                offer_sha256=revision.offer_sha256, terms_version="1",
            )  # fmt: skip
        else:
            self.tried(answers.offer_decline, may=may, link=link, reason="")
        if may:
            self.states[place] = "accepted" if says_yes else "declined"

    @rule()
    def add_a_line(self) -> None:
        self.tried(
            quotes.line_add, may=self.is_open, by=self.by, quote=self.quote,
            description="More", quantity=1, unit_price=1,
        )  # fmt: skip

    @rule()
    def discard(self) -> None:
        if self.states:  # a draft that was never issued would be gone, and the life with it
            self.tried(quotes.quote_discard, may=False, by=self.by, quote=self.quote)

    @invariant()
    def each_issue_is_in_the_state_it_should_be(self) -> None:
        if not hasattr(self, "quote"):
            return
        found = Revision.objects.filter(quote=self.quote).order_by("order")
        states = [self.state_at(place) for place in range(len(self.states))]
        assert [each.state(on=self.today) for each in found] == states
        listed = Quote.objects.with_state(on=self.today).get(pk=self.quote.pk)
        assert listed.state_now == (states[-1] if states else "draft")
        assert Quote.objects.get(pk=self.quote.pk).is_open == self.is_open
        assert Acceptance.objects.filter(revision__quote=self.quote).count() <= 1
        assert sum(state == "issued" for state in self.states) <= 1

    @invariant()
    def every_issue_holds_as_it_was_made(self) -> None:
        if not hasattr(self, "quote"):
            return
        before = None
        for each in Revision.objects.filter(quote=self.quote).order_by("order"):
            assert flaws_of(each, previous=before) == ()
            before = each


def test_a_quotes_life_keeps_its_rules_whatever_is_tried() -> None:
    checks = [HealthCheck.too_slow, HealthCheck.function_scoped_fixture]
    run_state_machine_as_test(
        QuoteLife,
        settings=settings(
            max_examples=25, stateful_step_count=15, deadline=None, suppress_health_check=checks
        ),
    )
