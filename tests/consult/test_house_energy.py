"""The yearly energy of a house's light for each square metre, on its page with its caution."""

from decimal import Decimal

import pytest
from django.urls import reverse

from consult.light.house_energy import house_energy
from consult.light.quick import quick_light
from consult.light.targets import GUIDES
from tests.conftest import all_of
from tests.consult.houses import a_circuit, a_house, a_room, hung
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
    taken = sum(quick_light(house, room, GUIDES).kwh_a_year for room in (HALL, odd))
    assert taken > 0
    assert (found.floor_m2, found.left_out) == (30, 0)
    assert found.leni_kwh_m2 == pytest.approx(taken / 30)


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
    assert house_energy(a_house(lit(bare), rooms=(bare,))) is None


@pytest.mark.django_db
def test_the_page_shows_it_with_its_caution(designer_client, designer):
    project = a_project(by=designer)
    page = designer_client.get(reverse("consult:light_house", args=[project.pk]))
    energy, floor = (each.text for each in all_of(page, "dl.facts dd"))
    assert energy.endswith("kWh/m²")
    assert float(energy.split()[0]) > 0
    assert floor == "20.0 m²"
    assert "EN 15193: an orientation, no certificate." in page.content.decode()
    assert "left out" not in page.content.decode()
