"""No page of the table carries a cost, a margin or a supplier until somebody presses for it."""

import re
import uuid
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.urls import URLPattern, get_resolver, reverse

from catalogue.models import LabourRate, Product, ProductPrice, Supplier
from consult.client_view import IDLE_S
from consult.models import (
    Circuit,
    CircuitFitting,
    Floor,
    KeypadPosition,
    Room,
    Scene,
)
from consult.services import keypads, patterns
from quoting.views import quotes
from tests.factories import PersonFactory, a_product, a_project, a_receiver, with_rates

pytestmark = pytest.mark.django_db

# Pages that open costs on a press: they are asked for by their own button, and answer to POST.
OPENED = {"plan_cost", "plan_free", "comparison_cost"}
SUPPLIER = "Brackwater Hidden Supplies"


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by)
    return client


@pytest.fixture
def house(by):
    with_rates()
    project = a_project(by=by, rooms=2)
    a_receiver(cost="93.21")
    Product.objects.update(supplier=Supplier.objects.create(name=SUPPLIER))
    room = Room.objects.filter(project=project).first()
    keypads.position_add(by=by, room=room, name="by the door")
    patterns.save_as_pattern(by=by, room=room, name="Quiet")
    return project


def costs():
    """Every cost as it might be written, and what it comes to for six pieces."""
    values = set()
    for cost in [
        *ProductPrice.objects.values_list("cost", flat=True),
        *LabourRate.objects.values_list("cost", flat=True),
    ]:
        values |= {f"{cost:.2f}", f"{6 * cost:.2f}"}
    return values - {"0.00"}


def rows(project):
    room = Room.objects.filter(project=project).first()
    return {
        "project_id": project.pk,
        "room_id": room.pk,
        "floor_id": Floor.objects.filter(project=project).first().pk,
        "circuit_id": Circuit.objects.filter(room=room).first().pk,
        "fitting_id": CircuitFitting.objects.filter(room=room).first().pk,
        "scene_id": Scene.objects.filter(group=room.group).first().pk,
        "position_id": KeypadPosition.objects.filter(room=room).first().pk,
        "pattern_id": Room.objects.get(project__is_library=True).pk,
        "client_id": project.client_id,
        "group_id": room.group_id,
        "enclosure_id": room.floor.default_enclosure_id,
        "group": str(room.group_id),
    }


def addresses(project):
    """Every address of the consultation whose arguments this house can give."""
    known = rows(project)
    consult = next(
        p for p in get_resolver().url_patterns if getattr(p, "namespace", "") == "consult"
    )
    for pattern in consult.url_patterns:
        if isinstance(pattern, URLPattern) and pattern.name not in OPENED:
            names = list(pattern.pattern.converters)
            if set(names) <= set(known):
                given = {name: known[name] for name in names}
                yield pattern.name, reverse(f"consult:{pattern.name}", kwargs=given)


def leaks(html, hidden):
    text = html.replace(",", "")
    return [
        value for value in hidden if re.search(rf"(?<![\d.]){re.escape(value)}(?!\d)", text)
    ] + [SUPPLIER] * (SUPPLIER in html)


def test_no_page_and_no_region_carries_a_cost(staff, house):
    hidden, read = costs(), []
    new = a_product(name="Deep downlight", cost="13.79")
    for name, address in addresses(house):
        for headers in ({}, {"HX-Request": "true"}):
            answer = staff.get(address, {"line": "6 downlight", "words": "downlight",
                                         "product": str(new.pk)}, headers=headers)  # fmt: skip
            is_text = answer.headers.get("Content-Type", "").startswith("text/")
            if answer.status_code == 200 and is_text:
                read.append(name)
                assert leaks(answer.content.decode(), hidden | {"13.79", "82.74"}) == [], name
    assert len(set(read)) >= 25, sorted(set(read))


