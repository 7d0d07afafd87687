"""The demo's eleven rooms entered from nothing by lines, each circuit in at most two actions.

An action is a press beyond typing: Enter, or a tap on what a line is asked. Where two rooms are to
be alike a pattern does it. The products hang as in the demo; levels, keypads and lengths of cable
are no part of it.
"""

import pytest
from django.core.management import call_command
from playwright.sync_api import Page, expect

from catalogue.models import Product
from consult.models import Circuit, Client, Floor, Project, Room, RoomGroup
from consult.services import house, people
from showroom.demo import old_sail_loft as plan
from tests.consult.demo_lines import LINES, Line

MOST_ACTIONS = 2


@pytest.fixture
def empty_house(transactional_db, designer):
    """The house of the demo with its rooms and nothing in them."""
    call_command("load_catalogue", verbosity=0)
    client: Client = people.client_add(by=designer, name="Imani Calloway and Joss Pereira")
    project: Project = people.project_add(by=designer, client=client, name="Old Sail Loft")
    floor = Floor.objects.get(project=project)
    for spec in plan.ROOMS:
        group = RoomGroup.objects.filter(project=project, name=spec.group).first()
        group = group or house.group_add(by=designer, project=project, name=spec.group)
        house.room_add(by=designer, floor=floor, name=spec.name, group=group, use=spec.use)
    return project


def enter_line(page: Page, line: Line) -> int:
    """Type one line, answer what it asks, press Enter. Returns the actions."""
    product = Product.objects.get(reference=line.reference)
    feed = product.feeds.get(number=line.feed)
    field = page.locator("#quick-line")
    expect(field).to_be_focused()  # the next line follows without a press
    with page.expect_response("**/quick/?**"):
        page.keyboard.type(line.text)
        expect(page.locator("input[name=read]")).to_have_value(line.text)
    actions = 0
    wanted = {
        "product": str(product.pk), "feed": str(feed.pk),
        "layer": line.layer, "load_kind": line.load_kind,
    }  # fmt: skip
    for name, value in wanted.items():
        choice = page.locator(f"#quick-reading input[type=radio][name={name}][value='{value}']")
        if choice.count() and not choice.is_checked():
            choice.check()
            actions += 1
            expect(page.locator(".htmx-request")).to_have_count(0)
    field.press("Enter")
    expect(field).to_have_value("")
    return actions + 1


def test_the_house_is_entered_by_lines(live_server, page, enter, designer, empty_house):
    enter(designer)
    told: list[tuple[int, str]] = []
    for name, lines in LINES.items():
        room = Room.objects.get(project=empty_house, name=name)
        page.goto(live_server.url + room.get_absolute_url())
        page.keyboard.press("n")
        for line in lines:
            told.append((enter_line(page, line), line.text))
        hung = [
            (
                row.layer,
                row.load_kind,
                each.product.reference,
                each.feed.number,
                each.pieces,
                each.length_m,
            )
            for row in Circuit.objects.filter(room=room).order_by("number")
            for each in row.fittings.select_related("product", "feed")
        ]
        assert hung == [line.hangs for line in lines], name
    by_count = {count: sum(one == count for one, _text in told) for count in (1, 2, 3)}
    print(f"{len(told)} circuits; with 1, 2, 3 actions: {by_count}")
    assert [each for each in told if each[0] > MOST_ACTIONS] == []


def test_the_lines_are_the_circuits_of_the_demo():
    """No room and no circuit of the demo is left out, and none is of another product."""
    for name, circuits in plan.CIRCUITS.items():
        sources = {each.name: each.hangs[0][0] for each in circuits}
        wanted = [
            (
                each.layer,
                each.kind,
                sources[each.hangs[0][1]] if each.hangs[0][0] == "same" else each.hangs[0][0],
            )
            for each in circuits
        ]
        assert sorted(line.hangs[:3] for line in LINES[name]) == sorted(wanted), name
