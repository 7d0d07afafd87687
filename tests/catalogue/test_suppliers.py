"""Suppliers and families: added, changed, told apart by name."""

import pytest

from catalogue.models import Family, Supplier
from tests.catalogue.sent import made
from tests.conftest import all_of, one

SUPPLIER = {"name": "Tarn Wharf", "lead_days": "9", "minimum_order": "120", "carriage": "8,50"}


def test_a_supplier_is_added_changed_and_listed(office_client):
    assert office_client.post("/catalogue/suppliers/add/", SUPPLIER).status_code == 302
    row = Supplier.objects.get()
    url = f"/catalogue/suppliers/{row.pk}/"
    assert one(office_client.get(url), "#id_carriage")["value"] == "8.5"
    assert office_client.post(url, {**SUPPLIER, "lead_days": "4", "seen": "1"}).status_code == 302
    row.refresh_from_db()
    assert (row.lead_days, row.version) == (4, 2)
    assert "4 working days" in one(office_client.get("/catalogue/suppliers/"), "tbody tr").text


def test_the_later_of_two_sees_what_the_other_stored(office_client):
    row = Supplier.objects.create(name="Tarn Wharf")
    url = f"/catalogue/suppliers/{row.pk}/"
    office_client.post(url, {**SUPPLIER, "account": "T-1", "seen": "1"})
    page = office_client.post(url, {**SUPPLIER, "account": "T-2", "seen": "1"})
    assert "T-1" in one(page, ".notice.look dl").text
    assert one(page, "#id_account")["value"] == "T-2"
    assert Supplier.objects.get().account == "T-1"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"name": "tarn wharf"}, "name"),
        ({"name": ""}, "name"),
        ({"order_email": "not one"}, "order_email"),
        ({"lead_days": "-1"}, "lead_days"),
        ({"minimum_order": "inf"}, "minimum_order"),
    ],
)
def test_bad_input_adds_nobody(office_client, changes, field):
    Supplier.objects.create(name="Tarn Wharf")
    page = office_client.post("/catalogue/suppliers/add/", {**SUPPLIER, "name": "Other", **changes})
    assert one(page, f"#id_{field}_error").text
    assert Supplier.objects.count() == 1


def test_a_family_is_added_renamed_and_kept_apart(office_client):
    for name in ("Tern", "Wren"):
        assert office_client.post("/catalogue/families/add/", {"name": name}).status_code == 302
    row = Family.objects.get(name="Tern")
    made(family=row)
    url = f"/catalogue/families/{row.pk}/"
    page = office_client.post(url, {"name": "WREN", "seen": "1"})
    assert "already" in one(page, "#id_name_error").text
    assert office_client.post(url, {"name": "Plover", "seen": "1"}).status_code == 302
    page = office_client.post(url, {"name": "Dunlin", "seen": "1"})
    assert one(page, ".notice.look dd").text == "Plover"
    listed = [row.text for row in all_of(office_client.get("/catalogue/families/"), "tbody tr")]
    assert listed == ["Plover1", "Wren0"]
