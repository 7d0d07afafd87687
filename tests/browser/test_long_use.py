"""A long sitting at the table: more than a hundred edits by hand, all taken back and done again; and two people at once."""

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.conf import settings
from playwright.sync_api import Browser, Locator, Page, expect

from base.models import Person
from consult.models import Circuit, CircuitFitting, JournalEntry, Project, Room
from consult.presence_models import Presence
from consult.reader import read_design
from tests.browser.conftest import in_time
from tests.conftest import logged_in
from tests.factories import a_product, a_project, a_receiver, with_rates

BUSY = ".htmx-request, .htmx-swapping, .htmx-settling"


@pytest.fixture(autouse=True)
def as_served(settings: Any) -> None:
    """What was read is kept, as where the program is served."""
    settings.STOCK_IS_KEPT = settings.DESIGN_IS_KEPT = True


@pytest.fixture
def project(db: None, designer: Person) -> Project:
    with_rates()
    a_receiver()
    a_product(name="Tilting downlight", watts="9.4")
    return a_project(by=designer, rooms=2, circuits_each=3)


@pytest.fixture
def room(project: Project) -> Room:
    return Room.objects.filter(project=project).first()


@pytest.fixture
def colleague(browser: Browser, live_server: Any, office: Person) -> Iterator[Page]:
    """The page of somebody else, in a browser of their own."""
    context = browser.new_context()
    cookie = logged_in(office).cookies[settings.SESSION_COOKIE_NAME]
    context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
    yield context.new_page()
    context.close()


def at(page: Page, url: str) -> None:
    page.goto(url)
    page.wait_for_load_state("networkidle")


def idle(page: Page) -> None:
    expect(page.locator(BUSY)).to_have_count(0)


def add_by_line(page: Page, line: str) -> None:
    page.locator("#quick-line").fill(line)
    with page.expect_response("**/quick/add/"):
        page.keyboard.press("Enter")
    expect(page.locator("#quick-line")).to_have_value("")
    idle(page)


def open_pieces(circuit: Locator) -> Locator:
    circuit.locator(".fitting").first.click()
    field = circuit.locator("input[name=pieces]")
    expect(field).to_be_visible()
    return field


def save(page: Page, circuit: Locator) -> None:
    with page.expect_response("**/change/"):
        circuit.get_by_role("button", name="Save").click()
    idle(page)


def at_the_sheet(page: Page, room: Room) -> Iterator[Callable[[], None]]:
    """Edits of a room: lines, quantities, names, moves, removals."""
    sheet = page.locator("#circuits .circuit")

    def more(circuit: Locator, press: str) -> None:
        circuit.get_by_role("button", name=re.compile("Move, copy")).click()
        with page.expect_response("**/circuits/**"):
            circuit.get_by_role("button", name=re.compile(f"^{press}")).click()
        idle(page)

    def a_quantity(number: int) -> None:
        circuit = sheet.nth(number % 3)
        open_pieces(circuit).fill(str(20 + number))
        save(page, circuit)

    def a_name(number: int) -> None:
        circuit = sheet.nth(number % 4)
        circuit.get_by_role("button", name=re.compile("^Change")).click()
        circuit.get_by_label("Name", exact=True).fill(f"Named {number}")
        save(page, circuit)

    for number in range(12):
        line = f"{number + 2} tilting downlight {('task', 'accent')[number % 2]} switched"
        yield lambda line=line: add_by_line(page, line)
        yield lambda number=number: a_quantity(number)
        if number % 3 == 0:
            yield lambda number=number: a_name(number)
            yield lambda: more(sheet.first, "Down")
        if number % 6 == 5:
            yield lambda: more(sheet.last, "Remove")


def at_the_grid(page: Page, rooms: int) -> Iterator[Callable[[], None]]:
    """Edits of the scenes: levels by key, rows and columns filled."""
    grid = page.locator(".scene-grid")

    def a_level(grid: Locator, place: int, level: int) -> None:
        grid.locator(".level input").nth(place).focus()
        page.keyboard.type(str(level))
        with page.expect_response("**/levels/**"):
            page.keyboard.press("Enter")
        idle(page)

    def filled(press: Locator, button: str, level: int) -> None:
        press.click()
        page.locator(".grid-tools input[name=level]").fill(str(level))
        with page.expect_response("**/fill/"):
            page.get_by_role("button", name=button).click()
        expect(page.locator(".grid-tools form")).to_have_count(0)
        idle(page)

    for turn in range(9):
        for number in range(rooms):
            one = grid.nth(number)
            for place in range(3):
                level = 3 + turn * 9 + place * 2 + number
                yield lambda one=one, place=place, level=level: a_level(one, place, level)
        yield lambda turn=turn: filled(
            grid.first.locator(".row-fill").nth(turn % 3), "Fill the row", 61 + turn
        )
        yield lambda turn=turn: filled(
            grid.first.locator(".fill").first, "Fill the column", 81 + turn
        )


