"""What holds the lights in a picture: cords, stands, bodies on walls; and pictures, chairs, units."""

import itertools
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


@pytest.mark.parametrize(("kind", "seen"), [("picture", 2), ("cupboard", 3), ("rug", 1)])
def test_what_else_stands_in_a_room_is_drawn(kind, seen):
    one = an_object(kind, x_m=Decimal(0), y_m=Decimal(1), z_m=Decimal(1), width_m=Decimal("0.1"),
                    depth_m=Decimal(1), height_m=Decimal("0.5"))  # fmt: skip
    room = a_room_part(objects=(one,))
    assert len(problem(a_circuit("C1", hung()), room=room).problem.cuboids) == seen


def test_a_small_seat_is_a_chair_and_a_large_one_a_sofa():
    def drawn(size):
        return furnish(kind="sofa", corner_m=(1, 1, 0), size_m=size, room=ROOM)

    assert len(drawn((0.45, 0.45, 0.86))) == 6
    assert len(drawn((2.2, 0.9, 0.8))) == 6  # with two cushions
    assert len(drawn((0.8, 0.8, 0.8))) == 4  # too narrow for them
    back = max(drawn((0.45, 0.45, 0.86)), key=lambda box: box.low_m[2])
    assert back.low_m[0] == pytest.approx(1.0)  # at the wall that is nearest


def test_a_picture_lies_on_the_wall_nearest_to_it():
    frame, sheet = furnish(kind="picture", corner_m=(4.9, 1, 1), size_m=(0.1, 1, 0.8), room=ROOM)
    assert frame.high_m[0] == ROOM.length_m
    assert sheet.low_m[0] < frame.low_m[0]
    assert sheet.own == (0.0, 0.0, 0.0)


# --- ledges, doors, bedding ---------------------------------------------------------------------
HIDDEN = Look(shape="none", size_m=0.014)


def ledge(start, end, look=HIDDEN):
    return bodies(ROOM, [(Placement(position_m=start, end_m=end, aim=(0, 0, 1)), look)])


def test_tape_that_shines_up_stands_behind_a_slim_channel():
    (channel,) = ledge((0.5, 2, 2.1), (4.5, 2, 2.1))
    assert (channel.low_m[0], channel.high_m[0]) == (0.5, 4.5)
    assert channel.low_m[1] < 2 < channel.high_m[1]
    assert channel.high_m[1] - channel.low_m[1] < 0.12
    assert channel.low_m[2] < channel.high_m[2] < 2.1
    assert not channel.casts
    assert ledge((0.5, 2, 2.1), (4.5, 2, 2.1), Look(shape="bar", size_m=0.014)) == ()


@pytest.mark.parametrize(
    ("start", "end", "axis", "place"),
    [
        ((0.1, 1, 2.1), (0.1, 3, 2.1), 0, 0.0),
        ((4.9, 1, 2.1), (4.9, 3, 2.1), 0, 5.0),
        ((1, 0.1, 2.1), (3, 0.1, 2.1), 1, 0.0),
        ((1, 3.9, 2.1), (3, 3.9, 2.1), 1, 4.0),
    ],
)
def test_beside_a_wall_the_ledge_meets_it(start, end, axis, place):
    (found,) = ledge(start, end)
    assert place in (found.low_m[axis], found.high_m[axis])
    assert found.low_m[axis] <= start[axis] <= found.high_m[axis]


def test_two_whites_of_one_run_have_one_ledge_and_one_at_the_floor_is_whole():
    run = Placement(position_m=(1, 2, 0.02), end_m=(3, 2, 0.02), aim=(0, 0, 1))
    (found,) = bodies(ROOM, [(run, HIDDEN), (run, HIDDEN)])
    assert 0 <= found.low_m[2] < found.high_m[2]


def doors(kind, corner, size):
    _body, *others = furnish(kind=kind, corner_m=corner, size_m=size, room=ROOM)
    return [each for each in others if min(sides_of(each)) < 0.02]


def sides_of(box):
    return [high - low for low, high in zip(box.low_m, box.high_m, strict=True)]


@pytest.mark.parametrize(
    ("corner", "size", "axis", "place"),
    [
        ((1, 0, 0), (1.8, 0.6, 2), 1, 0.6),
        ((1, 3.4, 0), (1.8, 0.6, 2), 1, 3.4),
        ((0, 1, 0), (0.6, 1.8, 2), 0, 0.6),
        ((4.4, 1, 0), (0.6, 1.8, 2), 0, 4.4),
    ],
)
def test_a_wardrobe_has_doors_on_the_side_that_faces_the_room(corner, size, axis, place):
    found = doors("wardrobe", corner, size)
    assert len(found) == 3
    for each in found:
        assert place in (each.low_m[axis], each.high_m[axis])
        assert not each.casts
    along = 1 - axis
    found.sort(key=lambda each: each.low_m[along])
    assert all(a.high_m[along] < b.low_m[along] for a, b in itertools.pairwise(found))


def test_an_island_has_doors_on_both_sides_and_a_worktop_at_a_wall_on_one():
    assert len(doors("worktop", (1, 1.5, 0), (1.8, 0.9, 0.9))) == 6
    assert len(doors("worktop", (1, 0, 0), (1.8, 0.6, 0.9))) == 3


def test_a_bed_has_a_throw_at_its_foot():
    head_at_left = furnish(kind="bed", corner_m=(0.1, 1, 0), size_m=(2, 1.6, 0.5), room=ROOM)
    throw = max(head_at_left, key=lambda each: each.low_m[0])
    assert throw.low_m[2] == pytest.approx(0.5)
    assert sides_of(throw)[2] == pytest.approx(0.02)
    cot = furnish(kind="bed", corner_m=(0.1, 1, 0), size_m=(1.4, 0.7, 0.5), room=ROOM)
    assert len(cot) == len(head_at_left) - 3  # neither throw nor headboard, and one pillow


def test_a_bed_for_one_has_one_pillow_as_wide_as_itself():
    bed = furnish(kind="bed", corner_m=(0.1, 1, 0), size_m=(2, 0.9, 0.5), room=ROOM)
    raised = [each for each in bed if sides_of(each)[2] == pytest.approx(0.13)]
    assert [sides_of(each)[1] for each in raised] == [pytest.approx(0.9 - 2 * 0.08)]
