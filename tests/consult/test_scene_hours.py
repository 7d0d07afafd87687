"""Hours a day of scenes: typed, kept, copied, taken back, and shown with the energy of a year."""

import uuid
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from base.deeds import Refusal
from consult.design import Design
from consult.models import JournalEntry, Project, Room, Scene
from consult.reader import read_design
from consult.services import copying, patterns, scenes, turns
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_project, a_room

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by)
    return client


@pytest.fixture
def room(by):
    return Room.objects.get(project=a_project(by=by))


@pytest.fixture
def scene(room):
    return Scene.objects.get(group=room.group)


def form(scene, **values):
    return {"name": scene.name, "fade_s": "2", "seen": scene.version, **values}


def change(staff, scene, **values):
    return staff.post(reverse("consult:scene_change", args=[scene.pk]), form(scene, **values))


def hours(scene):
    return Scene.objects.get(pk=scene.pk).hours_a_day


# --- typed ------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "read"),
    [("4", "4"), ("4,25", "4.25"), (" 0.5 ", "0.5"), ("0", "0"), ("24", "24"), ("", None)],
)
def test_hours_are_typed_beside_the_fade(staff, scene, text, read):
    answer = change(staff, scene, hours_a_day=text)
    assert answer.status_code == 302
    assert hours(scene) == (None if read is None else Decimal(read))


@pytest.mark.parametrize(
    ("text", "why"),
    [("24.01", "A day has 0 to 24 hours"), ("-1", "A day has 0 to 24 hours"),
     ("evenings", "Give a number, such as 2.5."), ("1.234", "2 decimal places"),
     ("NaN", "Give a number, such as 2.5.")],
)  # fmt: skip
def test_what_is_no_time_of_a_day_says_why_and_changes_nothing(staff, scene, text, why):
    scenes_before, acts = list(Scene.objects.values()), JournalEntry.objects.count()
    answer = change(staff, scene, name="Otherwise", hours_a_day=text)
    assert answer.status_code == 200
    assert why in answer.content.decode()
    assert one(answer, "input[name=hours_a_day]")["value"] == text
    assert one(answer, "input[name=name]")["value"] == "Otherwise"
    assert list(Scene.objects.values()) == scenes_before
    assert JournalEntry.objects.count() == acts


def test_a_new_scene_takes_its_hours(staff, room):
    address = reverse("consult:scene_add", args=[room.project_id])
    values = {"name": "Night", "group": room.group_id, "fade_s": "2", "hours_a_day": "7.5"}
    staff.post(address, values)
    assert Scene.objects.get(name="Night").hours_a_day == Decimal("7.5")
    staff.post(address, {**values, "name": "Long", "hours_a_day": "25"})
    assert not Scene.objects.filter(name="Long").exists()


def test_the_form_shows_what_is_there(by, staff, scene):
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal("4.50"))
    page = staff.get(reverse("consult:scene_change", args=[scene.pk]))
    assert one(page, "input[name=hours_a_day]")["value"] == "4.5"


def test_what_somebody_changed_meanwhile_is_shown_and_kept(by, staff, scene):
    old = form(scene, hours_a_day="6")
    scenes.scene_change(by=by, scene=Scene.objects.get(pk=scene.pk), hours_a_day=Decimal(3))
    answer = staff.post(reverse("consult:scene_change", args=[scene.pk]), old)
    assert answer.status_code == 200
    assert one(answer, "input[name=hours_a_day]")["value"] == "6"
    assert one(answer, "button[data-picks=hours_a_day][data-value='3']")
    assert hours(scene) == 3


def test_strangers_wrong_methods_and_rows_that_are_not_there(client, staff, scene):
    address = reverse("consult:scene_change", args=[scene.pk])
    missing = reverse("consult:scene_change", args=[uuid.uuid4()])
    assert staff.put(address).status_code == 405
    assert staff.post(missing, form(scene, hours_a_day="4")).status_code == 404
    client.logout()
    assert client.post(address, form(scene, hours_a_day="4")).status_code == 302
    assert hours(scene) is None


def test_the_database_holds_a_day_too(by, scene):
    with pytest.raises(IntegrityError), transaction.atomic():
        Scene.objects.filter(pk=scene.pk).update(hours_a_day=25)
    with pytest.raises(Refusal, match="Nothing was saved"), transaction.atomic():
        scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal(25))
    assert hours(scene) is None


# --- carried ----------------------------------------------------------------------------------------
def test_it_is_one_act_that_is_taken_back_and_done_again(by, staff, room, scene):
    before = read_design(room.project).to_content()
    change(staff, scene, hours_a_day="4.25")
    project = Project.objects.get(pk=room.project_id)
    assert read_design(project).scenes[0].hours_a_day == Decimal("4.25")
    turns.undo(by=by, project=project)
    assert hours(scene) is None
    assert read_design(project).to_content() == before
    turns.redo(by=by, project=project)
    assert hours(scene) == Decimal("4.25")


