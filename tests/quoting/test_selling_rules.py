"""Goods are sold by a margin, a mark-up or the list: by product, by kind, by supplier, by quote."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

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


def a_rule(by, scope, about, sell_by="margin", share="0.5"):
    return rules.selling_rule_set(
        by=by, scope=scope, about=about, sell_by=sell_by, share=share and Decimal(share)
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


def test_a_rule_is_of_every_quote_and_goes_with_its_removal(by, quote, product):
    before = fitting(quote).unit_price
    row = a_rule(by, "kind", product.kind, "markup", "9")
    other = quotes.quote_start(by=by, project=quote.project)
    assert fitting(other).unit_price == fitting(quote).unit_price == 10 * fitting(quote).unit_cost
    rules.selling_rule_remove(by=by, row=row)
    assert fitting(quote).unit_price == before


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
    ],
)
def test_a_bad_rule_is_refused_with_a_sentence(by, given, said):
    with pytest.raises(Refusal, match=said):
        a_rule(by, *given)
    assert not SellingRule.objects.exists()


def test_the_database_keeps_no_margin_of_all_of_it():
    with pytest.raises(IntegrityError), transaction.atomic():
        SellingRule.objects.create(scope="kind", about="fitting", sell_by="margin", share=1)


def test_only_a_manager_sets_or_removes_one(by, office):
    row = a_rule(by, "kind", "fitting")
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
    given = {"place": f"supplier|{product.supplier.name}", "sell_by": "margin", "share": "42,5"}
    assert manager_client.post(where, given).status_code == 302
    given = {"reference": product.reference, "sell_by": "list", "share": ""}
    assert manager_client.post(where, given).status_code == 302
    told = [row.text for row in all_of(manager_client.get(page), "#ways tbody tr")]
    assert any("a margin on the cost, 42.5 %" in each for each in told)
    assert any(product.reference in each and "sell price" in each for each in told)
    row = SellingRule.objects.get(scope="product")
    manager_client.post(reverse("quoting:selling_rule_remove", args=[row.pk]))
    assert SellingRule.objects.count() == 1


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"share": "40"}, "Choose a kind or a supplier, or write a reference"),
        ({"share": "40", "place": "kind|lamp", "reference": "X"}, "or write a reference"),
        ({"share": "100", "place": "kind|lamp"}, "A margin is below 100 %."),
        ({"share": "", "place": "kind|lamp"}, "Say how much."),
        ({"share": "40", "reference": "NO-SUCH"}, "There is no &#x27;NO-SUCH&#x27;"),
    ],
)
def test_what_was_typed_stays_beside_what_is_wrong(manager_client, given, said):
    manager_client.post(reverse("consult:visit"), {"client": "away", "next": "/"})
    where = reverse("quoting:selling_rule_set")
    page = manager_client.post(where, {"sell_by": "margin", **given})
    assert said in page.content.decode()
    assert one(page, "#ways input[name=share]").get("value", "") == given["share"]
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
