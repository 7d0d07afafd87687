"""Laws, edges and refusals of ordinary switching."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering import switched_rooms, switching, switching_cost
from engineering.dimmers import led_capacity
from engineering.switched_rooms import (
    LabourMinutes,
    SwitchedCircuit,
    SwitchedRoom,
    SwitchPosition,
)

ROOM = SwitchedRoom(length_m=6, width_m=4, height_m=2.4, waste_share=0)
MINUTES = LabourMinutes(box=20, plate=5, gang=6, dimmer_gang=8, cable_m=3)
DIMMER = led_capacity(rating_w=400, led_rating_w=100)


@given(circuits=st.integers(1, 20), positions=st.integers(1, 8))
def test_every_circuit_has_one_gang_at_every_position(circuits, positions):
    switches = switching.conventional(circuits=circuits, positions=positions)
    assert switches.gangs == circuits * positions
    assert switches.gangs == switches.one_way + switches.two_way + switches.intermediate
    assert sum(switches.plate_gangs) >= circuits
    assert switches.plates == positions * len(switches.plate_gangs)


@pytest.mark.parametrize(
    ("circuits", "single", "double"), [(1, 2, 0), (3, 2, 0), (4, 0, 2), (7, 2, 2), (12, 0, 4)]
)
def test_back_boxes_of_two_positions(circuits, single, double):
    switches = switching.conventional(circuits=circuits, positions=2)
    assert (switches.single_boxes, switches.double_boxes) == (single, double)


@pytest.mark.parametrize("gangs", range(15))
def test_plates_are_the_fewest_against_trying_them_all(gangs):
    found = switching.plates_for(gangs=gangs)
    sizes = switching.SWITCH_PLATES
    for number in range(len(found) + 1):
        ways = [
            w for w in itertools.combinations_with_replacement(sizes, number) if sum(w) >= gangs
        ]
        if ways:
            assert number == len(found)
            assert sum(sizes[g] for g in found) == min(sum(sizes[g] for g in w) for w in ways)
            break


@pytest.mark.parametrize("bad", [0, -1, 2.0, True, math.nan])
def test_conventional_refuses_what_is_not_a_whole_number(bad):
    with pytest.raises(ValueError, match="circuits"):
        switching.conventional(circuits=bad, positions=1)
    with pytest.raises(ValueError, match="positions"):
        switching.conventional(circuits=1, positions=bad)


def made(circuits, positions, **more):
    given_ = {"room": ROOM, "dimmer": DIMMER, "minutes": MINUTES} | more
    return switched_rooms.switch_room(circuits=circuits, positions=positions, **given_)


def lamp(code, **more):
    return SwitchedCircuit(**({"code": code, "load_kind": "phase-dimmed", "load_w": 50} | more))


@given(circuits=st.integers(1, 9), positions=st.integers(1, 5))
def test_a_room_without_dimming_counts_as_the_plain_rule_does(circuits, positions):
    codes = tuple(f"C{n}" for n in range(circuits))
    room = made(
        [lamp(code) for code in codes],
        [SwitchPosition(code=f"P{n}", circuits=codes) for n in range(positions)],
    )
    plain = switching.conventional(circuits=circuits, positions=positions)
    assert (room.one_way, room.two_way, room.intermediate) == (
        plain.one_way,
        plain.two_way,
        plain.intermediate,
    )
    assert sum(plate.pieces for plate in room.plates) == plain.plates
    assert room.dimmers == 0


def test_a_dimmed_circuit_has_one_dimmer_and_dims_from_one_place():
    positions = [SwitchPosition(code=code, circuits=("A",)) for code in ("door", "bed", "bath")]
    room = made([lamp("A", wants_dimming=True)], positions)
    assert (room.dimmers, room.two_way, room.intermediate, room.one_way) == (1, 1, 1, 0)
    assert room.gangs == 3
    assert [(p.position, p.kind) for p in room.plates] == [
        ("bath", "switch"),
        ("bed", "switch"),
        ("door", "dimmer"),
    ]
    assert [lack.code for lack in room.lacks] == ["dimming-from-two-places"]


def test_dimmers_take_deeper_boxes_and_three_of_them_a_double_one():
    codes = ("A", "B", "C")
    room = made(
        [lamp(code, wants_dimming=True) for code in codes],
        [SwitchPosition(code="door", circuits=codes)],
    )
    assert [(box.widths, box.depth_mm, box.pieces) for box in room.boxes] == [(2, 35, 1)]
    # Three plain switches stand on one single box.
    plain = made([lamp(code) for code in codes], [SwitchPosition(code="door", circuits=codes)])
    assert [(box.widths, box.depth_mm, box.pieces) for box in plain.boxes] == [(1, 25, 1)]


def test_cable_and_labour_by_hand():
    # 6 × 4 × 2.4 m, switches at 1.2 m. Middle (3, 2) to (0, 2): 3 m and 1.2 m down. From (0, 2) to
    # (6, 2): 6 m and 1.2 m at both ends.
    room = made(
        [lamp("A")],
        [
            SwitchPosition(code="P1", circuits=("A",), point_m=(0, 2)),
            SwitchPosition(code="P2", circuits=("A",), point_m=(6, 2)),
        ],
    )
    assert room.two_core_m == pytest.approx(4.2)
    assert room.three_core_m == pytest.approx(8.4)
    # 2 boxes, 2 plates, 2 gangs, 12.6 m.
    assert room.minutes == pytest.approx(2 * 20 + 2 * 5 + 2 * 6 + 12.6 * 3)
    # Unknown points take half of both sides: 5 m.
    unknown = made(
        [lamp("A")], [SwitchPosition(code=code, circuits=("A",)) for code in ("P1", "P2")]
    )
    assert unknown.two_core_m == pytest.approx(5 + 1.2)
    assert unknown.three_core_m == pytest.approx(5 + 2.4)


def test_waste_is_added_to_all_cable():
    wasteful = SwitchedRoom(length_m=6, width_m=4, height_m=2.4, waste_share=0.5)
    position = [SwitchPosition(code="P1", circuits=("A",))]
    assert made([lamp("A")], position, room=wasteful).two_core_m == pytest.approx(
        1.5 * made([lamp("A")], position).two_core_m
    )


def test_what_it_cannot_do_is_named_with_its_circuits():
    circuits = [
        lamp("A", wants_dimming=True, load_w=101),
        lamp("B", load_kind="dc-rgb"),
        lamp("C", load_kind="motor"),
        lamp("D"),
        lamp("E", load_kind="switched", wants_dimming=True),
    ]
    room = made(circuits, [SwitchPosition(code="P", circuits=("A", "B", "C", "E"))], scenes=4)
    assert {lack.code: lack.circuits for lack in room.lacks} == {
        "scenes": (),
        "dimming": ("E",),
        "dimmer-overloaded": ("A",),
        "colour": ("B",),
        "motor": ("C",),
        "no-position": ("D",),
        "house-off": (),
    }
    # Colour and motor take no gang, so that their cost is not hidden in the comparison.
    assert room.gangs == 2


def test_a_plain_room_lacks_nothing():
    room = made([lamp("A")], [SwitchPosition(code="P", circuits=("A",))])
    assert room.lacks == ()
    two = made([lamp("A"), lamp("B")], [SwitchPosition(code="P", circuits=("A", "B"))])
    assert [lack.code for lack in two.lacks] == ["house-off"]


def test_bad_rooms_are_refused():
    with pytest.raises(ValueError, match="not there"):
        made([lamp("A")], [SwitchPosition(code="P", circuits=("Z",))])
    with pytest.raises(ValueError, match="circuits must differ"):
        made([lamp("A"), lamp("A")], [])
    with pytest.raises(ValueError, match="positions must differ"):
        made([lamp("A")], [SwitchPosition(code="P", circuits=())] * 2)
    with pytest.raises(ValueError, match="must differ"):
        SwitchPosition(code="P", circuits=("A", "A"))
    with pytest.raises(ValueError, match="load_kind"):
        lamp("A", load_kind="steam")
    with pytest.raises(ValueError, match="load_w"):
        lamp("A", load_w=math.nan)
    for field, bad in (("length_m", 0), ("height_m", math.nan), ("switch_height_m", 3)):
        size = {"length_m": 6, "width_m": 4, "height_m": 2.4}
        with pytest.raises(ValueError, match=field):
            SwitchedRoom(**(size | {field: bad}))
    with pytest.raises(ValueError, match="gang"):
        LabourMinutes(box=1, plate=1, gang=-1, dimmer_gang=1, cable_m=1)
    with pytest.raises(ValueError, match="scenes"):
        made([lamp("A")], [], scenes=-1)


def test_items_are_what_is_bought():
    codes = ("A", "B")
    room = made(
        [lamp("A"), lamp("B", wants_dimming=True)],
        [SwitchPosition(code=code, circuits=codes) for code in ("P1", "P2", "P3")],
    )
    assert room.items == {
        "dimmer-plate-1": 1,
        "switch-plate-1": 1,
        "switch-plate-2": 2,
        "box-1-25": 3,
        "box-1-35": 1,
        "intermediate-extra": 2,
    }


def cost(planned_minor, prices_minor):
    return switching_cost.side_by_side(
        items={"box-1-25": 2, "switch-plate-1": 2},
        prices_minor=prices_minor,
        labour_and_cable_minor=1000,
        planned_minor=planned_minor,
    )


def test_the_cheaper_way_is_named_whichever_it_is():
    prices = {"box-1-25": 90, "switch-plate-1": 310}
    assert cost(1800, prices).conventional_minor == 1800
    assert cost(1800, prices).cheaper is None
    assert cost(1801, prices).cheaper == "conventional"
    assert cost(1799, prices).cheaper == "planned"


def test_a_missing_price_never_makes_the_conventional_way_look_cheaper():
    part = cost(5000, {"box-1-25": 90})
    assert (part.unpriced, part.cheaper) == (("switch-plate-1",), None)
    assert not part.is_complete
    assert cost(1, {"box-1-25": 90, "switch-plate-1": 0}).is_complete
    assert cost(500, {"box-1-25": 90}).cheaper == "planned"
    with pytest.raises(ValueError, match="price of"):
        cost(1, {"box-1-25": -90, "switch-plate-1": 1})


def test_nothing_may_cost_nothing_and_no_less():
    free = {"items": {"box-1-25": 0}, "prices_minor": {}, "labour_and_cable_minor": 0}
    assert switching_cost.side_by_side(**free, planned_minor=0).cheaper is None
    for name, bad in (("labour_and_cable_minor", -1), ("planned_minor", -1)):
        with pytest.raises(ValueError, match=name):
            switching_cost.side_by_side(**({**free, "planned_minor": 0} | {name: bad}))
    with pytest.raises(ValueError, match="pieces of box"):
        switching_cost.side_by_side(**(free | {"items": {"box-1-25": -1}}), planned_minor=0)
