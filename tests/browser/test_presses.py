"""A press at the table is shown by a frame first and sent after it, and nothing that comes between loses it."""

import re

import pytest
from playwright.sync_api import expect

from consult.models import Circuit, CircuitFitting
from tests.browser.conftest import at, in_time
from tests.factories import a_circuit

pytestmark = pytest.mark.django_db
ORDER = """() => {
  window.order = [];
  const inTurn = (name) => window.order.push(name);
  document.addEventListener("submit", ({ target }) => {
    inTurn("pressed");
    requestAnimationFrame(() => inTurn(target.matches(".htmx-request") ? "shown" : "not shown"));
  }, true);
  document.addEventListener("htmx:beforeSend", () => inTurn("sent"));
}"""


@pytest.fixture
def sheet(live_server, page, enter, designer, room):
    enter(designer)
    at(page, live_server.url + room.get_absolute_url())
    return page


def opened(page, pieces):
    page.locator(".circuit .fitting").first.click()
    page.locator("input[name=pieces]").fill(pieces)
    page.wait_for_load_state("networkidle")


def test_a_press_is_shown_before_it_is_sent(sheet):
    opened(sheet, "7")
    sheet.evaluate(ORDER)
    sheet.get_by_role("button", name="Save").click()
    expect(sheet.locator("input[name=pieces]")).to_have_count(0)
    assert sheet.evaluate("window.order")[:3] == ["pressed", "shown", "sent"]
    assert CircuitFitting.objects.filter(pieces=7).count() == 1


def test_a_press_is_sent_before_an_answer_takes_its_form_away(sheet, room):
    """The answer comes before the frame, which here never comes."""
    opened(sheet, "7")
    sheet.evaluate("window.requestAnimationFrame = () => 0; document.activeElement.blur()")
    with sheet.expect_response(lambda answer: answer.request.method == "POST"):
        sheet.evaluate(
            """(url) => {
              document.addEventListener("htmx:beforeOnLoad", () => document.querySelector(".circuit .next").click(), { once: true, capture: true });
              htmx.ajax("GET", url, { target: "#circuits", swap: "outerHTML" });
            }""",
            f"/rooms/{room.pk}/circuits/",
        )
    assert CircuitFitting.objects.filter(pieces=7).count() == 1


def test_the_button_that_was_pressed_is_known_when_the_focus_left_its_form(sheet, room):
    first, last = Circuit.objects.filter(room=room).order_by("position")
    sheet.get_by_role("button", name="Move, copy, remove").last.click()
    up = sheet.locator("button[name=step][value=up]")
    up.wait_for()
    sheet.wait_for_load_state("networkidle")
    up.evaluate(
        "(button) => { button.focus(); button.click(); document.getElementById('quick-line').focus(); }"
    )
    expect(sheet.locator("#said")).to_contain_text("moved", ignore_case=True)
    first.refresh_from_db()
    last.refresh_from_db()
    assert first.position > last.position


def test_a_press_twice_in_one_frame_is_one(live_server, page, enter, designer, house):
    enter(designer)
    at(page, f"{live_server.url}/projects/{house.pk}/scenes/")
    page.evaluate("""() => {
      window.sent = 0;
      document.addEventListener("htmx:beforeSend", () => { window.sent += 1; });
      const button = document.querySelector("button.row-fill");
      button.click();
      button.click();
    }""")
    page.wait_for_load_state("networkidle")
    expect(page.locator(".grid-tools input[name=level]")).to_be_visible()
    page.wait_for_load_state("networkidle")
    assert page.evaluate("window.sent") == 1


