"""Prices hold from a day on. What was valid on a past day never changes."""

import datetime
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from base.deeds import Refusal, Stale
from catalogue import services
from catalogue.models import LabourNorm, LabourRate, Product, ProductPrice, TaxRate
from tests.catalogue.sent import DAY, TODAY, a_price, a_sheet, made
from tests.conftest import all_of, one


def on(product, day):
    price = Product.objects.with_everything().get(pk=product.pk).price_on(day)
    return price and price.sell


# --- the deed -----------------------------------------------------------------------------------
@pytest.mark.django_db
def test_the_price_of_a_day_is_the_newest_not_after_it():
    product = made()
    services.set_price(by=None, product=product, price=a_price(TODAY + DAY), today=TODAY)
    assert on(product, datetime.date(2026, 1, 4)) is None
    assert on(product, TODAY) == Decimal("66.50")
    assert on(product, TODAY + DAY) == 80
    assert on(product, TODAY + 400 * DAY) == 80


@pytest.mark.django_db
def test_a_past_price_is_never_changed_nor_slipped_in():
    product = made()
    for day in (datetime.date(2026, 1, 5), TODAY - DAY):
        with pytest.raises(Refusal, match="past day stays"):
            services.set_price(by=None, product=product, price=a_price(day), today=TODAY)
    assert product.prices.count() == 1 and on(product, TODAY - DAY) == Decimal("66.50")


@pytest.mark.django_db
def test_the_first_price_may_begin_in_the_past():
    product = services.add_product(by=None, sheet=a_sheet())
    services.set_price(by=None, product=product, price=a_price(TODAY - 30 * DAY), today=TODAY)
    assert on(product, TODAY - DAY) == 80


@pytest.mark.django_db
def test_a_price_of_today_is_corrected_in_its_place():
    product = made()
    services.set_price(by=None, product=product, price=a_price(TODAY, sell="70"), today=TODAY)
    services.set_price(by=None, product=product, price=a_price(TODAY, sell="71"), today=TODAY)
    assert on(product, TODAY) == 71 and product.prices.count() == 2


@pytest.mark.django_db
def test_only_a_price_to_come_is_taken_back():
    product = made()
    coming = services.set_price(by=None, product=product, price=a_price(TODAY + DAY), today=TODAY)
    for day in (TODAY + DAY, TODAY + 9 * DAY):
        with pytest.raises(Refusal, match="day has come"):
            services.remove_price(by=None, product=product, price=coming, today=day)
    services.remove_price(by=None, product=product, price=coming, today=TODAY)
    assert product.prices.count() == 1
    with pytest.raises(Refusal, match="another product"):
        other = made(reference="QY-2")
        services.remove_price(by=None, product=other, price=product.prices.get(), today=TODAY)


@pytest.mark.django_db
def test_who_saw_an_older_version_sets_no_price():
    product = made()
    services.set_price(by=None, product=product, price=a_price(TODAY), today=TODAY, seen=1)
    with pytest.raises(Stale):
        services.set_price(
            by=None, product=product, price=a_price(TODAY, sell="9"), today=TODAY, seen=1
        )
    assert on(product, TODAY) == 80


@pytest.mark.django_db
def test_a_history_is_started_once():
    product = services.add_product(by=None, sheet=a_sheet())
    prices = [a_price(TODAY - 90 * DAY, sell="50"), a_price(TODAY, sell="55")]
    services.start_prices(by=None, product=product, prices=prices)
    assert on(product, TODAY - DAY) == 50 and on(product, TODAY) == 55
    with pytest.raises(Refusal, match="has prices already"):
        services.start_prices(by=None, product=product, prices=prices)


@pytest.mark.django_db
def test_the_database_itself_refuses_a_negative_price():
    product = made()
    with pytest.raises(IntegrityError), transaction.atomic():
        ProductPrice.objects.create(product=product, from_day=TODAY, cost=-1, sell=1)


# --- the page -----------------------------------------------------------------------------------
def test_the_page_marks_the_price_of_today_and_sets_another(manager_client):
    product = made()
    today = timezone.localdate()
    values = {"from_day": today + DAY, "cost": "40,17", "sell": "80", "seen": "1"}
    url = f"/catalogue/product/{product.pk}/price/"
    assert manager_client.post(url, values).status_code == 302
    page = manager_client.get(product.get_absolute_url())
    assert "66.50" in one(page, "#prices tr.is-today").text
    assert "80.00" in one(page, "#prices tr:has(.state.pending)").text
    remove = one(page, "#prices tr:has(.state.pending) form")["action"]
    manager_client.post(remove, {"seen": "2"})
    assert product.prices.count() == 1


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"sell": "-1"}, "sell"),
        ({"cost": "NaN"}, "cost"),
        ({"sell": "1e9"}, "sell"),
        ({"sell": "1.23456"}, "sell"),
        ({"sell": ""}, "sell"),
        ({"from_day": "soon"}, "from_day"),
    ],
)
def test_a_price_that_is_none_is_told_at_its_field(manager_client, values, field):
    product = made()
    sent = {"from_day": timezone.localdate(), "cost": "1", "sell": "2", "seen": "1", **values}
    page = manager_client.post(f"/catalogue/product/{product.pk}/price/", sent)
    assert one(page, f"#prices #id_{field}_error").text
    assert product.prices.count() == 1


