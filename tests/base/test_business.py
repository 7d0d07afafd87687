"""The pages of the business, as people of each role see them."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from base import services
from base.models import Business
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory

PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 20
URL = "/business/"
VALUES = {
    "name": "Pell & Orrin",
    "email": "",
    "phone": "",
    "address": "2 Tideway",
    "currency": "gbp",
    "locale": "en-GB",
    "tax_name": "VAT",
    "tax_number": "",
    "tax_rounding": "line",
    "quote_validity_days": "21",
    "deposit_percent": "12,5",
    "terms": "Pay in time.",
    "supply_v": "230",
    "headroom_percent": "20",
    "prices_hold_days": "365",
}


def test_a_manager_saves_the_profile(manager_client):
    Business.objects.current()
    answer = manager_client.post(URL, {**VALUES, "seen": "1"}, follow=True)
    assert answer.redirect_chain == [(URL, 302)]
    stored = Business.objects.get()
    assert (stored.name, stored.currency, stored.locale) == ("Pell & Orrin", "GBP", "en_GB")
    assert (str(stored.deposit_share), stored.quote_validity_days) == ("0.125", 21)
    assert "saved" in one(answer, "#messages .notice.good").text


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("currency", "QQQ"),
        ("locale", "en_GB; x"),
        ("locale", "tlh"),
        ("deposit_percent", "101"),
        ("deposit_percent", "a third"),
        ("supply_v", "12"),
        ("quote_validity_days", "0"),
        ("name", ""),
    ],
)
def test_a_wrong_value_is_told_at_its_field_and_stays_typed(manager_client, field, value):
    before = Business.objects.current().name
    answer = manager_client.post(URL, {**VALUES, field: value})
    box = one(answer, f"#id_{field}")
    assert answer.status_code == 200
    assert box.get("value") == value
    assert box["aria-invalid"] == "true"
    assert f"id_{field}_error" in box["aria-describedby"]
    assert one(answer, f"#id_{field}_error").text
    assert Business.objects.get().name == before


def test_the_later_of_two_sees_both_values(manager, manager_client):
    services.change_business(by=manager, business=Business.objects.current(), name="Earlier")
    answer = manager_client.post(URL, {**VALUES, "seen": "1"})
    theirs = one(answer, ".notice.look .facts")
    assert "Earlier" in theirs.text
    assert one(answer, "#id_name")["value"] == "Pell & Orrin"
    assert one(answer, "input[name=seen]")["value"] == "2"
    assert Business.objects.get().name == "Earlier"
    manager_client.post(URL, {**VALUES, "seen": "2"})
    assert Business.objects.get().name == "Pell & Orrin"


def test_the_same_form_sent_twice_counts_once(manager_client):
    Business.objects.current()
    values = {**VALUES, "seen": "1", "key": "5f2c3a52-5a4b-4a1e-9c52-3f4b5a6c7d8e"}
    for _time in range(2):
        assert manager_client.post(URL, values).status_code == 302
    assert Business.objects.get().version == 2


@pytest.mark.parametrize("role", ["designer", "office"])
def test_others_read_the_profile_and_cannot_change_it(db, role):
    client = logged_in(PersonFactory(role=role))
    page = client.get(URL)
    assert one(page, "main dl.facts")
    assert not all_of(page, "main form")
    assert client.post(URL, VALUES).status_code == 403
    assert client.post("/business/mark/", {"remove": "1"}).status_code == 403


def test_a_mark_is_put_up_shown_to_all_and_taken_away(manager_client, client):
    picture = SimpleUploadedFile("mark.png", PNG, "image/png")
    manager_client.post("/business/mark/", {"mark": picture})
    stored = Business.objects.get().mark
    shown = client.get(reverse("base:mark", args=[stored.sha256]))
    assert b"".join(shown.streaming_content) == PNG
    assert shown["Content-Type"] == "image/png"
    assert "sandbox" in shown["Content-Security-Policy"]
    other = services.store_file(content=b"%PDF-1.7\n", media_type="application/pdf")
    assert client.get(reverse("base:mark", args=[other.sha256])).status_code == 404
    manager_client.post("/business/mark/", {"remove": "1"})
    assert client.get(reverse("base:mark", args=[stored.sha256])).status_code == 404


def test_a_mark_that_is_no_picture_is_refused_at_its_field(manager_client):
    wrong = SimpleUploadedFile("mark.png", b"<svg onload='x'/>", "image/png")
    answer = manager_client.post("/business/mark/", {"mark": wrong})
    assert "PNG" in one(answer, "#id_mark_error").text
    assert Business.objects.current().mark is None


def test_a_stored_file_is_for_people_who_work_here_only(designer_client, client, db):
    kept = services.store_file(content=b"%PDF-1.7\n", media_type="application/pdf")
    url = reverse("base:file", args=[kept.pk])
    assert client.get(url).status_code == 302
    shown = designer_client.get(url)
    assert b"".join(shown.streaming_content) == b"%PDF-1.7\n"
    assert shown["X-Content-Type-Options"] == "nosniff"
    assert shown["Cache-Control"].startswith("private")
    assert client.get(reverse("base:mark", args=[kept.sha256])).status_code == 404


def test_text_is_handed_over_not_shown(designer_client, db):
    kept = services.store_file(content=b"<script>", media_type="text/plain")
    shown = designer_client.get(reverse("base:file", args=[kept.pk]))
    assert shown["Content-Disposition"].startswith("attachment")
