"""Clients, projects, floors, rooms, groups and enclosures: each press, each refusal."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from consult.models import (
    Circuit,
    CircuitFitting,
    Client,
    ClientPerson,
    Enclosure,
    Floor,
    KeypadPosition,
    Project,
    Room,
    RoomGroup,
    RoomObject,
    Scene,
)
from consult.services import keypads
from tests.factories import ClientFactory, a_project, a_room

pytestmark = pytest.mark.django_db


def url(name, *args):
    return reverse(f"consult:{name}", args=args)


@pytest.fixture
def project(designer):
    return a_project(by=designer)


def test_a_project_begins_with_a_new_client_in_one_form(designer_client):
    data = {
        "new_client": "Household Ferris", "name": "Tide Cottage", "kind_of_work": "renovation",
        "stage": "enquiry", "nation": "wales",
    }  # fmt: skip
    answer = designer_client.post(url("project_begin"), data)
    made = Project.objects.get()
    assert answer["Location"] == made.get_absolute_url()
    assert (made.client.name, made.nation) == ("Household Ferris", "wales")
    assert Floor.objects.get().default_enclosure == Enclosure.objects.get()


def test_a_project_needs_one_client_and_keeps_what_was_typed(designer_client):
    data = {
        "name": "Tide Cottage",
        "kind_of_work": "renovation",
        "stage": "enquiry",
        "nation": "wales",
    }
    for more in ({}, {"new_client": "X", "client": str(ClientFactory().pk)}):
        html = designer_client.post(url("project_begin"), {**data, **more}).content.decode()
        assert "one of the two" in html
        assert 'value="Tide Cottage"' in html
    assert not Project.objects.exists()


def test_clients_and_projects_are_found_by_any_word(designer_client, project):
    assert project.name in designer_client.get(url("projects") + "?q=granary").content.decode()
    assert project.name not in designer_client.get(url("projects") + "?q=zebra").content.decode()
    name = project.client.name
    assert name in designer_client.get(url("clients") + "?q=tamsett").content.decode()


def test_a_client_is_added_changed_and_not_removed_while_there_are_projects(
    designer_client, project
):
    client = project.client
    data = {"name": "Household Renamed", "email": "not an address"}
    answer = designer_client.post(url("client_change", client.pk), {**data, "seen": client.version})
    assert "valid email" in answer.content.decode()
    data["email"] = "r@post.example"
    designer_client.post(url("client_change", client.pk), {**data, "seen": client.version})
    assert Client.objects.get().name == "Household Renamed"
    designer_client.post(url("client_remove", client.pk))
    assert Client.objects.count() == 1


def test_people_of_a_client_come_and_go(designer_client, project):
    designer_client.post(url("client_person_add", project.client.pk), {"name": "Nell"})
    person = ClientPerson.objects.get()
    designer_client.post(url("client_person_remove", person.pk))
    assert not ClientPerson.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("name", "", "required"),
        ("name", "x" * 81, "at most 80"),
        ("length_m", "0", "greater than or equal to 0.1"),
        ("length_m", "-4", "greater than or equal to 0.1"),
        ("length_m", "1000000000", "less than or equal to 100"),
        ("height_m", "NaN", "Give a number"),
        ("width_m", "wide", "Give a number"),
        ("void_mm", "-5", "greater than or equal to 0"),
        ("use", "ballroom", "not one of the available choices"),
        ("group", str(uuid.uuid4()), "not one of the available choices"),
    ],
)
def test_an_absurd_room_is_refused_at_its_field(designer_client, project, field, value, said):
    data = {"name": "Pantry", "use": "utility", "dampness": "dry", field: value}
    html = designer_client.post(url("room_add", Floor.objects.get().pk), data).content.decode()
    assert said in html
    assert Room.objects.count() == 1
    if value and field.endswith(("_m", "_mm")):
        assert f'value="{value}"' in html


def test_sizes_are_typed_with_comma_or_point(designer_client, project):
    data = {
        "name": "Pantry",
        "use": "utility",
        "dampness": "dry",
        "length_m": "2,35",
        "width_m": "1.8",
    }
    designer_client.post(url("room_add", Floor.objects.get().pk), data)
    room = Room.objects.get(name="Pantry")
    assert (room.length_m, room.width_m) == (Decimal("2.350"), Decimal("1.800"))


def test_a_later_writer_of_a_room_sees_both_values(designer_client, project):
    room = Room.objects.get()
    data = {"name": "Theirs", "use": "living", "dampness": "dry", "group": room.group_id}
    designer_client.post(url("room_change", room.pk), {**data, "seen": room.version})
    answer = designer_client.post(
        url("room_change", room.pk), {**data, "name": "Mine", "seen": room.version}
    )
    html = answer.content.decode()
    assert "Theirs" in html
    assert 'value="Mine"' in html
    assert Room.objects.get().name == "Theirs"


def test_a_room_is_removed_and_taken_back(designer_client, project):
    room = Room.objects.get()
    designer_client.post(url("room_remove", room.pk))
    assert not Room.objects.exists()
    designer_client.post(url("undo", project.pk))
    assert Room.objects.get().pk == room.pk
    assert Circuit.objects.exists()


@pytest.mark.parametrize("held", ["fittings in this room", "A keypad in another", "A button else"])
def test_a_room_that_another_room_holds_on_to_stays(designer, designer_client, held):
    """By a fitting that hangs in it, by a keypad of its group, or by a button that plays its scene."""
    project = a_project(by=designer, rooms=2)
    room, other = Room.objects.filter(project=project)
    place = keypads.position_add(by=designer, room=other, name="by the door")
    if held.startswith("fittings"):
        CircuitFitting.objects.filter(circuit__room=other).update(room=room)
    elif held.startswith("A keypad"):
        KeypadPosition.objects.update(group=room.group)
    else:
        played = list(Scene.objects.filter(group=room.group))
        keypads.buttons_fill(by=designer, row=place, scenes=played)
    answer = designer_client.post(url("room_remove", room.pk), follow=True)
    assert held in answer.content.decode()
    assert Room.objects.filter(pk=room.pk).exists()


def test_scenes_that_two_rooms_share_stay_with_the_one_that_is_left(designer, designer_client):
    project = a_project(by=designer, rooms=2)
    room, other = Room.objects.filter(project=project)
    Room.objects.filter(pk=other.pk).update(group=room.group)
    scene = Scene.objects.get(group=room.group)
    designer_client.post(url("room_remove", room.pk))
    assert not Room.objects.filter(pk=room.pk).exists()
    assert Scene.objects.filter(pk=scene.pk, group=room.group).exists()


def test_a_floor_with_rooms_stays_and_its_code_is_its_own(designer_client, project):
    floor = Floor.objects.get()
    designer_client.post(url("floor_remove", floor.pk))
    assert Floor.objects.count() == 1
    answer = designer_client.post(url("floor_add", project.pk), {"name": "Loft", "code": "0"})
    assert "Another floor has the code" in answer.content.decode()
    answer = designer_client.post(url("floor_add", project.pk), {"name": "Loft", "code": "L-1"})
    assert "letters or digits" in answer.content.decode()
    designer_client.post(url("floor_add", project.pk), {"name": "Loft", "code": "l"})
    assert Floor.objects.get(name="Loft").code == "L"


def test_what_stands_in_a_room_is_added_changed_and_removed(designer_client, project):
    room = Room.objects.get()
    designer_client.post(
        url("object_add", room.pk), {"kind": "table", "x_m": "1", "width_m": "1.8"}
    )
    row = RoomObject.objects.get()
    designer_client.post(
        url("object_change", row.pk), {"kind": "table", "width_m": "2", "seen": row.version}
    )
    assert RoomObject.objects.get().width_m == 2
    designer_client.post(url("object_remove", row.pk))
    assert not RoomObject.objects.exists()


def test_an_enclosure_in_use_stays(designer_client, project):
    enclosure = Enclosure.objects.get()
    designer_client.post(url("enclosure_remove", enclosure.pk))
    assert Enclosure.objects.count() == 1
    data = {"name": "Cupboard", "kind": "cupboard", "dampness": "dry", "protective_device": "Z9"}
    answer = designer_client.post(url("enclosure_add", project.pk), data)
    assert "curve and rating" in answer.content.decode()
    data["protective_device"] = "B6"
    designer_client.post(url("enclosure_add", project.pk), data)
    designer_client.post(url("enclosure_remove", Enclosure.objects.get(name="Cupboard").pk))
    assert Enclosure.objects.count() == 1


def test_a_group_goes_with_its_last_room_when_nothing_is_left_in_it(
    designer, designer_client, project
):
    bare = a_room(by=designer, project=project, name="Bare")
    shared = Room.objects.get(name="Room 1").group
    data = {
        "name": "Bare",
        "use": "hall",
        "dampness": "dry",
        "group": shared.pk,
        "seen": bare.version,
    }
    designer_client.post(url("room_change", bare.pk), data)
    assert RoomGroup.objects.get() == shared


def test_rooms_move_among_their_floor(designer, designer_client, project):
    second = a_room(by=designer, project=project, name="Second")
    designer_client.post(url("room_move", second.pk), {"step": "up"})
    assert [room.name for room in Room.objects.order_by("position")] == ["Second", "Room 1"]


@pytest.mark.parametrize(
    "name", ["room_change", "floor_change", "enclosure_change", "group_change"]
)
def test_no_such_row_is_404(designer_client, name):
    assert designer_client.get(url(name, uuid.uuid4())).status_code == 404


def test_a_stranger_is_sent_to_the_log_in(client, project):
    room = Room.objects.get()
    assert client.get(project.get_absolute_url()).status_code == 302
    assert client.post(url("room_remove", room.pk)).status_code == 302
    assert Room.objects.exists()


def test_the_project_page_asks_the_same_at_five_rooms_and_at_sixty(
    designer, designer_client, queries
):
    small, large = a_project(by=designer, rooms=5), a_project(by=designer, rooms=60)
    designer_client.get(small.get_absolute_url())
    few = queries(lambda: designer_client.get(small.get_absolute_url()))
    many = queries(lambda: designer_client.get(large.get_absolute_url()))
    assert few == many


@pytest.mark.parametrize("name", ["projects", "clients"])
def test_an_empty_list_says_what_to_do_first(designer_client, name):
    page = designer_client.get(url(name))
    assert page.status_code == 200
    assert "Start a project" in page.content.decode() or "Add a client" in page.content.decode()


@pytest.mark.parametrize("name", ["scenes", "controls"])
def test_an_empty_page_of_a_project_says_what_to_do_first(designer, designer_client, name):
    from consult.services import people

    bare = people.project_add(by=designer, client=ClientFactory(), name="Bare")
    assert "empty-state" in designer_client.get(url(name, bare.pk)).content.decode()
