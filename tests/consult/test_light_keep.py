"""Levels, whites and colours from a room's picture, kept in the scene that is shown."""

import pytest
from django.urls import reverse

from consult.models import Room, Scene, SceneLevel
from consult.services.scenes import scene_add
from tests.conftest import all_of, one
from tests.factories import a_circuit, a_product, a_project, a_room

pytestmark = pytest.mark.django_db
TUNABLE = {"load_kinds": ("dc-tunable",), "feed": {"cct_k": 2700, "cct_to_k": 6500}}
COLOUR = {"load_kinds": ("dc-rgbw",), "feed": {"cct_k": 3000}}


@pytest.fixture
def room(designer):
    room = Room.objects.get(project=a_project(by=designer))
    a_circuit(by=designer, room=room, load_kind="dc-tunable", product=a_product(**TUNABLE))
    a_circuit(by=designer, room=room, load_kind="dc-rgbw", product=a_product(**COLOUR))
    return room


@pytest.fixture
def scene(room):
    return Scene.objects.get()


@pytest.fixture
def plain(room):
    return room.circuits.get(load_kind="phase-dimmed")


@pytest.fixture
def white(room):
    return room.circuits.get(load_kind="dc-tunable")


@pytest.fixture
def coloured(room):
    return room.circuits.get(load_kind="dc-rgbw")


def address(room, query=""):
    return reverse("consult:room_light", args=[room.pk]) + query


def kept(client, room, scene, *rows, **values):
    data = {"scene": getattr(scene, "pk", scene), "view": "left", **values}
    for circuit, level, extra in rows:
        data[f"level-{circuit.pk}"] = level
        data.update({f"{name}-{circuit.pk}": value for name, value in extra.items()})
    return client.post(reverse("consult:light_keep", args=[room.pk]), data, follow=True)


def rows(plain, white, coloured, level="70", kelvin="4000", colour="ff8000"):
    return (
        (plain, level, {}),
        (white, "55", {"white": kelvin}),
        (coloured, "20", {"colour": colour}),
    )


def level_of(circuit):
    found = SceneLevel.objects.get(circuit=circuit)
    return found.level, found.cct_k, found.colour


def test_each_circuit_has_the_sliders_it_can_follow(designer_client, room, white, coloured):
    page = designer_client.get(address(room))
    assert len(all_of(page, "[data-circuit]")) == 3
    slider = one(page, "[data-white]")
    assert (slider.get("min"), slider.get("max")) == ("2700", "6500")
    assert slider.get("value") == "2900"
    assert [each.get("value") for each in all_of(page, "[data-channel]")] == ["100"] * 3
    assert one(page, f"#red-{coloured.pk}").get("type") == "range"


def test_sliders_begin_where_the_scene_is(designer_client, room, scene, white, coloured):
    SceneLevel.objects.create(
        project=room.project, scene=scene, circuit=white, level=30, cct_k=4100
    )
    SceneLevel.objects.create(
        project=room.project, scene=scene, circuit=coloured, level=30, colour="ff8000"
    )
    page = designer_client.get(address(room))
    assert one(page, "[data-white]").get("value") == "4100"
    assert [each.get("value") for each in all_of(page, "[data-channel]")] == ["100", "50", "0"]


def test_a_white_beyond_the_circuits_is_shown_at_its_end(designer_client, room, scene, white):
    SceneLevel.objects.create(
        project=room.project, scene=scene, circuit=white, level=30, cct_k=9000
    )
    assert one(designer_client.get(address(room)), "[data-white]").get("value") == "6500"


def test_levels_white_and_colour_are_kept_in_one_act(
    designer_client, room, scene, plain, white, coloured
):
    page = kept(designer_client, room, scene, *rows(plain, white, coloured))
    assert page.redirect_chain[0][0] == address(room, f"?scene={scene.pk}&view=left")
    assert "Kept in Evening" in page.content.decode()
    assert level_of(plain) == (70, None, "")
    assert level_of(white) == (55, 4000, "")
    assert level_of(coloured) == (20, None, "ff8000")
    designer_client.post(reverse("consult:undo", args=[room.project_id]))
    assert level_of(plain)[0] == 40
    assert SceneLevel.objects.count() == 1


def test_what_the_scene_leaves_alone_and_is_dark_is_left_alone(
    designer_client, room, scene, plain, white, coloured
):
    dark = ((plain, "70", {}), (white, "0", {"white": "2900"}), (coloured, "0", {"colour": ""}))
    kept(designer_client, room, scene, *dark)
    assert SceneLevel.objects.get().circuit == plain


def test_what_is_dimmed_to_nothing_keeps_its_white(
    designer_client, room, scene, plain, white, coloured
):
    kept(designer_client, room, scene, *rows(plain, white, coloured))
    dark = ((plain, "70", {}), (white, "0", {"white": "2900"}), (coloured, "20", {"colour": ""}))
    kept(designer_client, room, scene, *dark)
    assert level_of(white) == (0, 4000, "")
    assert level_of(coloured) == (20, None, "")


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"level": "101"}, "100"),
        ({"level": "-1"}, "0"),
        ({"level": ""}, "required"),
        ({"kelvin": "900"}, "1000"),
        ({"colour": "orange"}, "six digits"),
    ],
)
def test_a_bad_value_keeps_nothing_and_says_why(
    designer_client, room, scene, plain, white, coloured, values, said
):
    page = kept(designer_client, room, scene, *rows(plain, white, coloured, **values))
    assert said in page.content.decode()
    assert "Kept in" not in page.content.decode()
    assert level_of(plain) == (40, None, "")
    assert SceneLevel.objects.count() == 1


@pytest.mark.parametrize("key", ["all-on", "all-off", "", "no-such-scene"])
def test_all_on_and_all_off_are_not_kept(designer_client, room, plain, white, coloured, key):
    page = kept(designer_client, room, key, *rows(plain, white, coloured))
    assert "one of the room&#x27;s own scenes" in page.content.decode()
    assert SceneLevel.objects.count() == 1


def test_a_press_is_offered_only_in_a_scene_of_the_room(designer_client, room):
    assert one(designer_client.get(address(room)), "#light-keep:not([hidden])")
    assert one(designer_client.get(address(room, "?scene=all-on")), "#light-keep[hidden]")


def test_a_scene_of_other_rooms_is_refused(designer, designer_client, room, plain, white, coloured):
    other = a_room(by=designer, project=room.project, name="Annexe")
    foreign = scene_add(
        by=designer, project=room.project, group=other.group, name="Apart", levels={}
    )
    page = kept(designer_client, room, foreign, *rows(plain, white, coloured))
    assert "does not share these scenes" in page.content.decode()
    assert not foreign.levels.exists()


def test_a_strangers_scene_is_not_there(designer, designer_client, room, plain, white, coloured):
    stranger = Scene.objects.get(project=a_project(by=designer))
    page = kept(designer_client, room, stranger, *rows(plain, white, coloured))
    assert not SceneLevel.objects.filter(scene=stranger, circuit=plain).exists()
    assert "Kept in" not in page.content.decode()


def test_it_takes_a_press(designer_client, client, room):
    address_of = reverse("consult:light_keep", args=[room.pk])
    assert designer_client.get(address_of).status_code == 405
    assert client.post(address_of).status_code == 302
