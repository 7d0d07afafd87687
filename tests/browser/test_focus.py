"""The focus after every swap: each element that asks the server for a part of a page, by keyboard.

Nothing is listed by hand. From a few pages every trigger is found and pressed, and what its answer
brings is pressed in its turn; at the end no trigger of a template may be left out.
"""

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import resolve, reverse
from playwright.sync_api import Page, expect

from consult.models import Circuit, CircuitFitting, Room
from consult.services import fixed, keypads
from tests.factories import a_keypad, a_product, a_project, a_receiver, with_rates

FIND = """() => [...document.querySelectorAll("[hx-get], [hx-post], [hx-put], [hx-patch], [hx-delete]")]
  .filter((each) => each.checkVisibility() && !each.disabled)
  .map((each) => {
    const verb = ["get", "post", "put", "patch", "delete"].find((name) => each.hasAttribute("hx-" + name));
    return { tag: each.tagName, type: each.type ?? "", verb, path: each.getAttribute("hx-" + verb),
             when: each.getAttribute("hx-trigger") ?? "" };
  })"""
MARK = """([verb, start, place]) => {
  const all = [...document.querySelectorAll(`[hx-${verb}]`)].filter((each) => each.checkVisibility() && !each.disabled
    && each.getAttribute("hx-" + verb).replace(/[0-9a-f]{8}-[0-9a-f-]{27}/g, "*") === start);
  document.querySelectorAll("[data-fired]").forEach((each) => each.removeAttribute("data-fired"));
  const chosen = all.find((each) => each.type === "radio" && !each.checked) ?? all[place] ?? all[0];
  chosen?.setAttribute("data-fired", "");
  return Boolean(chosen);
}"""
WHERE = """() => {
  const said = document.getElementById("said"), active = document.activeElement;
  return { lost: !active || active === document.body, isSaid: said?.dataset.stood === "yes"
    && said.getAttribute("aria-live") === "polite" };
}"""
SELF = """() => {
  const each = document.querySelector("[data-fired]");
  const inside = [...each.querySelectorAll("a[href], button, input, summary")].find((one) => one.checkVisibility());
  (inside ?? document.querySelector("main a[href], main button")).focus();
  htmx.ajax(each.hasAttribute("hx-get") ? "GET" : "POST", each.getAttribute("hx-get") ?? each.getAttribute("hx-post"),
    { source: each });
}"""


@dataclass(frozen=True, slots=True)
class Trigger:
    """What asks the server: by which verb, where (keys as stars), by what kind of element, when."""

    verb: str
    start: str
    tag: str
    type: str
    when: str


@pytest.fixture
def pages(live_server, manager):
    with_rates()
    a_receiver()
    a_keypad()
    for finish in ("white", "bronze"):
        a_product(name="Tilting downlight", finish=finish)
    project = a_project(by=manager, rooms=2, circuits_each=4)
    room = Room.objects.filter(project=project).first()
    for each in Room.objects.filter(project=project):
        keypads.position_add(by=manager, room=each, name="by the door")
    pair = Circuit.objects.filter(room__project=project).exclude(room=room)[:2]
    fixed.fixed_add(
        by=manager,
        project=project,
        kind="together",
        reason="One tray",
        circuit=pair[0],
        other_circuit=pair[1],
    )
    row = CircuitFitting.objects.filter(room__project=project).exclude(room=room).first()
    return [
        room.get_absolute_url(),
        reverse("consult:scenes", args=[project.pk]),
        reverse("consult:swap", args=[row.pk]),
        reverse("consult:plan", args=[project.pk]),
        reverse("consult:project", args=[project.pk]),
        reverse("catalogue:products"),
        reverse("search"),
    ]


def path_of(address: str) -> str:
    return re.sub(r"^https?://[^/]+|\?.*$", "", address)


def keyless(path: str) -> str:
    """A path with stars for its keys."""
    return re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}", "*", path)


def triggers(page: Page) -> list[Trigger]:
    return list(
        dict.fromkeys(
            Trigger(each["verb"], keyless(each["path"]), each["tag"], each["type"], each["when"])
            for each in page.evaluate(FIND)
        )
    )