def turned(page: Page, how: str, times: int) -> None:
    """Take back or do again so many times, by key and every tenth time by the button."""
    key = {"undo": "Control+z", "redo": "Control+Shift+z"}[how]
    for number in range(times):
        with page.expect_navigation(wait_until="domcontentloaded"):
            if number % 10:
                page.keyboard.press(key)
            else:
                page.locator(f"[data-turn={how}] button").click()


def test_a_hundred_edits_by_hand_are_taken_back_and_done_again(
    live_server, page, enter, designer, project, room, complaints
):
    before, begun = read_design(project).to_content(), JournalEntry.objects.count()
    address = live_server.url + room.get_absolute_url()
    grid = f"{live_server.url}/projects/{project.pk}/scenes/"
    enter(designer)
    at(page, address)
    shown = page.locator("#circuits").inner_text()
    for act in at_the_sheet(page, room):
        act()
    at(page, grid)
    for act in at_the_grid(page, rooms=2):
        act()
    made = JournalEntry.objects.count() - begun
    assert made >= 100
    after = read_design(project).to_content()
    assert after != before
    at(page, address)
    shown_after = page.locator("#circuits").inner_text()
    at(page, grid)
    turned(page, "undo", made)
    at(page, address)
    assert read_design(project).to_content() == before
    assert page.locator("#circuits").inner_text() == shown
    at(page, grid)
    turned(page, "redo", made)
    at(page, address)
    assert read_design(project).to_content() == after
    assert page.locator("#circuits").inner_text() == shown_after
    numbers = JournalEntry.objects.filter(project=project).values_list("number", flat=True)
    assert sorted(numbers) == list(range(min(numbers), min(numbers) + len(numbers)))
    assert complaints == []


def test_two_people_work_in_one_room(
    live_server, page, colleague, enter, designer, office, project, room, complaints
):
    address = live_server.url + room.get_absolute_url()
    enter(designer)
    at(page, address)
    assert in_time(page, Presence.objects.filter(person=designer).exists)
    at(colleague, address)
    expect(colleague.locator("#others")).to_contain_text(f"{designer.name} is here too")
    page.reload()
    expect(page.locator("#others")).to_contain_text(f"{office.name} is here too")

    # What each adds stands, under codes of its own.
    for number, one in enumerate((page, colleague, page, colleague)):
        add_by_line(one, f"{number + 2} tilting downlight task switched")
    codes = list(Circuit.objects.filter(room=room).values_list("code", flat=True))
    assert len(set(codes)) == len(codes) == 7
    for one in (page, colleague):
        at(one, address)
        for code in codes:
            expect(one.locator("#circuits")).to_contain_text(code)

    # Both change one quantity: the later one sees both values, and picks.
    row = CircuitFitting.objects.filter(room=room).order_by("circuit__position").first()
    mine, theirs = (one.locator(f"#circuit-{row.circuit_id}") for one in (page, colleague))
    open_pieces(mine).fill("7")
    open_pieces(theirs).fill("9")
    save(colleague, theirs)
    save(page, mine)
    row.refresh_from_db()
    assert row.pieces == 9
    both = [mine.get_by_role("button", name=re.compile(rf"\b{n}\b")) for n in (9, 7)]
    for press, value in zip(both, ("9", "7"), strict=True):
        expect(press).to_be_visible()
        press.click()
        expect(mine.locator("input[name=pieces]")).to_have_value(value)
    save(page, mine)
    row.refresh_from_db()
    assert row.pieces == 7
    at(colleague, address)
    expect(theirs.locator(".count").first).to_have_text(re.compile(r"^7\s×"))

    # What the other removed is told, and the page goes on from what is there.
    gone = page.locator("#circuits .circuit").last
    code = gone.locator(".code").inner_text()
    colleague.locator("#circuits .circuit", has_text=code).get_by_role(
        "button", name=re.compile("Move, copy")
    ).click()
    with colleague.expect_response("**/remove/"):
        colleague.get_by_role("button", name=re.compile("^Remove")).click()
    expect(colleague.locator("#circuits")).not_to_contain_text(code)
    gone.get_by_role("button", name=re.compile("^Change")).click()
    idle(page)
    add_by_line(page, "3 tilting downlight task switched")
    expect(page.locator("#circuits")).not_to_contain_text(code)
    assert [each for each in complaints if "404" not in each] == []
