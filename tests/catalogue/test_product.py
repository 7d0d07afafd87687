"""One product: shown, added, changed, copied, discontinued."""

import re
import uuid

import pytest

from catalogue import services
from catalogue.kinds import Kind
from catalogue.models import Product, SearchText
from catalogue.reader import product_spec
from catalogue.sheet import sheet_of
from tests.catalogue.sent import BLOCKS, FEED, made, sent
from tests.conftest import all_of, one

EDIT = "/catalogue/product/{}/edit/"
STORED = [{**FEED, "number": "1"}]


def stored(product):
    return Product.objects.with_everything().get(pk=product.pk)


def test_a_dimming_curve_is_typed_shown_and_read(manager_client):
    technical = {"ip_code": "20", "dimming_curve": "logarithmic"}
    answer = manager_client.post("/catalogue/add/fitting/", sent(technical=technical))
    page = manager_client.get(answer["Location"])
    assert any("IEC 62386-102" in each.text for each in all_of(page, ".title-block dd"))
    product = stored(Product.objects.get())
    assert product_spec(product).fitting.dimming_curve == "logarithmic"
    technical["dimming_curve"] = "steep"
    wrong = manager_client.post("/catalogue/add/fitting/", sent(technical=technical, reference="X"))
    assert "steep" in one(wrong, "main").text
    assert Product.objects.count() == 1


# --- add ----------------------------------------------------------------------------------------
@pytest.mark.parametrize("kind", Kind.values)
def test_a_product_of_every_kind_is_added_and_shown(manager_client, kind):
    changes = {}
    if kind == "lamp":
        changes["technical"] = {"lamp_cap": "E27"}
    if kind in ("tape", "profile", "cable"):
        changes["unit"] = "metre"
    assert manager_client.get(f"/catalogue/add/{kind}/").status_code == 200
    answer = manager_client.post(f"/catalogue/add/{kind}/", sent(kind, **changes))
    assert answer.status_code == 302
    page = manager_client.get(answer["Location"])
    assert one(page, "h1").text == "Quayside downlight"
    assert bool(all_of(page, ".title-block")) is True
    assert SearchText.objects.filter(product__kind=kind).count() == 1
    assert kind not in BLOCKS or hasattr(Product.objects.get(), kind)


def test_the_forms_read_back_what_they_wrote(manager_client):
    """A product that is opened and saved untouched stays as it is."""
    manager_client.post(
        "/catalogue/add/fitting/",
        sent(feeds=[FEED, {**FEED, "name": "down", "watts": "5,25"}], waste_share="7,5"),
    )
    product = Product.objects.get()
    before = sheet_of(stored(product))
    page = manager_client.get(EDIT.format(product.pk))
    data = {}
    for field in all_of(page, "main form input, main form textarea"):
        if (
            field.get("type") in ("checkbox", "radio")
            and "checked" not in field._found.etree_element.attrib
        ):
            continue
        data.setdefault(field.get("name"), []).append(field.get("value") or field.text)
    for choice in all_of(page, "main form select"):
        chosen = choice.all("option[selected]")
        data[choice["name"]] = [chosen[0]["value"]] if chosen else [""]
    assert manager_client.post(EDIT.format(product.pk), data).status_code == 302
    after = sheet_of(stored(product))
    assert after == before and before.feeds[1]["watts"] == 5.25


def test_the_same_key_adds_once(manager_client):
    key = str(uuid.uuid4())
    for _ in range(2):
        answer = manager_client.post("/catalogue/add/accessory/", sent("accessory", key=key))
        assert answer.status_code == 302
    assert Product.objects.count() == 1


def test_an_unknown_kind_is_no_page(manager_client):
    assert manager_client.get("/catalogue/add/gadget/").status_code == 404


# --- change -------------------------------------------------------------------------------------
def test_a_change_is_stored_and_counted(manager_client):
    product = made()
    data = sent(name="Harbour downlight", feeds=STORED, stored=1, seen="1")
    assert manager_client.post(EDIT.format(product.pk), data).status_code == 302
    after = stored(product)
    assert (after.name, after.version) == ("Harbour downlight", 2)
    assert [feed.number for feed in after.feeds.all()] == [1]


