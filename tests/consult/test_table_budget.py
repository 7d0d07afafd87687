"""What an edit and a page of the table ask of the database: little, and the same at any size."""

import re
import uuid
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from consult.brief_models import Note
from consult.models import (
    Circuit,
    CircuitFitting,
    FixedChoice,
    KeypadPosition,
    Opening,
    PositionButton,
    Room,
    RoomGroup,
    RoomObject,
    Scene,
    SceneLevel,
)
from consult.reader import read_design
from consult.services import brief, circuits, fixed, house, keypads, openings, scenes
from quoting.services import quotes
from tests.factories import PersonFactory, a_circuit, a_project, a_receiver, with_rates

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by, settings):
    settings.STOCK_IS_KEPT = settings.DESIGN_IS_KEPT = True  # as it is where it is served
    client.force_login(by)
    return client


def asked(call):
    """Queries of a call, without those that only open and close transactions."""
    with CaptureQueriesContext(connection) as seen:
        answer = call()
    assert answer.status_code in {200, 302}
    turns = r"BEGIN|COMMIT|SAVEPOINT|RELEASE|ROLLBACK"
    return len([q for q in seen.captured_queries if not re.match(turns, q["sql"])])


def edits(staff, project):
    """Each edit of the table, by name: a call that may be made again and again."""
    room = Room.objects.filter(project=project).first()
    circuit, second = Circuit.objects.filter(room=room).order_by("position")
    fitting = CircuitFitting.objects.get(circuit=circuit)
    scene = Scene.objects.filter(group=room.group).first()
    numbers = iter(range(2, 10_000))
    row = {
        "product": fitting.product_id, "room": room.pk, "arrangement": fitting.arrangement,
        "supplied_by": "showroom", "installed_by": "showroom", "connected_by": "showroom",
    }  # fmt: skip

    def post(view, *keys, **data):
        headers = {**HTMX, "X-Deed-Key": str(uuid.uuid4())}
        return staff.post(reverse(f"consult:{view}", args=keys), data, headers=headers)

    def renamed():
        name = f"A {next(numbers)}"
        return post("circuit_change", circuit.pk, name=name, layer="task", load_kind="switched")

    def turned(view, key):
        step = "up" if next(numbers) % 2 else "down"
        return post(view, key, step=step)

    circuits.fitting_add(
        by=PersonFactory(), circuit=circuit, product=fitting.product, pieces=2,
    )  # fmt: skip
    return {
        "circuit_change": renamed,
        "fitting_change": lambda: post(
            "fitting_change", fitting.pk, pieces=next(numbers), **row
        ),
        "fitting_add": lambda: post("fitting_add", circuit.pk, pieces=next(numbers), **row),
        "circuit_move": lambda: turned("circuit_move", second.pk),
        "fitting_move": lambda: turned("fitting_move", fitting.pk),
        "level_set": lambda: post("level_set", scene.pk, circuit.pk, level=next(numbers) % 99),
        "row_fill": lambda: post("row_fill", circuit.pk, room.group_id, level=next(numbers) % 99),
        "scene_fill": lambda: post("scene_fill", scene.pk, level=next(numbers) % 99),
        "circuit_add": lambda: post(
            "circuit_add", room.pk, product=fitting.product_id, pieces=next(numbers), layer="task"
        ),
        "quick_add": lambda: quick(post, room, fitting, next(numbers)),
    }  # fmt: skip


def quick(post, room, fitting, number):
    """A line that says all of a circuit; of several products by that name the first is taken."""
    line = f"{number} {fitting.product.name} task switched"
    answer = post("quick_add", room.pk, line=line, read=line, product=fitting.product_id)
    assert "design-changed" in answer["HX-Trigger"]
    return answer


