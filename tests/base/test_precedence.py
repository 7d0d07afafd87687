"""Edits go first: what only reads stands aside while one is under way, and not for ever."""

import threading
import time

import pytest
from django.http import HttpResponse
from django.test import RequestFactory

from base import precedence
from base.middleware import let_edits_go_first
from base.once import Kept, once

PART = object()
FORM = "application/x-www-form-urlencoded"


def read_patiently(done):
    kept: Kept[int] = Kept(2)
    with precedence.patient():
        kept.get((PART,), lambda: 1)
        done.set()


def test_a_patient_request_waits_for_the_edit_and_goes_on_after_it():
    done = threading.Event()
    with precedence.first():
        reader = threading.Thread(target=read_patiently, args=(done,))
        reader.start()
        assert not done.wait(0.1)
    assert done.wait(5)
    reader.join()


def test_functions_that_keep_their_answers_wait_too():
    @once(2)
    def told(_part):
        return 1

    done = threading.Event()

    def read():
        with precedence.patient():
            told(PART)
            done.set()

    with precedence.first():
        threading.Thread(target=read).start()
        assert not done.wait(0.1)
    assert done.wait(5)


def test_two_edits_hold_readers_until_both_are_done():
    done = threading.Event()
    with precedence.first():
        with precedence.first():
            reader = threading.Thread(target=read_patiently, args=(done,))
            reader.start()
        assert not done.wait(0.05)
    assert done.wait(5)
    reader.join()


def test_an_edit_that_never_ends_holds_nobody_up_for_good(monkeypatch):
    monkeypatch.setattr(precedence, "MOST_S", 0.02)
    done = threading.Event()
    with precedence.first():
        threading.Thread(target=read_patiently, args=(done,)).start()
        assert done.wait(5)


def test_an_edit_and_whoever_is_not_patient_do_not_wait():
    kept: Kept[int] = Kept(2)
    with precedence.first():
        began = time.monotonic()
        kept.get((PART,), lambda: 1)
        precedence.stand_aside()
        assert time.monotonic() - began < precedence.MOST_S


@pytest.mark.parametrize(
    ("method", "is_edit"), [("get", False), ("head", False), ("post", True), ("put", True)]
)
def test_what_changes_something_is_an_edit(method, is_edit):
    seen = []

    def answer(_request):
        seen.append((precedence.under_way, precedence._mine.left > 0))
        return HttpResponse()

    precedence._mine.left = 0.0
    given = {} if method in {"get", "head"} else {"content_type": FORM}
    let_edits_go_first(answer)(getattr(RequestFactory(), method)("/", **given))
    assert seen == [(1, False) if is_edit else (0, True)]
    assert precedence.under_way == 0
    assert precedence._mine.left == 0.0


def test_an_edit_that_fails_is_over():
    def fails(_request):
        raise LookupError

    with pytest.raises(LookupError):
        let_edits_go_first(fails)(RequestFactory().post("/", content_type=FORM))
    assert precedence.under_way == 0


def test_nobody_stands_aside_for_files_that_come_slowly():
    seen = []

    def answer(_request):
        seen.append(precedence.under_way)
        return HttpResponse()

    let_edits_go_first(answer)(RequestFactory().post("/", {"photo": "…"}))
    assert seen == [0]