def test_the_later_of_two_sees_both_values(manager_client):
    product = made()
    first = sent(name="Harbour downlight", feeds=STORED, stored=1, seen="1")
    manager_client.post(EDIT.format(product.pk), first)
    later = sent(name="Slipway downlight", feeds=STORED, stored=1, seen="1")
    page = manager_client.post(EDIT.format(product.pk), later)
    assert stored(product).name == "Harbour downlight"
    assert "Harbour downlight" in one(page, ".notice.look dl").text
    assert one(page, "#id_name")["value"] == "Slipway downlight"
    again = {**later, "seen": one(page, "main [name=seen]")["value"]}
    assert manager_client.post(EDIT.format(product.pk), again).status_code == 302
    assert stored(product).name == "Slipway downlight"


def test_a_feed_is_added_and_taken_away_and_keeps_its_number(manager_client):
    product = made()
    two = [*STORED, {**FEED, "name": "down"}]
    manager_client.post(EDIT.format(product.pk), sent(feeds=two, stored=1, seen="1"))
    one_left = [
        {**FEED, "number": "1", "DELETE": "on"},
        {**FEED, "number": "2", "name": "down"},
    ]
    answer = manager_client.post(EDIT.format(product.pk), sent(feeds=one_left, stored=2, seen="2"))
    assert answer.status_code == 302
    assert [(f.number, f.name) for f in stored(product).feeds.all()] == [(2, "down")]


def test_bad_input_changes_nothing(manager_client):
    product = made()
    before = sheet_of(stored(product))
    data = sent(name="Other", feeds=[{**STORED[0], "watts": "-4"}], stored=1, seen="1")
    assert manager_client.post(EDIT.format(product.pk), data).status_code == 200
    assert sheet_of(stored(product)) == before


# --- copy ---------------------------------------------------------------------------------------
def test_a_copy_has_the_data_and_the_price_of_today(manager_client):
    product = made(supplier_code="s-91")
    answer = manager_client.post(
        f"/catalogue/product/{product.pk}/copy/",
        {
            "reference": "QY-101",
            "name": "Quayside downlight, black",
            "with_price": "on",
            "seen": "1",
        },
    )
    copy = stored(Product.objects.get(reference="QY-101"))
    assert answer["Location"] == EDIT.format(copy.pk)
    assert copy.feeds.get().watts == product.feeds.get().watts
    assert copy.fitting.ip_code == "44" and copy.supplier_code == ""
    assert [str(price.sell) for price in copy.prices.all()] == ["66.5000"]


def test_a_copy_under_a_taken_reference_is_refused(manager_client):
    product = made()
    page = manager_client.post(
        f"/catalogue/product/{product.pk}/copy/", {"reference": "QY-100", "name": "X", "seen": "1"}
    )
    assert "already a product" in one(page, "details[open] .errorlist").text
    assert Product.objects.count() == 1


# --- discontinue --------------------------------------------------------------------------------
def test_a_discontinued_product_names_what_takes_its_place(manager_client, designer_client):
    old, new = made(), made(reference="QY-200", name="Newer downlight")
    url = f"/catalogue/product/{old.pk}/discontinue/"
    assert manager_client.post(url, {"replaced_by": "qy-200", "seen": "1"}).status_code == 302
    page = designer_client.get(old.get_absolute_url())
    assert one(page, ".notice.stop a")["href"] == new.get_absolute_url()
    assert manager_client.post(url, {"seen": "2"}).status_code == 200
    again = f"/catalogue/product/{old.pk}/sell-again/"
    assert manager_client.post(again, {"seen": "2"}).status_code == 302
    after = stored(old)
    assert not after.is_discontinued and after.replaced_by is None


