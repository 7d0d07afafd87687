"""The whole job in a browser: from an empty project to a quote that the client accepted."""

import re

import pytest
from playwright.sync_api import Page, expect

from consult.models import Circuit, Project, SceneLevel
from quoting.models import Acceptance, Revision
from tests.browser.conftest import barriers, in_time
from tests.factories import a_product, a_receiver, with_rates

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def catalogue(db):
    with_rates()
    a_product(name="Tilting downlight", sell="44.00")
    a_receiver()


def begin(page: Page, url: str) -> None:
    page.goto(url + "/projects/")
    page.get_by_role("link", name="Start a project").first.click()
    page.get_by_label("New client").fill("Household Marrow")
    page.get_by_label("Name", exact=True).fill("Tide Cottage")
    page.get_by_role("button", name="Start", exact=True).click()
    expect(page.get_by_role("heading", name="Tide Cottage")).to_be_visible()


def add_room(page: Page) -> None:
    page.get_by_role("link", name=re.compile("Add a room")).click()
    page.get_by_label("Name", exact=True).fill("Snug")
    page.get_by_label(re.compile("^Length")).fill("4,2")
    page.get_by_label(re.compile("^Width")).fill("3.1")
    page.get_by_label(re.compile("^Height( if any)?$")).fill("2.4")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("heading", name="Snug")).to_be_visible()


def test_the_whole_job(live_server, page, context, enter, designer, office, catalogue, complaints):
    url = live_server.url
    enter(designer)
    begin(page, url)
    add_room(page)

    # A circuit with its fitting, on the room's sheet.
    page.get_by_role("button", name="Add by form").click()
    page.get_by_label("Find a product").first.fill("tilting")
    page.get_by_text("Tilting downlight").first.click()
    page.get_by_label("Pieces").first.fill("6")
    page.get_by_role("button", name="Add the circuit").click()
    expect(page.locator("#circuits")).to_contain_text("48.0")
    expect(page.locator("#needs")).to_contain_text("Receiver, 4 outputs")
    expect(page.locator("#price")).to_contain_text("£316.80")  # 6 × 44.00 and tax
    circuit = Circuit.objects.get()
    assert circuit.code == "001.1"
    assert barriers(page) == []

    # A scene with its level.
    page.get_by_role("link", name="Scenes", exact=True).click()
    page.get_by_label("Rooms").select_option(label="Snug")
    page.get_by_label("Name", exact=True).fill("Evening")
    page.get_by_role("button", name="Add the scene").click()
    level = page.get_by_label(re.compile("^Level of")).first
    level.fill("40")
    level.press("Tab")
    kept = in_time(page, SceneLevel.objects.filter(level__gt=0).first)
    assert kept is not None and kept.level == 40

    # The control plan serves it.
    page.get_by_role("link", name="Control plan").click()
    expect(page.locator("main")).to_contain_text("001.1")

    # The office makes the quote and issues it.
    context.clear_cookies()
    enter(office)
    project = Project.objects.get()
    page.goto(url + project.get_absolute_url())
    page.get_by_role("link", name="Quotes", exact=True).last.click()
    page.get_by_role("button", name="Make a quote of this project").click()
    page.get_by_role("button", name="Issue this quote").click()
    revision = Revision.objects.get()
    expect(page.get_by_role("heading", name=re.compile(f"Quote {revision.number}"))).to_be_visible()
    page.get_by_label("For whom").fill("Ida Marrow")
    page.get_by_role("button", name="Make a link").click()
    address = page.locator("#address").input_value()

    # The client, on a phone, without a log-in.
    context.clear_cookies()
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(address)
    expect(page.locator("body")).to_contain_text("Evening")
    expect(page.locator("body")).to_contain_text("£")
    assert barriers(page) == []
    page.get_by_label("Your name").fill("Ida Marrow")
    page.get_by_label(re.compile("I have read")).check()
    page.get_by_role("button", name=re.compile("[Oo]rder|[Aa]ccept")).first.click()
    acceptance = in_time(page, Acceptance.objects.first)
    assert acceptance.name == "Ida Marrow"
    assert acceptance.offer_sha256 == revision.offer_sha256
    expect(page.locator("body")).to_contain_text(re.compile("accepted", re.IGNORECASE))

    # And the project says so.
    enter(office)
    page.goto(url + project.get_absolute_url())
    expect(page.locator("main")).to_contain_text("is accepted")
    assert complaints == []
