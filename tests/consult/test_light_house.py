"""The light of a whole house: figures of every room, work with progress, a stop, a second press."""

import pytest
from django.core.cache import caches
from django.urls import reverse

from consult import tasks
from consult.derived import read_house
from consult.light import for_client, whole_house
from consult.models import Project, Room
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_circuit, a_project, a_room

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_kept():
    caches["drawn"].clear()


@pytest.fixture
def project(designer):
    project = a_project(by=designer, rooms=2)
    a_circuit(by=designer, room=a_room(by=designer, project=project, name="Store"))
    return Project.objects.get(pk=project.pk)


def address(name, project):
    return reverse(f"consult:{name}", args=[project.pk])


def later(_project_id, _token):
    """A task worker that has not come to it yet."""


def test_before_the_work_the_page_says_what_is_open(designer_client, project):
    page = designer_client.get(address("light_house", project))
    assert "2 rooms are still to be worked out." in one(page, "#light-house [role=status]").text
    rows = [row.text for row in all_of(page, "#light-house tbody tr")]
    assert len(rows) == 3
    assert "length, width and height" in rows[2]


def test_the_work_gives_every_room_its_figures_and_its_pictures(designer_client, project):
    answer = designer_client.post(address("light_house_work", project))
    assert (answer.status_code, answer["Location"]) == (302, address("light_house", project))
    run = whole_house.run_of(project.pk)
    assert (run.state, run.done, run.of, run.share) == ("done", 4, 4, 100)
    page = designer_client.get(address("light_house", project))
    assert "Every room that can be worked out is." in page.content.decode()
    averages = [cell.text for cell in all_of(page, "#light-house tbody td:nth-child(2)")]
    assert averages[0].endswith(" lx")
    assert averages == [averages[0], averages[0], "–"]
    assert len(for_client.drawn(read_house(project))) == 2


def test_while_it_runs_the_page_follows_it_and_offers_a_stop(designer_client, project):
    whole_house.begin(project.pk, enqueue=later)
    page = designer_client.get(address("light_house", project))
    region = one(page, "#light-house")
    assert region["hx-get"] == address("light_house_rows", project)
    assert one(page, "#light-house form")["action"] == address("light_house_stop", project)
    assert one(page, "progress")["value"] == "0"
    part = designer_client.get(address("light_house_rows", project))
    assert one(part, "#light-house")["hx-trigger"] == "load delay:1s"
    assert not all_of(part, "h1")


def test_a_second_press_joins_the_run_that_is_under_way(project):
    first = whole_house.begin(project.pk, enqueue=later)
    assert whole_house.begin(project.pk, enqueue=later) == first


def test_a_run_that_lost_its_worker_does_not_bar_the_next(project, monkeypatch):
    first = whole_house.begin(project.pk, enqueue=later)
    monkeypatch.setattr(whole_house, "LOST_S", 0.0)
    assert whole_house.begin(project.pk, enqueue=later).token != first.token


def test_a_stop_ends_it_after_the_room_and_keeps_what_is_done(project, monkeypatch):
    run = whole_house.begin(project.pk, enqueue=later)
    worked_out = whole_house.solved

    def then_stop(problem):
        whole_house.stop(project.pk)
        return worked_out(problem)

    monkeypatch.setattr(whole_house, "solved", then_stop)
    whole_house.work(str(project.pk), run.token)
    told = whole_house.run_of(project.pk)
    assert (told.state, told.done, told.of) == ("stopped", 1, 4)
    kept = [row.figures is not None for row in whole_house.rows(read_house(project))]
    assert kept == [True, False, False]


def test_what_is_stopped_before_its_turn_never_starts(designer_client, project, monkeypatch):
    run = whole_house.begin(project.pk, enqueue=later)
    answer = designer_client.post(address("light_house_stop", project))
    assert answer.status_code == 302
    assert whole_house.run_of(project.pk).state == "stopped"
    monkeypatch.setattr(whole_house, "solved", lambda _problem: pytest.fail("it started"))
    tasks.work_out_light.enqueue(str(project.pk), run.token)
    assert whole_house.run_of(project.pk).done == 0


def test_a_project_that_is_gone_ends_it(project):
    whole_house.work("00000000-0000-0000-0000-000000000000", "token")
    assert whole_house.run_of(project.pk) is None


@pytest.mark.parametrize(
    ("name", "wrong"),
    [("light_house", "post"), ("light_house_rows", "post"), ("light_house_work", "get"),
     ("light_house_stop", "get")],
)  # fmt: skip
def test_another_method_is_405_and_no_such_project_404(designer_client, project, name, wrong):
    assert getattr(designer_client, wrong)(address(name, project)).status_code == 405
    right = {"post": "get", "get": "post"}[wrong]
    nobody = reverse(f"consult:{name}", args=["00000000-0000-0000-0000-000000000000"])
    assert getattr(designer_client, right)(nobody).status_code == 404


def test_the_page_asks_as_much_for_two_rooms_as_for_six(queries):
    asked = []
    for rooms in (2, 6):
        by = PersonFactory()
        project, client = a_project(by=by, rooms=rooms), logged_in(by)
        client.get(address("light_house", project))
        asked.append(queries(lambda p=project, c=client: c.get(address("light_house", p))))
    assert asked[0] == asked[1]
    assert Room.objects.count() == 8
