"""Twenty people edit one large house at once: what each waits for, at the server.

    script/bench table_load                     # three minutes
    BENCH_SECONDS=30 script/bench table_load    # shorter
    BENCH_ARRIVALS=random script/bench table_load    # as people come, not spread evenly

On PostgreSQL, by two workers of gunicorn, all on this machine. Each person edits once in five
seconds (the pieces of a fitting in a room of their own), asks for what stands beside and for the
price as the page does, then for the exact plan until it is there; half-way between they make a
bare edit. Times at the server are those of gunicorn's log.
"""

import http.client
import os
import random
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
PEOPLE, EVERY_S, SECONDS = 20, 5.0, 180.0
ROOMS, CIRCUITS = 60, 400
EDIT_MS, TIMES_BARE, EXACT_S = 40.0, 3.0, 1.0
KINDS = {
    "edit": re.compile(r"POST /fittings/"),
    "bare edit": re.compile(r"POST /bare/"),
    "beside": re.compile(r"GET /rooms/[^/]+/beside/$"),
    "price": re.compile(r"GET /rooms/[^/]+/price/"),
    "exact": re.compile(r"GET /rooms/[^/]+/beside/\?exact"),
}


def main() -> Iterable[tuple[str, float, str, float | None]] | None:
    if not os.environ.get("BENCH_DATABASE_URL", "").startswith("postgres"):
        _again_on_postgresql()
        return None
    return _measured()


def _again_on_postgresql() -> None:
    """The same in a process of its own, on a PostgreSQL that is gone afterwards."""
    code = 'BENCH_DATABASE_URL=$DATABASE_URL exec "$0" script/bench.py table_load'
    done = subprocess.run(
        ["script/with-postgres", "bash", "-c", code, sys.executable], cwd=ROOT, check=False
    )
    if done.returncode:
        raise SystemExit(done.returncode)


@dataclass
class Editor:
    """One person with a session, a room and a fitting of their own."""

    port: int
    cookies: str
    token: str
    room: str
    fitting: str
    project: str
    row: dict[str, str]
    pieces: int = 2
    waited: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    failures: list[str] = field(default_factory=list)

    def ask(self, kind: str, method: str, path: str, body: str = "") -> str:
        headers = {
            "Cookie": self.cookies, "X-CSRFToken": self.token, "HX-Request": "true",
            "X-Deed-Key": str(uuid.uuid4()), "Content-Type": "application/x-www-form-urlencoded",
        }  # fmt: skip
        started = time.perf_counter()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.request(method, path, body=body or None, headers=headers)
            answer = connection.getresponse()
            content = answer.read().decode()
        finally:
            connection.close()
        self.waited[kind].append(time.perf_counter() - started)
        is_done = answer.status == 200 and (
            kind != "edit" or "design-changed" in (answer.getheader("HX-Trigger") or "")
        )
        if not is_done:
            self.failures.append(f"{kind}: {answer.status} {content[:200]}")
        return content

    def turn(self, until: float, takes: float) -> None:
        """One edit, what the page asks for after it, and a bare edit half-way to the next."""
        began = time.perf_counter()
        self.pieces = 2 + (self.pieces - 1) % 11
        body = "&".join(f"{k}={v}" for k, v in {**self.row, "pieces": self.pieces}.items())
        self.ask("edit", "POST", f"/fittings/{self.fitting}/change/", body)
        edited = time.perf_counter()
        beside = self.ask("beside", "GET", f"/rooms/{self.room}/beside/")
        self.ask("price", "GET", f"/rooms/{self.room}/price/")
        while "exact=1" in beside and time.perf_counter() < until + 30:
            time.sleep(0.2)  # as the page does
            beside = self.ask("exact", "GET", f"/rooms/{self.room}/beside/?exact=1")
        self.waited["exact plan and light after the edit"].append(time.perf_counter() - edited)
        # Between the edits of two others: at half a turn each would begin with one of them.
        bare = takes / 2 + EVERY_S / PEOPLE / 2
        time.sleep(max(0.0, began + bare - time.perf_counter()))
        self.ask("bare edit", "POST", f"/bare/{self.project}/")
        time.sleep(max(0.0, began + takes - time.perf_counter()))


def _measured() -> Iterator[tuple[str, float, str, float | None]]:
    from base.models import Person
    from tests.bench.load import house

    seconds = float(os.environ.get("BENCH_SECONDS", SECONDS))
    by = Person.objects.get(role="designer")
    project = house.make(by=by, rooms=ROOMS, circuits_in_all=CIRCUITS)
    with tempfile.TemporaryDirectory(prefix="gloaming-load-") as folder:
        log = Path(folder) / "access.log"
        with _served(log) as port:
            editors = _editors(port, project, by)
            for editor in editors[:4]:  # both workers have read the code and the catalogue
                editor.turn(0, EVERY_S)
            skipped = len(log.read_text().splitlines())
            for editor in editors:
                editor.waited.clear()
            _run(editors, seconds)
        at_server = _times(log.read_text().splitlines()[skipped:])
    failures = [failure for editor in editors for failure in editor.failures]
    yield "requests that failed", len(failures), "", 0.0
    for failure in failures[:3]:
        print(f"    {failure}")
    yield from _told(editors, at_server)