def test_a_stale_price_page_is_told_so(manager_client):
    product = made()
    services.change_product(by=None, product=product, sheet=a_sheet(name="Other"))
    sent = {"from_day": timezone.localdate(), "cost": "1", "sell": "2", "seen": "1"}
    page = manager_client.post(f"/catalogue/product/{product.pk}/price/", sent)
    assert "Somebody changed this" in one(page, "#prices .errors").text
    assert product.prices.count() == 1


# --- norms, rates, taxes ------------------------------------------------------------------------
NORM = {
    "operation": "second-fix",
    "kind": "fitting",
    "per": "piece",
    "minutes": "18",
    "grade": "electrician",
}
RATE = {"grade": "electrician", "cost": "30", "sell": "55"}
TAX = {"tax_class": "standard", "share": "20"}
DATED = [("norms", LabourNorm, NORM), ("rates", LabourRate, RATE), ("taxes", TaxRate, TAX)]


@pytest.mark.parametrize(("what", "model", "values"), DATED)
def test_a_figure_is_set_from_a_day_shown_and_taken_back(office_client, what, model, values):
    today = timezone.localdate()
    url = f"/catalogue/figures/{what}/"
    answer = office_client.post(f"{url}set/", {**values, "from_day": today})
    assert answer["Location"] == url
    row = model.objects.get()
    assert one(office_client.get(url), "tbody .state.good").text == "Valid today"
    assert office_client.post(f"{url}{row.pk}/take-back/").status_code == 302
    assert not model.objects.exists()


@pytest.mark.parametrize(("what", "model", "values"), DATED)
def test_what_was_valid_on_a_past_day_stays(office_client, what, model, values):
    today = timezone.localdate()
    url = f"/catalogue/figures/{what}/"
    first = today - 20 * DAY
    assert office_client.post(f"{url}set/", {**values, "from_day": first}).status_code == 302
    page = office_client.post(f"{url}set/", {**values, "from_day": today - DAY})
    assert "past day stays" in one(page, ".errors").text
    row = model.objects.get()
    office_client.post(f"{url}{row.pk}/take-back/")
    assert model.objects.count() == 1
    assert office_client.post(f"{url}set/", {**values, "from_day": today}).status_code == 302
    page = office_client.post(f"{url}set/", {**values, "from_day": today})
    assert "from that day already" in one(page, ".errors").text
    assert model.objects.count() == 2


def test_a_norm_without_a_source_says_so(office_client):
    today = timezone.localdate()
    office_client.post("/catalogue/figures/norms/set/", {**NORM, "from_day": today})
    office_client.post(
        "/catalogue/figures/norms/set/",
        {**NORM, "kind": "lamp", "from_day": today, "source": "timed on our own jobs"},
    )
    page = office_client.get("/catalogue/figures/norms/")
    assert one(page, ".state.note").text == "common practice, no source"
    assert "timed on our own jobs" in one(page, "main table").text


def test_no_rate_of_tax_means_exempt(office_client):
    values = {"tax_class": "exempt", "share": "", "from_day": timezone.localdate()}
    office_client.post("/catalogue/figures/taxes/set/", values)
    office_client.post(
        "/catalogue/figures/taxes/set/", {**values, "tax_class": "zero", "share": "0"}
    )
    assert TaxRate.objects.get(tax_class="exempt").share is None
    assert TaxRate.objects.get(tax_class="zero").share == 0
    cells = [
        cell.text for cell in all_of(office_client.get("/catalogue/figures/taxes/"), "td.number")
    ]
    assert cells == ["exempt", "0 %"]


@pytest.mark.parametrize("values", [{"minutes": "-1"}, {"minutes": "NaN"}, {"operation": "dance"}])
def test_a_norm_that_is_none_is_not_kept(office_client, values):
    sent = {**NORM, "from_day": timezone.localdate(), **values}
    page = office_client.post("/catalogue/figures/norms/set/", sent)
    assert len(all_of(page, ".errorlist")) == 1
    assert not LabourNorm.objects.exists()
