"""What stands in a room is put there on a page, and fittings hang over the one that is chosen."""

from decimal import Decimal

import pytest
from django.urls import reverse

from consult.derived import read_house
from consult.light.placing import Hanging, placements
from consult.light.problem import box_of, room_problem
from consult.light.room_plan import outlines, room_plan
from consult.models import CircuitFitting, Room, RoomObject
from consult.services import circuits, copying, house
from tests.conftest import all_of, one
from tests.consult.houses import a_circuit, a_feed, a_fitting, an_object, hung
from tests.consult.houses import a_room as a_room_part
from tests.consult.test_light_places import problem
from tests.factories import a_project, a_room

PLACED = {"x_m": "1", "y_m": "1", "width_m": "1.8", "depth_m": "0.9", "height_m": "0.74"}


def url(name, *args):
    return reverse(f"consult:{name}", args=args)


@pytest.fixture
def project(designer):
    return a_project(by=designer)


@pytest.fixture
def room(project):
    return Room.objects.get()


@pytest.fixture
def fitting(room):
    return CircuitFitting.objects.get()


@pytest.fixture
def table(designer, room):
    return house.object_add(by=designer, room=room, kind="table", **PLACED)


def as_form(row, **values):
    return {
        "product": str(row.product_id), "pieces": row.pieces, "room": str(row.room_id),
        "arrangement": "over-object", "supplied_by": row.supplied_by,
        "installed_by": row.installed_by, "connected_by": row.connected_by, "seen": row.version,
        **values,
    }  # fmt: skip


def part_at(kind, x, y, **values):
    sizes = {"width_m": Decimal(1), "depth_m": Decimal("0.5"), "height_m": Decimal("0.75")}
    at = {"x_m": Decimal(x), "y_m": Decimal(y)}
    return an_object(kind, **{**at, **sizes, **values})


def test_pieces_hang_over_the_object_that_is_chosen_not_over_the_freest():
    room = a_room_part(objects=(part_at("table", "1.5", "1.2"), part_at("desk", "0", "0")))

    def place(over):
        part = hung(arrangement="over-object", over=over, pieces=1)
        (found,) = placements(box_of(room), room, Hanging(part=part, look="globe", runs_m=()))
        return found.position_m[:2]

    assert place(None) == pytest.approx((2.0, 1.45))
    assert place("desk") == pytest.approx((0.5, 0.25))


@pytest.mark.parametrize(("kind", "from_m"), [("island", "0.7"), ("desk", "0")])
def test_what_fittings_hang_over_stands_on_the_floor_in_the_picture(kind, from_m):
    sizes = {"z_m": Decimal(from_m), "height_m": Decimal("0.75") - Decimal(from_m)}
    room = a_room_part(objects=(part_at(kind, 1, 1, **sizes),))
    boxes = problem(_shining(), room=room).problem.cuboids
    assert min(box.low_m[2] for box in boxes) < 0.01
    assert max(box.high_m[2] for box in boxes) == pytest.approx(0.75)


def _shining():
    return a_circuit("C1", hung(pieces=2))


def test_the_plan_shows_objects_from_above_and_each_piece_once():
    room = a_room_part(objects=(part_at("table", 1, 1), part_at("bed", 1, 1, x_m=None)))
    two_whites = a_fitting(feed=a_feed(cct_k=2200, cct_to_k=5000))
    plan = room_plan(room, problem(_shining(), room=room, products=(two_whites,)))
    (table,) = plan.standing
    assert (table.x, table.y) == pytest.approx((1.0, float(room.width_m) - 1.5))
    assert len(plan.points) == 2
    assert room_plan(a_room_part(length_m=None), problem(_shining())) is None


def test_a_rug_lies_below_what_stands_on_it():
    room = a_room_part(objects=(part_at("table", 1, 1), part_at("rug", "0.5", "0.5")))
    assert [each.is_flat for each in outlines(room)] == [True, False]


@pytest.mark.django_db
def test_the_page_draws_what_stands_there_and_puts_more_there(designer_client, room):
    answer = designer_client.post(url("object_add", room.pk), {"kind": "table", **PLACED})
    assert answer.status_code == 302
    page = designer_client.get(answer.url)
    assert len(all_of(page, ".room-plan .standing")) == 1
    assert len(all_of(page, ".room-plan .point")) >= 1
    assert "1.80 × 0.90 × 0.74" in page.content.decode()
    row = RoomObject.objects.get()
    changed = designer_client.get(url("object_change", row.pk))
    assert one(changed, "input[name=x_m]").get("value") == "1"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"x_m": "30"}, "beyond the right wall"),
        ({"y_m": "30"}, "beyond the back wall"),
        ({"z_m": "9"}, "beyond the ceiling"),
        ({"width_m": "0"}, "0.1"),
        ({"x_m": "-1"}, "0"),
        ({"x_m": "wide"}, "Give a number"),
    ],
)
def test_an_object_outside_its_room_is_refused_in_words(designer_client, room, values, said):
    data = {"kind": "table", **PLACED, **values}
    answer = designer_client.post(url("object_add", room.pk), data)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert said in " ".join(each.text for each in all_of(answer, ".errorlist"))
    assert f'value="{next(iter(values.values()))}"' in page
    assert not RoomObject.objects.exists()


