"""Takes pictures of the demo's pages, and tells which of them are broken.

A page counts as broken if it answers with another status than it should, writes an error into the
browser's console, or is wider than its window. script/screenshots starts it inside the environment.
"""

import argparse
import contextlib
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
WIDTHS = (390, 820, 1440)
PICTURES_WITHIN_MS = 180_000
HEIGHTS = {390: 844, 820: 1180, 1440: 900}
# Of the pictures that are shown, how many have not come, and how many came as none.
PICTURES_MISSING = """() => {
  const shown = [...document.images].filter((each) => each.checkVisibility());
  const count = (test) => shown.filter(test).length;
  return [count((each) => !each.complete), count((each) => each.complete && !each.naturalWidth)];
}"""
SCHEMES = ("light", "dark")
CHROMIUM_ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@dataclass(frozen=True, slots=True)
class Shot:
    """One page as it is to be opened: where, and what it must answer."""

    name: str
    url: str
    status: int
    is_guest: bool


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def own_demo() -> Iterator[str]:
    """Serves a demo from an empty database, and gives its address. It is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="gloaming-screenshots-") as folder:
        for name in (
            "DATABASE_URL",
            "DATABASE_PATH",
            "MEDIA_ROOT",
            "STATIC_ROOT",
            "SECRET_KEY",
            "SECURE",
        ):
            os.environ.pop(name, None)
        os.environ.update(VAR_DIR=folder, PORT=str(free_port()), ALLOWED_HOSTS="127.0.0.1")
        server = subprocess.Popen(
            [sys.executable, "script/serve.py"], cwd=ROOT, stdout=subprocess.PIPE, text=True
        )
        try:
            assert server.stdout is not None
            ready = server.stdout.readline()
            if not ready.startswith("Ready: "):
                raise SystemExit("The demo could not be served (see above).")
            yield ready.removeprefix("Ready: ").strip().rstrip("/")
        finally:
            server.send_signal(signal.SIGTERM)
            server.communicate()


def start_django() -> None:
    sys.path.insert(0, str(ROOT))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "showroom.settings")
    # Playwright runs a loop in this thread, beside which Django refuses the database by default.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    import django

    django.setup()


def shots(address: str, only: Sequence[str]) -> list[Shot]:
    """Every listed page with its address, or only those whose names are given."""
    from screenshot_pages import PAGES

    unknown = set(only) - {page.name for page in PAGES}
    if unknown:
        raise SystemExit(f"No such page: {', '.join(sorted(unknown))}.")
    return [
        Shot(page.name, address + page.path(), page.status, page.guest)
        for page in PAGES
        if not only or page.name in only
    ]


def session_cookie(address: str) -> dict[str, Any]:
    """The cookie of a new session of the demo's manager, as a browser context takes it."""
    from django.conf import settings
    from django.contrib.auth import (
        BACKEND_SESSION_KEY,
        HASH_SESSION_KEY,
        SESSION_KEY,
        get_user_model,
    )
    from django.contrib.sessions.backends.db import SessionStore

    person = get_user_model().objects.filter(role="manager", is_active=True).order_by("pk").first()
    if person is None:
        raise SystemExit("This database has no manager: load the demo first (manage.py demo).")
    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.save()
    return {"name": settings.SESSION_COOKIE_NAME, "value": session.session_key, "url": address}


def is_at_rest(page: Any) -> bool:
    """Waits until the page fetches nothing more; tells whether it came to that."""
    from playwright.sync_api import TimeoutError as LateError

    try:
        page.wait_for_load_state("networkidle", timeout=PICTURES_WITHIN_MS)
    except LateError:
        return False
    return True


def show_all(page: Any) -> None:
    """Makes the window as high as the page: what lies below it is fetched and painted only in sight."""
    size = page.viewport_size
    height = page.evaluate("document.documentElement.scrollHeight")
    page.set_viewport_size(
        {"width": size["width"], "height": min(max(height, size["height"]), 16000)}
    )
    page.wait_for_timeout(100)