def test_a_scene_that_was_removed_comes_back_with_its_hours(by, room, scene):
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal(4))
    scenes.scene_remove(by=by, scene=Scene.objects.get(pk=scene.pk))
    turns.undo(by=by, project=room.project)
    assert hours(scene) == 4


def test_copies_of_scene_room_and_pattern_have_the_same_hours(by, room, scene):
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal("4.5"))
    assert scenes.scene_copy(by=by, scene=scene, name="Again").hours_a_day == Decimal("4.5")
    made = copying.room_copy(by=by, floor=room.floor, room=room)
    pattern = patterns.save_as_pattern(by=by, room=room, name="Quiet")
    hall = a_room(by=by, project=room.project, name="Hall")
    patterns.pattern_apply(by=by, room=hall, pattern=pattern)
    for group in (made.group, pattern.group, hall.group):
        assert Scene.objects.get(group=group, name="Evening").hours_a_day == Decimal("4.5")


def test_a_design_frozen_before_there_were_hours_is_read(by, room, scene):
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal("4.5"))
    design = read_design(room.project)
    assert Design.from_content(design.to_content()) == design
    content = design.to_content()
    for each in content["scenes"]:
        del each["hours_a_day"]
    assert Design.from_content(content).scenes[0].hours_a_day is None


# --- shown ------------------------------------------------------------------------------------------
def grid(staff, room):
    return staff.get(reverse("consult:scenes", args=[room.project_id]))


def test_the_grid_shows_hours_once_one_is_said(by, staff, room, scene):
    assert not all_of(grid(staff, room), "table.levels tfoot")
    scenes.scene_add(by=by, project=room.project, group=room.group, name="Night")
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal("4.50"))
    cells = [cell.text for cell in all_of(grid(staff, room), "table.levels tfoot td")]
    assert cells == ["4.5", "–"]


def test_more_than_a_day_is_said_on_the_grid_and_on_the_page_of_energy(by, staff, room, scene):
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal(20))
    assert not all_of(grid(staff, room), ".scene-grid .notice")
    scenes.scene_add(by=by, project=room.project, name="Guests", hours_a_day=Decimal("4.5"),
                     levels={scene.levels.get().circuit: 60})  # fmt: skip
    assert "have 24.5 hours a day" in one(grid(staff, room), ".scene-grid .notice").text
    row = one(energy_page(staff, room), "#energy tbody tr").text
    assert "layers (its scenes have 24.5 h a day, and a day has 24)" in row


def energy_page(staff, room):
    return staff.get(reverse("consult:light_house", args=[room.project_id]))


def test_the_page_of_energy_goes_by_scenes_and_says_so(by, staff, room, scene):
    """Six of 8 W at 40 % for 5 h: 48 · 0.4 · 5 · 365 / 1000 = 35.04 kWh, over 20 m² 1.75."""
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal(5))
    scenes.scene_add(by=by, project=room.project, group=room.group, name="Night")
    page = energy_page(staff, room)
    facts = [each.text for each in all_of(page, "#energy dl.facts dd")]
    assert facts == ["35 kWh", "1.8 kWh/m²", "20.0 m²"]
    used, by_what = (each.text for each in all_of(page, "#energy tbody td"))
    assert used == "35 kWh"
    assert " ".join(by_what.split()) == (
        "its scenes, 5 h a day (1 scene without hours counts for nothing)"
    )


def test_the_room_tells_the_same_energy_and_what_it_goes_by(by, staff, room, scene):
    address = reverse("consult:light_exact", args=[room.pk])
    told = all_of(staff.get(address), "dl.facts dd")[1].text
    assert told == "42 kWh by the hours of layers"
    scenes.scene_change(by=by, scene=scene, hours_a_day=Decimal(5))
    told = all_of(staff.get(address), "dl.facts dd")[1].text
    assert told == "35 kWh by the hours of its scenes"


@pytest.mark.parametrize("name", ["light_house", "scenes"])
def test_hours_cost_no_queries_however_many(by, staff, room, queries, name):
    address = reverse(f"consult:{name}", args=[room.project_id])
    staff.get(address)
    few = queries(lambda: staff.get(address))
    for number in range(6):
        scenes.scene_add(by=by, project=room.project, group=room.group, name=f"Scene {number}",
                         hours_a_day=Decimal(number) / 2)  # fmt: skip
        made = a_room(by=by, project=room.project, name=f"Hall {number}")
        scenes.scene_add(by=by, project=room.project, group=made.group, name="Evening",
                         hours_a_day=Decimal(1))  # fmt: skip
    assert queries(lambda: staff.get(address)) == few
