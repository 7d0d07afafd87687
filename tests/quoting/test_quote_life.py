"""From a design to an accepted quote, and every way in which a step is refused."""

import datetime
import json
from decimal import Decimal

import pytest
from django.utils import timezone

from base.deeds import Refusal
from consult.models import Circuit
from consult.services import circuits
from quoting.drafting import draft_of
from quoting.frozen import verify
from quoting.models import Acceptance, Quote, QuoteOverride, Revision
from quoting.services import answers, links, quotes
from tests.factories import PersonFactory, a_product, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def quote(by):
    return a_quote(by=by)


def a_link(by, revision, **values):
    secret = links.new_secret()
    return links.link_make(by=by, revision=revision, for_whom="Ida Marrow", secret=secret, **values)


def accept(link, **values):
    given = {
        "link": link, "name": "Ida Marrow", "agrees": True,
        "offer_sha256": link.revision.offer_sha256, "terms_version": "1", **values,
    }  # fmt: skip
    return answers.offer_accept(**given)


def test_a_draft_prices_fittings_receiver_and_labour(quote):
    draft = draft_of(quote)
    found = {line.bill.source: (line.quantity, line.unit_price, line.net) for line in draft.lines}
    # 6 × 44.00; 1 × 171.00; 6 × 20 min = 2 h × 52.00.
    assert found == {
        "fitting": (Decimal(6), Decimal("44.00"), Decimal("264.00")),
        "receiver": (Decimal(1), Decimal("171.00"), Decimal("171.00")),
        "labour": (Decimal("2.00"), Decimal("52.00"), Decimal("104.00")),
    }
    assert draft.priced.net_total == Decimal("539.00")
    assert draft.priced.gross_total == Decimal("646.80")
    assert draft.problems == ()


