"""From a room's sheet to a problem of the core: where pieces hang, what they send, what is refused."""

from decimal import Decimal

import pytest

from consult.light.pictures import view_of
from consult.light.placing import Hanging, placements
from consult.light.problem import box_of, room_problem
from consult.light.quick import quick_light
from consult.light.scenes import Level, weights
from consult.light.targets import GUIDES
from engineering.dimming_curve import light_share
from tests.consult.houses import a_circuit, a_feed, a_fitting, a_house, a_room, an_object, hung

ROOM = a_room()


def placed(look="disc", runs=(), room=ROOM, **values):
    part = hung(**values)
    return placements(box_of(room), room, Hanging(part=part, look=look, runs_m=runs))


def problem(*circuits, room=ROOM, **values):
    house = a_house(*circuits, rooms=(room,), **values)
    return room_problem(house, room, 0.75)


def test_a_row_along_a_wall_keeps_its_distance_and_leans_towards_it():
    for place in placed(
        arrangement="along-wall", wall="left", offset_m=Decimal("0.4"), tilt_deg=30, pieces=3
    ):
        assert place.position_m[0] == pytest.approx(0.4)
        assert place.aim[0] == pytest.approx(-0.5)


def test_a_typed_height_is_kept_and_one_above_the_ceiling_is_said():
    assert placed(mounting_height_m=Decimal("1.8"))[0].position_m[2] == pytest.approx(1.8)
    stated = problem(a_circuit("C1", hung(mounting_height_m=Decimal("2.6"))))
    assert stated.problem is None
    assert stated.lacks == "above_ceiling"


def test_pieces_over_an_object_hang_over_what_stands_freest():
    room = a_room(
        objects=(
            an_object("worktop", x_m=Decimal(0), y_m=Decimal(0), width_m=Decimal(3),
                      depth_m=Decimal("0.6"), height_m=Decimal("0.9")),
            an_object("table", x_m=Decimal(2), y_m=Decimal(2), width_m=Decimal(1),
                      depth_m=Decimal(1), height_m=Decimal("0.75")),
        )
    )  # fmt: skip
    (place,) = placed(look="globe", room=room, arrangement="over-object", pieces=1)
    assert place.position_m == pytest.approx((2.5, 2.5, 1.5))


def test_runs_go_end_to_end_where_they_fit_else_one_under_the_other():
    two = placed(look="tape", runs=(2.0, 2.0), arrangement="along-wall", wall="back", pieces=2)
    assert two[0].end_m == pytest.approx(two[1].position_m)
    three = placed(look="tape", runs=(4.0,) * 3, arrangement="along-wall", wall="back", pieces=3)
    assert len({round(place.position_m[2], 3) for place in three}) == 3


@pytest.mark.parametrize(
    ("values", "lacks"),
    [({"height_m": None}, "no_size"), ({"length_m": Decimal("0.1")}, "bad_size")],
)
def test_a_room_without_a_size_says_what_it_lacks(values, lacks):
    assert problem(room=a_room(**values)).lacks == lacks


def test_five_hundred_fittings_in_a_cupboard_are_not_worked_out():
    room = a_room(length_m=Decimal("0.6"), width_m=Decimal("0.6"))
    assert problem(a_circuit("C1", hung(pieces=500)), room=room).lacks == "too_many"


def test_nothing_that_shines_is_no_picture():
    dark = a_fitting(feed=a_feed(source_lm=None))
    assert problem(a_circuit("C1", hung()), products=(dark,)).lacks == "no_light"


def test_reflectances_as_typed_go_into_the_room():
    stated = problem(room=a_room(walls_reflectance=Decimal("0.15")))
    assert stated.problem is not None
    assert stated.problem.room.walls == pytest.approx(0.15)


def test_light_in_a_darker_room_is_less():
    pale = quick_light(a_house(), a_room(), GUIDES).average_lx
    deep = a_room(walls_reflectance=Decimal("0.1"), ceiling_reflectance=Decimal("0.2"))
    dark = quick_light(a_house(rooms=(deep,)), deep, GUIDES).average_lx
    assert pale is not None
    assert dark is not None
    assert dark < 0.95 * pale


