"""What a hand waits for in the browser: from a press or a key to the next paint, and what jumps meanwhile.

    CHROMIUM=$(script/find-chromium) script/bench paint

The demo is served by two workers of gunicorn; the pages are opened with the CPU four times slower,
as on a tablet of some years. Times are those of the browser's own Event Timing: from the input to
the next frame, in steps of 8 ms, the slowest of all inputs of an act, and the median of several acts. What needs the server's answer
also tells how long it takes until the answer is painted. Pictures of a room's light are measured
without the slowing.
"""

from __future__ import annotations

import os
import shutil
import socket
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
Row = tuple[str, float, str, float | None]
SLOWER, TIMES = 4, 5
PIECES = ".circuit input[name=pieces]"
PAINT_MS, SHIFT, FRAME_MS, REMIX_MS = 100.0, 0.02, 16.0, 5.0
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
WATCH = """() => {
  window.acts = [];
  window.shifts = [];
  const keep = (list) => { for (const each of list.getEntries()) if (each.interactionId) window.acts.push(each.duration); };
  new PerformanceObserver(keep).observe({ type: "event", durationThreshold: 16, buffered: true });
  const jump = (list) => { for (const each of list.getEntries()) if (!each.hadRecentInput) window.shifts.push([each.value, each.sources.map((source) => source.node?.id || source.node?.className || source.node?.nodeName).join(", ")]); };
  new PerformanceObserver(jump).observe({ type: "layout-shift", buffered: true });
}"""
MIX = """() => {
  const { basis, page, mix } = window.gloamingLight;
  const weights = page.weights(page.levels), taken = [];
  for (let turn = 0; turn < 41; turn += 1) {
    const begun = performance.now();
    mix(basis, weights);
    taken.push(performance.now() - begun);
  }
  return taken;
}"""
FRAMES = """async () => {
  const { page } = window.gloamingLight;
  const weights = page.weights(page.levels), taken = [];
  for (let turn = 0; turn < 60; turn += 1) {
    await new Promise(requestAnimationFrame);
    const begun = performance.now();
    page.drawQuick(weights);
    // The first ones let the picture find the size that this machine can keep up with.
    if (turn >= 20) taken.push(performance.now() - begun);
  }
  return taken;
}"""


def main() -> Iterable[Row]:
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # Playwright runs a loop in this thread
    from playwright.sync_api import sync_playwright

    with _served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM") or shutil.which("chromium"), args=ARGUMENTS
        )
        table = browser.new_context(viewport={"width": 1180, "height": 820}, has_touch=True)
        table.add_cookies([_cookie(address)])
        page = table.new_page()
        page.set_default_timeout(120_000)
        slow = table.new_cdp_session(page)
        yield from _shifts(page, address)
        slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        yield from _at_the_table(page, address)
        slow.send("Emulation.setCPUThrottlingRate", {"rate": 1})
        yield from _light(page, address)
        browser.close()


def _addresses(address: str) -> tuple[str, str]:
    """The sheet of the demo's fullest room, and the grid of its scenes."""
    from consult.models import Room

    hall = Room.objects.get(project__name="Old Sail Loft", name="Boat hall")
    return address + hall.get_absolute_url(), f"{address}/projects/{hall.project_id}/scenes/"


def _shifts(page: Any, address: str) -> Iterator[Row]:
    """What jumps while a page is completed, and beside the acts: what a press itself moves within half
    a second is asked for, and not counted by the browser."""
    sheet, grid = _addresses(address)
    hand = Hand(page, times=1)
    for name, url, acts in (("room sheet", sheet, _sheet), ("scenes grid", grid, _grid)):
        hand.open(url)
        yield from hand.shift(f"{name}, opened")
        list(acts(page, hand))
        yield from hand.shift(f"{name}, after each act")


def _at_the_table(page: Any, address: str) -> Iterator[Row]:
    sheet, grid = _addresses(address)
    hand = Hand(page, times=TIMES)
    yield from _bare(page, hand)
    hand.open(sheet)
    yield from _sheet(page, hand)
    hand.open(grid)
    yield from _grid(page, hand)


