"""The yearly energy of a house's light: by layer or by scenes, by room and for each square metre."""

from decimal import Decimal

import pytest
from django.urls import reverse

from consult.light.house_energy import house_energy
from consult.light.quick import quick_light
from consult.light.targets import GUIDES
from tests.conftest import all_of
from tests.consult.houses import a_circuit, a_house, a_room, a_scene, hung
from tests.factories import a_project

HALL = a_room(id="hall", length_m=Decimal(5), width_m=Decimal(4))


def lit(room, load_kind="phase-dimmed", layer="ambient"):
    return a_circuit(
        f"C-{room.id}", hung(room=room.id, pieces=3), room=room.id, load_kind=load_kind, layer=layer
    )


def test_it_is_what_the_rooms_take_over_their_floor():
    odd = a_room(id="odd", length_m=Decimal(5), width_m=Decimal(4), floor_m2=Decimal(10))
    dark = a_room(id="dark", length_m=Decimal(9), width_m=Decimal(9))
    house = a_house(lit(HALL), lit(odd, "switched", "night"), rooms=(HALL, odd, dark))
    found = house_energy(house)
    taken = sum(quick_light(house, room, GUIDES).energy.kwh_a_year for room in (HALL, odd))
    assert taken > 0
    assert (found.floor_m2, found.left_out) == (30, 0)
    assert found.leni_kwh_m2 == pytest.approx(taken / 30)
    assert found.kwh_a_year == pytest.approx(taken)
    assert [room.id for room, _energy in found.rooms] == ["hall", "odd"]


def test_it_is_the_printed_form_for_one_switched_row():
    """Pn·tN/1000/A (EN 15193 with its factors at 1): by hand."""
    house = a_house(lit(HALL, "switched"), rooms=(HALL,))
    watts = quick_light(house, HALL, GUIDES).watts
    assert house_energy(house).leni_kwh_m2 == pytest.approx(watts * 4 * 365 / 1000 / 20)


def test_a_lit_room_without_a_size_is_counted_as_left_out():
    bare = a_room(id="bare", length_m=None)
    found = house_energy(a_house(lit(HALL), lit(bare), rooms=(HALL, bare)))
    assert (found.left_out, found.floor_m2) == (1, 20)
    alone = house_energy(a_house(lit(HALL), rooms=(HALL,)))
    assert found.leni_kwh_m2 == pytest.approx(alone.leni_kwh_m2)
    assert found.kwh_a_year == pytest.approx(2 * alone.kwh_a_year)  # energy asks for no size
    of_bare = house_energy(a_house(lit(bare), rooms=(bare,)))
    assert of_bare.leni_kwh_m2 is None
    assert of_bare.kwh_a_year == pytest.approx(alone.kwh_a_year)


def test_a_house_in_the_dark_has_no_figures():
    blind = lit(HALL, "motor")
    assert house_energy(a_house(blind, rooms=(HALL,))) is None


# --- by scenes: 3 pieces of 8 W, 24 W in a hall of 20 m² -------------------------------------------
def played(*levels, hours, name="Evening", **values):
    hours = None if hours is None else Decimal(hours)
    return a_scene(*levels, name=name, hours_a_day=hours, **values)


def of_hall(*scenes, load_kind="phase-dimmed"):
    ((_room, energy),) = house_energy(
        a_house(lit(HALL, load_kind), rooms=(HALL,), scenes=scenes)
    ).rooms
    return energy


def test_it_is_by_hand_what_its_scenes_take():
    """24 W · (1 · 3 h + 0.4 · 5 h) · 365 / 1000 = 43.8 kWh; over 20 m² 2.19 kWh/m²."""
    scenes = (
        played(("C-hall", 100), hours="3"),
        played(("C-hall", 40), hours="5", name="Late"),
        played(("C-hall", 90), hours=None, name="Party"),
    )
    found = house_energy(a_house(lit(HALL), rooms=(HALL,), scenes=scenes))
    assert found.kwh_a_year == pytest.approx(43.8)
    assert found.leni_kwh_m2 == pytest.approx(2.19)
    ((_room, energy),) = found.rooms
    assert (energy.goes_by, energy.hours.hours_a_day, energy.hours.without) == ("scenes", 8, 1)