def test_tuned_white_is_two_weights_that_make_up_the_level():
    feed = a_feed(load_kinds=("dc-tunable",), cct_k=2200, cct_to_k=5000)
    stated = problem(
        a_circuit("C1", hung(), load_kind="dc-tunable"), products=(a_fitting(feed=feed),)
    )
    (control,) = stated.controls
    for kelvin, cool in ((2200, 0.0), (5000, 1.0)):
        found = weights(stated.controls, {control.circuit: Level(share=0.5, cct_k=kelvin)})
        assert found[control.keys[1]] == pytest.approx(0.5 * cool)
        assert sum(found.values()) == pytest.approx(0.5)


def controlled(curve, *, feed=None, lamp=None, **circuit):
    """The one control of a circuit of fittings with this dimming curve."""
    fitting = a_fitting(feed=feed or a_feed(), dimming_curve=curve)
    products = (fitting, lamp) if lamp else (fitting,)
    part = hung(lamp=lamp.id) if lamp else hung()
    stated = problem(a_circuit("C1", part, **circuit), products=products)
    (control,) = stated.controls
    return control


def shares(control, share, **level):
    return weights((control,), {control.circuit: Level(share=share, **level)})


def test_light_follows_the_dimming_curve_of_the_product():
    plain, curved = controlled(""), controlled("logarithmic")
    assert shares(plain, 0.5) == {plain.circuit: 0.5}
    assert shares(curved, 0.5)[curved.circuit] == pytest.approx(0.0312, abs=5e-5)
    assert shares(curved, 1.0) == {curved.circuit: pytest.approx(1.0)}
    assert shares(curved, 0.0) == {}


def test_a_lamp_tells_the_curve_before_the_fitting_it_is_in():
    lamp = a_fitting("bulb", kind="lamp", dimming_curve="logarithmic")
    assert controlled("", lamp=lamp).curve == "logarithmic"
    assert controlled("logarithmic", lamp=a_fitting("bulb", kind="lamp")).curve == "logarithmic"


def test_both_whites_of_a_tuned_circuit_follow_the_curve():
    feed = a_feed(load_kinds=("dc-tunable",), cct_k=2200, cct_to_k=5000)
    curved = controlled("logarithmic", feed=feed, load_kind="dc-tunable")
    found = shares(curved, 0.75, cct_k=3000)
    assert min(found.values()) > 0
    assert sum(found.values()) == pytest.approx(light_share(0.75, "logarithmic"))


def test_what_warms_as_it_dims_follows_its_light():
    feed = a_feed(cct_k=1800, cct_to_k=2800)
    half, curved = controlled("", feed=feed), controlled("logarithmic", feed=feed)
    assert shares(half, 0.5)[half.keys[1]] > 0.25
    found = shares(curved, 0.5)
    assert found[curved.keys[1]] < 0.1 * sum(found.values())


def test_a_colour_circuit_plays_its_channels():
    feed = a_feed(load_kinds=("dc-rgbw",), cct_k=3000)
    stated = problem(a_circuit("C1", hung(), load_kind="dc-rgbw"), products=(a_fitting(feed=feed),))
    (control,) = stated.controls
    red = weights(stated.controls, {control.circuit: Level(share=1.0, colour="ff0000")})
    assert red == {control.keys[0]: 1.0}
    plain = weights(stated.controls, {control.circuit: Level(share=0.4)})
    assert plain == {control.keys[3]: 0.4}


def test_one_looks_from_the_wall_where_nothing_stands():
    window = an_object("window", x_m=Decimal("0.5"), y_m=Decimal(0), z_m=Decimal("0.8"),
                       width_m=Decimal(4), depth_m=Decimal("0.2"), height_m=Decimal("1.4"))  # fmt: skip
    stated = problem(room=a_room(objects=(window,)))
    assert stated.problem is not None
    assert view_of(stated.problem) == "back"
    assert view_of(stated.problem, "left") == "left"
