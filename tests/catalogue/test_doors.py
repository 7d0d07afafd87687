"""Who may open and change what: strangers, designers, wrong methods, rows that are not there."""

import uuid

import pytest

from catalogue import services
from catalogue.models import Family, LabourRate, Product, ProductPrice, Supplier
from tests.catalogue.sent import TODAY, a_price, a_sheet, made

NOBODY = uuid.UUID(int=7)
PRODUCT_DEEDS = ["copy", "discontinue", "sell-again", "picture", "price"]
OPEN_TO_DESIGNERS = ["/catalogue/", "/catalogue/suggest/?q=a", "/catalogue/families/"]
KEPT_PAGES = [
    "/catalogue/add/",
    "/catalogue/add/driver/",
    "/catalogue/suppliers/",
    "/catalogue/suppliers/add/",
    "/catalogue/families/add/",
    *[
        f"/catalogue/figures/{what}/{deed}"
        for what in ("norms", "rates", "taxes")
        for deed in ("", "set/")
    ],
]


@pytest.mark.parametrize("url", [*OPEN_TO_DESIGNERS, *KEPT_PAGES])
@pytest.mark.django_db
def test_a_stranger_is_sent_to_the_log_in(client, url):
    assert client.get(url)["Location"].startswith("/account/login/")


@pytest.mark.parametrize("url", OPEN_TO_DESIGNERS)
def test_a_designer_may_look(designer_client, url):
    assert designer_client.get(url).status_code == 200


@pytest.mark.parametrize("url", KEPT_PAGES)
def test_what_the_office_keeps_is_not_for_designers(designer_client, manager_client, url):
    assert designer_client.get(url).status_code == 403
    assert designer_client.post(url, {}).status_code in (403, 405)
    assert manager_client.get(url).status_code == 200


def test_a_designer_changes_no_product(designer_client):
    product = made()
    for deed in [*PRODUCT_DEEDS, "edit"]:
        url = f"/catalogue/product/{product.pk}/{deed}/"
        assert designer_client.post(url, {"seen": "1"}).status_code == 403
    after = Product.objects.get(pk=product.pk)
    assert after.version == 1 and Product.objects.count() == 1


def test_a_deed_is_a_post(manager_client):
    product = made()
    for deed in PRODUCT_DEEDS:
        assert manager_client.get(f"/catalogue/product/{product.pk}/{deed}/").status_code == 405
    assert manager_client.post("/catalogue/").status_code == 405
    assert manager_client.post(product.get_absolute_url()).status_code == 405


def test_a_row_that_is_not_there_is_no_page(manager_client):
    for deed in [*PRODUCT_DEEDS, "edit"]:
        assert manager_client.post(f"/catalogue/product/{NOBODY}/{deed}/").status_code == 404
    other = made()
    price = ProductPrice.objects.get()
    third = made(reference="QY-3")
    for url in (
        f"/catalogue/product/{third.pk}/price/{price.pk}/remove/",
        f"/catalogue/product/{other.pk}/price/{NOBODY}/remove/",
        f"/catalogue/suppliers/{NOBODY}/",
        f"/catalogue/families/{NOBODY}/",
        f"/catalogue/figures/norms/{NOBODY}/take-back/",
        "/catalogue/figures/feelings/",
    ):
        assert manager_client.post(url, {"seen": "1"}).status_code in (404, 405), url
    assert manager_client.get("/catalogue/figures/feelings/").status_code == 404


@pytest.mark.django_db
def test_deeds_themselves_refuse_who_does_not_keep_the_catalogue(designer):
    product = made()
    supplier = Supplier.objects.create(name="Ebb")
    family = Family.objects.create(name="Flow")
    price = product.prices.get()
    rate = LabourRate.objects.create(grade="mate", from_day=TODAY, cost=1, sell=2)
    fields = {"grade": "mate", "from_day": TODAY, "cost": 1, "sell": 2}
    for deed, given in (
        (services.add_product, {"sheet": a_sheet(reference="X")}),
        (services.change_product, {"product": product, "sheet": a_sheet(name="X")}),
        (services.copy_product, {"product": product, "reference": "X", "name": "X", "today": TODAY, "with_price": True}),
        (services.discontinue, {"product": product}),
        (services.sell_again, {"product": product}),
        (services.change_parts, {"product": product, "parts": []}),
        (services.change_picture, {"product": product, "content": None}),
        (services.set_price, {"product": product, "price": a_price(TODAY), "today": TODAY}),
        (services.start_prices, {"product": product, "prices": []}),
        (services.remove_price, {"product": product, "price": price, "today": TODAY}),
        (services.add_supplier, {"fields": {"name": "X"}}),
        (services.change_supplier, {"supplier": supplier, "fields": {"name": "X"}}),
        (services.add_family, {"name": "X"}),
        (services.rename_family, {"family": family, "name": "X"}),
        (services.set_from_day, {"model": LabourRate, "fields": fields, "today": TODAY}),
        (services.take_back, {"row": rate, "today": TODAY}),
    ):  # fmt: skip
        with pytest.raises(services.NotAllowed, match="office and the manager"):
            deed(by=designer, **given)
