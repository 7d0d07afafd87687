"""Money that came in for an order: by stage, to the penny, never changed, receipted."""

import datetime
import uuid
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from quoting.issued import read_offer
from quoting.models import Payment
from quoting.paying import account_of, changed_dues, spread
from quoting.services import payments, quotes, variations
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.test_variations import order, two_more

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="office", name="Nell Quill")


@pytest.fixture
def ordered(by):
    """An order of £646.80 with a deposit of 40 %: £258.72, and £388.08 on completion."""
    quote = a_quote(by=by)
    quotes.quote_change(by=by, quote=quote, deposit_share=Decimal("0.4"))
    revision = quotes.quote_issue(by=by, quote=quote)
    order(by, revision)
    return revision


def pay(by, revision, amount, **values):
    given = {"day": timezone.localdate(), "how": "bank transfer", **values}
    return payments.payment_enter(by=by, revision=revision, amount=Decimal(amount), **given)


def stages(revision):
    return [
        tuple(map(str, (stage.due, stage.received, stage.open)))
        for stage in account_of(revision).stages
    ]


def test_nothing_paid_leaves_every_stage_open(ordered):
    assert stages(ordered) == [("258.72", "0.00", "258.72"), ("388.08", "0.00", "388.08")]
    assert account_of(ordered).due == Decimal("646.80")


def test_what_comes_in_pays_the_stages_in_their_order_to_the_penny(by, ordered):
    pay(by, ordered, "258.71")
    assert stages(ordered)[0] == ("258.72", "258.71", "0.01")
    pay(by, ordered, "100.02")
    assert stages(ordered) == [("258.72", "258.72", "0.00"), ("388.08", "100.01", "288.07")]
    account = account_of(ordered)
    assert (account.received, account.open, account.over) == (
        Decimal("358.73"), Decimal("288.07"), Decimal(0),
    )  # fmt: skip
    assert [str(each.running) for each in account.entries] == ["258.71", "358.73"]


def test_what_is_too_much_is_said(by, ordered, office_client):
    pay(by, ordered, "650.00")
    account = account_of(ordered)
    assert (account.over, account.open) == (Decimal("3.20"), Decimal(0))
    html = office_client.get(ordered.get_absolute_url())
    assert "£3.20 more came in than is due." in one(html, "#payments .notice").text


def test_an_order_without_a_deposit_has_one_stage(by):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    order(by, revision)
    pay(by, revision, "46.80")
    assert stages(revision) == [("646.80", "46.80", "600.00")]


def test_a_variation_counts_with_the_order_and_its_last_stage(by, ordered):
    gain = two_more(by, ordered)
    made = variations.variation_start(by=by, revision=ordered)
    varied = quotes.quote_issue(by=by, quote=made)
    change = varied.gross_total - ordered.gross_total
    assert change > gain > 0
    assert account_of(ordered).due == ordered.gross_total, "not before it is accepted"
    with pytest.raises(Refusal, match="Nobody has accepted"):
        pay(by, varied, "1.00")
    order(by, varied)
    account = account_of(ordered)
    assert account.due == varied.gross_total
    assert account.changed == change
    assert [stage.due for stage in account.stages] == [
        Decimal("258.72"), Decimal("388.08") + change,
    ]  # fmt: skip
    assert pay(by, varied, "5.00").order == ordered
    assert read_offer(varied).stages == ()


@pytest.mark.parametrize(
    ("change", "dues"), [("7", "40 67"), ("-7", "40 53"), ("-70", "30 0"), ("-170", "0 0")]
)
def test_no_stage_falls_below_nothing(change, dues):
    found = changed_dues([Decimal(40), Decimal(60)], Decimal(change))
    assert " ".join(map(str, found)) == dues


def test_spreading_loses_no_coin():
    for received in range(130):
        parts, over = spread([Decimal(40), Decimal(60)], Decimal(received))
        assert sum(parts) + over == received
        assert all(0 <= part <= due for part, due in zip(parts, (40, 60), strict=True))


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"amount": "0"}, "above 0"),
        ({"amount": "-5"}, "above 0"),
        ({"amount": "1e12"}, "above 0"),
        ({"amount": "1.005"}, "whole coins of GBP"),
        ({"how": "  "}, "Say how it came"),
        ({"day": datetime.date(2999, 1, 1)}, "still to come"),
    ],
)
def test_what_is_no_payment_is_refused_with_a_sentence(by, ordered, values, said):
    with pytest.raises(Refusal, match=said):
        pay(by, ordered, **{"amount": "5.00", **values})
    assert not Payment.objects.exists()


def test_no_money_for_an_offer_that_nobody_accepted(by):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    with pytest.raises(Refusal, match="Nobody has accepted"):
        pay(by, revision, "5.00")
    assert account_of(revision) is None


def test_a_designer_enters_no_money(ordered, designer, designer_client):
    with pytest.raises(Refusal, match="office or a manager"):
        pay(designer, ordered, "5.00")
    assert not all_of(designer_client.get(ordered.get_absolute_url()), "#payments form")


