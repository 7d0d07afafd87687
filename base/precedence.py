"""Who edits goes first.

Threads of a process take turns at one interpreter. Whoever changed something waits for the answer;
what follows from it, plan, price and findings, may come a moment later. So while an edit is under
way in this process, requests that only read stand aside where they look for what is kept
(`base.once`), and go on when it is done.
"""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Lock, local

# Seconds that one request stands aside in all: edits that never end hold nobody up for good.
MOST_S = 0.25

under_way = 0
"""Edits that this process is answering now. Look at it before calling `stand_aside`: that is quicker."""

_counting = Lock()
_none = Event()
_none.set()
_mine = local()


@contextmanager
def first() -> Iterator[None]:
    """An edit: others stand aside until it is done."""
    global under_way
    with _counting:
        under_way += 1
        _none.clear()
    try:
        yield
    finally:
        with _counting:
            under_way -= 1
            if not under_way:
                _none.set()


@contextmanager
def patient() -> Iterator[None]:
    """A request that stands aside for edits where it can, MOST_S in all."""
    _mine.left = MOST_S
    try:
        yield
    finally:
        _mine.left = 0.0


def stand_aside() -> None:
    """Wait until no edit is under way, if this request is patient and has not waited too long."""
    left = getattr(_mine, "left", 0.0)
    if left > 0:
        began = time.monotonic()
        _none.wait(left)
        _mine.left = left - (time.monotonic() - began)
