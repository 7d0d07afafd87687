"""Payment falls due in stages: with the order, on delivery, on completion; to the penny."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from base.deeds import Refusal
from base.models import Business
from quoting.issued import read_offer
from quoting.models import QuotingRules
from quoting.offer_check import check_offer
from quoting.paying import account_of
from quoting.releasing import pack_stand
from quoting.services import links, payments, quotes
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_project, a_quote
from tests.quoting.test_variations import order

pytestmark = pytest.mark.django_db

SECRET = "of-the-client"


@pytest.fixture
def by():
    return PersonFactory(role="office", name="Nell Quill")


def issued(by, deposit="0.4", delivery="0.35"):
    quote = a_quote(by=by)
    quotes.quote_change(
        by=by, quote=quote, deposit_share=Decimal(deposit), delivery_share=Decimal(delivery)
    )
    return quotes.quote_issue(by=by, quote=quote)


def test_three_stages_add_up_to_the_total(by):
    offer = read_offer(issued(by))
    told = [(each.kind, str(each.amount), each.due) for each in offer.stages]
    assert told == [
        ("deposit", "258.72", "with the order"),
        ("delivery", "226.38", "on delivery of the goods"),
        ("balance", "161.70", "on completion"),
    ]
    assert sum(each.amount for each in offer.stages) == offer.totals.gross
    assert check_offer(offer=offer) == ()


def test_a_stage_of_nothing_is_not_told(by):
    assert [each.kind for each in read_offer(issued(by, "0", "0.5")).stages] == [
        "delivery",
        "balance",
    ]


def test_the_client_reads_each_stage_and_its_account_follows_them(by):
    revision = issued(by)
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=SECRET)
    page = Client().get(reverse("quoting:offer", args=[SECRET]))
    assert [each.text.split()[0] for each in all_of(page, ".stages dd")] == [
        "£258.72",
        "£226.38",
        "£161.70",
    ]
    order(by, revision)
    assert [each.name for each in account_of(revision).stages] == ["Deposit", "Delivery", "Balance"]


def test_goods_do_not_wait_for_what_is_due_on_their_delivery(by):
    QuotingRules.objects.create(pack_goes="deposit")
    later, first = issued(by, "0", "0.5"), issued(by, "0.4", "0.4")
    for each in (later, first):
        order(by, each)
    assert not pack_stand(later).is_held
    assert pack_stand(first).is_held
    payments.payment_enter(
        by=by, revision=first, amount=Decimal("258.72"), day=first.issued_at.date(), how="cheque"
    )
    assert not pack_stand(first).is_held


def test_new_quotes_ask_what_the_rules_say_and_never_more_than_the_whole(by):
    Business.objects.current()
    Business.objects.update(deposit_share=Decimal("0.7"))
    QuotingRules.objects.create(delivery_share=Decimal("0.5"))
    made = quotes.quote_start(by=by, project=a_project(by=by))
    assert (made.deposit_share, made.delivery_share) == (Decimal("0.7"), Decimal("0.3"))


def test_more_than_the_whole_is_refused_and_nothing_is_kept(by):
    quote = a_quote(by=by)
    with pytest.raises(Refusal, match="at most 100 % together"):
        quotes.quote_change(
            by=by, quote=quote, deposit_share=Decimal("0.6"), delivery_share=Decimal("0.5")
        )
    given = {"discount_share": "0", "deposit_share": "60", "delivery_share": "50"}
    given |= {"validity_days": "30", "delivery": "supply_only", "sell_by": "list", "seen": "1"}
    page = logged_in(by).post(reverse("quoting:quote_change", args=[quote.pk]), given)
    assert "at most 100 % together" in page.content.decode()
    assert one(page, "input[name=delivery_share]")["value"] == "50"
    quote.refresh_from_db()
    assert (quote.deposit_share, quote.delivery_share) != (Decimal("0.6"), Decimal("0.5"))