def _told(
    editors: list[Editor], at_server: dict[str, list[float]]
) -> Iterator[tuple[str, float, str, float | None]]:
    edits, bare = at_server["edit"], at_server["bare edit"]
    yield "edits", len(edits), "edits", None
    yield "edit at the server, median", statistics.median(edits), "ms", None
    yield "edit at the server, p95", _p95(edits), "ms", EDIT_MS
    yield "bare edit at the server, median", statistics.median(bare), "ms", None
    yield "bare edit at the server, p95", _p95(bare), "ms", None
    yield (
        "edit over bare edit, medians",
        statistics.median(edits) / statistics.median(bare),
        "times",
        None,
    )
    yield "edit over bare edit, p95", _p95(edits) / _p95(bare), "times", TIMES_BARE
    for kind in ("beside", "price", "exact"):
        if times := at_server[kind]:
            yield f"{kind} at the server, median", statistics.median(times), "ms", None
            yield f"{kind} at the server, p95", _p95(times), "ms", None
    waited = [one for editor in editors for one in editor.waited["edit"]]
    yield "edit as its person waits, p95", _p95(waited) * 1000, "ms", None
    name = "exact plan and light after the edit"
    after = [one for editor in editors for one in editor.waited[name]]
    yield f"{name}, median", statistics.median(after), "s", None
    yield f"{name}, p95", _p95(after), "s", EXACT_S


@contextmanager
def _served(log: Path) -> Iterator[int]:
    """Gunicorn as it serves a showroom, with two workers, on a port of this machine alone."""
    import socket

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    given = {
        **os.environ, "DATABASE_URL": os.environ["BENCH_DATABASE_URL"], "HOST": "127.0.0.1",
        "PORT": str(port), "WEB_WORKERS": "2", "DJANGO_SETTINGS_MODULE": "tests.bench.load.settings",
    }  # fmt: skip
    command = [sys.executable, "-m", "gunicorn", "--access-logfile", str(log)]
    command += ["--access-logformat", "%(m)s %(U)s?%(q)s %(s)s %(D)s"]
    process = subprocess.Popen(command, cwd=ROOT, env=given)
    try:
        for _try in range(300):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield port
    finally:
        process.terminate()
        process.wait(timeout=30)


def _editors(port: int, project: Any, by: Any) -> list[Editor]:
    from django.conf import settings
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    from base.models import Person
    from consult.models import CircuitFitting, Room

    found = []
    rooms = list(Room.objects.filter(project=project).order_by("number"))[:: ROOMS // PEOPLE]
    for number, room in enumerate(rooms[:PEOPLE]):
        person = Person.objects.create_user(
            f"load{number}@showroom.example", uuid.uuid4().hex, name=f"Person {number}"
        )
        session = SessionStore()
        session[SESSION_KEY] = str(person.pk)
        session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
        session[HASH_SESSION_KEY] = person.get_session_auth_hash()
        session.create()
        fitting = CircuitFitting.objects.filter(room=room).order_by("circuit__number").first()
        assert fitting is not None
        token = uuid.uuid4().hex
        found.append(
            Editor(
                port=port,
                cookies=f"sessionid={session.session_key}; csrftoken={token}",
                token=token,
                room=str(room.pk),
                fitting=str(fitting.pk),
                project=str(project.pk),
                row={
                    "product": str(fitting.product_id), "room": str(room.pk),
                    "arrangement": fitting.arrangement, "supplied_by": "showroom",
                    "installed_by": "showroom", "connected_by": "showroom",
                },
            )
        )  # fmt: skip
    return found


def _run(editors: list[Editor], seconds: float) -> None:
    """All of them until the time is over: spread evenly, or each at moments of their own."""
    until = time.perf_counter() + seconds
    is_random = os.environ.get("BENCH_ARRIVALS") == "random"

    def work(number: int, editor: Editor) -> None:
        chance = random.Random(number)
        place = chance.uniform(0, len(editors)) if is_random else number
        time.sleep(place * EVERY_S / len(editors))
        while time.perf_counter() < until:
            editor.turn(until, EVERY_S * (chance.uniform(0.8, 1.2) if is_random else 1.0))

    threads = [threading.Thread(target=work, args=each, daemon=True) for each in enumerate(editors)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=seconds + 120)


def _times(lines: list[str]) -> dict[str, list[float]]:
    """Milliseconds of each kind of request, from gunicorn's log."""
    found: dict[str, list[float]] = defaultdict(list)
    for line in lines:
        asked, _status, micro = line.rsplit(" ", 2)
        for kind, pattern in KINDS.items():
            if pattern.match(asked.removesuffix("?")):
                found[kind].append(int(micro) / 1000)
    return found


def _p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[-1]
