"""What holds the lights in a picture: cords, stands, bodies on walls; and pictures, chairs, units."""

from decimal import Decimal

import pytest

from consult.light.bodies import MOST, bodies
from consult.light.laws import Look
from engineering.arrangement import Placement
from engineering.box import BoxRoom
from engineering.furniture import furnish
from tests.consult.houses import a_circuit, a_fitting, an_object, hung
from tests.consult.houses import a_room as a_room_part
from tests.consult.test_light_places import problem

ROOM = BoxRoom(length_m=5, width_m=4, height_m=2.5)
GLOBE, DISC = Look(shape="globe", size_m=0.1), Look(shape="disc", size_m=0.08)


def held(*places, look=GLOBE):
    return bodies(ROOM, [(Placement(position_m=place), look) for place in places])


def test_a_pendant_hangs_on_a_cord_from_the_ceiling():
    (cord,) = held((2, 2, 1.6))
    assert (cord.low_m[2], cord.high_m[2]) == (1.6, 2.5)
    assert cord.high_m[0] - cord.low_m[0] < 0.02


def test_a_lamp_low_in_the_room_stands_on_the_floor():
    stand, foot = held((2, 2, 0.9))
    assert (stand.low_m[2], stand.high_m[2]) == (0.0, 0.9)
    assert foot.high_m[0] - foot.low_m[0] > 0.2


def test_a_wall_light_has_a_body_that_meets_its_wall():
    for place, axis, is_low in (
        ((0.1, 2, 1.8), 0, True), ((4.9, 2, 1.8), 0, False),
        ((2, 0.1, 1.8), 1, True), ((2, 3.9, 1.8), 1, False),
    ):  # fmt: skip
        (body,) = held(place, look=DISC)
        assert body.low_m[axis] == 0.0 if is_low else body.high_m[axis] == ROOM.size_m[axis]
        assert body.low_m[axis] < place[axis] < body.high_m[axis]


def test_nothing_holds_what_is_set_into_the_ceiling_or_runs():
    assert held((2, 2, 2.48), (0.1, 2, 2.48), look=DISC) == ()
    assert held((2, 2, 2.4)) == ()
    run = Placement(position_m=(1, 2, 1.5), end_m=(2, 2, 1.5))
    assert bodies(ROOM, [(run, Look(shape="bar", size_m=0.01))]) == ()


def test_very_many_are_drawn_without():
    places = [(0.5 + 0.2 * number, 2, 1.6) for number in range(MOST)]
    assert len(held(*places)) == MOST
    assert held(*places, (4.5, 3, 1.6)) == ()


def test_two_whites_of_one_pendant_hang_on_one_cord():
    assert len(held((2, 2, 1.6), (2, 2, 1.6))) == 1


def test_bodies_throw_no_shadow_and_stand_in_the_rooms_problem():
    part = hung(mounting_height_m=Decimal("1.8"), arrangement="along-wall", wall="left",
                offset_m=Decimal("0.1"), pieces=2)  # fmt: skip
    stated = problem(a_circuit("C1", part), products=(a_fitting(),))
    assert len(stated.problem.cuboids) == 2
    assert not any(box.casts for box in stated.problem.cuboids)


@pytest.mark.parametrize(("kind", "seen"), [("picture", 2), ("cupboard", 1), ("rug", 1)])
def test_what_else_stands_in_a_room_is_drawn(kind, seen):
    one = an_object(kind, x_m=Decimal(0), y_m=Decimal(1), z_m=Decimal(1), width_m=Decimal("0.1"),
                    depth_m=Decimal(1), height_m=Decimal("0.5"))  # fmt: skip
    room = a_room_part(objects=(one,))
    assert len(problem(a_circuit("C1", hung()), room=room).problem.cuboids) == seen


def test_a_small_seat_is_a_chair_and_a_large_one_a_sofa():
    def drawn(size):
        return furnish(kind="sofa", corner_m=(1, 1, 0), size_m=size, room=ROOM)

    assert len(drawn((0.45, 0.45, 0.86))) == 6
    assert len(drawn((2.2, 0.9, 0.8))) == 4
    back = max(drawn((0.45, 0.45, 0.86)), key=lambda box: box.low_m[2])
    assert back.low_m[0] == pytest.approx(1.0)  # at the wall that is nearest


def test_a_picture_lies_on_the_wall_nearest_to_it():
    frame, sheet = furnish(kind="picture", corner_m=(4.9, 1, 1), size_m=(0.1, 1, 0.8), room=ROOM)
    assert frame.high_m[0] == ROOM.length_m
    assert sheet.low_m[0] < frame.low_m[0]
    assert sheet.own == (0.0, 0.0, 0.0)
