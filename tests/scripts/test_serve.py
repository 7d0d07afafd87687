"""script/serve.py, run as a person runs it: gunicorn, hashed static files, worker, one Ready line, one end."""

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import serve

from tests.scripts.conftest import ROOT, plain_environment


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass(frozen=True)
class Served:
    process: subprocess.Popen[str]
    port: int
    first_line: str

    def get(self, path: str, **headers: str) -> tuple[int, dict[str, str], bytes]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        try:
            connection.request("GET", path, headers=headers)
            answer = connection.getresponse()
            return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        finally:
            connection.close()

    def children(self) -> dict[str, int]:
        """The process ids of the web process and the worker, by a word of their command lines."""
        listed = subprocess.run(
            ["ps", "-eo", "pid=,ppid=,args="], capture_output=True, text=True, check=True
        )
        found = {}
        for row in listed.stdout.splitlines():
            pid, parent, command = row.split(maxsplit=2)
            if int(parent) == self.process.pid:
                found["gunicorn" if "gunicorn" in command else "db_worker"] = int(pid)
        return found


STARTED: list[subprocess.Popen[str]] = []


@pytest.fixture(scope="module", autouse=True)
def _nothing_left_running() -> Iterator[None]:
    """A test that fails half-way leaves its server; it ends here."""
    yield
    for process in STARTED:
        if process.poll() is None:
            process.terminate()
            process.wait(timeout=30)


def start(folder: Path, *arguments: str, **given: str) -> Served:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "script/serve.py", *arguments],
        cwd=ROOT,
        env=plain_environment(
            VAR_DIR=str(folder), PORT=str(port), WEB_WORKERS="1", NO_DEMO_PICTURES="1", **given
        ),
        stdout=subprocess.PIPE,
        text=True,
    )
    STARTED.append(process)
    assert process.stdout is not None
    return Served(process, port, process.stdout.readline())


def rest(served: Served, number: signal.Signals | None = None) -> str:
    """Ends the server by the signal, waits for its end, and gives what else it printed."""
    if number is not None:
        served.process.send_signal(number)
    served.process.wait(timeout=30)
    assert served.process.stdout is not None
    # Not by communicate(), which would miss what came together with the first line.
    return served.process.stdout.read()


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("var")


@pytest.fixture(scope="module")
def served(folder: Path) -> Iterator[Served]:
    """The demo, served from an empty folder."""
    server = start(folder)
    assert server.first_line, f"it ended with exit code {server.process.wait(timeout=30)}"
    yield server
    if server.process.poll() is None:
        rest(server, signal.SIGTERM)


def test_it_says_where_it_is_ready_once_it_answers(served: Served) -> None:
    assert served.first_line == f"Ready: http://127.0.0.1:{served.port}/\n"
    assert served.get("/health/live")[0] == 200
    assert served.get("/health/ready")[0] == 200


def test_the_log_in_page_comes_with_its_files_under_hashed_names(served: Served) -> None:
    status, _, body = served.get("/account/login/")
    assert status == 200
    page = body.decode()
    files = set(re.findall(r'(?:href|src)="(/static/[^"#]+\.(?:css|js|svg|woff2))', page))
    assert any(name.endswith(".css") for name in files)
    for name in files:
        assert re.search(r"\.[0-9a-f]{12}\.\w+$", name), name
        status, headers, _ = served.get(name)
        assert status == 200, name
        assert "immutable" in headers["cache-control"], name
    (style, *_) = [name for name in files if name.endswith(".css")]
    assert served.get(style, **{"Accept-Encoding": "gzip"})[1]["content-encoding"] == "gzip"


def test_a_strangers_host_name_is_refused(served: Served) -> None:
    assert served.get("/account/login/", Host="elsewhere.example")[0] == 400


def test_a_busy_port_is_told_and_nothing_is_started(served: Served, tmp_path: Path) -> None:
    refused = subprocess.run(
        [sys.executable, "script/serve.py"],
        cwd=ROOT,
        env=plain_environment(VAR_DIR=str(tmp_path / "var"), PORT=str(served.port)),
        capture_output=True,
        text=True,
        timeout=20,
    )
    assert refused.returncode == 1
    assert refused.stdout == ""
    assert f"Port {served.port} is in use" in refused.stderr
    assert "PORT=" in refused.stderr
    assert not (tmp_path / "var").exists()


def test_it_ends_with_both_its_processes_and_told_the_log_ins(served: Served) -> None:
    """Last of those that share the server."""
    children = served.children()
    assert set(children) == {"gunicorn", "db_worker"}
    told = rest(served, signal.SIGTERM)
    assert served.process.returncode == 0
    assert not any(map(alive, children.values()))
    assert "Ready:" not in told, "one line says it"
    assert "@" in told, "the demo's log-ins follow"


@pytest.mark.parametrize("victim", ["gunicorn", "db_worker"])
def test_if_one_process_dies_the_other_ends_too(folder: Path, victim: str) -> None:
    server = start(folder, "--no-demo")
    children = server.children()
    os.kill(children[victim], signal.SIGKILL)
    rest(server)
    assert server.process.returncode == 1
    assert not any(map(alive, children.values()))


def test_ctrl_c_ends_it_all(folder: Path) -> None:
    server = start(folder, "--no-demo")
    children = server.children()
    assert rest(server, signal.SIGINT) == "", "without the demo there are no log-ins"
    assert server.process.returncode == 0
    assert not any(map(alive, children.values()))


@pytest.mark.skipif(
    sys.platform != "linux", reason="only Linux tells a child of its parent's death"
)
def test_nothing_is_left_if_it_is_killed_outright(folder: Path) -> None:
    server = start(folder, "--no-demo")
    children = server.children()
    rest(server, signal.SIGKILL)
    deadline = time.monotonic() + 15
    while any(map(alive, children.values())) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not any(map(alive, children.values()))


@pytest.mark.parametrize("text", ["0", "65536", "-1", "http", "80.5", "８０００", " 8000"])
def test_a_port_that_is_none_is_refused(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PORT", text)
    with pytest.raises(serve.ServingError, match="from 1 to 65535"):
        serve.wanted_port()


@pytest.mark.parametrize(("text", "port"), [("", 8000), ("1", 1), ("65535", 65535)])
def test_a_port_is_read(text: str, port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PORT", text)
    assert serve.wanted_port() == port
