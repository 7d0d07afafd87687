"""Goods are sold by a margin, a mark-up or the list: by product, by kind, by supplier, by quote."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from catalogue.models import Product
from quoting.drafting import draft_of
from quoting.models import Quote, QuotingRules, SellingRule
from quoting.services import quotes, rules
from tests.conftest import all_of, one
from tests.factories import PersonFactory, SupplierFactory, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def quote(by):
    return a_quote(by=by)


@pytest.fixture
def product(quote):
    """The fitting of the quote, with its supplier."""
    line = fitting(quote)
    Product.objects.filter(reference=line.bill.reference).update(supplier=SupplierFactory())
    found = Product.objects.select_related("supplier").get(reference=line.bill.reference)
    assert line.unit_cost > 0
    return found


def fitting(quote):
    quote = Quote.objects.get(pk=quote.pk)
    return next(each for each in draft_of(quote).lines if each.key.startswith("fitting"))


def in_days(days):
    return timezone.localdate() + timedelta(days=days)


def a_rule(by, scope, about, sell_by="margin", share="0.5", days=0):
    return rules.selling_rule_set(
        by=by, scope=scope, about=about, sell_by=sell_by, share=share and Decimal(share),
        from_day=in_days(days),
    )  # fmt: skip


def a_rule_of_long_ago(scope, about, sell_by="markup", share="4", day=date(2024, 3, 1)):
    """As one that was set on its day: none is set for a past one."""
    return SellingRule.objects.create(
        scope=scope, about=about, sell_by=sell_by, share=share and Decimal(share), from_day=day
    )


def test_the_nearest_rule_decides_product_kind_supplier_then_quote(by, quote, product):
    cost, listed = fitting(quote).unit_cost, fitting(quote).unit_price

    def times():
        return fitting(quote).unit_price / cost

    quotes.quote_change(by=by, quote=quote, sell_by="markup", sell_share=Decimal(1))
    assert times() == 2
    a_rule(by, "supplier", product.supplier.name, "markup", "2")
    assert times() == 3
    a_rule(by, "kind", product.kind, "margin", "0.75")
    assert times() == 4
    a_rule(by, "product", product.reference, "markup", "4")
    assert times() == 5
    a_rule(by, "product", product.reference, "list", None)
    assert fitting(quote).unit_price == listed


def test_a_rule_is_of_every_quote_until_it_is_ended(by, quote, product):
    before = fitting(quote).unit_price
    a_rule(by, "kind", product.kind, "markup", "9")
    other = quotes.quote_start(by=by, project=quote.project)
    assert fitting(other).unit_price == fitting(quote).unit_price == 10 * fitting(quote).unit_cost
    a_rule(by, "kind", product.kind, "none", None, days=3)
    assert fitting(quote).unit_price != before
    quotes.quote_change(by=by, quote=quote, priced_on=in_days(3))
    assert fitting(quote).unit_price == before
    assert fitting(other).unit_price == 10 * fitting(other).unit_cost


def test_a_draft_is_priced_by_the_rule_of_its_day(by, quote, product):
    cost, listed = fitting(quote).unit_cost, fitting(quote).unit_price
    a_rule_of_long_ago("product", product.reference)
    a_rule_of_long_ago("product", product.reference, share="6", day=date(2025, 3, 1))
    a_rule(by, "product", product.reference, "markup", "8")
    a_rule(by, "product", product.reference, "markup", "9", days=5)

    def at(day):
        quotes.quote_change(by=by, quote=quote, priced_on=day)
        return fitting(quote).unit_price

    product.prices.update(from_day=date(2020, 1, 1))
    days = [date(2024, 2, 29), date(2024, 3, 1), date(2025, 2, 28), date(2025, 3, 1)]
    assert [at(day) for day in days] == [listed, 5 * cost, 5 * cost, 7 * cost]
    days = [in_days(-1), None, in_days(4), in_days(5)]
    assert [at(day) for day in days] == [7 * cost, 9 * cost, 9 * cost, 10 * cost]


def test_a_new_rule_leaves_quotes_of_an_earlier_day_and_issues_as_they_are(by, quote, product):
    product.prices.update(from_day=date(2020, 1, 1))
    issued = quotes.quote_issue(by=by, quote=quotes.quote_start(by=by, project=quote.project))
    content, before = bytes(issued.offer), fitting(quote).unit_price
    quotes.quote_change(by=by, quote=quote, priced_on=in_days(-1))
    assert fitting(quote).unit_price == before
    a_rule(by, "product", product.reference, "markup", "9")
    assert fitting(quote).unit_price == before
    today = quotes.quote_start(by=by, project=quote.project)
    assert fitting(today).unit_price == 10 * fitting(today).unit_cost
    issued.refresh_from_db()
    assert bytes(issued.offer) == content


def test_a_rule_that_is_ended_leaves_the_next_nearest(by, quote, product):
    a_rule(by, "kind", product.kind, "markup", "2")
    a_rule_of_long_ago("product", product.reference)
    assert fitting(quote).unit_price == 5 * fitting(quote).unit_cost
    a_rule(by, "product", product.reference, "none", None)
    assert fitting(quote).unit_price == 3 * fitting(quote).unit_cost


def test_a_rule_of_today_is_put_right_and_one_to_come_is_taken_back(by, product):
    a_rule(by, "kind", product.kind, "markup", "2")
    a_rule(by, "kind", product.kind, "markup", "3")
    row = a_rule(by, "kind", product.kind, "markup", "4", days=1)
    assert [each.share for each in SellingRule.objects.all()] == [4, 3]
    rules.selling_rule_remove(by=by, row=row)
    a_rule(by, "kind", "lamp")
    a_rule(by, "kind", "lamp", "none", None)
    assert set(SellingRule.objects.on(in_days(0))) == {("kind", product.kind)}
    SellingRule.objects.filter(about="lamp").delete()
    (left,) = SellingRule.objects.all()
    with pytest.raises(Refusal, match="Its day has come"):
        rules.selling_rule_remove(by=by, row=left)
    assert SellingRule.objects.get().share == 3


def test_the_rules_of_a_past_day_stay(by, product):
    a_rule_of_long_ago("kind", product.kind)
    with pytest.raises(Refusal, match="Choose today or later"):
        a_rule(by, "kind", product.kind, days=-1)
    assert SellingRule.objects.get().share == 4


def test_nothing_is_ended_that_does_not_hold(by, product):
    for days in (0, 2):
        with pytest.raises(Refusal, match="no rule on 'fitting' to end"):
            a_rule(by, "kind", "fitting", "none", None, days=days)
    a_rule(by, "kind", "fitting", days=2)
    with pytest.raises(Refusal, match="no rule on 'fitting' to end"):
        a_rule(by, "kind", "fitting", "none", None, days=1)
    a_rule(by, "kind", "fitting", "none", None, days=3)
    with pytest.raises(Refusal, match="no rule on 'fitting' to end"):
        a_rule(by, "kind", "fitting", "none", None, days=4)


def test_labour_and_what_has_no_cost_keep_their_price(by, quote, product):
    labour = [x.unit_price for x in draft_of(quote).lines if x.section == "labour"]
    a_rule(by, "supplier", product.supplier.name, "markup", "9")
    assert [x.unit_price for x in draft_of(quote).lines if x.section == "labour"] == labour
    listed = fitting(a_quote(by=by)).bill.unit_sell
    product.prices.update(cost=0)
    assert fitting(quote).unit_price == listed


def test_worked_out_prices_go_to_the_businesss_taste(by, quote, product):
    QuotingRules.objects.create(taste_step=Decimal(1), taste_ending=Decimal("0.95"))
    a_rule(by, "product", product.reference, "margin", "0.37")
    assert str(fitting(quote).unit_price).endswith(".95")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("product", "NO-SUCH-THING", "margin", "0.4"), "no 'NO-SUCH-THING'"),
        (("kind", "spaceship", "margin", "0.4"), "no 'spaceship'"),
        (("supplier", "Nobody", "margin", "0.4"), "no 'Nobody'"),
        (("planet", "fitting", "margin", "0.4"), "no 'fitting'"),
        (("kind", "fitting", "margin", "1"), "below 100 %"),
        (("kind", "fitting", "markup", "-0.1"), "from 0 to 900 %"),
        (("kind", "fitting", "markup", "NaN"), "from 0 to 900 %"),
        (("kind", "fitting", "margin", None), "Say the margin"),
        (("kind", "fitting", "list", "0.4"), "Say the margin"),
        (("kind", "fitting", "none", "0.4"), "Say the margin"),
    ],
)
def test_a_bad_rule_is_refused_with_a_sentence(by, given, said):
    with pytest.raises(Refusal, match=said):
        a_rule(by, *given)
    assert not SellingRule.objects.exists()


def test_the_database_keeps_no_margin_of_all_of_it():
    with pytest.raises(IntegrityError), transaction.atomic():
        SellingRule.objects.create(scope="kind", about="fitting", sell_by="margin", share=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        SellingRule.objects.create(scope="kind", about="fitting", sell_by="none", share=0)
    a_rule_of_long_ago("kind", "fitting")
    with pytest.raises(IntegrityError), transaction.atomic():
        a_rule_of_long_ago("kind", "fitting", share="5")


def test_only_a_manager_sets_or_removes_one(by, office):
    row = a_rule(by, "kind", "fitting", days=1)
    for press in (
        lambda: a_rule(office, "kind", "lamp"),
        lambda: rules.selling_rule_remove(by=office, row=row),
    ):
        with pytest.raises(Refusal, match="Only a manager"):
            press()


def test_the_page_sets_shows_and_removes_a_rule_where_no_client_is(manager_client, product):
    page = reverse("quoting:rules")
    assert not all_of(manager_client.get(page), "#ways table")
    manager_client.post(reverse("consult:visit"), {"client": "away", "next": "/"})
    where = reverse("quoting:selling_rule_set")
    today, later = in_days(0).isoformat(), in_days(9).isoformat()
    assert one(manager_client.get(page), "#ways input[name=from_day]")["value"] == today
    given = {"place": f"supplier|{product.supplier.name}", "sell_by": "margin", "share": "42,5"}
    assert manager_client.post(where, {**given, "from_day": today}).status_code == 302
    given = {"reference": product.reference, "sell_by": "list", "share": "", "from_day": later}
    assert manager_client.post(where, given).status_code == 302
    a_rule_of_long_ago("supplier", product.supplier.name)
    told = [row.text for row in all_of(manager_client.get(page), "#ways tbody tr")]
    by_product, by_supplier, before = told
    assert "a margin on the cost, 42.5 %" in by_supplier
    assert "Valid today" in by_supplier
    assert product.reference in by_product
    assert "sell price" in by_product
    assert "To come" in by_product
    assert "1 Mar 2024Past" in before
    assert ["Take back" in each for each in told] == [True, False, False]
    row = SellingRule.objects.get(scope="product")
    manager_client.post(reverse("quoting:selling_rule_remove", args=[row.pk]))
    assert not SellingRule.objects.filter(scope="product").exists()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"share": "40"}, "Choose a kind or a supplier, or write a reference"),
        ({"share": "40", "place": "kind|lamp", "reference": "X"}, "or write a reference"),
        ({"share": "100", "place": "kind|lamp"}, "A margin is below 100 %."),
        ({"share": "", "place": "kind|lamp"}, "Say how much."),
        ({"share": "40", "reference": "NO-SUCH"}, "There is no &#x27;NO-SUCH&#x27;"),
        ({"share": "40", "place": "kind|lamp", "from_day": "2024-03-01"}, "Choose today or later."),
        ({"share": "40", "place": "kind|lamp", "from_day": "soon"}, "Enter a valid date."),
        ({"share": "", "place": "kind|lamp", "sell_by": "none"}, "to end."),
    ],
)
def test_what_was_typed_stays_beside_what_is_wrong(manager_client, given, said):
    manager_client.post(reverse("consult:visit"), {"client": "away", "next": "/"})
    where = reverse("quoting:selling_rule_set")
    given = {"sell_by": "margin", "from_day": in_days(0).isoformat(), **given}
    page = manager_client.post(where, given)
    assert said in page.content.decode()
    assert one(page, "#ways input[name=share]").get("value", "") == given["share"]
    assert one(page, "#ways input[name=from_day]").get("value", "") == given["from_day"]
    assert not SellingRule.objects.exists()


def test_a_factor_that_is_wrong_keeps_what_was_typed(manager_client):
    where = reverse("quoting:factor_set")
    page = manager_client.post(where, {"what": "height", "factor": "1.7", "up_to_m": ""})
    assert "A height belongs to" in page.content.decode()
    assert one(page, "#factors input[name=factor]")["value"] == "1.7"


def test_overruling_a_line_tells_the_price_that_the_rule_gives(by, quote, product, manager_client):
    a_rule(by, "product", product.reference, "markup", "4")
    line = fitting(quote)
    page = manager_client.get(reverse("quoting:override", args=[quote.pk]), {"line": line.key})
    assert f"price each £{line.unit_price:.2f}" in page.content.decode()
