"""What the table weighs and how many presses it takes, on the demo: figures printed, goals held."""

import gzip
import re

import pytest
from playwright.sync_api import Page, Response, expect

from consult.models import Circuit, CircuitFitting, Room
from consult.services import patterns

MOST_BYTES, MOST_REQUESTS, MOST_SCRIPT_BYTES = 150_000, 10, 60_000
MOST_SWAP_BYTES, MOST_SWAP_ELEMENTS = 8_000, 300
MOST_SHIFT = 0.02
WATCH = """() => {
  window.shifted = 0;
  window.whatShifted = [];
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (entry.hadRecentInput) continue;
      window.shifted += entry.value;
      window.whatShifted.push(`${entry.value.toFixed(4)} ` + entry.sources.map((each) => each.node?.id || each.node?.className || each.node?.nodeName).join(", "));
    }
  }).observe({ type: "layout-shift", buffered: true });
}"""


@pytest.fixture
def hall(demo):
    return Room.objects.get(project=demo, name="Boat hall")


def sent(response: Response) -> int:
    """Bytes over the line: what is text goes compressed, as the web process or its proxy sends it."""
    body = response.body()
    is_text = response.request.resource_type in {"document", "script", "stylesheet", "xhr", "fetch"}
    return len(gzip.compress(body, 6)) if is_text else len(body)


def weigh(swaps: list[Response], url: str) -> list[tuple[str, int, int]]:
    """Path, bytes and elements of each answer, printed. Before the page is left."""
    weighed = []
    for each in swaps:
        path = re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}", "*", each.url.partition("?")[0])
        row = path.removeprefix(url), sent(each), len(re.findall(rb"<[a-z]", each.body()))
        print("swap {:<40} {:6} B {:4} elements".format(*row))
        weighed.append(row)
    return weighed


def still(page: Page) -> None:
    page.wait_for_load_state("networkidle")
    expect(page.locator(".htmx-request")).to_have_count(0, timeout=60_000)


class Presses:
    """Counts what a finger does; typing is not counted."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def button(self, name: str | re.Pattern[str]) -> None:
        self.count += 1
        self.page.get_by_role("button", name=name).first.click()

    def link(self, name: str | re.Pattern[str]) -> None:
        self.count += 1
        self.page.get_by_role("link", name=name).first.click()

    def on(self, selector: str) -> None:
        self.count += 1
        self.page.locator(selector).first.click()


def test_the_room_sheet_is_light_to_load_and_nothing_jumps(
    live_server, page, enter, designer, hall
):
    seen: list[Response] = []
    page.on("response", lambda response: seen.append(response))
    enter(designer)
    page.goto(live_server.url + hall.get_absolute_url(), wait_until="load")
    first = [each for each in seen if each.request.resource_type not in {"xhr", "fetch"}]
    weight = sum(map(sent, first))
    scripts = sum(sent(each) for each in first if each.request.resource_type == "script")
    page.evaluate(WATCH)
    still(page)
    page.wait_for_timeout(300)
    shift = page.evaluate("window.shifted")
    print(f"first load {weight} B, {len(first)} requests, {scripts} B of script, shift {shift:.4f}")
    assert len(first) <= MOST_REQUESTS, [each.url for each in first]
    assert weight <= MOST_BYTES
    assert scripts <= MOST_SCRIPT_BYTES
    assert shift <= MOST_SHIFT, page.evaluate("window.whatShifted")


def test_each_swap_is_small(live_server, page, enter, designer, hall):
    """An edit of the fullest room with all that follows from it, and one of the fullest grid."""
    enter(designer)
    page.goto(live_server.url + hall.get_absolute_url())
    still(page)
    swaps: list[Response] = []
    page.on(
        "response",
        lambda each: swaps.append(each) if each.request.headers.get("hx-request") else None,
    )
    page.locator("#quick-line").fill("2 tilting downlight dim accent")
    still(page)
    page.locator("#quick-line").press("Enter")
    expect(page.locator("#quick-line")).to_have_value("")
    still(page)
    page.get_by_role("button", name=re.compile("^Change")).first.click()
    still(page)
    weighed = weigh(swaps, live_server.url)
    swaps.clear()
    page.goto(f"{live_server.url}/projects/{hall.project_id}/scenes/")
    cell = page.locator("input[name=level]").first
    cell.fill("35")
    cell.press("Tab")
    still(page)
    weighed += weigh(swaps, live_server.url)
    assert len(weighed) >= 5
    over = [each for each in weighed if each[1] > MOST_SWAP_BYTES or each[2] > MOST_SWAP_ELEMENTS]
    assert over == []


def test_adding_a_fitting_takes_two_presses(live_server, page, enter, designer, hall):
    enter(designer)
    page.goto(live_server.url + hall.get_absolute_url())
    still(page)
    presses = Presses(page)
    presses.on("#quick-line")
    page.keyboard.type("6 tilting downlight dim accent")
    expect(page.locator("#quick-reading")).to_contain_text("6 ×")
    presses.button(re.compile("^Add$"))
    expect(page.locator("#quick-line")).to_have_value("")
    assert Circuit.objects.filter(room=hall, layer="accent", name="Tilting downlight").exists()
    print(f"add a fitting: {presses.count}")
    assert presses.count <= 2


def test_copying_a_room_takes_two_presses(live_server, page, enter, designer, hall):
    enter(designer)
    page.goto(live_server.url + hall.get_absolute_url())
    presses = Presses(page)
    presses.link("Copy, patterns")
    presses.button("Copy this room")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Boat hall")
    copies = Room.objects.filter(project=hall.project_id, name__startswith="Boat hall")
    assert copies.count() == 2
    print(f"copy a room: {presses.count}")
    assert presses.count <= 2


def test_applying_a_pattern_takes_three_presses(live_server, page, enter, designer, hall):
    patterns.save_as_pattern(by=designer, room=Room.objects.get(name="Galley"), name="Quiet galley")
    store = Room.objects.get(name="Rope store")
    before = Circuit.objects.filter(room=store).count()
    enter(designer)
    page.goto(live_server.url + store.get_absolute_url())
    presses = Presses(page)
    presses.link("Copy, patterns")
    presses.link(re.compile("Quiet galley"))
    presses.button("Put it in")
    expect(page.get_by_role("heading", level=1, name="Rope store")).to_be_visible()
    assert Circuit.objects.filter(room=store).count() > before
    print(f"apply a pattern: {presses.count}")
    assert presses.count <= 3


def test_a_product_is_swapped_everywhere_in_four_presses(live_server, page, enter, designer, hall):
    row = CircuitFitting.objects.filter(room=hall, product__reference="DN-0812-WH").get()
    enter(designer)
    page.goto(live_server.url + hall.get_absolute_url())
    still(page)
    presses = Presses(page)
    presses.on(f"#circuit-{row.circuit_id} .fitting")
    presses.link("Swap this product")
    page.get_by_label("What hangs instead?").fill("sealed downlight white")
    choice = page.locator("#swap-products label", has_text="DN-0813-WH")
    expect(choice).to_be_visible()
    presses.count += 1
    choice.click()
    presses.button(re.compile("^Hang"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("Boat hall")
    left = CircuitFitting.objects.filter(project=hall.project_id, product__reference="DN-0812-WH")
    print(f"swap everywhere: {presses.count}")
    assert not left.exists()
    assert presses.count <= 4
