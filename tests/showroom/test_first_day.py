"""The first day: every page opens where there is nothing yet, for each who may see it."""

import uuid

import pytest
from django.test import Client
from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse

from base.models import Person
from consult.services.people import project_begin
from tests.conftest import logged_in
from tests.factories import PersonFactory

pytestmark = pytest.mark.django_db

LOGS_OUT = "account_logout"
FITS = {200, 302, 400, 403, 404, 405}  # a press answers a bare look at it with 405 or 400


def names(resolver, arguments: set[str], prefix: str = ""):
    """Views whose address takes just these arguments."""
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            space = f"{prefix}{entry.namespace}:" if entry.namespace else prefix
            yield from names(entry, arguments, space)
        elif isinstance(entry, URLPattern) and set(entry.pattern.converters) == arguments:
            yield f"{prefix}{entry.name or ''}"


def opened(client: Client, arguments: dict[str, uuid.UUID]) -> dict[str, int]:
    """What each of these views answers; a fault of the template or the view is raised."""
    found = {}
    for name in sorted(set(names(get_resolver(), set(arguments))) - {"", LOGS_OUT}):
        try:
            path = reverse(name, kwargs=arguments)
        except NoReverseMatch:
            continue
        found[name] = client.get(path).status_code
    return found


@pytest.mark.parametrize("role", Person.Role.values)
def test_every_page_without_an_object_opens_on_an_empty_database(role):
    found = opened(logged_in(PersonFactory(role=role)), {})
    assert {name: status for name, status in found.items() if status not in FITS} == {}
    lists = ["home", "consult:projects", "consult:clients", "quoting:quotes", "catalogue:products"]
    assert [found[name] for name in lists] == [200] * len(lists)


@pytest.mark.parametrize("role", Person.Role.values)
def test_every_page_of_a_project_opens_before_it_has_a_room(role):
    person = PersonFactory(role=role)
    project = project_begin(
        by=person, client=None, new_client="Household Marrow", name="Tide Cottage"
    )
    found = opened(logged_in(person), {"project_id": project.pk})
    assert {name: status for name, status in found.items() if status not in FITS} == {}
    pages = ["consult:project", "consult:scenes", "consult:plan", "consult:light_house"]
    assert [found[name] for name in pages] == [200] * len(pages)
