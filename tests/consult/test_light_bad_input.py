"""What cannot be lit, tried on the pages: each is refused or bounded, and said in plain words."""

from decimal import Decimal

import pytest
from django.urls import reverse

from consult.models import CircuitFitting, Room
from tests.conftest import all_of, one
from tests.factories import a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(designer):
    return Room.objects.get(project=a_project(by=designer))


@pytest.fixture
def fitting(room):
    return CircuitFitting.objects.get()


def url(name, row):
    return reverse(f"consult:{name}", args=[row.pk])


def changed_room(client, room, **values):
    data = {
        "name": room.name, "use": room.use, "dampness": room.dampness, "group": str(room.group_id),
        "length_m": "5", "width_m": "4", "height_m": "2.5", "seen": room.version, **values,
    }  # fmt: skip
    return client.post(url("room_change", room), data)


def changed_fitting(client, fitting, **values):
    data = {
        "product": str(fitting.product_id), "pieces": "6", "room": str(fitting.room_id),
        "arrangement": "grid", "supplied_by": "showroom", "installed_by": "showroom",
        "connected_by": "showroom", "seen": fitting.version, **values,
    }  # fmt: skip
    return client.post(url("fitting_change", fitting), data)


def lack(client, room):
    """What the page of the room's light says in place of a picture."""
    page = client.get(url("room_light", room))
    assert page.status_code == 200
    assert all_of(page, "#light-stage") == []
    assert client.get(url("light_basis", room)).status_code == 404
    assert client.get(url("light_picture", room)).status_code == 404
    assert client.get(url("light_map", room)).status_code == 404
    assert client.get(url("light_exact", room)).status_code == 200
    return one(page, "main").text


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("length_m", "0", "greater than or equal to 0.1"),
        ("width_m", "-3", "greater than or equal to 0.1"),
        ("height_m", "tall", "Give a number"),
        ("length_m", "1e9", "less than or equal to 100"),
        ("height_m", "NaN", "Give a number"),
        ("walls_reflectance", "1", "less than or equal to 0.95"),
        ("floor_reflectance", "1.2", "less than or equal to 0.95"),
        ("ceiling_reflectance", "-0.1", "greater than or equal to 0"),
    ],
)
def test_a_room_that_cannot_be_is_refused_and_stays_as_typed(
    designer_client, room, field, typed, said
):
    answer = changed_room(designer_client, room, **{field: typed})
    assert answer.status_code == 200
    assert said in " ".join(each.text for each in all_of(answer, ".errorlist"))
    assert one(answer, f"input[name={field}]").get("value") == typed
    before = getattr(room, field)
    room.refresh_from_db()
    assert getattr(room, field) == before


def test_a_room_smaller_than_is_worked_out_says_so(designer_client, room):
    assert changed_room(designer_client, room, length_m="0.1").status_code == 302
    assert "sides from 0.2 to 200 m" in lack(designer_client, room)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"mounting_height_m": "-1"}, "greater than or equal to 0"),
        ({"mounting_height_m": "31"}, "less than or equal to 30"),
        ({"offset_m": "-0.1"}, "greater than or equal to 0"),
        ({"tilt_deg": "181"}, "less than or equal to 180"),
        ({"pieces": "0"}, "greater than or equal to 1"),
    ],
)
def test_a_light_below_the_floor_or_aimed_nowhere_is_refused(
    designer_client, fitting, values, said
):
    answer = changed_fitting(designer_client, fitting, **values)
    assert answer.status_code == 200
    assert said in " ".join(each.text for each in all_of(answer, ".errorlist"))
    fitting.refresh_from_db()
    assert fitting.pieces == 6
    assert fitting.mounting_height_m is None


def test_a_light_above_the_ceiling_says_what_to_look_at(designer_client, room, fitting):
    changed_fitting(designer_client, fitting, mounting_height_m="2.6")
    assert "hangs above the ceiling" in lack(designer_client, room)


def test_a_row_farther_off_than_the_room_is_wide_stays_in_it(designer_client, room, fitting):
    changed_fitting(designer_client, fitting, arrangement="along-wall", wall="left", offset_m="90")
    page = designer_client.get(url("room_light", room))
    assert one(page, "#light-stage")
    assert designer_client.get(url("light_basis", room)).status_code == 200


def test_nothing_but_lights_of_0_lm_is_no_picture(designer_client, room, fitting):
    fitting.product.feeds.update(source_lm=0, luminaire_lm=0)
    assert "Nothing that shines" in lack(designer_client, room)


def test_five_hundred_fittings_in_a_cupboard_are_said_to_be_too_many(
    designer_client, room, fitting
):
    Room.objects.filter(pk=room.pk).update(length_m=Decimal("0.6"), width_m=Decimal("0.6"))
    changed_fitting(designer_client, fitting, pieces="500")
    assert "than the room can hold" in lack(designer_client, room)
    found = designer_client.get(reverse("consult:findings", args=[room.project_id]))
    assert "More pieces than the room can hold" in found.content.decode()
