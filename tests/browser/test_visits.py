"""The brief, notes, appointments, the form before a visit, what waits and the search, in a browser."""

import datetime
import re

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from base.uploads import photo
from consult.brief_models import Note, VisitLink
from consult.models import Room
from consult.services import appointments, brief, visits
from tests.browser.conftest import in_every_look
from tests.consult.visiting import a_pdf, a_picture, a_visit_link
from tests.factories import a_product, a_project

MOST_BYTES = 150_000
MOST_REQUESTS = 10


@pytest.fixture
def project(designer):
    return a_project(by=designer)


@pytest.fixture
def link_and_secret(designer, project):
    """A link by which a room, a wish and two files were told, an appointment, notes and a party."""
    appointments.appointment_make(
        by=designer, project=project, colleague=designer, guest="Ida Marrow", place="4 Pulley Lane",
        guest_email="ida@post.example", starts_at=timezone.now() + datetime.timedelta(days=2),
    )  # fmt: skip
    brief.brief_begin(by=designer, project=project, wishes="Warm.", budget_guide=18000)
    brief.party_add(
        by=designer, project=project, role="electrician", name="Corin Vale", phone="01632 960 555",
        email="corin@vale.example", firm="Vale & Daughter", note="Rings before eight",
    )  # fmt: skip
    room = Room.objects.get(project=project)
    brief.note_add(
        by=designer, project=project, room=room, text="Joists across.", photos=[photo(a_picture())]
    )
    link, secret = a_visit_link(by=designer, project=project)
    visits.visit_room_add(link=link, name="Music room", use="living", wish="Piano lamp")
    visits.visit_wishes_write(link=link, wishes="No glare.")
    files = [
        visits.NamedUpload(name=name, upload=visits_upload(content))
        for name, content in (("plan.pdf", a_pdf(2)), ("hall.jpg", a_picture()))
    ]
    visits.visit_files_add(link=link, kind="plan", files=files)
    visits.visit_send(link=link)
    return link, secret


def visits_upload(content):
    from base.uploads import examine

    return examine(content)


PAGES = {
    "brief": lambda project, link: reverse("consult:brief", args=[project.pk]),
    "brief_change": lambda project, link: reverse("consult:brief_change", args=[project.pk]),
    "party_add": lambda project, link: reverse("consult:party_add", args=[project.pk]),
    "notes": lambda project, link: reverse("consult:notes", args=[project.pk]),
    "appointments": lambda project, link: reverse("consult:appointments"),
    "appointment_add": lambda project, link: reverse("consult:appointment_add", args=[project.pk]),
    "answers": lambda project, link: reverse("consult:visit_answers", args=[link.pk]),
    "home": lambda project, link: "/",
    "search": lambda project, link: "/search/?q=granary",
    "search_nothing": lambda project, link: "/search/?q=zzqq",
}


@pytest.mark.parametrize("name", PAGES)
def test_nothing_stands_in_the_way(
    live_server, page, enter, designer, project, link_and_secret, complaints, name
):
    enter(designer)
    address = PAGES[name](project, link_and_secret[0])
    assert in_every_look(page, live_server.url + address) == []
    assert complaints == []


def test_nothing_stands_in_the_way_of_an_appointment(
    live_server, page, enter, designer, project, link_and_secret, complaints
):
    enter(designer)
    page.goto(live_server.url + "/appointments/")
    page.locator("main a.choice-row").click()
    assert in_every_look(page, page.url) == []
    page.get_by_role("link", name="Change", exact=True).click()
    assert in_every_look(page, page.url) == []
    assert complaints == []


def test_nothing_stands_in_the_way_of_a_client(live_server, page, link_and_secret, complaints):
    _link, secret = link_and_secret
    assert in_every_look(page, f"{live_server.url}/v/{secret}/") == []
    assert complaints == []


def test_a_page_that_is_over_stands_in_nobodys_way(live_server, page, designer, link_and_secret):
    link, secret = link_and_secret
    visits.visit_link_revoke(by=designer, link=link)
    for address in (f"/v/{secret}/", "/v/nothing/"):
        assert in_every_look(page, live_server.url + address) == []


