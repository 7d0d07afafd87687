"""The table under the hand: no barriers, keys, the grid, lost connections, focus, weight."""

import gzip
import re
import uuid

import pytest
from playwright.sync_api import Error, Page, expect

from consult.models import Circuit, CircuitFitting, JournalEntry, Scene, SceneLevel
from consult.presence_models import Presence
from consult.services import circuits, patterns
from tests.browser.conftest import at, barriers, in_every_look, in_time
from tests.factories import a_circuit, a_product


def at_last(page: Page, url: str) -> None:
    """Open a page, again where the one before it was just then on its own way to the log-in."""
    try:
        at(page, url)
    except Error as cut_short:
        if "ERR_ABORTED" not in str(cut_short):
            raise
        at(page, url)


def paths(house, room):
    place = room.keypad_positions.first()
    pattern = patterns.save_as_pattern(by=house.designer, room=room, name="Quiet")
    row = CircuitFitting.objects.filter(room=room).first()
    return [
        room.get_absolute_url(),
        house.get_absolute_url(),
        f"/projects/{house.pk}/scenes/",
        f"/projects/{house.pk}/controls/",
        f"/projects/{house.pk}/history/",
        f"/positions/{place.pk}/",
        f"/rooms/{room.pk}/copying/",
        f"/rooms/{room.pk}/patterns/{pattern.pk}/",
        f"/fittings/{row.pk}/swap/?product={a_product(name='Other').pk}",
    ]


def test_nothing_stands_in_the_way(live_server, page, enter, designer, house, room, complaints):
    enter(designer)
    for path in paths(house, room):
        assert in_every_look(page, live_server.url + path) == [], path
    assert complaints == []


TYPES_AT_ONCE = """() => document.addEventListener('htmx:afterSwap', () => setTimeout(() => {
    const field = document.querySelector('#product-words');
    field.value = 'tilting';
    field.dispatchEvent(new Event('input', { bubbles: true }));
}, 0), { once: true })"""


def test_what_is_typed_the_moment_a_form_stands_is_heard(live_server, page, enter, designer, room):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    page.evaluate(TYPES_AT_ONCE)
    page.get_by_role("button", name="Add by form").click()
    expect(page.locator("#products")).to_contain_text("Tilting downlight")


def test_a_line_is_typed_and_the_next_one_can_follow(live_server, page, enter, designer, room):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    page.keyboard.press("n")
    expect(page.locator("#quick-line")).to_be_focused()
    page.keyboard.type("6 tilting downlight dim accent")
    expect(page.locator("#quick-reading")).to_contain_text("6 ×")
    page.keyboard.press("Enter")
    expect(page.locator("#circuits")).to_contain_text("Accent")
    expect(page.locator("#quick-line")).to_be_focused()
    expect(page.locator("#quick-line")).to_have_value("")
    assert Circuit.objects.get(layer="accent").fittings.get().pieces == 6
    assert barriers(page) == []


def test_what_is_unsure_is_one_more_press(live_server, page, enter, designer, room):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    page.locator("#quick-line").fill("2x tilting downlight dim accent each side")
    expect(page.get_by_text("How many in all?")).to_be_visible()
    page.get_by_label("4 ×").check()
    assert barriers(page) == []
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.locator("#quick-line")).to_have_value("")
    assert Circuit.objects.get(layer="accent").fittings.get().pieces == 4


def test_the_grid_by_keyboard(live_server, page, enter, designer, house, room):
    scene = Scene.objects.get(group=room.group)
    first, second = Circuit.objects.filter(room=room).order_by("position")
    enter(designer)
    at(page, f"{live_server.url}/projects/{house.pk}/scenes/")
    cell = page.locator(f"#level-{scene.pk}-{first.pk} input")
    cell.focus()
    page.keyboard.type("70")
    page.keyboard.press("Enter")
    expect(page.locator(f"#level-{scene.pk}-{second.pk} input")).to_be_focused()
    page.keyboard.type("15")
    page.keyboard.press("ArrowUp")
    expect(cell).to_be_focused()
    expect(cell).to_have_value("70")
    for circuit, level in ((first, "70"), (second, "15")):
        lit = page.locator(f"#level-{scene.pk}-{circuit.pk} .lit")
        expect(lit).to_have_attribute("width", level)
    expect(cell).to_be_focused()
    levels = {row.circuit_id: row.level for row in SceneLevel.objects.filter(scene=scene)}
    assert (levels[first.pk], levels[second.pk]) == (70, 15)


@pytest.fixture
def browser_context_args(browser_context_args, request):
    if "touched" in request.fixturenames:
        return {**browser_context_args, "has_touch": True}
    return browser_context_args


@pytest.fixture
def touched():
    """The page is under a finger."""


