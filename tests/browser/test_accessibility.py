"""No barrier on any page that people open: each page of the demo, light and dark, at three widths.

The pages are those of which pictures are taken, so that one list names them all.
"""

import sys
import time
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import Page, expect

from tests.browser.conftest import LOOKS, WIDTHS, sideways

sys.path.insert(0, str(Path(settings.BASE_DIR) / "script"))
from screenshot_pages import PAGES

MOST_MS = 120_000  # the light of a whole room is worked out meanwhile
# A look changes nothing but colours: what hangs on them is looked at in both, all else in one.
OF_COLOUR = ["color-contrast", "link-in-text-block"]
FIND = """async (only) => {
  const options = { resultTypes: ["violations"], ...(only ? { runOnly: only } : {}) };
  return (await axe.run(document, options)).violations.map((rule) =>
    `${rule.id}: ${rule.nodes.slice(0, 4).map((node) => node.target.join(" ")).join(", ")}`);
}"""


def found(page: Page, url: str, status: int) -> list[str]:
    """What is wrong with a page in every look: barriers, scrolling sideways, another status.

    With letters twice as large it must not scroll sideways on a phone either.
    """
    page.emulate_media(color_scheme=LOOKS[0], reduced_motion="reduce")
    answer = page.goto(url, wait_until="load", timeout=MOST_MS)
    expect(page.locator(".htmx-request")).to_have_count(0, timeout=MOST_MS)
    wrong = [] if answer and answer.status == status else [f"status {answer and answer.status}"]
    page.evaluate(Axe().axe_script)
    for look in LOOKS:
        page.emulate_media(color_scheme=look, reduced_motion="reduce")
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            only = None if look == LOOKS[0] else OF_COLOUR
            wrong += [f"{look} {width}: {barrier}" for barrier in page.evaluate(FIND, only)]
            if sideways(page) > 0:
                wrong.append(f"{look} {width}: scrolls sideways by {sideways(page)} px")
    page.set_viewport_size({"width": min(WIDTHS), "height": 900})
    page.evaluate("() => { document.documentElement.style.fontSize = '200%'; }")
    if sideways(page) > 0:
        wrong.append(f"letters twice as large: scrolls sideways by {sideways(page)} px")
    return wrong


def test_nothing_stands_in_the_way_on_any_page(live_server, page, browser, enter, demo, manager):
    enter(manager)
    stranger = browser.new_context().new_page()
    wrong = []
    for each in PAGES:
        where = stranger if each.guest else page
        begun = time.perf_counter()
        barriers = found(where, live_server.url + each.path(), each.status)
        print(f"{each.name:<24} {time.perf_counter() - begun:5.2f} s")
        wrong += [f"{each.name}, {barrier}" for barrier in barriers]
    stranger.context.close()
    assert wrong == []
