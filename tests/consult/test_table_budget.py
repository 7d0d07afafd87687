"""What an edit and a page of the table ask of the database: little, and the same at any size."""

import re
import uuid
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult import planning
from consult.derived import fingerprint, planned, planned_now, read_house
from consult.models import Circuit, CircuitFitting, Room, Scene
from consult.reader import read_design
from consult.services import circuits
from tests.factories import PersonFactory, a_project, a_receiver, with_rates

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by, settings):
    settings.STOCK_IS_KEPT = True  # as it is where it is served
    client.force_login(by)
    return client


def asked(call):
    """Queries of a call, without those that only open and close transactions."""
    with CaptureQueriesContext(connection) as seen:
        answer = call()
    assert answer.status_code == 200
    turns = r"BEGIN|COMMIT|SAVEPOINT|RELEASE|ROLLBACK"
    return len([q for q in seen.captured_queries if not re.match(turns, q["sql"])])


def edits(staff, project):
    room = Room.objects.filter(project=project).first()
    circuit = Circuit.objects.filter(room=room).first()
    scene = Scene.objects.filter(group=room.group).first()
    names = iter(range(10_000))
    yield "circuit_change", lambda: staff.post(
        reverse("consult:circuit_change", args=[circuit.pk]),
        {"name": f"A {next(names)}", "layer": "task", "load_kind": "phase-dimmed",
         "key": str(uuid.uuid4())},
        headers=HTMX,
    )  # fmt: skip
    yield (
        "level_set",
        lambda: staff.post(
            reverse("consult:level_set", args=[scene.pk, circuit.pk]),
            {"level": str(next(names) % 100)},
            headers={**HTMX, "X-Deed-Key": str(uuid.uuid4())},
        ),
    )


def pages(staff, project):
    room = Room.objects.filter(project=project).first()
    for view in ("project", "scenes", "controls", "history"):
        address = reverse(f"consult:{view}", args=[project.pk])
        yield view, lambda address=address: staff.get(address)
    yield "room", lambda: staff.get(room.get_absolute_url())
    yield "beside", lambda: staff.get(reverse("consult:beside", args=[room.pk]), headers=HTMX)


@pytest.fixture
def houses(by):
    with_rates()
    a_receiver()
    return a_project(by=by, rooms=5), a_project(by=by, rooms=60)


def test_an_edit_asks_at_most_twelve_times_at_five_rooms_and_at_sixty(staff, houses):
    counts = []
    for project in houses:
        found = {}
        for name, edit in edits(staff, project):
            edit()
            found[name] = asked(edit)
        counts.append(found)
    assert counts[0] == counts[1]
    assert max(counts[0].values()) <= 12, counts[0]


def test_a_page_asks_at_most_twenty_times_at_five_rooms_and_at_sixty(staff, houses):
    counts = []
    for project in houses:
        found = {}
        for name, page in pages(staff, project):
            page()
            found[name] = asked(page)
        counts.append(found)
    assert all(count <= 20 for found in counts for count in found.values()), counts
    # The history asks once for each kind of row that the acts on its page point at.
    few, many = (found.pop("history") for found in counts)
    assert abs(few - many) <= 2
    assert counts[0] == counts[1]


def test_a_whole_design_is_one_query(by, django_assert_num_queries):
    project = a_project(by=by, rooms=7)
    with django_assert_num_queries(1):
        design = read_design(project)
    assert (len(design.rooms), len(design.circuits), len(design.scenes)) == (7, 7, 7)


def test_figures_come_out_of_one_query_as_they_were_put_in(by):
    project = a_project(by=by)
    Room.objects.update(length_m=Decimal("7.205"), height_m=Decimal("0.100"), is_way_out=True)
    room = read_design(project).rooms[0]
    assert (str(room.length_m), str(room.height_m), room.width_m) == ("7.205", "0.100", 4)
    assert room.is_way_out is True
    fitting = read_design(project).circuits[0].fittings[0]
    assert fitting.product == str(CircuitFitting.objects.get().product_id)


# --- what is kept is what would be worked out afresh ----------------------------------------------
@settings(
    max_examples=12, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(st.lists(st.tuples(st.integers(0, 2), st.integers(1, 40)), min_size=1, max_size=5))
def test_the_plan_that_is_kept_is_the_plan_afresh(by, changes):
    if not Room.objects.exists():
        with_rates()
        a_receiver()
        a_project(by=by, rooms=3)
    project = Room.objects.first().project
    rows = list(CircuitFitting.objects.filter(project=project).order_by("circuit__code"))
    for place, pieces in changes:
        row = CircuitFitting.objects.get(pk=rows[place].pk)
        circuits.fitting_change(by=by, fitting=row, pieces=pieces)
        house = read_house(project)
        for exact in (True, False):
            assert fingerprint(planned(house, exact=exact)) == fingerprint(
                planning.plan(house, exact=exact)
            )
        now, is_pending = planned_now(house)
        assert (now, is_pending) == (planned(house), False)
