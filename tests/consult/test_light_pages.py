"""The pages of a room's light: what they show, what they refuse, how much they ask of the database."""

import io
import zlib
from decimal import Decimal

import numpy as np
import pytest
from django.core.cache import cache, caches
from django.db.models import F
from django.urls import reverse
from PIL import Image

from catalogue.models import CatalogueEdition, FittingData
from consult.derived import read_house
from consult.light import page, pictures, solving
from consult.light.figures import scene_plane
from consult.light.scenes import Level, weights
from consult.models import Room, Scene, TargetLevel
from engineering.light_code import BYTES_A_ROOM, decoded
from tests.conftest import all_of, one
from tests.factories import a_circuit, a_product, a_project, a_room

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_kept():
    cache.clear()
    caches["drawn"].clear()
    solving._bases.clear()


@pytest.fixture
def room(designer):
    project = a_project(by=designer)
    return Room.objects.get(project=project)


def address(name, room, query=""):
    return reverse(f"consult:{name}", args=[room.pk]) + query


def test_the_page_shows_scenes_sliders_and_what_works_without_a_script(designer_client, room):
    answer = designer_client.get(address("room_light", room))
    assert all_of(answer, ".light-scenes .scene-name")[0].text == "Evening"
    assert len(all_of(answer, "[data-circuit]")) == 1
    assert "picture.png" in answer.content.decode()
    assert one(answer, ".light-level output").text == "40 %"


def test_the_basis_is_small_and_unpacks(designer_client, room):
    answer = designer_client.get(address("light_basis", room))
    assert answer.status_code == 200
    assert len(answer.content) <= BYTES_A_ROOM
    assert len(decoded(answer.content).head["circuits"]) == 1
    again = designer_client.get(
        address("light_basis", room), headers={"If-None-Match": answer["ETag"]}
    )
    assert again.status_code == 304


def test_the_picture_of_a_brighter_scene_is_brighter(designer_client, room):
    def mean(scene):
        answer = designer_client.get(address("light_picture", room, f"?scene={scene}"))
        assert answer["Content-Type"] == "image/png"
        return float(np.asarray(Image.open(io.BytesIO(answer.content))).mean())

    evening = Scene.objects.get(project=room.project_id)
    assert mean("all-off") < mean(evening.pk) < mean("all-on")


def test_the_map_is_a_picture(designer_client, room):
    answer = designer_client.get(address("light_map", room, "?scene=all-on"))
    assert Image.open(io.BytesIO(answer.content)).format == "PNG"


def test_what_is_kept_is_what_would_be_worked_out_afresh(room):
    shown = page.room_page(read_house(room.project), str(room.pk), scene="all-on")
    first = solving.solved(shown.stated.problem)
    kept = solving.solved(shown.stated.problem)
    cache.clear()
    caches["drawn"].clear()
    solving._bases.clear()
    fresh = solving.solved(shown.stated.problem)
    assert first == kept == fresh
    assert zlib.decompress(first.data)


def test_half_the_level_is_half_the_light(room):
    shown = page.room_page(read_house(room.project), str(room.pk), scene="all-on")
    light = solving.solved(shown.stated.problem)
    full = scene_plane(light, weights(shown.stated.controls, shown.scene.levels))
    evening = next(each for each in shown.scenes if each.name == "Evening")
    part = scene_plane(light, weights(shown.stated.controls, evening.levels))
    assert part == pytest.approx(0.4 * full)


def test_the_browser_is_given_the_shares_of_a_dimming_curve(room):
    shown = page.room_page(read_house(room.project), str(room.pk), scene="all-on")
    assert shown.for_browser["curves"] == {}
    FittingData.objects.update(dimming_curve="logarithmic")
    CatalogueEdition.objects.update(number=F("number") + 1)
    shown = page.room_page(read_house(room.project), str(room.pk), scene="all-on")
    (control,) = shown.for_browser["controls"]
    given = shown.for_browser["curves"][control[5]]
    for percent, share in enumerate(given):
        levels = {control[0]: Level(share=percent / 100)}
        assert sum(weights(shown.stated.controls, levels).values()) == pytest.approx(
            share, abs=1e-8
        )
    light = solving.solved(shown.stated.problem)
    evening = next(each for each in shown.scenes if each.name == "Evening")
    part = scene_plane(light, weights(shown.stated.controls, evening.levels))
    full = scene_plane(light, weights(shown.stated.controls, shown.scene.levels))
    assert part == pytest.approx(given[40] * full, rel=1e-5)
    assert given[40] == pytest.approx(0.0156, abs=5e-5)


