"""The history says what rows are called, whatever table they stand in."""

import pytest

from consult.acts import acts
from consult.models import Circuit, CircuitFitting, JournalEntry, Room, Scene
from consult.services import circuits, keypads, scenes
from tests.factories import PersonFactory, a_circuit, a_product, a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def project(by):
    return a_project(by=by)


def last(project, number=1):
    entries = JournalEntry.objects.filter(project=project).order_by("-number")[:number]
    return acts(list(entries), project)


def shown(act):
    return {each.label: (each.before, each.after) for each in act.differences}


def test_rows_are_named_by_code_and_name_whatever_table_they_stand_in(by, project):
    room = Room.objects.get(project=project)
    other = a_circuit(by=by, room=room)
    row = CircuitFitting.objects.exclude(circuit=other).get()
    was, swapped = row.circuit, a_product(name="Swivel spot", reference="SP-1")
    circuits.fitting_to_circuit(by=by, fitting=row, circuit=other)
    circuits.fitting_change(by=by, fitting=row, product=swapped)
    position = keypads.position_add(by=by, room=room, name="by the door")
    scene = Scene.objects.filter(project=project).first()
    keypads.buttons_fill(by=by, row=position, scenes=[scene])
    buttons, _position, changed, moved = last(project, 4)
    assert shown(moved)["circuit"] == (f"{was.code} {was.name}", f"{other.code} {other.name}")
    assert shown(changed)["product"][1] == "Swivel spot"
    assert scene.name in str(buttons.differences)


def test_what_was_removed_since_is_said_to_be(by, project):
    room = Room.objects.get(project=project)
    other = a_circuit(by=by, room=room)
    row = CircuitFitting.objects.exclude(circuit=other).get()
    circuits.fitting_to_circuit(by=by, fitting=row, circuit=other)
    scenes.scene_remove(by=by, scene=Scene.objects.filter(project=project).first())
    circuits.circuit_remove(by=by, circuit=Circuit.objects.get(pk=other.pk))
    moved = last(project, 3)[-1]
    assert shown(moved)["circuit"][1] == "removed since"


def test_a_page_of_acts_is_named_in_one_query(by, project, django_assert_num_queries):
    test_rows_are_named_by_code_and_name_whatever_table_they_stand_in(by, project)
    entries = list(JournalEntry.objects.filter(project=project).order_by("-number"))
    with django_assert_num_queries(3):  # what may be taken back, and done again; and the names
        acts(entries, project)
