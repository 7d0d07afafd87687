"""Rooms and circuits once more, patterns, and one product in place of another."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from base.deeds import Refusal
from consult.models import (
    Circuit,
    CircuitFitting,
    JournalEntry,
    Project,
    Room,
    Scene,
    SceneLevel,
)
from consult.reader import read_design
from consult.services import circuits, copying, keypads, patterns, swapping, turns
from tests.conftest import all_of
from tests.factories import PersonFactory, a_circuit, a_product, a_project, a_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by)
    return client


@pytest.fixture
def project(by):
    return a_project(by=by)


@pytest.fixture
def room(project):
    return Room.objects.get(project=project)


def content(project):
    return read_design(project).to_content()


# --- rooms ----------------------------------------------------------------------------------------
def test_a_room_is_copied_with_all_in_it_in_one_act(by, project, room):
    keypads.position_add(by=by, room=room, name="by the door")
    keypads.buttons_fill(by=by, row=room.keypad_positions.get(), scenes=list(Scene.objects.all()))
    acts = JournalEntry.objects.count()
    made = copying.room_copy(by=by, floor=room.floor, room=room)
    assert JournalEntry.objects.count() == acts + 1
    new = Circuit.objects.get(room=made)
    assert (made.name, made.length_m, new.code) == ("Room 2", room.length_m, "002.1")
    assert new.fittings.get().room == made
    assert new.fittings.get().pieces == 6
    scene = Scene.objects.get(group=made.group)
    assert (scene.name, scene.levels.get().circuit, scene.levels.get().level) == (
        "Evening",
        new,
        40,
    )
    assert made.keypad_positions.get().buttons.first().scene == scene


def test_a_copy_is_taken_back_in_one_step(by, project, room):
    before = content(project)
    copying.room_copy(by=by, floor=room.floor, room=room)
    after = content(project)
    turns.undo(by=by, project=project)
    assert content(project) == before
    turns.redo(by=by, project=project)
    assert content(project) == after


def test_a_copy_of_a_copy_and_a_circuit_after_it_have_codes_of_their_own(by, project, room):
    made = copying.room_copy(by=by, floor=room.floor, room=room)
    more = a_circuit(by=by, room=made, product=a_product())
    again = copying.room_copy(by=by, floor=room.floor, room=made)
    codes = list(Circuit.objects.values_list("code", flat=True))
    assert len(codes) == len(set(codes)) == 5
    assert (more.code, again.name) == ("002.2", "Room 3")


def test_pieces_seen_through_another_feed_stay_the_same_pieces(by, project, room):
    first = Circuit.objects.get().fittings.get()
    other = circuits.circuit_add(by=by, room=room, name="Up")
    circuits.fitting_add(by=by, circuit=other, same_pieces_as=first)
    made = copying.room_copy(by=by, floor=room.floor, room=room)
    twin = CircuitFitting.objects.get(room=made, same_pieces_as__isnull=False)
    assert twin.same_pieces_as.circuit.room == made


def test_a_room_is_copied_in_two_presses(staff, room):
    page = staff.get(room.get_absolute_url())
    assert any(
        each["href"] == reverse("consult:room_copying", args=[room.pk])
        for each in all_of(page, ".page-head a")
    )
    staff.post(reverse("consult:room_copy", args=[room.pk]))
    assert Room.objects.count() == 2


def test_the_same_copy_sent_twice_makes_one_room(staff, room):
    key = str(uuid.uuid4())
    for _again in range(2):
        staff.post(reverse("consult:room_copy", args=[room.pk]), {"key": key})
    assert Room.objects.count() == 2


# --- circuits and fittings ------------------------------------------------------------------------
def test_a_circuit_goes_into_another_room_once_more(by, staff, project, room):
    hall = a_room(by=by, project=project)
    staff.post(
        reverse("consult:circuit_copy", args=[Circuit.objects.get().pk]),
        {"room": str(hall.pk)},
        headers={"HX-Request": "true"},
    )
    made = Circuit.objects.get(room=hall)
    assert (made.code, made.fittings.get().pieces, made.fittings.get().room) == ("002.1", 6, hall)


def test_in_its_own_room_a_copy_plays_in_the_same_scenes(by, room):
    made = copying.circuit_copy(by=by, room=room, circuit=Circuit.objects.get())
    assert SceneLevel.objects.get(circuit=made).level == 40


def test_a_circuit_of_another_project_is_refused(by, room):
    other = Room.objects.exclude(project=room.project).first() or Room.objects.get(
        project=a_project(by=by)
    )
    with pytest.raises(Refusal, match="another project"):
        copying.circuit_copy(by=by, room=room, circuit=Circuit.objects.filter(room=other).get())


def test_a_fitting_is_hung_on_another_circuit(by, staff, room):
    row = CircuitFitting.objects.get()
    target = circuits.circuit_add(by=by, room=room, name="Other")
    staff.post(
        reverse("consult:fitting_to_circuit", args=[row.pk]),
        {"circuit": str(target.pk)},
        headers={"HX-Request": "true"},
    )
    row.refresh_from_db()
    assert row.circuit == target


def test_a_circuit_moves_within_its_layer(by, room):
    first = Circuit.objects.get()
    between = circuits.circuit_add(by=by, room=room, name="Picture", layer="accent")
    last = circuits.circuit_add(by=by, room=room, name="Coves")
    circuits.circuit_move(by=by, circuit=last, step=-1)
    order = [c.pk for c in Circuit.objects.filter(room=room).order_by("position")]
    assert order.index(last.pk) < order.index(first.pk)
    assert between.pk in order


# --- patterns -------------------------------------------------------------------------------------
@pytest.fixture
def pattern(by, room):
    """The room of 5 × 4 m kept as a pattern, its six downlights following the floor area."""
    made = patterns.save_as_pattern(by=by, room=room, name="Quiet bedroom")
    CircuitFitting.objects.filter(circuit__room=made).update(scales_by="area")
    return Room.objects.select_related("project", "floor", "group").get(pk=made.pk)


def test_a_pattern_is_a_room_of_the_library_and_edited_like_any(staff, pattern):
    assert pattern.project.is_library
    assert staff.get(pattern.get_absolute_url()).status_code == 200
    assert Project.objects.jobs().count() == 1


@pytest.mark.parametrize(
    ("length", "width", "pieces"),
    [("5", "4", 6), ("10", "4", 12), ("2.5", "2", 2), ("1", "0.5", 1)],
)
def test_quantities_follow_the_floor_area(by, project, pattern, length, width, pieces):
    hall = a_room(by=by, project=project, length_m=Decimal(length), width_m=Decimal(width))
    assert patterns.preview(pattern, hall).rows[0].pieces_after == pieces
    patterns.pattern_apply(by=by, room=hall, pattern=pattern)
    assert CircuitFitting.objects.get(room=hall).pieces == pieces


def test_quantities_follow_the_way_round(by, project, pattern):
    CircuitFitting.objects.filter(circuit__room=pattern).update(scales_by="perimeter")
    hall = a_room(by=by, project=project, length_m=Decimal(10), width_m=Decimal(8))
    patterns.pattern_apply(by=by, room=hall, pattern=pattern)
    assert CircuitFitting.objects.get(room=hall).pieces == 12


def test_without_a_size_nothing_is_scaled_and_the_preview_says_so(by, staff, project, pattern):
    hall = a_room(by=by, project=project)
    assert not patterns.preview(pattern, hall).scales
    page = staff.get(reverse("consult:pattern", args=[hall.pk, pattern.pk])).content.decode()
    assert "nothing is scaled" in page
    patterns.pattern_apply(by=by, room=hall, pattern=pattern)
    assert CircuitFitting.objects.get(room=hall).pieces == 6


def test_scenes_of_the_same_name_are_joined(by, project, room, pattern):
    found = patterns.preview(pattern, room)
    assert (found.scenes_filled, found.scenes_made) == (("Evening",), ())
    patterns.pattern_apply(by=by, room=room, pattern=pattern)
    evening = Scene.objects.get(group=room.group)
    assert evening.levels.count() == 2


def test_a_pattern_put_in_is_one_act(by, project, room, pattern):
    before = content(project)
    patterns.pattern_apply(by=by, room=room, pattern=pattern)
    turns.undo(by=by, project=project)
    assert content(project) == before


def test_what_is_no_pattern_is_refused(by, staff, project, room):
    hall = a_room(by=by, project=project)
    with pytest.raises(Refusal, match="not a pattern"):
        patterns.pattern_apply(by=by, room=hall, pattern=room)
    address = reverse("consult:pattern_apply", args=[hall.pk, room.pk])
    assert staff.post(address).status_code == 404


# --- one product in place of another --------------------------------------------------------------
def test_a_product_is_swapped_in_a_room_or_in_the_house(by, project, room):
    old, new = CircuitFitting.objects.get().product, a_product(name="Deep downlight", watts="10")
    hall = a_room(by=by, project=project)
    a_circuit(by=by, room=hall, product=old)
    given = {"project": project, "old": old, "new": new, "room": room}
    assert len(swapping.preview(scope="house", **given).rows) == 2
    assert swapping.product_swap(by=by, scope="room", **given) == 1
    assert CircuitFitting.objects.get(room=hall).product == old
    assert swapping.product_swap(by=by, scope="house", **given) == 1
    assert set(CircuitFitting.objects.values_list("product", flat=True)) == {new.pk}
    assert set(CircuitFitting.objects.values_list("feed", flat=True)) == {new.feeds.get().pk}


def test_the_preview_says_load_light_price_and_what_does_not_fit(by, project, room):
    old = CircuitFitting.objects.get().product
    new = a_product(
        watts="10", lumens="900", sell="50.00", load_kinds=("switched",),
        fitting={"recess_depth_mm": 120},
    )  # fmt: skip
    Room.objects.filter(pk=room.pk).update(void_mm=90)
    found = swapping.preview(project=project, old=old, new=new, scope="house", room=room)
    assert found.watts == (48, 60)
    assert found.lumens == (4320, 5400)
    assert found.price_difference == 36  # 6 × (50 − 44)
    assert found.rows[0].amiss == ("driven", "void")


def test_a_swap_is_one_act_and_is_taken_back(by, project, room):
    before, old = content(project), CircuitFitting.objects.get().product
    swapping.product_swap(
        by=by, project=project, old=old, new=a_product(), scope="house", room=room
    )
    assert content(project) != before
    turns.undo(by=by, project=project)
    assert content(project) == before


def test_pieces_are_not_swapped_for_metres(by, project, room):
    old = CircuitFitting.objects.get().product
    tape = a_product(kind="tape", unit="metre", load_kinds=("dc-white",))
    with pytest.raises(Refusal, match="by the metre"):
        swapping.product_swap(by=by, project=project, old=old, new=tape, scope="house", room=room)


def test_a_swap_on_its_page(staff, room):
    row, new = CircuitFitting.objects.get(), a_product(name="Deep downlight")
    address = reverse("consult:swap", args=[row.pk])
    page = staff.get(address, {"product": str(new.pk)}).content.decode()
    assert "Hang Deep downlight instead" in page
    assert "36.00" not in page  # same price, and no cost either
    staff.post(reverse("consult:swap_do", args=[row.pk]), {"product": str(new.pk)})
    row.refresh_from_db()
    assert row.product == new
    assert staff.post(reverse("consult:swap_do", args=[row.pk]), {}).status_code == 302