def _bare(page: Any, hand: Hand) -> Iterator[Row]:
    """What this machine takes, so slowed, for a page with one button that changes a word."""
    page.set_content("<button>Press</button><p></p>")
    page.evaluate(
        "() => { document.querySelector('button').onclick = () =>"
        " { document.querySelector('p').textContent += 'pressed '; }; }"
    )
    page.evaluate(WATCH)
    yield from hand.act("a bare page, a tap", lambda: hand.tap("button"), limit=None)


def _sheet(page: Any, hand: Hand) -> Iterator[Row]:
    def line_typed() -> None:
        page.keyboard.type("6 tilting downlight dim accent", delay=60)

    def read() -> None:
        page.locator("#quick-reading .read-as").wait_for()

    def free() -> None:
        page.locator("#quick-line").fill("")
        hand.quiet()
        page.locator("#quick-line").focus()

    yield from hand.act("typing a quick line", line_typed, until=read, before=free)

    def line_ready() -> None:
        free()
        line_typed()
        read()
        hand.quiet()

    yield from hand.act(
        "adding the line",
        lambda: page.keyboard.press("Enter"),
        until=lambda: hand.gone("#quick-reading .read-as"),
        before=line_ready,
    )

    def closed() -> None:
        if page.locator(PIECES).count():
            page.locator(".circuit .actions button", has_text="Leave it").first.click()
            hand.gone(PIECES)

    def opened() -> None:
        closed()
        page.locator(".circuit .fitting").first.click()
        page.locator(PIECES).wait_for()
        hand.quiet()

    yield from hand.act(
        "opening a circuit",
        lambda: hand.tap(".circuit .fitting"),
        until=lambda: page.locator(PIECES).wait_for(),
        before=closed,
    )

    def emptied() -> None:
        opened()
        page.locator(PIECES).fill("")

    yield from hand.act(
        "typing a quantity", lambda: page.keyboard.type("12", delay=60), before=emptied
    )
    counts = iter(range(3, 100))

    def filled() -> None:
        opened()
        page.locator(PIECES).fill(str(next(counts)))

    yield from hand.act(
        "saving a quantity",
        lambda: hand.tap(".circuit .actions button.next"),
        until=lambda: hand.gone(PIECES),
        before=filled,
    )
    more, move = ".circuit .acts button:nth-of-type(3)", ".acts.more button[name=step][value=down]"

    def more_shown() -> None:
        page.locator(more).first.click()
        page.locator(move).wait_for()

    yield from hand.act(
        "moving a circuit",
        lambda: hand.tap(move),
        until=lambda: hand.gone(move),
        before=more_shown,
    )


def _grid(page: Any, hand: Hand) -> Iterator[Row]:
    cells, turns = ".level input", iter(range(100))
    yield from hand.act("tapping a cell", lambda: hand.tap(cells, next(turns) % 4))
    levels = iter(range(21, 100))

    def typed() -> None:
        page.keyboard.type(str(next(levels)), delay=60)

    yield from hand.act(
        "typing a level", typed, before=lambda: page.locator(cells).first.select_text()
    )

    def typed_again() -> None:
        page.locator(cells).first.select_text()
        typed()

    yield from hand.act(
        "leaving it by Enter",
        lambda: page.keyboard.press("Enter"),
        until=hand.quiet,
        before=typed_again,
    )
    yield from hand.act(
        "sliding a level",
        lambda: page.keyboard.press("ArrowRight"),
        before=lambda: page.locator("#slide").focus(),
    )
    row, fill = "button.row-fill", ".grid-tools input[name=level]"
    yield from hand.act(
        "opening a row",
        lambda: hand.tap(row, next(turns) % 3),
        until=hand.quiet,
    )
    page.locator(row).first.click()

    def row_filled() -> None:
        page.locator(row).first.click()
        page.locator(fill).wait_for()
        page.locator(fill).fill(str(next(levels)))

    yield from hand.act(
        "filling a row",
        lambda: hand.tap(".grid-tools form button"),
        until=lambda: hand.gone(fill),
        before=row_filled,
    )