def pages(staff, project):
    """Each page and region of the main job, by name."""
    room = Room.objects.filter(project=project).first()
    quote = quotes.quote_start(by=PersonFactory(), project=project)
    of_project = (
        "consult:project", "consult:plan", "consult:diagram", "consult:findings", "consult:scenes",
        "consult:controls", "consult:light_sheet", "consult:history", "consult:comparison",
        "consult:brief", "consult:notes", "consult:places", "quoting:of_project",
        "quoting:options", "quoting:option_prices", "quoting:hours",
    )  # fmt: skip
    of_room = (
        "consult:room", "consult:beside", "consult:circuits", "consult:room_light",
        "consult:light_exact", "consult:room_findings", "consult:room_copying",
        "quoting:room_price",
    )  # fmt: skip
    bare = (
        "home", "search", "catalogue:products", "catalogue:suggest", "consult:projects",
        "consult:clients", "consult:appointments", "quoting:quotes",
    )  # fmt: skip
    found = {view: reverse(view, args=[project.pk]) for view in of_project}
    found |= {view: reverse(view, args=[room.pk]) for view in of_room}
    found |= {view: reverse(view) for view in bare}
    found["catalogue:products, words"] = f"{reverse('catalogue:products')}?q=downlight"
    found["quoting:quote"] = reverse("quoting:quote", args=[quote.pk])
    return {
        name: lambda address=address: staff.get(address, headers=HTMX if "?" in address else {})
        for name, address in found.items()
    }


@pytest.fixture
def houses(by):
    with_rates()
    a_receiver()
    return [a_project(by=by, rooms=rooms, circuits_each=2) for rooms in (5, 60)]


def counted(staff, houses, calls):
    """For each house what each call asks, once all that is kept is there."""
    counts = []
    for project in houses:
        found = {}
        for name, call in calls(staff, project).items():
            call()
            found[name] = asked(call)
        counts.append(found)
    return counts


def test_an_edit_asks_at_most_twelve_times_at_five_rooms_and_at_sixty(staff, houses):
    few, many = counted(staff, houses, edits)
    assert few == many
    assert not {name: count for name, count in few.items() if count > 12}


def test_a_page_asks_at_most_twenty_times_at_five_rooms_and_at_sixty(staff, houses):
    few, many = counted(staff, houses, pages)
    assert not {name: count for name, count in many.items() if count > 20}
    assert few == many


def removals(staff, by, project, more):
    """What each removal asks in a house, of a circuit with rows in every table that goes with it.

    `more`: how many other fittings hang there, and how many other scenes have a level of it.
    """
    room = Room.objects.filter(project=project).first()
    played = [
        scenes.scene_add(by=by, project=project, group=room.group, name=f"S{n}")
        for n in range(more + 1)
    ]
    place = keypads.position_add(by=by, room=room, name="by the door")
    keypads.buttons_fill(by=by, row=place, scenes=played)

    def a_full_circuit():
        circuit = a_circuit(by=by, room=Room.objects.get(pk=room.pk))
        for number in range(more):
            circuits.fitting_add(by=by, circuit=circuit, placeholder=f"Lamp {number}", pieces=1)
        scenes.row_fill(by=by, circuit=circuit, scenes=played, level=30)
        fixed.fixed_add(
            by=by, project=project, kind="together", reason="as the client wishes",
            circuit=circuit, other_circuit=Circuit.objects.filter(room=room).first(),
        )  # fmt: skip
        staff.get(room.get_absolute_url())
        return circuit

    def post(view, key):
        headers = {**HTMX, "X-Deed-Key": str(uuid.uuid4())}
        return asked(lambda: staff.post(reverse(f"consult:{view}", args=[key]), headers=headers))

    fitting = CircuitFitting.objects.filter(circuit=a_full_circuit()).last()
    found = {"fitting_remove": post("fitting_remove", fitting.pk)}
    circuit = a_full_circuit()
    left = Circuit.objects.filter(project=project).count() - 1
    found["circuit_remove"] = post("circuit_remove", circuit.pk)
    found["undo"], found["redo"] = post("undo", project.pk), post("redo", project.pk)
    assert Circuit.objects.filter(project=project).count() == left
    found["scene_remove"] = post("scene_remove", played[0].pk)
    assert PositionButton.objects.filter(keypad_position=place, does="nothing").exists()
    return found


def test_a_removal_asks_as_often_for_much_in_a_large_house_as_for_little_in_a_small_one(
    staff, by, houses
):
    few, many = (removals(staff, by, house, n) for house, n in zip(houses, (1, 5), strict=True))
    assert few == many
    assert not {name: count for name, count in few.items() if count > 12}


