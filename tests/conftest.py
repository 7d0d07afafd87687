"""What tests of every package share: somebody logged in, pages read by selector, queries counted."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import cssselect2
import pytest
import tinyhtml5
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from base.models import Person

Page = HttpResponse | str | bytes


class Element:
    """One element of a page, with its text and attributes."""

    def __init__(self, found: cssselect2.ElementWrapper) -> None:
        self._found = found

    @property
    def text(self) -> str:
        return " ".join("".join(self._found.etree_element.itertext()).split())

    @property
    def name(self) -> str:
        return str(self._found.local_name)

    def __getitem__(self, attribute: str) -> str:
        return str(self._found.etree_element.attrib[attribute])

    def get(self, attribute: str, default: str = "") -> str:
        return str(self._found.etree_element.attrib.get(attribute, default))

    def all(self, selector: str) -> list["Element"]:
        return [Element(found) for found in self._found.query_all(selector)]


def all_of(page: Page, selector: str) -> list[Element]:
    """Every element of the page that the CSS selector finds, in order."""
    html = page if isinstance(page, str) else getattr(page, "content", page).decode()
    tree = tinyhtml5.parse(html, namespace_html_elements=False)
    root = cssselect2.ElementWrapper.from_html_root(tree)
    return [Element(found) for found in root.query_all(selector)]


def one(page: Page, selector: str) -> Element:
    """The element that the CSS selector finds; fails unless there is exactly one."""
    found = all_of(page, selector)
    assert len(found) == 1, f"{selector!r} finds {len(found)} elements, not one"
    return found[0]


@contextmanager
def counted_queries() -> Iterator[CaptureQueriesContext]:
    """``with counted_queries() as asked: …`` then ``len(asked)``."""
    with CaptureQueriesContext(connection) as asked:
        yield asked


@pytest.fixture
def queries() -> Callable[[Callable[[], Any]], int]:
    """How many queries a call makes: ``queries(lambda: client.get("/"))``. Compare two counts."""

    def count(call: Callable[[], Any]) -> int:
        with counted_queries() as asked:
            call()
        return len(asked)

    return count


def logged_in(person: Person) -> Client:
    client = Client()
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    return client


def _person(role: str) -> Person:
    from tests.factories import PersonFactory

    person: Person = PersonFactory(role=role)
    return person


@pytest.fixture
def manager(db: None) -> Person:
    return _person(Person.Role.MANAGER)


@pytest.fixture
def designer(db: None) -> Person:
    return _person(Person.Role.DESIGNER)


@pytest.fixture
def office(db: None) -> Person:
    return _person(Person.Role.OFFICE)


@pytest.fixture
def manager_client(manager: Person) -> Client:
    return logged_in(manager)


@pytest.fixture
def designer_client(designer: Person) -> Client:
    return logged_in(designer)


@pytest.fixture
def office_client(office: Person) -> Client:
    return logged_in(office)


@pytest.fixture(autouse=True)
def files_apart(request: pytest.FixtureRequest) -> None:
    """Stored files of a test go to a folder of its own."""
    asks = {"db", "transactional_db", "live_server"} & set(request.fixturenames)
    if asks or request.node.get_closest_marker("django_db"):
        settings = request.getfixturevalue("settings")
        settings.MEDIA_ROOT = request.getfixturevalue("tmp_path") / "media"


@pytest.fixture(autouse=True, scope="session")
def flush_past_guards() -> Iterator[None]:
    """Emptying a test database on SQLite deletes rows; the guards stand aside for that alone.

    They are made again by the signal that follows the flush.
    """
    from django.db.backends.base.operations import BaseDatabaseOperations

    from quoting import guards

    emptied = BaseDatabaseOperations.execute_sql_flush

    def flush(self: Any, sql_list: list[str]) -> None:
        guards.remove(self.connection)
        emptied(self, sql_list)

    patch = pytest.MonkeyPatch()
    patch.setattr(BaseDatabaseOperations, "execute_sql_flush", flush)
    yield
    patch.undo()
