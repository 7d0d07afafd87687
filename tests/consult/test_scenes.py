"""The scenes grid: cells, fills, copies, colours, blinds, buttons."""

import json
import uuid

import pytest
from django.urls import reverse

from base.deeds import Refusal
from consult.level_text import Level, LevelRefused, lower, read_level, write_level
from consult.models import Circuit, JournalEntry, PositionButton, Room, Scene, SceneLevel
from consult.reader import read_design
from consult.services import circuits, keypads, scenes, turns
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_circuit, a_product, a_project

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
    return Room.objects.get(project=a_project(by=by, circuits_each=2))


@pytest.fixture
def scene(room):
    return Scene.objects.get(group=room.group)


def post(staff, view, *keys, **data):
    return staff.post(reverse(f"consult:{view}", args=keys), data, headers={"HX-Request": "true"})


# --- what is typed into a cell --------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "level"),
    [("40", Level(40)), (" 40 % ", Level(40)), ("", None), ("–", None), ("open", Level(100)),
     ("Closed", Level(0)), ("half", Level(50)), ("40 2700k", Level(40, 2700)),
     ("2700 K 40", Level(40, 2700)), ("60 amber", Level(60, None, "ffbf00")),
     ("#FF8800", Level(100, None, "ff8800"))],
)  # fmt: skip
def test_a_cell_is_read(text, level):
    assert read_level(text, white=True, coloured=True) == level


@pytest.mark.parametrize(
    ("text", "code"),
    [("101", "level"), ("-1", "level"), ("4O", "level"), ("1e2", "level"), ("40 900k", "level"),
     ("40 20000k", "cct"), ("a" * 500, "level")],
)  # fmt: skip
def test_what_is_no_level_is_refused(text, code):
    with pytest.raises(LevelRefused, match=code):
        read_level(text, white=True, coloured=True)


def test_a_colour_is_refused_where_the_circuit_has_none():
    with pytest.raises(LevelRefused, match="not_white"):
        read_level("40 2700k", coloured=True)
    with pytest.raises(LevelRefused, match="not_coloured"):
        read_level("40 red", white=True)


@pytest.mark.parametrize(
    "level", [Level(0), Level(40, 2700), Level(7, None, "ff0000"), Level(7, 3000, "12ab99")]
)
def test_what_is_written_is_read_again(level):
    assert read_level(write_level(level), white=True, coloured=True) == level


def test_lower_by_a_share_keeps_what_shines_shining():
    assert [lower(level, 30) for level in (100, 50, 5, 1, 0)] == [70, 35, 4, 1, 0]
    assert all(lower(level, 0) == level for level in range(101))
    assert all(lower(a, 40) <= lower(a + 1, 40) for a in range(100))


# --- cells ----------------------------------------------------------------------------------------
def test_a_cell_is_saved_as_it_is_typed(staff, scene):
    circuit = Circuit.objects.first()
    answer = post(staff, "level_set", scene.pk, circuit.pk, level="65")
    assert SceneLevel.objects.get(scene=scene, circuit=circuit).level == 65
    assert one(answer, "input")["value"] == "65"
    assert "65" in json.loads(answer["HX-Trigger"])["say"]


def test_an_empty_cell_leaves_the_circuit_as_it_is(staff, scene):
    circuit = Circuit.objects.first()
    post(staff, "level_set", scene.pk, circuit.pk, level="")
    assert not SceneLevel.objects.filter(scene=scene, circuit=circuit).exists()


def test_a_wrong_cell_says_why_and_changes_nothing(staff, scene):
    circuit = Circuit.objects.first()
    answer = post(staff, "level_set", scene.pk, circuit.pk, level="140")
    assert one(answer, "[role=alert]").text == "A level is a whole number from 0 to 100."
    assert SceneLevel.objects.get(scene=scene, circuit=circuit).level == 40
    assert "HX-Trigger" not in answer.headers


def test_a_tunable_circuit_takes_a_colour_temperature(by, staff, room, scene):
    circuit = circuits.circuit_add(by=by, room=room, name="Cove", load_kind="dc-tunable")
    post(staff, "level_set", scene.pk, circuit.pk, level="40 2700K")
    row = SceneLevel.objects.get(circuit=circuit)
    assert (row.level, row.cct_k, row.colour) == (40, 2700, "")
    page = staff.get(reverse("consult:scenes", args=[room.project_id]))
    assert "40 2700K" in [each["value"] for each in all_of(page, ".level input")]
    levels = read_design(room.project).scenes[0].levels
    assert (40, 2700) in [(each.level, each.cct_k) for each in levels]


def test_a_blind_is_open_or_closed_or_between(by, staff, room, scene):
    blind = circuits.circuit_add(by=by, room=room, name="Blind", load_kind="motor")
    for typed, level in (("open", 100), ("closed", 0), ("35", 35)):
        answer = post(staff, "level_set", scene.pk, blind.pk, level=typed)
        assert SceneLevel.objects.get(circuit=blind).level == level
        assert "percent open" in one(answer, "input")["aria-label"]


