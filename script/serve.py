"""Serves Gloaming on this machine: the web process and the task worker, which live and die together.

script/server starts it inside the environment. Says when it is ready; ends on Ctrl-C or TERM.
"""

import argparse
import contextlib
import ctypes
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from types import FrameType

from health import is_ready

ROOT = Path(__file__).resolve().parent.parent
READY_WITHIN_S = 60.0
STOP_WITHIN_S = 12.0


class ServingError(Exception):
    """Why there is nothing to serve, in a sentence for the person who started it."""


def wanted_port() -> int:
    """The port from PORT, 8000 where that is not set."""
    text = os.environ.get("PORT") or "8000"
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise ServingError(f"PORT must be a number from 1 to 65535, not {text!r}.")
    return int(text)


def refuse_busy_port(host: str, port: int) -> None:
    """Raises ServingError if something else listens there already, or if we may not."""
    with socket.socket() as taken:
        taken.settimeout(1)
        busy = taken.connect_ex(("127.0.0.1", port)) == 0
    with socket.socket() as wanted:
        wanted.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            wanted.bind((host, port))
        except PermissionError as error:
            raise ServingError(
                f"Port {port} needs more rights than yours: choose one above 1023."
            ) from error
        except OSError as error:
            busy = busy or "in use" in str(error).lower()
            if not busy:
                raise ServingError(
                    f"Cannot listen on {host}, port {port}: {error.strerror}."
                ) from error
    if busy:
        other = port + 1 if port < 65535 else 8000
        raise ServingError(
            f"Port {port} is in use already. Stop what uses it, or choose another port:"
            f"  PORT={other} script/server"
        )


def prepare(*, with_demo: bool) -> str:
    """Brings database, static files and demo up to date; returns the demo's log-ins."""
    command = [sys.executable, "script/prepare.py", *([] if with_demo else ["--no-demo"])]
    done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    if done.returncode:
        raise ServingError(
            "The database, the static files or the demo could not be made ready (see above)."
        )
    return done.stdout.strip()


def end_with_parent() -> None:
    """In a child on Linux: be told to end if the parent is killed outright."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(1, signal.SIGTERM)  # 1 is PR_SET_PDEATHSIG


def start(*command: str) -> subprocess.Popen[bytes]:
    # In a session of its own: Ctrl-C reaches only us, and we end the children in order.
    return subprocess.Popen(
        [sys.executable, *command],
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        start_new_session=True,
        preexec_fn=end_with_parent if sys.platform == "linux" else None,
    )


def signal_group(process: subprocess.Popen[bytes], number: signal.Signals) -> None:
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(process.pid, number)


def end(processes: dict[str, subprocess.Popen[bytes]]) -> None:
    """Asks every process to end, and kills what has not ended after a while."""
    for process in processes.values():
        if process.poll() is None:
            process.terminate()
    deadline = time.monotonic() + STOP_WITHIN_S
    for process in processes.values():
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(max(0.0, deadline - time.monotonic()))
    for process in processes.values():
        signal_group(process, signal.SIGKILL)
        process.wait()


def refuse_if_ended(processes: dict[str, subprocess.Popen[bytes]]) -> None:
    for name, process in processes.items():
        if process.poll() is not None:
            raise ServingError(f"The {name} ended by itself (exit code {process.returncode}).")


def wait_until_ready(processes: dict[str, subprocess.Popen[bytes]], port: int) -> None:
    deadline = time.monotonic() + READY_WITHIN_S
    while not is_ready(port):
        refuse_if_ended(processes)
        if time.monotonic() > deadline:
            raise ServingError(f"The web process did not get ready within {READY_WITHIN_S:.0f} s.")
        time.sleep(0.05)


def stop(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def serve(*, with_demo: bool) -> None:
    port = wanted_port()
    host = os.environ.setdefault("HOST", "127.0.0.1")
    os.environ["PORT"] = str(port)
    refuse_busy_port(host, port)
    log_ins = prepare(with_demo=with_demo)
    processes: dict[str, subprocess.Popen[bytes]] = {}
    try:
        processes["web process"] = start("-m", "gunicorn")
        processes["task worker"] = start(
            "manage.py", "db_worker", "--verbosity", "0", "--no-reload"
        )
        wait_until_ready(processes, port)
        print(f"Ready: http://127.0.0.1:{port}/", flush=True)
        if log_ins:
            print(log_ins, flush=True)
        while True:
            refuse_if_ended(processes)
            time.sleep(0.3)
    finally:
        # A second Ctrl-C must not leave half of it running.
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, signal.SIG_IGN)
        end(processes)


def main() -> int:
    parser = argparse.ArgumentParser(
        prog="script/server", description="Serve Gloaming on this machine."
    )
    parser.add_argument("--no-demo", action="store_true", help="do not load the demo")
    arguments = parser.parse_args()
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, stop)
    try:
        serve(with_demo=not arguments.no_demo)
    except KeyboardInterrupt:
        return 0
    except ServingError as error:
        print(error, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
