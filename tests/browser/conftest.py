"""A real browser on a live server: Debian's Chromium, somebody logged in, and axe."""

import functools
import os
import shutil
import time
from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from playwright.sync_api import BrowserContext, Locator, Page, expect

from base.models import Person
from consult.models import Project, Room
from consult.services import keypads
from showroom.demo.build import build
from tests.conftest import logged_in
from tests.factories import a_product, a_project, a_receiver, with_rates

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDTHS = (390, 820, 1440)
LOOKS = ("light", "dark")
PATIENCE_S = 20  # a busy machine is slow, not wrong

expect.set_options(timeout=PATIENCE_S * 1000)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "browser" in item.path.parts:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not chromium:
        pytest.fail("No Chromium. Install one, or name it in the environment variable CHROMIUM.")
    return {**browser_type_launch_args, "executable_path": chromium, "args": ARGUMENTS}


@pytest.fixture(autouse=True)
def a_click_ends_where_the_scripts_have_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """What follows a click that leads to another page finds that page ready, as a person would."""
    click = Locator.click

    @functools.wraps(click)
    def and_be_there(self: Locator, **how: Any) -> None:
        click(self, **how)
        self.page.wait_for_load_state("domcontentloaded")

    monkeypatch.setattr(Locator, "click", and_be_there)


def in_time(page: Page, what: Callable[[], Any]) -> Any:
    """What this gives once it gives something true, asked again while the page goes on."""
    until = time.monotonic() + PATIENCE_S
    while not (found := what()) and time.monotonic() < until:
        page.wait_for_timeout(50)
    return found


@pytest.fixture
def enter(live_server: Any, context: BrowserContext) -> Callable[[Person], None]:
    """Log somebody in: ``enter(manager)``, then ``page.goto(live_server.url + "/")``."""

    def log_in(person: Person) -> None:
        cookie = logged_in(person).cookies[settings.SESSION_COOKIE_NAME]
        context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])

    return log_in


@pytest.fixture
def demo(transactional_db: None, settings: Any) -> Project:
    """The demo, without its documents on paper, which no page here shows."""
    settings.TASKS = {"default": {"BACKEND": "django.tasks.backends.dummy.DummyBackend"}}
    return build()[0]


@pytest.fixture
def house(db: None, designer: Person) -> Project:
    """Two rooms of two circuits, a keypad by the door of the first."""
    with_rates()
    a_receiver()
    a_product(name="Tilting downlight", watts="9.4")
    project = a_project(by=designer, rooms=2, circuits_each=2)
    room = Room.objects.filter(project=project).first()
    keypads.position_add(by=designer, room=room, name="by the door")
    return project


@pytest.fixture
def room(house: Project) -> Room:
    return Room.objects.filter(project=house).first()


@pytest.fixture
def complaints(page: Page) -> list[str]:
    """What the page's console complains of, policy violations included, as it comes."""
    heard: list[str] = []
    page.on("console", lambda said: heard.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: heard.append(str(error)))
    return heard


def at(page: Page, url: str) -> None:
    """Go there, and wait until nothing is asked any more."""
    page.goto(url)
    page.wait_for_load_state("networkidle")


def barriers(page: Page) -> list[str]:
    """What axe finds on the page as it stands: rule and elements. Nothing is a good page."""
    found = Axe().run(page).response["violations"]
    return [
        f"{rule['id']}: {', '.join(str(node['target']) for node in rule['nodes'][:5])}"
        for rule in found
    ]


def sideways(page: Page) -> int:
    """By how many pixels the page scrolls sideways. None is good."""
    return int(page.evaluate("document.documentElement.scrollWidth - window.innerWidth"))


def in_every_look(page: Page, url: str) -> list[str]:
    """Barriers and sideways scrolling of a page in light and dark at three widths, each named."""
    wrong = []
    for look in LOOKS:
        page.emulate_media(color_scheme=look)
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            page.goto(url)
            page.wait_for_load_state("networkidle")
            wrong += [f"{look} {width}: {barrier}" for barrier in barriers(page)]
            if sideways(page) > 0:
                wrong.append(f"{look} {width}: scrolls sideways by {sideways(page)} px")
    return wrong
