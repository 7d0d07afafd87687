"""The room sheet: circuits and fittings edited in place."""

import re
import uuid

import pytest
from django.urls import reverse

from consult.models import Circuit, CircuitFitting, Room
from tests.factories import PersonFactory, a_circuit, a_product, a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by)
    return client


@pytest.fixture
def room(by):
    return Room.objects.get(project=a_project(by=by))


def post(staff, view, row, **data):
    return staff.post(
        reverse(f"consult:{view}", args=[row.pk]), data, headers={"HX-Request": "true"}
    )


def test_the_sheet_shows_circuits_with_their_load(staff, room):
    html = staff.get(room.get_absolute_url()).content.decode()
    assert Circuit.objects.get().code in html
    assert "48.0" in html  # 6 × 8 W


def test_a_circuit_is_added_with_its_fitting_and_the_regions_are_told(staff, room):
    product = a_product(name="Shelf light", load_kinds=("phase-dimmed",))
    answer = post(staff, "circuit_add", room, product=product.pk, pieces="3", layer="accent")
    added = Circuit.objects.exclude(name="Ceiling").get()
    assert (added.name, added.layer, added.load_kind) == ("Shelf light", "accent", "phase-dimmed")
    assert added.fittings.get().pieces == 3
    assert "design-changed" in answer["HX-Trigger"]
    assert added.code in answer.content.decode()


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("pieces", "0", "greater than or equal to 1"),
        ("pieces", "-2", "greater than or equal to 1"),
        ("pieces", "1000000000", "At most 9999"),
        ("pieces", "NaN", "Give a number"),
        ("pieces", "many", "Give a number"),
        ("pieces", "", "required"),
        ("length_m", "-4", "greater than or equal to"),
        ("layer", "basement", "not one of the available choices"),
        ("name", "x" * 121, "at most 120"),
        ("product", str(uuid.uuid4()), "not one of the available choices"),
    ],
)
def test_what_is_absurd_is_refused_at_its_field_and_stays_as_typed(staff, room, field, value, said):
    data = {"product": a_product().pk, "pieces": "3", "layer": "ambient", field: value}
    answer = post(staff, "circuit_add", room, **data)
    html = answer.content.decode()
    assert answer.status_code == 200
    assert said in html
    assert Circuit.objects.count() == 1
    if value and field in {"pieces", "length_m", "name"}:
        assert f'value="{value}"' in html


def test_markup_and_formulas_in_a_name_are_only_text(staff, room):
    name = '<script>alert(1)</script>=1+1"'
    post(staff, "circuit_add", room, name=name, pieces="1", layer="ambient")
    html = staff.get(room.get_absolute_url()).content.decode()
    assert "<script>alert" not in html
    assert "&lt;script&gt;alert(1)" in html


def test_a_placeholder_counts_with_its_allowance(staff, room):
    post(
        staff,
        "circuit_add",
        room,
        placeholder="Hall pendant",
        allowance="450",
        placeholder_w="40",
        pieces="1",
        layer="decorative",
    )
    row = CircuitFitting.objects.get(placeholder="Hall pendant")
    assert (row.allowance, row.product) == (450, None)
    assert "Hall pendant" in staff.get(room.get_absolute_url()).content.decode()


def test_a_later_writer_sees_both_values(staff, room):
    circuit = Circuit.objects.get()
    data = {"name": "Mine", "layer": "ambient", "load_kind": "phase-dimmed"}
    post(staff, "circuit_change", circuit, seen=circuit.version, **(data | {"name": "Theirs"}))
    answer = post(staff, "circuit_change", circuit, seen=circuit.version, **data)
    html = answer.content.decode()
    assert "Theirs" in html
    assert 'value="Mine"' in html
    assert Circuit.objects.get().name == "Theirs"


def test_the_same_press_twice_adds_one_circuit(staff, room):
    data = {"product": a_product().pk, "pieces": "2", "layer": "task", "key": str(uuid.uuid4())}
    post(staff, "circuit_add", room, **data)
    post(staff, "circuit_add", room, **data)
    assert Circuit.objects.count() == 2


@pytest.mark.parametrize(
    "name",
    ["circuit_change", "circuit_remove", "circuit_move", "fitting_add"],
)
def test_no_such_circuit_is_404_and_get_is_405(staff, room, name):
    assert staff.post(reverse(f"consult:{name}", args=[uuid.uuid4()])).status_code == 404
    assert staff.get(reverse(f"consult:{name}", args=[Circuit.objects.get().pk])).status_code == 405


def test_nobody_who_is_not_logged_in_sees_or_changes_anything(client, room):
    circuit = Circuit.objects.get()
    for answer in (
        client.get(room.get_absolute_url()),
        client.post(reverse("consult:circuit_remove", args=[circuit.pk])),
    ):
        assert answer.status_code == 302
        assert "/account/login/" in answer["Location"]
    assert Circuit.objects.count() == 1


def test_the_sheet_costs_the_same_queries_with_one_circuit_and_with_ten(
    staff, room, by, django_assert_num_queries, django_assert_max_num_queries
):
    staff.get(room.get_absolute_url())
    with django_assert_max_num_queries(60) as counted:
        staff.get(room.get_absolute_url())
    product = Circuit.objects.get().fittings.get().product
    for _more in range(9):
        a_circuit(by=by, room=room, product=product)
    with django_assert_num_queries(len(counted)):
        staff.get(room.get_absolute_url())


def test_every_part_of_the_page_that_asks_again_has_an_address(staff, room):
    html = staff.get(room.get_absolute_url()).content.decode()
    asked = re.findall(r'hx-get="([^"]+)"', html)
    assert len(asked) >= 4
    for url in asked:
        assert staff.get(url).status_code == 200
