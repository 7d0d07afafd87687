"""The whole job by keyboard alone: nothing here points at anything, it only presses keys."""

import re

import pytest
from playwright.sync_api import Page, expect

from consult.models import Circuit, KeypadPosition, Project, Room, SceneLevel
from quoting.models import Acceptance, Link, Revision
from tests.factories import a_keypad, a_product, a_receiver, with_rates

pytestmark = pytest.mark.django_db(transaction=True)

MOST_STOPS = 150
PASSWORD = "a lamp for every reader"
NAME_OF_FOCUS = """(of) => {
  const a = document.activeElement;
  if (!a.matches(of)) return "";
  const label = a.labels && a.labels[0] ? a.labels[0].innerText : "";
  return (a.getAttribute("aria-label") || label || a.innerText || "").trim();
}"""


@pytest.fixture
def catalogue(db):
    with_rates()
    a_product(name="Tilting downlight", sell="44.00")
    a_receiver()
    a_keypad()


def press_to(page: Page, wanted: str, of: str = "*", key: str = "Tab") -> None:
    """Tab on until the focus is on what has this name. Fails where it cannot be reached."""
    passed = []
    for _step in range(MOST_STOPS):
        page.keyboard.press(key)
        passed.append(page.evaluate(NAME_OF_FOCUS, of)[:60])
        if passed[-1].startswith(wanted):
            return
    pytest.fail(f"The keyboard does not reach {wanted!r}, only {list(filter(None, passed))}.")


def go(page: Page, *to: str) -> None:
    """Press Enter where it leads to another page, after going to what has this name."""
    for wanted in to:
        press_to(page, wanted)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    page.wait_for_load_state("networkidle")


def put(page: Page, field: str, text: str) -> None:
    press_to(page, field, of="input, textarea")
    page.keyboard.press("Control+A")
    page.keyboard.type(text)


def pick(page: Page, field: str, choice: str) -> None:
    press_to(page, field, of="select")
    page.keyboard.type(choice)


def log_in(page: Page, person) -> None:
    person.set_password(PASSWORD)
    person.save()
    put(page, "E-mail", person.email)
    put(page, "Password", PASSWORD)
    go(page)


def test_the_whole_job_by_keyboard_alone(live_server, page, designer, office, catalogue):
    page.goto(live_server.url + "/projects/")
    log_in(page, designer)

    # A job, its client and a room.
    go(page, "Start a project")
    put(page, "New client", "Household Marrow")
    put(page, "Name", "Tide Cottage")
    go(page)
    go(page, "Add a room")
    put(page, "Name", "Snug")
    put(page, "Length", "4,2")
    put(page, "Width", "3.1")
    put(page, "Height", "2.4")
    go(page)
    assert Room.objects.get().name == "Snug"

    # One circuit by a line; a key leads to it from anywhere on the sheet.
    page.keyboard.press("n")
    page.keyboard.type("6 tilting downlight dim")
    page.keyboard.press("Enter")
    expect(page.locator("#circuits")).to_contain_text("48.0")
    assert page.evaluate("document.activeElement !== document.body")
    page.keyboard.press("Escape")

    # One more by the form.
    press_to(page, "Add by form")
    page.keyboard.press("Enter")
    page.wait_for_load_state("networkidle")
    put(page, "Find a product", "tilting")
    expect(page.get_by_text("Tilting downlight").last).to_be_visible()
    expect(page.locator("input[name=product]").first).to_be_attached()
    put(page, "Pieces", "4")
    press_to(page, "Add the circuit")
    page.keyboard.press("Enter")
    expect(page.locator("#circuits")).to_contain_text("32.0")
    assert [c.fittings.get().pieces for c in Circuit.objects.order_by("code")] == [6, 4]

    # A scene with its levels, typed as in a sheet of figures.
    go(page, "Scenes")
    put(page, "Name", "Evening")
    pick(page, "Rooms", "Snug")
    go(page, "Add the scene")
    press_to(page, "Level of")
    for level in ("40", "15"):
        page.keyboard.type(level)
        with page.expect_response(lambda answer: answer.request.method == "POST"):
            page.keyboard.press("Enter")
    page.wait_for_load_state("networkidle")
    assert sorted(level.level for level in SceneLevel.objects.all()) == [15, 40]

    # Where a hand reaches for light.
    go(page, "Controls")
    go(page, "Add a position")
    put(page, "Where", "by the door")
    pick(page, "Room", "Snug")
    go(page, "Save")
    position = KeypadPosition.objects.get()
    assert position.name == "by the door"
    go(page, "All scenes, then off")
    assert [each.number for each in position.buttons.order_by("number")] == [1, 2]

    # What makes it work.
    go(page, "Control plan")
    expect(page.locator("main")).to_contain_text("001.1")
    go(page, "Findings")
    expect(page.get_by_role("heading", name="Findings", exact=True)).to_be_visible()

    # The office issues the quote, and makes the client's link.
    press_to(page, "Your account")
    page.keyboard.press("Enter")
    go(page, "Log out")
    project = Project.objects.get()
    page.goto(live_server.url + project.get_absolute_url())
    log_in(page, office)
    press_to(page, "Against switches")
    go(page, "Quotes")
    go(page, "Make a quote of this project")
    go(page, "Issue this quote")
    revision = Revision.objects.get()
    expect(page.get_by_role("heading", name=re.compile(f"Quote {revision.number}"))).to_be_visible()
    put(page, "For whom", "Ida Marrow")
    go(page)
    assert Link.objects.get().for_whom == "Ida Marrow"
    address = page.locator("#address").input_value()

    # The client orders, without a log-in.
    page.context.clear_cookies()
    page.goto(address)
    put(page, "Your name", "Ida Marrow")
    press_to(page, "I have read")
    page.keyboard.press("Space")
    go(page, "Order with an obligation to pay")
    acceptance = Acceptance.objects.get()
    assert acceptance.name == "Ida Marrow"
    assert acceptance.offer_sha256 == revision.offer_sha256
    expect(page.locator("body")).to_contain_text(re.compile("accepted", re.IGNORECASE))
