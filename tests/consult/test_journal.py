"""Every act on a design is remembered, and can be taken back."""

import uuid
from decimal import Decimal

import pytest

from base.deeds import Gone, Refusal, Stale
from base.models import Deed
from consult.models import Circuit, CircuitFitting, JournalEntry, Room, Scene, SceneLevel
from consult.reader import read_design
from consult.services import circuits, house, keypads, scenes, turns
from tests.factories import PersonFactory, a_circuit, a_product, a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def project(by):
    return a_project(by=by)


def content(project):
    return read_design(project).to_content()


def test_an_act_is_taken_back_and_done_again(by, project):
    before = content(project)
    room = Room.objects.get(project=project)
    a_circuit(by=by, room=room, product=a_product())
    after = content(project)
    assert after != before
    turns.undo(by=by, project=project)
    assert content(project) == before
    turns.redo(by=by, project=project)
    assert content(project) == after


def test_removing_a_room_takes_all_in_it_and_undo_brings_all_back(by, project):
    room = Room.objects.get(project=project)
    keypads.position_add(by=by, room=room, name="by the door")
    keypads.buttons_fill(
        by=by, row=room.keypad_positions.get(), scenes=list(Scene.objects.filter(project=project))
    )
    before = content(project)
    house.room_remove(by=by, room=room)
    assert not Room.objects.exists()
    assert not CircuitFitting.objects.exists()
    assert not Scene.objects.exists()
    turns.undo(by=by, project=project)
    assert content(project) == before


def test_a_hundred_steps_go_back_one_by_one(by, project):
    circuit = Circuit.objects.get(project=project)
    seen = [content(project)]
    for step in range(100):
        circuits.circuit_change(by=by, circuit=circuit, name=f"Ceiling {step}")
        seen.append(content(project))
    for expected in reversed(seen[:-1]):
        turns.undo(by=by, project=project)
        assert content(project) == expected


def test_a_new_act_ends_what_could_be_done_again(by, project):
    circuit = Circuit.objects.get(project=project)
    circuits.circuit_change(by=by, circuit=circuit, name="One")
    turns.undo(by=by, project=project)
    circuits.circuit_change(by=by, circuit=circuit, name="Two")
    turns.undo(by=by, project=project)
    turns.redo(by=by, project=project)
    assert Circuit.objects.get().name == "Two"
    assert turns.redo(by=by, project=project) is None


def test_undo_is_refused_where_a_row_is_no_longer_what_it_was(by, project):
    circuit = Circuit.objects.get(project=project)
    circuits.circuit_change(by=by, circuit=circuit, name="One")
    Circuit.objects.filter(pk=circuit.pk).update(name="Changed behind the journal")
    with pytest.raises(Stale):
        turns.undo(by=by, project=project)
    assert Circuit.objects.get().name == "Changed behind the journal"


def test_a_circuit_code_is_never_given_twice(by, project):
    room = Room.objects.get(project=project)
    first = a_circuit(by=by, room=room, product=a_product())
    turns.undo(by=by, project=project)
    second = a_circuit(by=by, room=room, product=a_product())
    circuits.circuit_remove(by=by, circuit=second)
    third = a_circuit(by=by, room=room, product=a_product())
    assert len({first.code, second.code, third.code}) == 3


def test_a_later_writer_is_told_and_nothing_is_changed(by, project):
    circuit = Circuit.objects.get(project=project)
    circuits.circuit_change(by=by, circuit=circuit, seen=circuit.version, name="First")
    entries = JournalEntry.objects.count()
    with pytest.raises(Stale) as refused:
        circuits.circuit_change(by=by, circuit=circuit, seen=circuit.version, name="Second")
    assert refused.value.row.name == "First"
    assert Circuit.objects.get().name == "First"
    assert JournalEntry.objects.count() == entries


def test_the_same_key_twice_has_one_effect_and_one_answer(by, project):
    room, key, product = Room.objects.get(project=project), uuid.uuid4(), a_product()
    given = {"by": by, "room": room, "name": "Shelves", "fitting": {"product": product}, "key": key}
    first = circuits.circuit_add(**given)
    again = circuits.circuit_add(**given)
    assert again == first
    assert Circuit.objects.filter(project=project).count() == 2
    assert Deed.objects.get().answer == {"model": "consult.circuit", "pk": str(first.pk)}


def test_a_key_of_another_deed_is_refused(by, project):
    room, key = Room.objects.get(project=project), uuid.uuid4()
    house.room_change(by=by, room=room, key=key, name="Snug")
    with pytest.raises(Refusal, match="something else"):
        house.room_remove(by=by, room=room, key=key)
    assert Room.objects.get().name == "Snug"