def test_a_tapped_cell_is_typed_over(live_server, page, enter, designer, house, room, touched):
    scene = Scene.objects.get(group=room.group)
    first, second = Circuit.objects.filter(room=room).order_by("position")
    enter(designer)
    at(page, f"{live_server.url}/projects/{house.pk}/scenes/")
    for circuit, level in ((first, "70"), (second, "15")):
        cell = page.locator(f"#level-{scene.pk}-{circuit.pk} input")
        cell.tap()
        expect(page.locator(".slide-bar label")).to_have_text(cell.get_attribute("aria-label"))
        page.keyboard.type(level)
        expect(cell).to_have_value(level)


def test_a_scene_lower_by_a_third_in_three_presses(live_server, page, enter, designer, house, room):
    enter(designer)
    at(page, f"{live_server.url}/projects/{house.pk}/scenes/")
    page.get_by_role("button", name="Evening").first.click()
    expect(page.get_by_role("button", name="Copy the scene")).to_be_visible()
    assert barriers(page) == []
    page.get_by_role("button", name="Copy the scene").click()
    expect(page.get_by_role("button", name="Evening, lower")).to_be_visible()
    made = Scene.objects.get(name="Evening, lower")
    assert set(made.levels.values_list("level", flat=True)) == {28}
    assert page.evaluate("document.activeElement !== document.body")


def test_an_edit_without_connection_waits_survives_a_reload_and_is_sent_once(
    live_server, page, context, enter, designer, room
):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    acts = JournalEntry.objects.count()
    context.set_offline(True)
    for number in (1, 2):
        page.locator("#quick-line").fill(f"{number} tilting downlight dim accent")
        page.locator("#quick-line").press("Enter")
        expect(page.locator("#waiting")).to_contain_text(f"{number} edit")
    assert JournalEntry.objects.count() == acts
    waiting = page.evaluate("localStorage.getItem('edits-that-wait')")
    context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()
    expect(page.locator("#circuits")).to_contain_text("Accent")
    made = list(Circuit.objects.filter(layer="accent").order_by("number"))
    assert [row.fittings.get().pieces for row in made] == [1, 2]
    # The same edits once more, as after a crash between sending and striking out.
    page.evaluate("text => localStorage.setItem('edits-that-wait', text)", waiting)
    page.reload()
    expect(page.locator("#waiting")).to_be_hidden()
    page.wait_for_load_state("networkidle")
    assert Circuit.objects.filter(layer="accent").count() == 2


def test_an_expired_session_asks_for_the_log_in_and_then_goes_on(
    live_server, page, context, enter, designer, room
):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    context.set_offline(True)
    page.locator("#quick-line").fill("3 tilting downlight dim accent")
    page.locator("#quick-line").press("Enter")
    expect(page.locator("#waiting")).to_contain_text("1 edit")
    context.clear_cookies(name="sessionid")
    context.set_offline(False)
    # The line says so, unless something else that asked has moved the page to the log-in already.
    told = page.locator("#waiting", has_text="logged out").or_(page.locator("#id_login"))
    expect(told).to_be_visible()
    page.wait_for_load_state("networkidle")  # it may be on its way to the log-in still
    assert not Circuit.objects.filter(layer="accent").exists()
    enter(designer)
    at_last(page, live_server.url + room.get_absolute_url())
    expect(page.locator("#circuits")).to_contain_text("Accent")
    assert Circuit.objects.get(layer="accent").fittings.get().pieces == 3


def test_a_line_entered_after_the_session_ended_goes_on_after_the_log_in(
    live_server, page, context, enter, designer, room
):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    context.clear_cookies(name="sessionid")
    page.locator("#quick-line").fill("3 tilting downlight dim accent")
    page.locator("#quick-line").press("Enter")
    expect(page.locator("#id_login")).to_be_visible()
    assert not Circuit.objects.filter(layer="accent").exists()
    enter(designer)
    at_last(page, live_server.url + room.get_absolute_url())
    expect(page.locator("#circuits")).to_contain_text("Accent")
    assert Circuit.objects.get(layer="accent").fittings.get().pieces == 3


def test_what_waits_is_sent_only_as_the_person_who_entered_it(
    live_server, page, context, enter, designer, office, room
):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    edit = {"who": str(designer.pk), "key": str(uuid.uuid4()), "at": 0,
            "url": f"/rooms/{room.pk}/quick/add/", "body": "line=3+tilting+downlight+dim+accent"}  # fmt: skip
    page.evaluate("edit => localStorage.setItem('edits-that-wait', JSON.stringify([edit]))", edit)
    context.clear_cookies()
    enter(office)
    at(page, live_server.url + room.get_absolute_url())
    expect(page.locator("#waiting")).to_be_hidden()
    assert not Circuit.objects.filter(layer="accent").exists()