def test_a_payment_is_taken_back_by_an_entry_of_its_own_once(by, ordered):
    wrong = pay(by, ordered, "300.00")
    counter = payments.payment_undo(by=by, payment=wrong, reason="entered for the wrong job")
    assert stages(ordered)[0] == ("258.72", "0.00", "258.72")
    account = account_of(ordered)
    assert [str(each.running) for each in account.entries] == ["300.00", "0.00"]
    assert [each.is_undone for each in account.entries] == [True, False]
    with pytest.raises(Refusal, match="taken back already"):
        payments.payment_undo(by=by, payment=wrong, reason="again")
    with pytest.raises(Refusal, match="takes another back"):
        payments.payment_undo(by=by, payment=counter, reason="back again")
    other = pay(by, ordered, "1.00")
    with pytest.raises(Refusal, match="Say why"):
        payments.payment_undo(by=by, payment=other, reason=" ")


def test_the_database_keeps_a_payment_above_nothing_and_as_it_was(by, ordered):
    row = pay(by, ordered, "5.00")
    for act in (lambda: Payment.objects.update(amount=6), row.delete):
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            act()
    with pytest.raises(DatabaseError), transaction.atomic():
        Payment.objects.create(order=ordered, amount=0, day=row.day, how="x", by=by)
    assert Payment.objects.get().amount == 5


# --- pages --------------------------------------------------------------------------------------
def enter(client, revision, **values):
    given = {"amount": "100", "day": "2026-01-05", "how": "cheque", "key": str(uuid.uuid4())}
    return client.post(
        reverse("quoting:payment_enter", args=[revision.pk]), {**given, **values}
    )  # fmt: skip


def test_the_page_takes_a_payment_and_shows_it_by_stage(ordered, office_client):
    answer = enter(office_client, ordered, amount="300,5")
    assert answer["Location"].endswith("#payments")
    row = Payment.objects.get()
    assert (row.amount, row.how, str(row.day)) == (Decimal("300.5"), "cheque", "2026-01-05")
    cells = [
        each.text for each in all_of(office_client.get(ordered.get_absolute_url()), "#payments td")
    ]
    assert cells == [
        "£258.72", "£258.72", "£0.00", "£388.08", "£41.78", "£346.30", "£646.80", "£300.50", "£346.30",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"amount": "lots"}, "Give a number"),
        ({"amount": "0"}, "above 0"),
        ({"day": "2999-01-01"}, "still to come"),
        ({"how": ""}, "required"),
    ],
)
def test_the_page_says_what_is_wrong_and_keeps_what_was_typed(ordered, office_client, values, said):
    html = enter(office_client, ordered, **values).content.decode()
    assert said in one(html, "#payments form.sheet").text
    kept = {"amount": "100", "how": "cheque", **values}
    for name in ("amount", "how"):
        assert one(html, f"#payments [name={name}]").get("value") == kept[name]
    assert not Payment.objects.exists()


def test_the_day_of_a_payment_is_today_unless_one_says_otherwise(ordered, office_client):
    html = office_client.get(ordered.get_absolute_url())
    assert one(html, "#payments [name=day]")["value"] == timezone.localdate().isoformat()


def test_an_issue_that_is_no_order_shows_no_payments(by, office_client):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    assert not all_of(office_client.get(revision.get_absolute_url()), "#payments")


def test_a_variation_points_to_the_order_that_keeps_its_money(by, ordered, office_client):
    two_more(by, ordered)
    varied = quotes.quote_issue(
        by=by, quote=variations.variation_start(by=by, revision=ordered)
    )  # fmt: skip
    order(by, varied)
    html = office_client.get(varied.get_absolute_url())
    assert one(html, "#payments a")["href"] == ordered.get_absolute_url() + "#payments"
    html = office_client.get(ordered.get_absolute_url())
    assert "variations accepted since change it by +£" in one(html, "#payments").text


def test_strangers_see_and_do_nothing(by, ordered, client):
    row = pay(by, ordered, "5.00")
    for name, key in (
        ("payment_enter", ordered.pk), ("payment_undo", row.pk), ("payment_receipt", row.pk),
    ):  # fmt: skip
        where = reverse(f"quoting:{name}", args=[key])
        answer = client.get(where) if name == "payment_receipt" else client.post(where, {})
        assert answer.status_code == 302
        assert "/log-in" in answer["Location"] or "login" in answer["Location"]
    assert Payment.objects.count() == 1


def test_an_unknown_payment_is_no_page(office_client):
    for name in ("payment_undo", "payment_receipt"):
        where = reverse(f"quoting:{name}", args=[uuid.uuid4()])
        assert (office_client.post if name == "payment_undo" else office_client.get)(
            where
        ).status_code == 404


def test_the_page_asks_no_more_of_the_database_for_more_payments(
    by, ordered, office_client, queries
):
    pay(by, ordered, "1.00")
    office_client.get(ordered.get_absolute_url())
    few = queries(lambda: office_client.get(ordered.get_absolute_url()))
    for _each in range(4):
        pay(by, ordered, "1.00")
    assert queries(lambda: office_client.get(ordered.get_absolute_url())) == few
