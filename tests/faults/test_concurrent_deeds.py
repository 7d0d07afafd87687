"""Several people at once: no code twice, no change lost, one effect for one key.

SQLite's write lock hides races that PostgreSQL shows, so the run on PostgreSQL is the one that counts.
"""

import threading
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connections

from base.deeds import Refusal, Stale
from consult.models import Circuit, JournalEntry, Project, Room, Scene, SceneLevel
from consult.services import circuits, scenes
from tests.factories import PersonFactory, a_product, a_project

pytestmark = pytest.mark.django_db(transaction=True)
AT_ONCE = 8


def at_once(work: Callable[[int], Any], count: int = AT_ONCE) -> list[Any]:
    """What each of several threads gave, or the exception it met; all start together."""
    gate, answers = threading.Barrier(count), [None] * count

    def run(number: int) -> None:
        try:
            gate.wait(timeout=30)
            answers[number] = work(number)
        except Exception as error:
            answers[number] = error
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return answers


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def room(by):
    return Room.objects.get(project=a_project(by=by))


def test_circuits_added_at_once_have_codes_of_their_own(by, room):
    product = a_product()
    answers = at_once(
        lambda number: circuits.circuit_add(
            by=by,
            room=Room.objects.get(pk=room.pk),
            name=f"C{number}",
            fitting={"product": product},
        )
    )
    assert all(isinstance(answer, Circuit) for answer in answers), answers
    codes = list(Circuit.objects.values_list("code", flat=True))
    assert len(codes) == len(set(codes)) == AT_ONCE + 1
    numbers = list(JournalEntry.objects.order_by("number").values_list("number", flat=True))
    assert len(numbers) == len(set(numbers))
    assert max(numbers) == Project.objects.get().version


def test_one_key_sent_by_many_has_one_effect_and_one_answer(by, room):
    key, product = uuid.uuid4(), a_product()
    answers = at_once(
        lambda _number: circuits.circuit_add(
            by=by,
            room=Room.objects.get(pk=room.pk),
            name="Once",
            fitting={"product": product},
            key=key,
        )
    )
    assert Circuit.objects.filter(name="Once").count() == 1
    assert {answer.pk for answer in answers} == {Circuit.objects.get(name="Once").pk}


def test_of_many_writers_who_saw_the_same_one_wins_and_the_others_are_told(by, room):
    circuit = Circuit.objects.get()
    answers = at_once(
        lambda number: circuits.circuit_change(
            by=by, circuit=circuit, seen=circuit.version, name=f"Name {number}"
        )
    )
    assert sum(isinstance(answer, Circuit) for answer in answers) == 1
    assert sum(isinstance(answer, Stale) for answer in answers) == AT_ONCE - 1
    assert Circuit.objects.get().version == circuit.version + 1


def test_levels_set_at_once_are_all_kept(by, room):
    scene, product = Scene.objects.get(), a_product()
    made = [
        circuits.circuit_add(by=by, room=room, name=f"C{n}", fitting={"product": product})
        for n in range(AT_ONCE)
    ]
    answers = at_once(
        lambda number: scenes.level_set(
            by=by, scene=Scene.objects.get(pk=scene.pk), circuit=made[number], level=number
        )
    )
    assert not [answer for answer in answers if isinstance(answer, Exception)], answers
    assert SceneLevel.objects.filter(scene=scene, circuit__in=made).count() == AT_ONCE


def test_removing_at_once_removes_once_and_tells_the_others(by, room):
    circuit = Circuit.objects.get()
    answers = at_once(lambda _number: circuits.circuit_remove(by=by, circuit=circuit))
    assert sum(answer is None for answer in answers) == 1
    assert sum(isinstance(answer, Refusal) for answer in answers) == AT_ONCE - 1
    assert not Circuit.objects.exists()