def test_one_scene_at_full_for_the_hours_of_its_layer_is_the_form_by_layer():
    by_layer = of_hall(load_kind="switched")
    by_scene = of_hall(played(("C-hall", 100), hours="4"), load_kind="switched")
    assert (by_layer.goes_by, by_scene.goes_by) == ("layers", "scenes")
    assert by_scene.kwh_a_year == pytest.approx(by_layer.kwh_a_year)


def test_what_is_only_switched_takes_all_or_nothing():
    full = of_hall(played(("C-hall", 100), hours="4"), load_kind="switched").kwh_a_year
    assert of_hall(played(("C-hall", 40), hours="4"), load_kind="switched").kwh_a_year == full
    assert of_hall(played(("C-hall", 0), hours="4"), load_kind="switched").kwh_a_year == 0


def test_what_a_scene_leaves_as_it_is_counts_as_off():
    assert of_hall(played(hours="6")).kwh_a_year == 0


def test_no_hours_is_said_is_not_the_same_as_none_a_day():
    assert of_hall(played(("C-hall", 100), hours=None)).goes_by == "layers"
    never = of_hall(played(("C-hall", 100), hours="0"))
    assert (never.goes_by, never.kwh_a_year) == ("scenes", 0)


@pytest.mark.parametrize(("last", "goes_by"), [("12", "scenes"), ("12.01", "layers")])
def test_scenes_of_more_than_a_day_give_way_to_layers(last, goes_by):
    scenes = (
        played(("C-hall", 100), hours="12"),
        played(("C-hall", 10), hours=last, name="Night"),
    )
    energy = of_hall(*scenes)
    assert energy.goes_by == goes_by
    assert energy.hours.is_over_a_day is (goes_by == "layers")


# --- scenes of the whole house ----------------------------------------------------------------------
def of_house(*levels, hours, name="House"):
    return played(*levels, hours=hours, name=name, group=None)


def test_a_scene_of_the_house_counts_where_it_sets_the_lights():
    """24 W · 0.5 · 2 h · 365 / 1000 = 8.76 kWh."""
    assert of_hall(of_house(("C-hall", 50), hours="2")).kwh_a_year == pytest.approx(8.76)
    elsewhere = of_hall(of_house(hours="2"))
    assert (elsewhere.goes_by, elsewhere.hours.scenes) == ("layers", ())
    beside = of_hall(played(("C-hall", 50), hours="16"), of_house(hours="16"))
    assert (beside.goes_by, beside.hours.hours_a_day) == ("scenes", 16)


def test_a_scene_of_the_house_that_only_darkens_takes_no_energy_from_the_layers():
    away = of_house(("C-hall", 0), hours="10", name="Away")
    assert of_hall(away).goes_by == "layers"
    both = of_hall(played(("C-hall", 100), hours="15"), away)
    assert (both.goes_by, both.hours.is_over_a_day) == ("layers", True)


def test_a_row_goes_by_the_scenes_of_its_circuits_rooms():
    """The landing's circuit hangs a piece in the hall; only the landing's scenes have hours."""
    landing = a_room(id="landing", name="Landing", group="other")
    across = a_circuit(
        "C-across", hung(room="hall", pieces=1), room="landing", load_kind="phase-dimmed"
    )
    scenes = (played(("C-across", 100), hours="1", group="other"),)
    house = a_house(lit(HALL), across, rooms=(HALL, landing), scenes=scenes)
    ((room, energy),) = house_energy(house).rooms
    assert (room.id, energy.goes_by) == ("hall", "both")
    assert energy.kwh_a_year == pytest.approx(24 * 0.6 * 4 * 0.365 + 8 * 1 * 0.365)


@pytest.mark.django_db
def test_the_page_shows_it_with_its_caution(designer_client, designer):
    project = a_project(by=designer)
    page = designer_client.get(reverse("consult:light_house", args=[project.pk]))
    year, energy, floor = (each.text for each in all_of(page, "#energy dl.facts dd"))
    # 48 W · 0.6 · 4 h · 365 / 1000 = 42.05 kWh by layer, over 20 m²
    assert (year, energy, floor) == ("42 kWh", "2.1 kWh/m²", "20.0 m²")
    assert [each.text for each in all_of(page, "#energy tbody td")] == ["42 kWh", "layers"]
    assert "EN 15193: an orientation, no certificate." in page.content.decode()
    assert "left out" not in page.content.decode()