@pytest.mark.parametrize(
    ("replacement", "words"),
    [
        ("QY-100", "cannot take its own place"),
        ("QY-300", "of the same kind"),
        ("QY-400", "is discontinued too"),
        ("QY-999", "no product with this reference"),
    ],
)
def test_not_everything_can_take_its_place(manager_client, replacement, words):
    old = made()
    Product.objects.create(kind="lamp", reference="QY-300", name="Lamp")
    Product.objects.create(kind="fitting", reference="QY-400", name="Gone", is_discontinued=True)
    url = f"/catalogue/product/{old.pk}/discontinue/"
    page = manager_client.post(url, {"replaced_by": replacement, "seen": "1"})
    assert words in one(page, "#id_replaced_by_error").text
    assert not stored(old).is_discontinued


def test_selling_again_what_is_sold_is_refused_with_a_sentence(manager_client):
    product = made()
    url = f"/catalogue/product/{product.pk}/sell-again/"
    page = manager_client.post(url, {"seen": "1"}, follow=True)
    assert "sold already" in one(page, ".messages .notice.stop").text


# --- picture ------------------------------------------------------------------------------------
def test_a_file_that_is_no_picture_is_refused(manager_client):
    from django.core.files.uploadedfile import SimpleUploadedFile

    product = made()
    url = f"/catalogue/product/{product.pk}/picture/"
    file = SimpleUploadedFile("a.png", b"GIF89a not this one")
    page = manager_client.post(url, {"picture": file, "seen": "1"})
    assert one(page, "#id_picture_error").text
    assert stored(product).picture is None


def test_a_picture_is_put_up_and_taken_away(manager_client):
    from io import BytesIO

    from django.core.files.uploadedfile import SimpleUploadedFile
    from PIL import Image

    bytes_ = BytesIO()
    Image.new("RGB", (8, 8), "white").save(bytes_, "PNG")
    product = made()
    url = f"/catalogue/product/{product.pk}/picture/"
    file = SimpleUploadedFile("a.png", bytes_.getvalue())
    assert manager_client.post(url, {"picture": file, "seen": "1"}).status_code == 302
    shown = one(manager_client.get(product.get_absolute_url()), "main img")
    assert shown["alt"] == product.name
    assert manager_client.post(url, {"remove": "1", "seen": "2"}).status_code == 302
    assert stored(product).picture is None


# --- shown --------------------------------------------------------------------------------------
def test_the_page_tells_that_a_price_is_needed(manager_client):
    product = made()
    assert not all_of(manager_client.get(product.get_absolute_url()), ".notice.look")
    product.prices.all().delete()
    page = manager_client.get(product.get_absolute_url())
    assert "cannot be used in a quote" in one(page, ".notice.look").text


def test_cost_supplier_and_code_are_for_people_who_keep_prices(manager_client, designer_client):
    supplier = services.add_supplier(by=None, fields={"name": "Tarn Wharf Supplies"})
    product = made(supplier=supplier, supplier_code="zq-518")
    seen = designer_client.get(product.get_absolute_url()).content.decode()
    kept = manager_client.get(product.get_absolute_url()).content.decode()
    for secret in ("31.74", "Tarn Wharf", "zq-518"):
        assert secret in kept
        assert secret not in seen
    assert "66.50" in seen


def test_sell_is_hidden_where_the_session_hides_prices(designer_client):
    product = made()
    session = designer_client.session
    session["shows_prices"] = False
    session.save()
    for url in (product.get_absolute_url(), "/catalogue/", "/catalogue/suggest/?q=quayside"):
        page = designer_client.get(url).content.decode()
        assert "Quayside" in page and not re.search(r"66[.,]5", page)


def test_where_it_is_used_names_projects_and_wholes(manager_client, manager):
    from tests.factories import a_project

    project = a_project(by=manager)
    product = Product.objects.get(reference__startswith="TST")
    whole = made()
    services.change_parts(
        by=None, product=whole, parts=[{"part": product, "per": "piece", "quantity": 1}]
    )
    page = manager_client.get(product.get_absolute_url())
    links = [a["href"] for a in all_of(page, "main .choices a")]
    assert project.get_absolute_url() in links
    assert whole.get_absolute_url() in links
