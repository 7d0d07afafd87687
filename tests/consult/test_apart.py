"""The helper gives the outcome that is found on the spot; where it fails, that is taken instead."""

import os
import sys
import time

import pytest
from django.core.cache import caches

from consult import apart, derived
from consult.derived import planned, read_house
from consult.models import Circuit
from consult.services import circuits
from engineering import control_enclosure
from tests.factories import PersonFactory, a_keypad, a_product, a_project, a_receiver, with_rates

pytestmark = pytest.mark.django_db
LOWEST = 19  # the lowest priority that Linux has


@pytest.fixture
def project():
    with_rates()
    a_receiver()
    a_receiver(outputs=2, cost="41.00", kinds=("switched", "phase-dimmed", "digital-dimmed"))
    a_keypad()
    a_product(watts="14", lumens="1200", load_kinds=("switched", "digital-dimmed"))
    return a_project(by=PersonFactory(), rooms=2, circuits_each=3)


@pytest.fixture
def tasks(project, monkeypatch):
    """What the plan of the house asks of its enclosures, worked out on the spot."""
    found = []
    plain = control_enclosure.plan_enclosure

    def noted(*, task):
        found.append(task)
        return plain(task=task)

    monkeypatch.setattr(derived, "plan_enclosure", noted)
    forget()
    planned(read_house(project))
    monkeypatch.undo()
    assert found
    return found


@pytest.fixture
def helper():
    made = apart.Helper()
    yield made
    made.end()


def forget():
    derived.forget()
    caches["planned"].clear()


def another(code, within_s=5.0):
    """A helper that runs this instead."""
    return apart.Helper((sys.executable, "-c", code), within_s)


def test_the_outcome_is_the_one_found_on_the_spot(tasks, helper):
    for task in [*tasks, *tasks]:  # the second time with what it found out the first
        assert helper.outcome(task) == control_enclosure.plan_enclosure(task=task)


def test_it_works_in_another_process_that_gives_way(tasks, helper):
    helper.outcome(tasks[0])
    process = helper._process
    assert process.pid != os.getpid()
    lower = min(os.getpriority(os.PRIO_PROCESS, 0) + apart.LOWER_BY, LOWEST)
    assert os.getpriority(os.PRIO_PROCESS, process.pid) == lower
    helper.outcome(tasks[0])
    assert helper._process is process


def test_it_ends_with_the_process_that_started_it(tasks, helper):
    helper.outcome(tasks[0])
    process = helper._process
    process.stdin.close()  # as when that process is gone
    assert process.wait(timeout=5) == 0


def test_killed_it_gives_none_once_and_is_started_again(tasks, helper):
    first = helper.outcome(tasks[0])
    helper._process.kill()
    helper._process.wait()
    assert helper.outcome(tasks[0]) == first  # seen to be gone, and started
    os.kill(helper._process.pid, 19)  # stopped: it answers no more
    helper._within_s = 0.2
    assert helper.outcome(tasks[0]) is None
    helper._within_s = 30.0
    assert helper.outcome(tasks[0]) == first


@pytest.mark.parametrize(
    "code",
    [
        "raise SystemExit",
        "import sys; sys.stdout.buffer.write(b'\\0\\0\\0\\4nope'); sys.stdout.flush(); sys.stdin.read()",
        "import sys; sys.stdout.buffer.write(b'\\0\\0\\1\\0cut short'); sys.stdout.flush()",
    ],
    ids=["ends at once", "talks nonsense", "stops in the middle"],
)
def test_one_that_is_of_no_use_gives_none(tasks, code):
    broken = another(code)
    assert broken.outcome(tasks[0]) is None
    broken.end()


def test_one_that_does_not_answer_is_not_waited_for(tasks):
    silent = another("import time; time.sleep(60)", within_s=0.2)
    began = time.monotonic()
    assert silent.outcome(tasks[0]) is None
    assert time.monotonic() - began < 20
    assert silent._process is None


def test_a_program_that_is_not_there_gives_none(tasks):
    assert apart.Helper(("/no/such/program",)).outcome(tasks[0]) is None


def test_a_task_that_cannot_be_done_is_told_by_the_process_itself(tasks):
    def fails(*, task):
        raise LookupError(task.spec.reference)

    assert served(tasks[0], fails) is None


def served(task, solve):
    """The answer of the helper's own loop, here."""
    import io
    import pickle

    given, out = io.BytesIO(), io.BytesIO()
    apart._write(given, apart._frame(task))
    given.seek(0)
    apart.serve(given, out, solve)
    out.seek(0)
    return pickle.loads(apart._read(out))


@pytest.mark.parametrize("is_broken", [False, True])
def test_plans_of_a_house_are_the_same_apart_and_on_the_spot(
    project, settings, monkeypatch, helper, is_broken
):
    here = planned(read_house(project))
    settings.PLANS_APART = True
    monkeypatch.setattr(apart, "helper", another("raise SystemExit") if is_broken else helper)
    asked = []
    monkeypatch.setattr(
        derived, "plan_enclosure",
        lambda *, task: asked.append(task) or control_enclosure.plan_enclosure(task=task),
    )  # fmt: skip
    forget()
    assert planned(read_house(project)) == here
    assert bool(asked) == is_broken
    circuit = Circuit.objects.filter(project=project).first()
    circuits.circuit_change(by=PersonFactory(), circuit=circuit, load_kind="switched")
    there = planned(read_house(project))
    settings.PLANS_APART = False
    forget()
    assert planned(read_house(project)) == there


def test_what_was_found_out_is_bounded():
    known, solved = {"a": dict.fromkeys(range(apart.FOUND_OUT_KEPT + 1))}, {"b": None}
    assert apart.bounded((known, solved)) == ({}, {"b": None})
    solved.update(dict.fromkeys(map(str, range(apart.FOUND_OUT_KEPT))))
    assert apart.bounded((known, solved)) == ({}, {})