def test_keys_are_shown_and_never_in_the_way_of_typing(live_server, page, enter, designer, room):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    page.locator("#quick-line").fill("")
    page.locator("#quick-line").press("?")
    expect(page.locator("#quick-line")).to_have_value("?")
    expect(page.locator("#keys")).to_be_hidden()
    page.locator("h1").click()
    page.keyboard.press("?")
    expect(page.locator("#keys")).to_be_visible()
    assert barriers(page) == []
    page.keyboard.press("Escape")
    page.keyboard.press("]")
    expect(page.get_by_role("heading", name="Room 2")).to_be_visible()


def test_undo_and_redo_by_key(live_server, page, enter, designer, room):
    circuits.circuit_add(by=designer, room=room, name="Reading nook", layer="task")
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    page.locator("h1").click()
    page.keyboard.press("Control+z")
    expect(page.locator("#circuits")).not_to_contain_text("Reading nook")
    page.locator("h1").click()
    page.keyboard.press("Control+Shift+z")
    expect(page.locator("#circuits")).to_contain_text("Reading nook")


def test_a_colleague_is_seen(live_server, page, enter, designer, office, room, browser):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    assert in_time(page, Presence.objects.filter(person=designer).exists)
    other = browser.new_context()
    from django.conf import settings

    from tests.conftest import logged_in

    cookie = logged_in(office).cookies[settings.SESSION_COOKIE_NAME]
    other.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
    theirs = other.new_page()
    theirs.goto(live_server.url + room.get_absolute_url())
    top = theirs.locator("h1").bounding_box()
    line, strip = theirs.locator("#others"), theirs.locator(".room-strip")
    expect(line).to_contain_text(f"{designer.name} is here too")
    assert theirs.locator("h1").bounding_box() == top  # nothing jumps
    box = line.bounding_box()
    assert box["y"] + box["height"] <= strip.bounding_box()["y"]
    other.close()


def test_the_later_writer_picks_either_value(live_server, page, enter, designer, room):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    row = Circuit.objects.filter(room=room).first()
    page.locator(f"#circuit-{row.pk}").get_by_role("button", name=re.compile("^Change")).click()
    field = page.locator(f"#circuit-{row.pk}").get_by_label("Name", exact=True)
    field.fill("Mine")
    circuits.circuit_change(by=designer, circuit=row, name="Theirs")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("button", name=re.compile("Theirs"))).to_be_visible()
    assert barriers(page) == []
    page.get_by_role("button", name=re.compile("Theirs")).click()
    expect(field).to_have_value("Theirs")
    page.get_by_role("button", name=re.compile("Mine")).click()
    expect(field).to_have_value("Mine")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("#circuits")).to_contain_text("Mine")


def test_focus_is_never_lost_to_the_page(live_server, page, enter, designer, room):
    """Every press of the room sheet that swaps something, one after another."""
    enter(designer)
    address = live_server.url + room.get_absolute_url()
    at(page, address)
    selector = "#circuits button:not([disabled])"
    names = page.locator(selector).evaluate_all("all => all.map(each => each.innerText.trim())")
    assert len(names) > 8
    for place, name in enumerate(names):
        at(page, address)
        button = page.locator(selector).nth(place)
        button.focus()
        page.keyboard.press("Enter")
        page.wait_for_load_state("networkidle")
        expect(page.locator(".htmx-request, .htmx-settling, .htmx-swapping")).to_have_count(0)
        expect(page.locator("body *:focus"), name).to_have_count(1)


def test_circuits_are_put_in_order_by_dragging(live_server, page, enter, designer, room):
    first, second = Circuit.objects.filter(room=room).order_by("position")
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    page.locator(f"#circuit-{second.pk} header").drag_to(
        page.locator(f"#circuit-{first.pk} header")
    )
    expect(page.locator(".circuit").first).to_have_id(f"circuit-{second.pk}")
    order = Circuit.objects.filter(room=room).order_by("position").values_list("pk", flat=True)
    assert list(order) == [second.pk, first.pk]


def test_the_sheet_is_light(live_server, page, enter, designer, room):
    for _more in range(4):
        a_circuit(by=designer, room=room, product=a_product())
    loaded = []
    page.on("requestfinished", lambda request: loaded.append(request))
    enter(designer)
    page.goto(live_server.url + room.get_absolute_url())
    page.wait_for_load_state("load")
    first = [request for request in loaded if request.resource_type != "xhr"]
    weight = 0
    scripts = 0
    for request in first:
        body = request.response().body()
        is_text = request.resource_type in {"document", "script", "stylesheet"}
        size = len(gzip.compress(body)) if is_text else len(body)
        weight += size
        scripts += size if request.resource_type == "script" else 0
    assert len(first) <= 10, [request.url for request in first]
    assert weight <= 150_000, weight
    assert scripts <= 60_000, scripts
    with page.expect_response("**/change/") as answered:
        card = page.locator(".circuit").first
        card.get_by_role("button", name=re.compile("^Change")).click()
        page.get_by_role("button", name="Save").click()
    swap = answered.value.body()
    assert len(gzip.compress(swap)) <= 8_000
    assert len(re.findall(rb"<[a-z]", swap)) <= 300