# --- fills and copies -----------------------------------------------------------------------------
def test_a_column_is_filled_in_one_act_and_blinds_stay(by, staff, room, scene):
    blind = circuits.circuit_add(by=by, room=room, name="Blind", load_kind="motor")
    acts = JournalEntry.objects.count()
    post(staff, "scene_fill", scene.pk, level="15")
    assert set(scene.levels.values_list("level", flat=True)) == {15}
    assert not SceneLevel.objects.filter(circuit=blind).exists()
    assert JournalEntry.objects.count() == acts + 1


def test_a_row_is_filled_in_one_act(by, staff, room, scene):
    scenes.scene_add(by=by, project=room.project, group=room.group, name="Night")
    circuit = Circuit.objects.first()
    acts = JournalEntry.objects.count()
    post(staff, "row_fill", circuit.pk, str(room.group_id), level="5")
    assert list(circuit.levels.values_list("level", flat=True)) == [5, 5]
    assert JournalEntry.objects.count() == acts + 1


@pytest.mark.parametrize("level", ["101", "-1", "many"])
def test_a_fill_that_is_no_level_says_so(staff, scene, level):
    answer = post(staff, "scene_fill", scene.pk, level=level)
    assert answer["HX-Retarget"] == "#grid-stopped"
    assert "whole number" in answer.content.decode()
    assert set(scene.levels.values_list("level", flat=True)) == {40}


def test_as_another_scene_but_lower(by, staff, room, scene):
    blind = circuits.circuit_add(by=by, room=room, name="Blind", load_kind="motor")
    scenes.level_set(by=by, scene=scene, circuit=blind, level=50)
    post(staff, "scene_copy", scene.pk, name="Late", percent_lower="30")
    made = Scene.objects.get(name="Late")
    levels = {row.circuit_id: row.level for row in made.levels.all()}
    assert levels.pop(blind.pk) == 50
    assert set(levels.values()) == {28}
    assert made.group == room.group


def test_a_copy_keeps_fade_and_colours_and_is_one_act(by, room, scene):
    cove = circuits.circuit_add(by=by, room=room, name="Cove", load_kind="dc-rgb")
    scenes.level_set(by=by, scene=scene, circuit=cove, level=60, colour="ff8800")
    scenes.scene_change(by=by, scene=scene, fade_s=9)
    before = read_design(room.project).to_content()
    made = scenes.scene_copy(by=by, scene=scene, name="Again")
    assert made.fade_s == 9
    assert made.levels.get(circuit=cove).colour == "ff8800"
    turns.undo(by=by, project=room.project)
    assert read_design(room.project).to_content() == before


@pytest.mark.parametrize(
    "data", [{"name": "", "percent_lower": "30"}, {"name": "A", "percent_lower": "100"}]
)
def test_a_copy_without_name_or_beyond_all_light_is_refused(staff, scene, data):
    answer = post(staff, "scene_copy", scene.pk, **data)
    assert answer["HX-Retarget"] == "#grid-stopped"
    assert Scene.objects.count() == 1


def test_the_service_refuses_what_is_beyond_all_light(by, scene):
    with pytest.raises(Refusal, match="0 to 99"):
        scenes.scene_copy(by=by, scene=scene, name="A", percent_lower=100)


# --- buttons --------------------------------------------------------------------------------------
def test_a_scene_goes_onto_the_next_button_by_one_press(by, staff, room, scene):
    place = keypads.position_add(by=by, room=room, name="by the door")
    keypads.button_set(by=by, row=place, number=1, does="all-on")
    for _again in range(2):
        answer = post(staff, "scene_on_button", scene.pk, position=str(place.pk))
        assert answer.status_code == 200
    button = PositionButton.objects.get(scene=scene)
    assert button.number == 2


def test_the_tools_of_a_scene_name_the_keypads_of_its_rooms(by, staff, room, scene):
    keypads.position_add(by=by, room=room, name="by the door")
    page = staff.get(reverse("consult:scene_tools", args=[scene.pk]))
    assert "by the door" in one(page, "button[name=position]").text


# --- the page -------------------------------------------------------------------------------------
def test_the_grid_costs_the_same_queries_however_large(by, staff, room, queries):
    address = reverse("consult:scenes", args=[room.project_id])
    staff.get(address)
    few = queries(lambda: staff.get(address))
    product = a_product()
    made = [a_circuit(by=by, room=room, product=product) for _more in range(8)]
    for number in range(4):
        scenes.scene_add(
            by=by, project=room.project, group=room.group, name=f"Scene {number}",
            levels=dict.fromkeys(made, number),
        )  # fmt: skip
    assert queries(lambda: staff.get(address)) == few


def test_a_grid_of_no_group_is_404(staff, room):
    address = reverse("consult:grid", args=[room.project_id, str(uuid.uuid4())])
    assert staff.get(address).status_code == 404


@pytest.mark.parametrize("view", ["scene_fill", "scene_copy", "scene_on_button"])
def test_strangers_and_wrong_methods(client, staff, scene, view):
    assert staff.get(reverse(f"consult:{view}", args=[scene.pk])).status_code == 405
    assert staff.post(reverse(f"consult:{view}", args=[uuid.uuid4()])).status_code == 404
    staff.logout()
    assert staff.post(reverse(f"consult:{view}", args=[scene.pk])).status_code == 302