OF_A_ROOM = (
    FixedChoice, SceneLevel, CircuitFitting, Circuit, PositionButton, KeypadPosition, RoomObject,
    Opening, Note, Scene, RoomGroup, Room,
)  # fmt: skip


def filled(by, room, more):
    """A room with so many rows or more in each table that goes with it."""
    group = room.group
    played = [
        scenes.scene_add(by=by, project=room.project, group=group, name=f"S{n}")
        for n in range(more)
    ]
    for number in range(more):
        circuit = a_circuit(by=by, room=Room.objects.get(pk=room.pk))
        scenes.row_fill(by=by, circuit=circuit, scenes=played, level=30)
        fixed.fixed_add(
            by=by, project=room.project, kind="together", reason="as the client wishes",
            circuit=circuit, other_circuit=Circuit.objects.filter(room=room).first(),
        )  # fmt: skip
        place = keypads.position_add(by=by, room=room, name=f"place {number}")
        keypads.buttons_fill(by=by, row=place, scenes=played)
        house.object_add(by=by, room=room, kind="table", name=f"T{number}")
        openings.opening_add(by=by, room=room, wall="north", width_m=Decimal("0.9"))
        brief.note_add(by=by, project=room.project, room=room, text="High ceiling")


def room_removals(staff, by, project, more):
    """What it asks to remove a room as it was made and one full of all, to take that back, to do it again."""
    plain, full = Room.objects.filter(project=project)[1:3]
    filled(by, full, more)
    there = [set(model.objects.filter(project=project).values_list("pk")) for model in OF_A_ROOM]

    def post(view, key):
        headers = {**HTMX, "X-Deed-Key": str(uuid.uuid4())}
        return asked(lambda: staff.post(reverse(f"consult:{view}", args=[key]), headers=headers))

    found = {"full": post("room_remove", full.pk)}
    left = [set(model.objects.filter(project=project).values_list("pk")) for model in OF_A_ROOM]
    assert all(less < more for less, more in zip(left, there, strict=True))
    assert not Circuit.objects.filter(room=full.pk).exists()
    found["back"] = post("undo", project.pk)
    back = [set(model.objects.filter(project=project).values_list("pk")) for model in OF_A_ROOM]
    assert back == there
    found["again"] = post("redo", project.pk)
    assert not Room.objects.filter(pk=full.pk).exists()
    found["plain"] = post("room_remove", plain.pk)
    return found


def test_a_room_goes_in_as_many_questions_as_there_are_tables_of_it(staff, by, houses):
    """One statement writes one table, so a room full of all takes as many as it fills, and a few."""
    few, many = (room_removals(staff, by, each, n) for each, n in zip(houses, (2, 6), strict=True))
    assert few == many
    assert few["plain"] <= 16
    assert max(few.values()) <= 11 + len(OF_A_ROOM)


@pytest.mark.parametrize(
    ("line", "most"),
    [
        ("6 tilting downlight task dim", 12),
        ("6 pendnat downligth task", 12),
        ("wombl garpel snorvit dimblewick fropple zantor quibblen marrowig lofter pendnot", 20),
    ],
)
def test_reading_a_line_asks_little_however_it_is_mistyped(staff, houses, line, most):
    room = Room.objects.filter(project=houses[0]).first()
    address = reverse("consult:quick_read", args=[room.pk])
    read = lambda: staff.get(address, {"line": line}, headers=HTMX)  # noqa: E731
    read()
    count = asked(read)
    assert count <= most


def test_a_whole_design_is_one_query(by, django_assert_num_queries):
    project = a_project(by=by, rooms=7)
    with django_assert_num_queries(1):
        design = read_design(project)
    assert (len(design.rooms), len(design.circuits), len(design.scenes)) == (7, 7, 7)


def test_figures_come_out_of_one_query_as_they_were_put_in(by):
    project = a_project(by=by)
    Room.objects.update(length_m=Decimal("7.205"), height_m=Decimal("0.100"), is_way_out=True)
    room = read_design(project).rooms[0]
    assert (str(room.length_m), str(room.height_m), room.width_m) == ("7.205", "0.100", 4)
    assert room.is_way_out is True
    fitting = read_design(project).circuits[0].fittings[0]
    assert fitting.product == str(CircuitFitting.objects.get().product_id)
