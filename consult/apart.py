"""Exact plans are worked out in a process of their own, behind what people wait for.

A web process answers presses; the search for the cheapest plan is long, and would share its
interpreter with them. So each web process has one helper, of lower priority, that is given an
enclosure's task and gives back its outcome: frames of a length and a pickle, on its standard input
and output. It ends when the web process does. Where there is none, or it does not answer, the plan
is worked out on the spot; the outcome is the same.

No Django here: the helper starts quickly and stays small.
"""

import atexit
import os
import pickle
import select
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from struct import Struct
from threading import Lock
from typing import Any, BinaryIO

from base.once import once
from engineering.control_enclosure import EnclosureTask, Outcome, plan_enclosure
from engineering.control_fixed import KnownWays
from engineering.control_solve import KnownCovers

ROOT = Path(__file__).resolve().parent.parent
COMMAND = (sys.executable, "-m", "consult.apart")
LENGTH = Struct(">I")
ANSWERS_WITHIN_S = 30.0
LOWER_BY = 10
FOUND_OUT_KEPT = 3000

FoundOut = tuple[dict[object, KnownWays], KnownCovers]


def bounded(found_out: FoundOut) -> FoundOut:
    """What was found out before, or nothing where it grew too much."""
    known, solved = found_out
    if sum(len(each) for each in list(known.values())) > FOUND_OUT_KEPT:
        known.clear()
    if len(solved) > FOUND_OUT_KEPT:
        solved.clear()
    return found_out


class Helper:
    """The helper of this process: started when it is first asked, and again after a failure."""

    def __init__(self, command: tuple[str, ...] = COMMAND, within_s: float = ANSWERS_WITHIN_S):
        self._command = command
        self._within_s = within_s
        self._lock = Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._owner = 0

    def outcome(self, task: EnclosureTask) -> Outcome | None:
        """The outcome of a task, or None where the helper gives none."""
        frame = _frame(task)
        with self._lock:
            try:
                process = self._running()
                assert process.stdin is not None and process.stdout is not None
                _write(process.stdin, frame)
                if not select.select([process.stdout], [], [], self._within_s)[0]:
                    raise TimeoutError
                answer = _read(process.stdout)
                found: Outcome | None = pickle.loads(answer)  # noqa: S301  of our own helper
            except (OSError, EOFError, pickle.UnpicklingError):
                self._end()
                return None
        return found

    def _running(self) -> subprocess.Popen[bytes]:
        if self._owner != os.getpid():  # the one of the process that this one was forked from
            self._process, self._owner = None, os.getpid()
        if self._process is None or self._process.poll() is not None:
            self._process = subprocess.Popen(  # noqa: S603  this program itself
                self._command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE
            )
        return self._process

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                with suppress(OSError):
                    if pipe is not None:
                        pipe.close()

    def end(self) -> None:
        with self._lock:
            self._end()


helper = Helper()
atexit.register(helper.end)


def _frame(task: EnclosureTask) -> bytes:
    """The hardware, which is the same for every enclosure, and what else the task is made of."""
    hardware = _hardware(task.headroom, tuple(task.receivers), tuple(task.drivers))
    rest = replace(task, receivers=(), drivers=(), known={}, solved={})
    return pickle.dumps((hardware, rest), protocol=pickle.HIGHEST_PROTOCOL)


@once(64)
def _hardware(*parts: Any) -> bytes:
    return pickle.dumps(parts, protocol=pickle.HIGHEST_PROTOCOL)


def _write(out: BinaryIO, content: bytes) -> None:
    out.write(LENGTH.pack(len(content)) + content)
    out.flush()


def _read(given: BinaryIO) -> bytes:
    """One frame. Raises EOFError where there is none, or no whole one."""
    (length,) = LENGTH.unpack(_exactly(given, LENGTH.size))
    return _exactly(given, length)


def _exactly(given: BinaryIO, length: int) -> bytes:
    content = given.read(length)
    if len(content) < length:
        raise EOFError
    return content


def serve(given: BinaryIO, out: BinaryIO, solve: Callable[..., Outcome] = plan_enclosure) -> None:
    """Answer tasks until there are no more. A task that cannot be done is answered with None."""
    by_hardware: dict[bytes, tuple[Any, FoundOut]] = {}
    while True:
        try:
            hardware, rest = pickle.loads(_read(given))  # noqa: S301  of the process that started us
        except EOFError:
            return
        if hardware not in by_hardware:
            if len(by_hardware) >= 8:
                by_hardware.clear()
            by_hardware[hardware] = (pickle.loads(hardware), ({}, {}))  # noqa: S301
        (headroom, receivers, drivers), found_out = by_hardware[hardware]
        known, solved = bounded(found_out)
        task = replace(
            rest,
            headroom=headroom,
            receivers=receivers,
            drivers=drivers,
            known=known,
            solved=solved,
        )
        try:
            outcome = solve(task=task)
        except Exception:  # the asker works it out itself, and tells what is wrong
            outcome = None
        _write(out, pickle.dumps(outcome, protocol=pickle.HIGHEST_PROTOCOL))


if __name__ == "__main__":
    os.nice(LOWER_BY)
    answers = sys.stdout.buffer
    sys.stdout = sys.stderr  # nothing else may stand among the answers
    serve(sys.stdin.buffer, answers)