def test_an_issue_has_a_number_a_letter_and_a_seal_that_holds(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    year = timezone.localdate().year
    assert (revision.number, revision.letter) == (f"{year}-0001", "A")
    assert revision.gross_total == Decimal("646.80")
    assert verify(
        offer=bytes(revision.offer),
        internal=bytes(revision.internal),
        previous="",
        sha256=revision.seal,
    )
    damaged = bytes(revision.offer).replace(b"646.80", b"646.90")
    assert damaged != bytes(revision.offer)
    assert not verify(
        offer=damaged, internal=bytes(revision.internal), previous="", sha256=revision.seal
    )


def test_the_offer_holds_no_cost(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    offer, internal = bytes(revision.offer).decode(), bytes(revision.internal).decode()
    for cost in ("21.37", "93.21", "31.10"):
        assert cost in internal
        assert cost not in offer


@pytest.mark.parametrize(
    "change",
    [
        lambda by, quote: quotes.quote_change(by=by, quote=quote, discount_share=Decimal("0.1")),
        lambda by, quote: quotes.line_add(
            by=by, quote=quote, description="Making good", quantity=1, unit_price=Decimal(80)
        ),
        lambda by, quote: quotes.override_set(
            by=by, quote=quote, line_key="x", field="quantity", value="1", reason="r"
        ),
        lambda by, quote: quotes.quote_issue(by=by, quote=quote),
    ],
)
def test_an_issued_quote_refuses_every_change(by, quote, change):
    quotes.quote_issue(by=by, quote=quote)
    with pytest.raises(quotes.QuoteIsIssued, match="cannot be changed"):
        change(by, quote)
    assert Revision.objects.count() == 1


def test_a_revision_follows_with_the_next_letter_and_supersedes(by, quote):
    first = quotes.quote_issue(by=by, quote=quote)
    quotes.quote_revise(by=by, quote=quote)
    quotes.line_add(
        by=by, quote=quote, description="Making good", quantity=1, unit_price=Decimal("80.00")
    )
    second = quotes.quote_issue(by=by, quote=quote)
    today = timezone.localdate()
    assert (second.number, second.letter, second.previous_seal) == (first.number, "B", first.seal)
    assert Revision.objects.get(pk=first.pk).state(on=today) == "superseded"
    assert second.gross_total == first.gross_total + Decimal("96.00")


def test_a_client_accepts_once_and_only_what_was_shown(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    link = a_link(by, revision)
    with pytest.raises(Refusal, match="no longer the one"):
        accept(link, offer_sha256="0" * 64)
    with pytest.raises(Refusal, match="terms"):
        accept(link, agrees=False)
    with pytest.raises(Refusal, match="name"):
        accept(link, name="  ")
    assert not Acceptance.objects.exists()
    accept(link)
    with pytest.raises(Refusal, match="accepted already"):
        accept(link)
    assert Acceptance.objects.get().offer_sha256 == revision.offer_sha256
    with pytest.raises(Refusal, match="accepted"):
        quotes.quote_revise(by=by, quote=quote)


def test_what_was_accepted_while_a_revision_was_open_is_not_issued_over(by, quote):
    link = a_link(by, quotes.quote_issue(by=by, quote=quote))
    quotes.quote_revise(by=by, quote=quote)
    accept(link)
    with pytest.raises(Refusal, match="accepted"):
        quotes.quote_issue(by=by, quote=quote)
    assert Revision.objects.count() == 1


def test_a_link_that_is_revoked_or_over_does_not_accept(by, quote):
    revision = quotes.quote_issue(by=by, quote=quote)
    revoked, over = a_link(by, revision), a_link(by, revision)
    links.link_revoke(by=by, link=revoked)
    over.expires_at = timezone.now() - datetime.timedelta(minutes=1)
    over.save()
    for link in (revoked, over):
        with pytest.raises(Refusal, match="no longer works"):
            accept(link)


def test_an_electricians_link_does_not_accept(by, quote):
    link = a_link(by, quotes.quote_issue(by=by, quote=quote), audience="electrician")
    with pytest.raises(Refusal, match="no longer works"):
        accept(link)


def test_a_withdrawn_offer_is_not_accepted(by, quote):
    link = a_link(by, quotes.quote_issue(by=by, quote=quote))
    quotes.quote_withdraw(by=by, quote=quote)
    with pytest.raises(Refusal, match="withdrawn"):
        accept(link)


def test_an_expired_offer_is_not_accepted(by, quote, monkeypatch):
    revision = quotes.quote_issue(by=by, quote=quote)
    link = a_link(by, revision, days=90)
    day_after = revision.valid_until + datetime.timedelta(days=1)
    monkeypatch.setattr(answers.timezone, "localdate", lambda: day_after)
    with pytest.raises(Refusal, match="expired"):
        accept(link)


def test_a_secret_is_kept_as_its_hash_only(by, quote):
    secret = links.new_secret()
    link = links.link_make(
        by=by, revision=quotes.quote_issue(by=by, quote=quote), for_whom="Ida", secret=secret
    )
    assert links.find_link(secret) == link
    assert links.find_link(secret + "x") is None
    assert secret not in json.dumps([row.digest for row in link.secrets.all()])


def test_an_override_shows_stale_when_the_design_moves_and_orphan_when_the_line_goes(by, quote):
    line = next(x for x in draft_of(quote).lines if x.bill.source == "fitting")
    quotes.override_set(
        by=by, quote=quote, line_key=line.key, field="quantity", value="8", reason="two spare"
    )
    row = next(x for x in draft_of(quote).lines if x.key == line.key)
    assert (row.quantity, row.overrulings[0].is_stale) == (Decimal(8), False)
    fitting = Circuit.objects.get().fittings.get()
    circuits.fitting_change(by=by, fitting=fitting, pieces=9)
    row = next(x for x in draft_of(quote).lines if x.key == line.key)
    assert (row.quantity, row.overrulings[0].is_stale) == (Decimal(8), True)
    circuits.fitting_change(by=by, fitting=fitting, product=a_product())
    draft = draft_of(quote)
    assert [o.key for o in draft.orphans] == [line.key]
    assert QuoteOverride.objects.count() == 1


@pytest.mark.parametrize("value", ["-1", "NaN", "1e12", "many", "Infinity"])
def test_an_absurd_override_is_refused(by, quote, value):
    line = draft_of(quote).lines[0]
    with pytest.raises(Refusal, match="Give a number"):
        quotes.override_set(
            by=by, quote=quote, line_key=line.key, field="quantity", value=value, reason="r"
        )
    assert not QuoteOverride.objects.exists()


def test_a_quote_without_a_price_is_not_issued(by, quote):
    product = a_product(name="Unpriced pendant")
    product.prices.all().delete()
    circuits.fitting_add(by=by, circuit=Circuit.objects.get(), product=product)
    with pytest.raises(Refusal, match="Unpriced pendant has no price"):
        quotes.quote_issue(by=by, quote=quote)
    assert not Revision.objects.exists()
    assert Quote.objects.get().number is None


def test_a_draft_costs_the_same_queries_at_one_room_and_at_twelve(
    by, django_assert_num_queries, django_assert_max_num_queries
):
    small, large = a_quote(by=by), a_quote(by=by, rooms=12)
    draft_of(small)
    with django_assert_max_num_queries(45) as counted:
        draft_of(Quote.objects.get(pk=small.pk))
    with django_assert_num_queries(len(counted)):
        draft_of(Quote.objects.get(pk=large.pk))