@pytest.mark.parametrize("act", ["move", "save"])
def test_on_a_phone_the_page_stays_where_the_person_is(sheet, room, designer, act):
    for _turn in range(8):
        a_circuit(by=designer, room=room)
    sheet.set_viewport_size({"width": 390, "height": 844})
    at(sheet, sheet.url)
    circuit = Circuit.objects.filter(room=room).order_by("position")[3]
    card = sheet.locator(f"#circuit-{circuit.pk}")
    if act == "move":
        card.get_by_role("button", name="Move, copy, remove").click()
        card.locator("button[value=down]").click()
        expect(card.locator("button[value=down]")).to_have_count(0)
    else:
        card.locator(".fitting").click()
        card.locator("input[name=pieces]").fill("5")
        card.get_by_role("button", name="Save").click()
        expect(card.locator("input[name=pieces]")).to_have_count(0)
    sheet.wait_for_load_state("networkidle")
    expect(card).to_be_focused()
    expect(card).to_be_in_viewport()


def test_a_form_that_is_refused_leads_to_the_field_and_keeps_what_it_offers(sheet):
    sheet.set_viewport_size({"width": 390, "height": 844})
    opened(sheet, "x")
    sheet.get_by_role("button", name="Save").click()
    expect(sheet.locator("input[name=pieces]")).to_be_focused()
    expect(sheet.locator("input[name=pieces]")).to_be_in_viewport()
    expect(sheet.locator("input[name=pieces]")).to_have_value("x")
    expect(sheet.get_by_role("link", name="Swap this product")).to_be_visible()


def test_what_is_typed_elsewhere_stays_when_an_answer_comes(sheet, room):
    row = Circuit.objects.filter(room=room).order_by("position").first()
    card = sheet.locator(f"#circuit-{row.pk}")
    card.get_by_role("button", name=re.compile("^Change")).click()
    name = card.get_by_label("Name", exact=True)
    name.fill("Reading nook")
    sheet.get_by_role("button", name="Add by form").click()
    sheet.get_by_label("Find a product").fill("tilting")
    sheet.locator("#quick-line").fill("3 tilting downlight dim accent")
    sheet.locator("#quick-line").press("Enter")
    expect(sheet.locator("#quick-line")).to_have_value("")
    expect(name).to_have_value("Reading nook")
    expect(sheet.get_by_label("Find a product")).to_have_value("tilting")
    card.get_by_role("button", name="Save").click()
    expect(card.locator("h3")).to_contain_text("Reading nook")
    row.refresh_from_db()
    assert row.name == "Reading nook"
    expect(sheet.get_by_label("Find a product")).to_have_value("tilting")


def test_a_form_that_was_left_as_it_came_goes_with_the_answer(sheet, room):
    row = Circuit.objects.filter(room=room).order_by("position").first()
    card = sheet.locator(f"#circuit-{row.pk}")
    card.get_by_role("button", name=re.compile("^Change")).click()
    expect(card.get_by_label("Name", exact=True)).to_be_visible()
    sheet.locator("#quick-line").fill("3 tilting downlight dim accent")
    sheet.locator("#quick-line").press("Enter")
    expect(sheet.locator("#circuits")).to_contain_text("Accent")
    expect(card.get_by_label("Name", exact=True)).to_have_count(0)


def test_an_answer_finds_its_region_when_another_has_replaced_it(sheet, room):
    row = Circuit.objects.filter(room=room).order_by("position").first()
    card = sheet.locator(f"#circuit-{row.pk}")
    card.get_by_role("button", name=re.compile("^Change")).click()
    card.get_by_label("Name", exact=True).fill("Reading nook")
    held = []
    sheet.route(
        "**/*",
        lambda route: held.append(route) if route.request.method == "POST" else route.continue_(),
    )
    sheet.locator("#quick-line").fill("3 tilting downlight dim accent")
    sheet.locator("#quick-line").press("Enter")
    assert in_time(sheet, lambda: len(held) == 1)
    card.get_by_role("button", name="Save").click()
    assert in_time(sheet, lambda: len(held) == 2)
    held[0].continue_()
    expect(sheet.locator("#quick-line")).to_have_value("")
    held[1].continue_()
    expect(card.locator("h3")).to_contain_text("Reading nook")
    expect(sheet.locator("#circuits")).to_contain_text("Accent")