@pytest.mark.django_db
def test_a_fitting_is_hung_over_a_table_by_its_form(
    designer, designer_client, room, fitting, table
):
    freer = {**PLACED, "x_m": "1.5", "y_m": "1.6", "width_m": "0.5", "depth_m": "0.5"}
    house.object_add(by=designer, room=room, kind="table", name="Side table", **freer)
    form = designer_client.get(url("fitting_form", fitting.pk))
    assert "Table, 1.80 × 0.90 m" in form.content.decode()
    data = as_form(fitting, over=str(table.pk))
    designer_client.post(url("fitting_change", fitting.pk), data)
    fitting.refresh_from_db()
    assert fitting.over == table
    found = read_house(room.project)
    stated = room_problem(found, found.design.room_of[str(room.pk)], 0.75)
    places = [each.placement.position_m for each in stated.problem.channels[0].hung]
    assert all(y == pytest.approx(1.45) and 1 < x < 2.8 for x, y, _z in places)


@pytest.mark.django_db
def test_over_nothing_is_refused_in_words_and_what_was_typed_stays(designer_client, fitting):
    answer = designer_client.post(
        url("fitting_change", fitting.pk), as_form(fitting, note="over the table")
    )
    assert "Nothing to hang over stands in" in answer.content.decode()
    assert 'value="over the table"' in answer.content.decode()
    fitting.refresh_from_db()
    assert fitting.arrangement != "over-object"


@pytest.mark.django_db
def test_an_object_without_a_place_or_of_another_room_is_refused(
    designer, designer_client, project, room, fitting
):
    unplaced = house.object_add(by=designer, room=room, kind="table")
    other = a_room(by=designer, project=project, name="Annexe")
    elsewhere = house.object_add(by=designer, room=other, kind="desk", **PLACED)
    for row, said in ((unplaced, "Say first where Table stands"), (elsewhere, "stands in Annexe")):
        answer = designer_client.post(
            url("fitting_change", fitting.pk), as_form(fitting, over=str(row.pk))
        )
        assert said in answer.content.decode()
    fitting.refresh_from_db()
    assert fitting.over is None


@pytest.mark.django_db
def test_an_object_of_another_project_is_no_choice(designer, designer_client, fitting):
    stranger = Room.objects.filter(project=a_project(by=designer)).get()
    row = house.object_add(by=designer, room=stranger, kind="table", **PLACED)
    designer_client.post(url("fitting_change", fitting.pk), as_form(fitting, over=str(row.pk)))
    fitting.refresh_from_db()
    assert fitting.over is None
    form = designer_client.get(url("fitting_form", fitting.pk))
    assert str(row.pk) not in form.content.decode()


@pytest.mark.django_db
def test_what_is_removed_frees_what_hung_over_it_and_undo_brings_both_back(
    designer, designer_client, project, fitting, table
):
    circuits.fitting_change(by=designer, fitting=fitting, arrangement="over-object", over=table)
    house.object_remove(by=designer, row=table)
    fitting.refresh_from_db()
    assert fitting.over is None
    designer_client.post(url("undo", project.pk))
    fitting.refresh_from_db()
    assert fitting.over_id == table.pk


@pytest.mark.django_db
def test_a_copied_room_hangs_over_its_own_table(designer, room, fitting, table):
    circuits.fitting_change(by=designer, fitting=fitting, arrangement="over-object", over=table)
    made = copying.room_copy(by=designer, floor=room.floor, room=room)
    twin = CircuitFitting.objects.get(room=made)
    assert twin.over.room == made
    assert twin.over != table


@pytest.mark.django_db
def test_a_fitting_that_goes_elsewhere_leaves_the_table(designer, project, room, fitting, table):
    circuits.fitting_change(by=designer, fitting=fitting, arrangement="over-object", over=table)
    other = a_room(by=designer, project=project, name="Annexe")
    copied = copying.circuit_copy(by=designer, room=other, circuit=fitting.circuit)
    assert CircuitFitting.objects.get(circuit=copied).over is None
    same = copying.circuit_copy(by=designer, room=room, circuit=fitting.circuit)
    assert CircuitFitting.objects.get(circuit=same).over == table
    moved = copying.fitting_to_room(by=designer, fitting=fitting, room=other)
    assert moved.over is None


@pytest.mark.django_db
def test_a_room_goes_with_its_table_and_what_hangs_over_it(designer, room, fitting, table):
    circuits.fitting_change(by=designer, fitting=fitting, arrangement="over-object", over=table)
    house.room_remove(by=designer, room=room)
    assert not RoomObject.objects.exists()


@pytest.mark.django_db
def test_the_page_asks_no_more_of_the_database_for_more_objects(
    designer, designer_client, room, queries
):
    def asked(count):
        for number in range(count):
            house.object_add(by=designer, room=room, kind="table", name=f"{number}", **PLACED)
        return queries(lambda: designer_client.get(url("object_add", room.pk)))

    asked(1)
    assert asked(0) == asked(9)