def test_no_answer_to_an_edit_carries_a_cost(staff, house):
    hidden, known = costs(), rows(house)
    edits = [
        ("circuit_change", known["circuit_id"],
         {"name": "A", "layer": "task", "load_kind": "phase-dimmed"}),
        ("quick_add", known["room_id"], {"line": "6 downlight"}),
        ("circuit_copy", known["circuit_id"], {}),
        ("scene_fill", known["scene_id"], {"level": "20"}),
        ("fitting_remove", known["fitting_id"], {}),
    ]  # fmt: skip
    for name, key, data in edits:
        answer = staff.post(
            reverse(f"consult:{name}", args=[key]), data, headers={"HX-Request": "true"}
        )
        assert answer.status_code == 200, name
        assert leaks(answer.content.decode(), hidden) == [], name


def test_the_price_region_carries_sell_prices_and_no_cost(staff, house):
    room = Room.objects.filter(project=house).first()
    html = staff.get(reverse("quoting:room_price", args=[room.pk])).content.decode()
    assert "£" in html
    assert leaks(html, costs()) == []


@pytest.mark.parametrize("is_proven", [False, True])
def test_a_price_is_greyed_while_a_cheaper_plan_is_looked_for(staff, house, monkeypatch, is_proven):
    def draft_of(*given, **more):
        draft = real(*given, **more)
        planned = SimpleNamespace(is_exact=False, control=SimpleNamespace(is_proven=is_proven))
        return SimpleNamespace(grouped=draft.grouped, priced=draft.priced, planned=planned)

    real = quotes.draft_of
    monkeypatch.setattr(quotes, "draft_of", draft_of)
    room = Room.objects.filter(project=house).first()
    html = staff.get(reverse("quoting:room_price", args=[room.pk])).content.decode()
    assert ("is-settling" in html) is not is_proven
    assert ("exact=1" in html) is not is_proven


def test_prices_are_hidden_for_the_visit_and_shown_again(staff, house):
    room = Room.objects.filter(project=house).first()
    address = reverse("quoting:room_price", args=[room.pk])
    staff.post(reverse("consult:visit"), {"prices": "hide"})
    assert "£" not in staff.get(address).content.decode()
    staff.post(reverse("consult:visit"), {"prices": "show"})
    assert "£" in staff.get(address).content.decode()


def test_figures_come_on_a_press_and_close_by_themselves(staff, house):
    room = Room.objects.filter(project=house).first()
    address = reverse("quoting:room_figures", args=[room.pk])
    assert staff.get(address).status_code == 405
    answer = staff.post(address)
    html = answer.content.decode()
    assert "128.22" in html  # 6 × 21.37
    assert "delay:60s" in html
    assert answer["Cache-Control"] == "no-store"
    closed = staff.get(reverse("quoting:room_figures_closed", args=[room.pk])).content.decode()
    assert leaks(closed, costs()) == []


def test_alone_the_figures_stay_until_idle(staff, house, monkeypatch):
    room = Room.objects.filter(project=house).first()
    address = reverse("quoting:room_figures", args=[room.pk])
    staff.post(reverse("consult:visit"), {"client": "away"})
    assert "delay:60s" not in staff.post(address).content.decode()
    import time

    later = time.time() + IDLE_S + 1
    monkeypatch.setattr("consult.client_view.time.time", lambda: later)
    assert "delay:60s" in staff.post(address).content.decode()


def test_being_alone_ends_with_the_log_out(staff, house, by):
    room = Room.objects.filter(project=house).first()
    staff.post(reverse("consult:visit"), {"client": "away"})
    staff.logout()
    staff.force_login(by)
    html = staff.post(reverse("quoting:room_figures", args=[room.pk])).content.decode()
    assert "delay:60s" in html


def test_a_visit_leads_back_only_within_this_site(staff):
    answer = staff.post(reverse("consult:visit"), {"next": "https://elsewhere.example/"})
    assert answer["Location"] == "/projects/"


def test_a_stranger_opens_nothing(client, house):
    room = Room.objects.filter(project=house).first()
    assert client.post(reverse("quoting:room_figures", args=[room.pk])).status_code == 302


def test_no_such_room(staff):
    assert staff.post(reverse("quoting:room_figures", args=[uuid.uuid4()])).status_code == 404


def test_the_costs_of_this_test_would_be_found():
    assert leaks("<b>£1,128.22</b>", {"1128.22"}) == ["1128.22"]
    assert leaks("21.375", {"21.37"}) == []
    assert Decimal("21.37") * 6 == Decimal("128.22")