def missing_pictures(page: Any) -> list[str]:
    """Waits for the pictures that are shown; returns a sentence where some are late or none at all."""
    ends = time.monotonic() + PICTURES_WITHIN_MS / 1000
    # Asked again and again from here: the pages' policy lets nothing be evaluated inside them.
    while True:
        late, broken = page.evaluate(PICTURES_MISSING)
        if not late or time.monotonic() > ends:
            break
        page.wait_for_timeout(100)
    told = []
    if late:
        told.append(f"{late} of its pictures not there within {PICTURES_WITHIN_MS / 1000:g} s")
    if broken:
        told.append(f"{broken} of its pictures cannot be shown")
    return told


def take(context: Any, shot: Shot, file: Path) -> list[str]:
    """Takes one picture; returns what is wrong with the page."""
    problems: list[str] = []
    page = context.new_page()
    page.on("pageerror", lambda error: problems.append(f"script error: {error}"))
    page.on(
        "console",
        lambda message: (
            problems.append(f"console: {message.text}")
            # That the browser tells of a status that is meant is no fault of the page.
            if message.type == "error" and str(shot.status) not in message.text
            else None
        ),
    )
    response = page.goto(shot.url, wait_until="load")
    if not is_at_rest(page):
        problems.append(f"still fetching after {PICTURES_WITHIN_MS / 1000:g} s")
    if response is None or response.status != shot.status:
        problems.append(f"status {response and response.status} instead of {shot.status}")
    if page.url.rstrip("/") != shot.url.rstrip("/"):
        problems.append(f"went on to {page.url}")
    page.evaluate("document.fonts.ready")
    wider = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    if wider > 0:
        problems.append(f"{wider} px wider than the window")
    show_all(page)
    problems += missing_pictures(page)
    page.screenshot(path=str(file), full_page=True)
    page.close()
    return problems


def take_all(
    wanted: Sequence[Shot], cookie: dict[str, Any], folder: Path, widths: Sequence[int]
) -> int:
    """Takes every picture and prints a line for each broken one; returns how many are broken."""
    from playwright.sync_api import sync_playwright

    broken = 0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"),
            args=list(CHROMIUM_ARGUMENTS),
        )
        for width in widths:
            for scheme in SCHEMES:
                options: dict[str, Any] = {
                    "viewport": {"width": width, "height": HEIGHTS.get(width, 900)},
                    "color_scheme": scheme,
                    "reduced_motion": "reduce",
                }
                guest, member = browser.new_context(**options), browser.new_context(**options)
                member.add_cookies([cookie])
                for shot in wanted:
                    file = folder / f"{shot.name}-{width}-{scheme}.png"
                    problems = take(guest if shot.is_guest else member, shot, file)
                    broken += bool(problems)
                    for problem in problems:
                        print(f"{file.name}: {problem}", file=sys.stderr)
                guest.close()
                member.close()
        browser.close()
    return broken


def main() -> int:
    parser = argparse.ArgumentParser(prog="script/screenshots", description=__doc__)
    parser.add_argument("page", nargs="*", help="only these pages (default: all)")
    parser.add_argument(
        "--url", help="a demo that is served already, with this environment's database"
    )
    parser.add_argument(
        "--width", type=int, action="append", help="only this width (may be repeated)"
    )
    parser.add_argument("--into", type=Path, default=ROOT / "var" / "screenshots")
    arguments = parser.parse_args()
    arguments.into.mkdir(parents=True, exist_ok=True)
    served = contextlib.nullcontext(arguments.url.rstrip("/")) if arguments.url else own_demo()
    with served as address:
        start_django()
        wanted = shots(address, arguments.page)
        widths = arguments.width or WIDTHS
        broken = take_all(wanted, session_cookie(address), arguments.into, widths)
    taken = len(wanted) * len(widths) * len(SCHEMES)
    print(f"{taken} pictures in {arguments.into}, {broken} of broken pages.")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