def _light(page: Any, address: str) -> Iterator[Row]:
    from consult.models import Room

    for name in ("Boat hall", "Galley"):
        room = Room.objects.get(project__name="Old Sail Loft", name=name)
        page.goto(f"{address}/rooms/{room.pk}/in-light/")
        page.locator("#light-stage[data-ready]").wait_for(timeout=60_000)
        page.wait_for_timeout(500)
        frames, mixes = page.evaluate(FRAMES), page.evaluate(MIX)
        size = page.evaluate("document.getElementById('light-picture').width")
        yield f"light of {name}, a frame, median", statistics.median(frames), "ms", FRAME_MS
        yield f"light of {name}, a frame, p95", statistics.quantiles(frames, n=20)[-1], "ms", None
        yield f"light of {name}, width while it moves", size, "px", None
        yield f"light of {name}, levels mixed, median", statistics.median(mixes), "ms", REMIX_MS


class Hand:
    """Acts on a page, and tells what the browser measured."""

    def __init__(self, page: Any, *, times: int) -> None:
        self.page, self.times = page, times

    def open(self, url: str) -> None:
        self.page.goto(url)
        self.quiet()
        self.page.evaluate(WATCH)

    def quiet(self) -> None:
        """Wait until nothing is asked any more."""
        self.page.wait_for_load_state("networkidle")
        self.gone(".htmx-request, .is-pending")

    def gone(self, selector: str) -> None:
        self.page.locator(selector).first.wait_for(state="detached")

    def tap(self, selector: str, number: int = 0) -> None:
        """A finger, without the checks that Playwright makes within the page before and during a tap."""
        place = self.page.locator(selector).nth(number)
        place.scroll_into_view_if_needed()
        box = place.bounding_box()
        self.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    def act(
        self,
        name: str,
        do: Callable[[], object],
        *,
        until: Callable[[], object] | None = None,
        before: Callable[[], object] | None = None,
        limit: float | None = PAINT_MS,
    ) -> Iterator[Row]:
        painted, answered = [], []
        for _turn in range(self.times):
            if before is not None:
                before()
            self.quiet()
            self.page.evaluate("window.acts = []")
            begun = time.perf_counter()
            do()
            if until is not None:
                until()
                self.page.evaluate("() => new Promise(requestAnimationFrame)")
            answered.append((time.perf_counter() - begun) * 1000)
            self.page.wait_for_timeout(250)
            # What took less than 16 ms is not told by the browser.
            painted.append(max(self.page.evaluate("window.acts"), default=16.0))
        yield f"{name}, to the next paint, median", statistics.median(painted), "ms", limit
        yield f"{name}, to the next paint, worst", max(painted), "ms", None
        if until is not None:
            yield f"{name}, answer painted, median", statistics.median(answered), "ms", None

    def shift(self, name: str) -> Iterator[Row]:
        self.page.wait_for_timeout(300)
        shifts = self.page.evaluate("window.shifts")
        total = sum(value for value, _what in shifts)
        if total > SHIFT:
            print(f"    {shifts}")
        yield f"{name}, layout shift", total, "", SHIFT


def _cookie(address: str) -> Any:
    from django.conf import settings
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    from base.models import Person

    person = Person.objects.get(role="designer")
    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.create()
    return {"name": settings.SESSION_COOKIE_NAME, "value": session.session_key, "url": address}


@contextmanager
def _served() -> Iterator[str]:
    """The demo as a showroom serves it, on a port of this machine alone."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    given = {**os.environ, "HOST": "127.0.0.1", "PORT": str(port), "WEB_WORKERS": "2"}
    process = subprocess.Popen([sys.executable, "-m", "gunicorn"], cwd=ROOT, env=given)
    try:
        for _try in range(300):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(timeout=30)