def test_a_room_without_a_height_says_so_and_has_no_picture(designer_client, room):
    Room.objects.filter(pk=room.pk).update(height_m=None)
    answer = designer_client.get(address("room_light", room))
    assert "height" in one(answer, ".empty-state p").text
    for name in ("light_basis", "light_picture", "light_map"):
        assert designer_client.get(address(name, room)).status_code == 404


def test_the_sheet_says_the_quick_answer_first_and_the_exact_one_after(designer_client, room):
    first = designer_client.get(address("beside", room))
    waiting = one(first, "#light-answer")
    assert waiting.get("hx-get") == address("light_exact", room)
    after = designer_client.get(waiting.get("hx-get"))
    assert not one(after, "#light-answer").get("hx-get")
    later = designer_client.get(address("beside", room))
    assert not one(later, "#light-answer").get("hx-get")
    assert one(later, "#light-answer .figure").text == one(after, "#light-answer .figure").text


def test_an_edit_makes_the_light_pending_again(designer_client, designer, room):
    designer_client.get(address("light_exact", room))
    a_circuit(by=designer, room=room)
    assert one(designer_client.get(address("beside", room)), "#light-answer").get("hx-get")


def test_the_page_asks_as_much_for_ten_circuits_as_for_one(designer_client, designer, queries):
    few = Room.objects.get(project=a_project(by=designer))
    many = a_room(by=designer, project=few.project, name="Long room", length_m=Decimal(8),
                  width_m=Decimal(4), height_m=Decimal("2.4"))  # fmt: skip
    product = a_product()
    for _ in range(10):
        a_circuit(by=designer, room=many, product=product)
    designer_client.get(address("room_light", few))
    assert queries(lambda: designer_client.get(address("room_light", few))) == queries(
        lambda: designer_client.get(address("room_light", many))
    )


def test_all_rooms_in_their_scenes_on_one_page(designer_client, room):
    answer = designer_client.get(reverse("consult:light_sheet", args=[room.project_id]))
    assert len(all_of(answer, ".light-gallery img")) == 2  # the scene, and all on


def test_nobody_who_is_not_logged_in_sees_a_room(client, room):
    for name in ("room_light", "light_exact", "light_basis", "light_picture", "light_map"):
        assert client.get(address(name, room)).status_code == 302


def test_no_such_room_is_404_and_a_post_is_405(designer_client, room):
    for name in ("room_light", "light_basis", "light_picture"):
        url = address(name, room)
        assert designer_client.post(url).status_code == 405
        missing = url.replace(str(room.pk), "00000000-0000-4000-8000-000000000000")
        assert designer_client.get(missing).status_code == 404


def test_a_scene_has_a_picture_to_be_frozen_with_an_issue(room):
    house = read_house(room.project)
    part = house.design.room_of[str(room.pk)]
    scene = Scene.objects.get(project=room.project_id)
    found = pictures.scene_png(house, part, str(scene.pk), width_px=320)
    assert found is not None
    assert Image.open(io.BytesIO(found)).width == 320
    assert pictures.scene_png(house, part, "no such scene") is None


# --- what a use of rooms asks for -----------------------------------------------------------------
GIVEN = {"low_lx": "120", "high_lx": "240", "plane_m": "0.8", "source": "Ours", "certainty": "read"}


def test_a_manager_sets_a_level_and_goes_back_to_the_guide(manager_client):
    url = reverse("consult:target", args=["living"])
    assert manager_client.post(url, GIVEN).status_code == 302
    row = TargetLevel.objects.get()
    assert (row.low_lx, row.high_lx, row.source) == (120, 240, "Ours")
    assert "120–240 lx" in manager_client.get(reverse("consult:targets")).content.decode()
    manager_client.post(reverse("consult:target_reset", args=["living"]))
    assert not TargetLevel.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"), [("low_lx", "0"), ("high_lx", "100"), ("source", ""), ("low_lx", "lots")]
)
def test_a_level_that_cannot_be_is_refused_and_stays_as_typed(manager_client, field, value):
    url = reverse("consult:target", args=["living"])
    answer = manager_client.post(url, {**GIVEN, field: value})
    assert answer.status_code == 200
    assert one(answer, f"[name={field}]").get("value") == value
    assert not TargetLevel.objects.exists()


def test_only_a_manager_changes_levels(designer_client, manager_client):
    assert designer_client.get(reverse("consult:targets")).status_code == 200
    for url in (
        reverse("consult:target", args=["living"]),
        reverse("consult:target_reset", args=["living"]),
    ):
        assert designer_client.post(url, GIVEN).status_code == 403
    assert manager_client.get(reverse("consult:target", args=["no-use"])).status_code == 404
