"""The beams on the page of a room's light: pools by height, scallops where a wall is near."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalogue.models import Feed
from consult.derived import read_house
from consult.light.beams import beams_of
from consult.light.problem import room_problem
from consult.models import CircuitFitting, Room
from engineering.beams import scallop_top
from tests.conftest import all_of, one
from tests.factories import a_circuit, a_product, a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(designer):
    """5 × 4 × 2.5 m with six downlights of 36° along the back wall, 0.3 m off it."""
    project = a_project(by=designer, circuits_each=0)
    room = Room.objects.get(project=project)
    product = a_product(feed={"beam_deg": 36})
    a_circuit(by=designer, room=room, product=product, name="Wall")
    CircuitFitting.objects.update(arrangement="along-wall", wall="back", offset_m=Decimal("0.3"))
    return room


def beams(room):
    house = read_house(room.project)
    return beams_of(room_problem(house, house.design.room_of[str(room.pk)], 0.75))


def test_a_beam_has_its_pool_on_the_plane_and_on_the_floor(room):
    (beam,) = beams(room)
    assert (beam.pieces, beam.beam_deg, beam.height_m, beam.tilt_deg) == (6, 36.0, 2.48, 0.0)
    near, far = beam.pools
    assert (near.distance_m, far.distance_m) == (1.73, 2.48)
    # 2·d·tan 18°: geometry.
    assert far.diameter_m == pytest.approx(2 * 2.48 * 0.3249197, abs=1e-6)
    assert near.centre_lx / far.centre_lx == pytest.approx((2.48 / 1.73) ** 2)


def test_a_wall_near_by_has_a_scallop_of_every_fitting(room):
    (scallop,) = beams(room)[0].scallops
    top = scallop_top(mounting_height_m=2.48, offset_m=0.3, beam_deg=36)
    assert (scallop.walls, scallop.offset_m, scallop.width_m) == (("back",), 0.3, 5.0)
    assert scallop.top_m == pytest.approx(top)
    assert len(scallop.outlines) == 6
    assert len(set(scallop.fittings)) == 6


def test_in_the_middle_of_the_room_there_is_none(room):
    CircuitFitting.objects.update(arrangement="grid", wall="", offset_m=None)
    Room.objects.update(length_m=9, width_m=9)
    assert [beam.scallops for beam in beams(Room.objects.get())] == [()]


@pytest.mark.parametrize(("offset", "scallops"), [("1.2", 1), ("1.21", 0)])
def test_a_wall_further_off_than_a_step_has_no_scallop(room, offset, scallops):
    CircuitFitting.objects.update(offset_m=Decimal(offset), pieces=2)
    Feed.objects.update(beam_deg=100)
    assert len(beams(Room.objects.get())[0].scallops) == scallops


def test_walls_that_look_the_same_are_drawn_once(room):
    CircuitFitting.objects.update(arrangement="grid", wall="", offset_m=None, pieces=4)
    Feed.objects.update(beam_deg=60)
    (scallop,) = beams(Room.objects.get())[0].scallops
    assert len(scallop.walls) == 2
    assert " and " in scallop.where


def test_what_is_tilted_has_its_scallop_where_it_aims(room):
    CircuitFitting.objects.update(tilt_deg=30, offset_m=Decimal("0.8"))
    (beam,) = beams(room)
    assert (beam.tilt_deg, beam.pools) == (30.0, ())
    told = scallop_top(mounting_height_m=2.48, offset_m=0.8, beam_deg=36, tilt_deg=30)
    assert beam.scallops[0].top_m == pytest.approx(told)


def test_what_has_no_beam_is_not_told(room):
    Feed.objects.update(beam_deg=180)
    assert beams(room) == ()


def test_the_page_draws_them(designer_client, room):
    page = designer_client.get(reverse("consult:room_light", args=[room.pk]))
    assert len(all_of(page, ".scallop path.light")) == 6
    assert "0.30 m off the back wall: reaches up to 1.56 m." in one(page, ".scallop").text
    assert [cell.text for cell in all_of(page, ".beams tbody th")] == ["1.73 m", "2.48 m"]