def settle(page: Page) -> None:
    busy = page.locator(".htmx-request, .htmx-swapping, .htmx-settling, .htmx-added")
    expect(busy).to_have_count(0, timeout=30_000)


def opened(page: Page, url: str) -> None:
    answer = page.goto(url)
    assert answer is not None
    assert 'id="said"' in answer.text()  # the region stands in what the server sends
    page.evaluate("() => { document.getElementById('said').dataset.stood = 'yes'; }")
    settle(page)


def fire(page: Page, trigger: Trigger) -> str | None:
    """Fire one by keyboard. Returns the address that was asked, or None where it is not there."""
    if not page.evaluate(MARK, [trigger.verb, trigger.start, 1]):
        return None
    element = page.locator("[data-fired]")
    asks = re.compile(re.escape(trigger.start).replace(r"\*", "[^/]+"))
    with page.expect_response(lambda answer: bool(asks.search(answer.url)), timeout=30_000) as seen:
        press(page, trigger, element)
    settle(page)
    page.wait_for_timeout(30)
    return seen.value.url


def press(page, trigger, element):
    if trigger.tag in {"DIV", "SECTION"}:  # fires by itself: while somebody is in it
        page.evaluate(SELF)
    elif trigger.tag == "FORM" and not trigger.when:
        for field in element.locator("input[name=level]").all():
            field.fill("40")
        element.locator("button:not([type=button])").first.focus()
        page.keyboard.press("Enter")
    elif trigger.tag == "FORM":
        element.locator("input:visible").first.focus()
        page.keyboard.type("light")
    elif trigger.type == "radio":
        element.focus()
        page.keyboard.press("Space")
    elif trigger.tag == "INPUT" and trigger.when == "change":
        element.fill("55")
        page.keyboard.press("Tab")
    elif trigger.tag == "INPUT":
        element.focus()
        page.keyboard.type("2 tilting downlight" if "quick" in trigger.start else "light")
    else:
        element.focus()
        page.keyboard.press("Enter")


def of_templates() -> set[str]:
    """Names of the pages that the triggers of all templates ask, but for those fired by loading."""
    found: set[str] = set()
    for file in Path(settings.BASE_DIR / "templates").rglob("*.html"):
        for tag in re.findall(r"<[a-z][^<>]*hx-(?:get|post)=[^<>]*>", file.read_text()):
            if 'hx-trigger="load' not in tag:
                found |= set(re.findall(r"hx-(?:get|post)=\"{% url '([\w:]+)'", tag))
    return found


def test_the_focus_is_never_on_the_page_itself(live_server, page, enter, manager, pages):
    enter(manager)
    asked: set[str] = set()
    wrong: list[str] = []
    fired = 0
    opened(page, live_server.url + pages[0])
    page.get_by_role("button", name="No client present").press("Enter")  # figures can be opened
    for path in pages:
        opened(page, live_server.url + path)
        ways: list[list[Trigger]] = [[each] for each in triggers(page)]
        known = {each for way in ways for each in way}
        while ways:
            way = ways.pop(0)
            opened(page, live_server.url + path)
            began = page.url
            address = None
            for each in way:
                address = fire(page, each)
            if address is None and "load" in way[-1].when:
                continue  # it fired by itself, and had nothing more to ask
            if address is None:
                wrong.append(f"{path}: {way[-1].start} could not be fired again")
                continue
            fired += 1
            asked.add(resolve(path_of(address)).view_name)
            if page.url.partition("?")[0] != began.partition("?")[0]:
                continue
            stands = page.evaluate(WHERE)
            if stands["lost"]:
                wrong.append(f"{path}: focus is lost after {' > '.join(one.start for one in way)}")
            if not stands["isSaid"]:
                wrong.append(f"{path}: {way[-1].start} swapped the live region")
            for new in triggers(page):
                if new not in known:
                    known.add(new)
                    ways.append([*way, new])
    print(f"{fired} triggers fired on {len(pages)} pages, {len(asked)} addresses")
    assert wrong == []
    assert of_templates() - asked == set()