def test_a_deed_on_a_row_that_is_gone_says_so(by, project):
    circuit = Circuit.objects.get(project=project)
    circuits.circuit_remove(by=by, circuit=circuit)
    with pytest.raises(Gone):
        circuits.circuit_change(by=by, circuit=circuit, name="Ghost")


def test_a_product_by_the_metre_needs_a_length(by, project):
    tape = a_product(kind="tape", unit="metre", load_kinds=("dc-white",))
    circuit = Circuit.objects.get(project=project)
    with pytest.raises(Refusal, match="length in metres"):
        circuits.fitting_add(by=by, circuit=circuit, product=tape)
    row = circuits.fitting_add(by=by, circuit=circuit, product=tape, length_m=Decimal("4.2"))
    assert row.length_m == Decimal("4.2")


def test_a_second_feed_of_the_same_pieces_follows_them(by, project):
    room = Room.objects.get(project=project)
    light = a_product(name="Up and down wall light")
    down = a_circuit(by=by, room=room, product=light)
    up = circuits.circuit_add(by=by, room=room, name="Up")
    first = down.fittings.get()
    circuits.fitting_add(by=by, circuit=up, same_pieces_as=first)
    circuits.fitting_change(by=by, fitting=first, pieces=4)
    assert up.fittings.get().pieces == 4
    with pytest.raises(Refusal, match="same pieces"):
        circuits.fitting_remove(by=by, fitting=first)


def test_a_level_outside_the_group_or_the_scale_is_refused(by):
    project = a_project(by=by, rooms=2)
    scene = Scene.objects.filter(project=project).first()
    stranger = Circuit.objects.exclude(room__group=scene.group).get()
    with pytest.raises(Refusal, match="does not share"):
        scenes.level_set(by=by, scene=scene, circuit=stranger, level=10)
    own = Circuit.objects.get(room__group=scene.group)
    with pytest.raises(Refusal, match="0 to 100"):
        scenes.level_set(by=by, scene=scene, circuit=own, level=101)
    assert scenes.level_set(by=by, scene=scene, circuit=own, level=None) is None
    assert not SceneLevel.objects.filter(scene=scene).exists()


def test_reading_a_design_costs_the_same_at_one_room_and_at_twenty(
    by, django_assert_num_queries, django_assert_max_num_queries
):
    small, large = a_project(by=by, rooms=1), a_project(by=by, rooms=20, circuits_each=2)
    with django_assert_max_num_queries(20) as counted:
        read_design(small)
    with django_assert_num_queries(len(counted)):
        read_design(large)


def test_acts_are_numbered_without_a_gap_whatever_comes_to_nothing(by, project):
    circuit = Circuit.objects.get(project=project)
    fitting, scene = circuit.fittings.get(), Scene.objects.get(project=project)
    last = project.version
    circuits.circuit_change(by=by, circuit=circuit, name=circuit.name)  # as it was
    circuits.circuit_move(by=by, circuit=circuit, step=1)  # there is no other
    scenes.level_set(by=by, scene=scene, circuit=circuit, level=40)  # as it was
    while turns.undo(by=by, project=project):
        pass
    assert turns.undo(by=by, project=project) is None
    while turns.redo(by=by, project=project):
        pass
    assert turns.redo(by=by, project=project) is None
    circuit = Circuit.objects.get(project=project)
    with pytest.raises(Stale):
        circuits.circuit_change(by=by, circuit=circuit, seen=circuit.version + 1, name="Late")
    with pytest.raises(Refusal):
        scenes.level_set(by=by, scene=scene, circuit=circuit, level=101)
    circuits.fitting_change(by=by, fitting=fitting, pieces=9)
    circuits.circuit_remove(by=by, circuit=circuit)
    scenes.scene_remove(by=by, scene=scene)
    numbers = JournalEntry.objects.filter(project=project).order_by("number")
    assert list(numbers.values_list("number", flat=True)) == list(range(2, 3 * last + 2))
    project.refresh_from_db()
    assert project.version == 3 * last + 1


def test_a_circuit_whose_pieces_another_feeds_is_kept_with_all_on_it(by, project):
    circuit = Circuit.objects.get(project=project)
    other = a_circuit(by=by, room=Room.objects.get(project=project))
    CircuitFitting.objects.filter(circuit=other).update(same_pieces_as=circuit.fittings.get())
    before, acts = content(project), JournalEntry.objects.count()
    with pytest.raises(Refusal, match="same pieces"):
        circuits.circuit_remove(by=by, circuit=circuit)
    assert (content(project), JournalEntry.objects.count()) == (before, acts)


def test_a_circuit_that_changed_since_it_was_read_is_removed_as_it_is(by, project):
    seen = Circuit.objects.select_related("project").get(project=project)
    circuits.circuit_change(by=by, circuit=seen, name="Other")
    now = content(project)
    circuits.circuit_remove(by=by, circuit=seen)
    turns.undo(by=by, project=project)
    assert content(project) == now