def test_a_client_fills_in_the_form_without_javascript_on_a_phone(
    live_server, browser, designer, project
):
    link, secret = a_visit_link(by=designer, project=project)
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 800})
    page = context.new_page()
    page.goto(f"{live_server.url}/v/{secret}/")
    page.get_by_label("Room", exact=True).fill("Music room")
    page.get_by_label("What matters there").fill("A lamp at the piano")
    page.get_by_role("button", name="Add this room").click()
    page.get_by_label("What should the light do for you?").fill("No glare.")
    page.get_by_role("button", name="Keep my wishes").click()
    page.get_by_label("Files").set_input_files(
        {"name": "plan.pdf", "mimeType": "application/pdf", "buffer": a_pdf(2)}
    )
    page.get_by_role("button", name="Send these files").click()
    expect(page.locator("#files")).to_contain_text("2 pages")
    page.get_by_role("button", name="Send it to us").click()
    expect(page.locator("#messages")).to_contain_text("Thank you")
    context.close()
    told = VisitLink.objects.get(pk=link.pk)
    assert told.sent_at is not None
    assert (told.wishes, told.rooms.count(), told.files.count()) == ("No glare.", 1, 1)


def test_every_target_of_the_clients_page_is_large_enough(live_server, page, link_and_secret):
    page.set_viewport_size({"width": 390, "height": 800})
    page.goto(f"{live_server.url}/v/{link_and_secret[1]}/")
    heights = page.evaluate(
        "[...document.querySelectorAll('main button, main input:not([type=hidden]), main select')]"
        ".map((each) => [each.name || each.textContent, each.getBoundingClientRect().height])"
    )
    assert len(heights) > 6
    assert [each for each in heights if each[1] < 44] == []


@pytest.mark.parametrize("name", ["brief", "notes", "answers", "home", "search"])
def test_a_page_is_light_to_load(
    live_server, page, enter, designer, project, link_and_secret, name
):
    loaded = []
    page.on("requestfinished", lambda request: loaded.append(request))
    enter(designer)
    page.goto(live_server.url + PAGES[name](project, link_and_secret[0]))
    page.wait_for_load_state("networkidle")
    # Who else is here is asked after the page has come, again and again.
    frame = [each for each in loaded if "/file/" not in each.url and "/presence/" not in each.url]
    weight = sum(request.sizes()["responseBodySize"] for request in frame)
    assert len(frame) <= MOST_REQUESTS, "\n".join(request.url for request in frame)
    # Not compressed here, as it is where it is served; so this is the most it can be.
    assert weight <= MOST_BYTES * 1.3, weight


def test_a_note_with_a_photo_is_taken_on_a_phone(live_server, page, enter, designer, project):
    enter(designer)
    page.set_viewport_size({"width": 390, "height": 800})
    room = Room.objects.get(project=project)
    page.goto(live_server.url + reverse("consult:room_notes", args=[room.pk]))
    page.get_by_label("Note", exact=False).first.fill("Board under the stair")
    page.locator("#id_taken").set_input_files(
        {"name": "board.jpg", "mimeType": "image/jpeg", "buffer": a_picture(size=(800, 600))}
    )
    page.get_by_role("button", name="Note it").click()
    expect(page.locator(".photos img")).to_be_visible()
    expect(page.locator(".photos img")).not_to_have_js_property("naturalWidth", 0)
    assert Note.objects.get().room == room


# --- the search -----------------------------------------------------------------------------------
@pytest.mark.parametrize("width", [390, 1440])
def test_a_key_leads_to_the_search_from_anywhere(
    live_server, page, enter, designer, project, width
):
    enter(designer)
    page.set_viewport_size({"width": width, "height": 900})
    page.goto(live_server.url + "/projects/")
    page.locator("main h1").click()
    page.keyboard.press("/")
    field = page.locator("#head-search" if width > 1000 else "#find-all")
    if width < 1000:
        page.wait_for_url("**/search/")
    expect(field).to_be_focused()
    page.keyboard.type("granary")
    page.keyboard.press("Enter")
    expect(page.locator("#found")).to_contain_text("Granary Yard")
    expect(page).to_have_url(re.compile(r"/search/\?q=granary"))


def test_the_key_is_never_in_the_way_of_typing(live_server, page, enter, designer, project):
    enter(designer)
    page.goto(live_server.url + "/projects/")
    page.locator("#find").click()
    page.keyboard.type("12/14 Quay")
    expect(page.locator("#find")).to_have_value("12/14 Quay")
    page.locator("main h1").click()
    page.keyboard.press("Control+/")
    expect(page.locator("#head-search")).not_to_be_focused()


def test_results_come_while_one_types_and_focus_stays(live_server, page, enter, designer, project):
    a_product(name="Granite bollard")
    enter(designer)
    page.goto(live_server.url + "/search/")
    page.locator("#find-all").press_sequentially("gran", delay=20)
    expect(page.locator("#found")).to_contain_text("Granary Yard")
    expect(page.locator("#found")).to_contain_text("Granite bollard")
    expect(page.locator("#find-all")).to_be_focused()
    expect(page.locator("#find-all")).to_have_value("gran")
