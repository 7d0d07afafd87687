"""What is kept of pure functions: the same values give the same answer, others their own."""

import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import pytest

from base.once import Kept, forget, once


@dataclass(frozen=True)
class Part:
    name: str


def counting():
    calls = []

    @once(3)
    def told(part, number=0, *more):
        calls.append((part.name, number, *more))
        return [part.name, number]

    return told, calls


def test_the_same_part_is_looked_at_once_and_gives_the_same_answer():
    told, calls = counting()
    part = Part("a")
    assert told(part, 1) is told(part, 1)
    assert calls == [("a", 1)]


def test_an_equal_part_is_another_and_an_equal_number_is_not():
    told, calls = counting()
    told(Part("a"), 1)
    told(Part("a"), 1)
    part = Part("b")
    told(part, 1)
    told(part, 10 - 9)
    assert [name for name, _number in calls] == ["a", "a", "b"]


def test_true_is_not_taken_for_one():
    told, calls = counting()
    part = Part("a")
    told(part, 1)
    told(part, True)
    assert len(calls) == 2


def test_the_oldest_goes_and_everything_is_forgotten_when_told():
    told, calls = counting()
    parts = [Part(name) for name in "abcd"]
    for part in parts:
        told(part)
    told(parts[3])
    assert len(calls) == 4
    told(parts[0])
    assert len(calls) == 5
    forget()
    told(parts[0])
    assert len(calls) == 6


def test_values_by_name_are_refused():
    told, _calls = counting()
    with pytest.raises(TypeError, match="by position"):
        told(Part("a"), number=1)


def test_a_part_that_is_gone_never_lends_its_place_to_another():
    """Keys hold what they stand for: an object made later has another identity."""
    told, _calls = counting()
    answers = [told(Part(str(n))) for n in range(3)]
    assert [name for name, _number in answers] == ["0", "1", "2"]
    assert [told(Part(str(n)))[0] for n in range(3, 200)] == [str(n) for n in range(3, 200)]


def test_kept_answers_are_by_their_inputs_and_the_oldest_goes():
    kept: Kept[str] = Kept(2)
    one, other = Part("a"), Part("a")
    assert kept.get((one, "x"), lambda: "first") == "first"
    assert kept.get((one, "x"), lambda: "again") == "first"
    assert kept.get((other, "x"), lambda: "other") == "other"
    assert kept.get((one, "y"), lambda: "third") == "third"
    assert kept.get((one, "x"), lambda: "new") == "new"


def test_threads_that_keep_at_once_each_get_their_own():
    kept: Kept[int] = Kept(4)

    def ask(start):
        return [kept.get((n % 50,), lambda n=n: n % 50) for n in range(start, start + 3000)]

    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(8) as pool:
            answers = list(pool.map(ask, range(8)))
    finally:
        sys.setswitchinterval(before)
    for start, found in enumerate(answers):
        assert found == [n % 50 for n in range(start, start + 3000)]
