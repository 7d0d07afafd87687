"""Each rule speaks where it should, and is silent where all is well."""

import datetime
from decimal import Decimal

import pytest

from consult.design import FixedPart, OpeningPart, RadioPart
from consult.findings import RULES, find_all
from consult.findings.registry import Case, rule
from consult.findings.wording import sentences
from tests.consult.houses import (
    a_circuit,
    a_driver,
    a_feed,
    a_fitting,
    a_house,
    a_keypad,
    a_position,
    a_receiver,
    a_room,
    a_scene,
    a_try,
    an_object,
    case_of,
    findings,
    hung,
    made,
    open_rooms,
)

SWITCHED_ONLY = a_feed(load_kinds=("switched",))
DC = a_feed(load_kinds=("dc-white",), supply_v=Decimal(24), watts=Decimal(20), driver_place="apart")
DC_UNIT = a_receiver(
    "dc-unit", limits={"dc-white": (0, 96)}, supply_v=Decimal(24), unit_max_w=Decimal(200)
)
BATH = an_object(
    "bath", x_m=Decimal(0), y_m=Decimal(0), width_m=Decimal("1.7"), depth_m=Decimal("0.7")
)
ON_BACK_WALL = hung(
    arrangement="along-wall", wall="back", offset_m=Decimal("0.1"), mounting_height_m=Decimal("1.8")
)
WAY_ON = made(
    OpeningPart,
    id="o",
    wall="back",
    from_m=Decimal(1),
    width_m=Decimal("1.5"),
    height_m=Decimal("2.1"),
)
IN_THE_WAY = a_position(x_m=Decimal(2), y_m=Decimal(4))
RADIO_KEYPAD = a_keypad(radio_range_m=30)
WET = {"use": "bathroom", "dampness": "wet"}


def recessed(**values):
    return a_fitting(**{"recess_depth_mm": Decimal(95), "cut_out_mm": Decimal(76), **values})


def tape(**values):
    feed = a_feed(**{"load_kinds": ("dc-white",), "supply_v": Decimal(24), "watts": Decimal(20),
                     "driver_place": "apart", **values})  # fmt: skip
    return a_fitting("tape", kind="tape", unit="metre", feed=feed)


def tape_house(*, is_fed_both_ends=False, length_m, **feed):
    return a_house(
        a_circuit(
            "C1",
            hung("tape", pieces=1, length_m=length_m, is_fed_both_ends=is_fed_both_ends),
            load_kind="dc-white",
        ),
        products=(tape(watts=Decimal("14.4"), **feed),),
    )


def dc_house(*, watts="20", enclosure=None, driver=None, **circuit):
    return a_house(
        a_circuit("C1", hung("dc"), **{"load_kind": "dc-white", **circuit}),
        products=(
            a_fitting("dc", feed=a_feed(load_kinds=("dc-white",), supply_v=Decimal(24),
                                        watts=Decimal(watts), driver_place="apart")),
            DC_UNIT,
            driver or a_driver(),
        ),
        enclosure=enclosure,
    )  # fmt: skip


def driven_house(*, enclosure=None, width=None, **circuit):
    """Two pieces of 20 W by a driver after the output of a 1–10 V unit."""
    feed = a_feed(load_kinds=("analogue-dimmed",), supply_v=Decimal(24), watts=Decimal(20),
                  driver_place="apart")  # fmt: skip
    return a_house(
        a_circuit("C1", hung("dc"), **{"load_kind": "analogue-dimmed", **circuit}),
        products=(
            a_fitting("dc", feed=feed),
            a_receiver("ten", limits={"analogue-dimmed": (0, 200)}),
            a_driver(dimmed_by=("analogue-dimmed",), modules=width),
        ),
        enclosure=enclosure,
    )


def a_radio(**values):
    """A way of radio from the keypad of the house to its cupboard, in the open unless said."""
    given = {"position": "key-K1", "enclosure": "e", "distance_m": Decimal(5)}
    return made(RadioPart, **{**given, **values})


def fixed(**values):
    return made(FixedPart, **{"id": "x", "reason": "wished", **values})


def hours_of(*hours):
    """A scene over the circuit of the house for each, played so many hours a day."""
    return tuple(
        a_scene(("C1", 40), name=f"Scene {n}", hours_a_day=Decimal(h)) for n, h in enumerate(hours)
    )


# rule, a house in which it speaks, and one in which it must not
CASES = {
    "load-kinds-mixed": (
        lambda: a_house(
            a_circuit("C1", hung("lamp"), hung("dc")), products=(a_fitting("dc", feed=DC),)
        ),
        lambda: a_house(
            a_circuit("C1", hung("lamp"), hung("other")), products=(a_fitting("other"),)
        ),
    ),
    "not-dimmable": (
        lambda: a_house(products=(a_fitting(feed=SWITCHED_ONLY),)),
        lambda: a_house(a_circuit(load_kind="switched"), products=(a_fitting(feed=SWITCHED_ONLY),)),
    ),
    "wrong-load-kind": (
        lambda: a_house(a_circuit(load_kind="analogue-dimmed")),
        lambda: a_house(),
    ),
    "outlet-on-dimmed": (
        lambda: a_house(products=(a_fitting(kind="outlet", feed=SWITCHED_ONLY),)),
        lambda: a_house(products=(a_fitting(kind="outlet"),)),
    ),
    "motor-on-dimmed": (
        lambda: a_house(products=(a_fitting(feed=a_feed(load_nature="motor")),)),
        lambda: a_house(
            a_circuit(load_kind="switched"),
            products=(a_fitting(feed=a_feed(load_nature="motor")),),
        ),
    ),
    "motors-on-one-output": (
        lambda: a_house(a_circuit("C1", hung(pieces=2), load_kind="motor")),
        lambda: a_house(a_circuit("C1", hung(pieces=1), load_kind="motor")),
    ),
    "level-below-steady": (
        lambda: a_house(a_circuit(low_trim=10), scenes=(a_scene(("C1", 5)),)),
        lambda: a_house(a_circuit(low_trim=10), scenes=(a_scene(("C1", 10)),)),
    ),
    "circuit-in-no-scene": (lambda: a_house(scenes=()), lambda: a_house()),
    "scene-with-nothing": (
        lambda: a_house(scenes=(a_scene(("C1", 0)),)),
        lambda: a_house(),
    ),
    "scenes-over-a-day": (
        lambda: a_house(scenes=hours_of("12", "12.25")),
        lambda: a_house(scenes=hours_of("12", "12")),
    ),
    "group-without-position": (lambda: a_house(positions=()), lambda: a_house()),
    "no-all-off": (
        lambda: a_house(positions=(a_position(buttons=[("all-on", "")]),)),
        lambda: a_house(positions=(a_position(buttons=[("all-on", ""), ("all-off", "")]),)),
    ),
    "after-power-cut-not-said": (
        lambda: a_house(rooms=(a_room(use="stair"),)),
        lambda: a_house(a_circuit(after_power_cut="on"), rooms=(a_room(use="stair"),)),
    ),
    "position-without-keypad": (
        lambda: a_house(positions=(a_position(buttons=[("all-on", "")] * 6),)),
        lambda: a_house(),
    ),
    "engraving-too-long": (
        lambda: a_house(
            positions=(a_position(buttons=[("all-off", "Thirteen char")], is_engraved=True),)
        ),
        lambda: a_house(
            positions=(a_position(buttons=[("all-off", "Twelve chars")], is_engraved=True),)
        ),
    ),
    "switch-height": (
        lambda: a_house(
            positions=(a_position(height_mm=1300),), project={"kind_of_work": "new-build"}
        ),
        lambda: a_house(
            positions=(a_position(height_mm=1200),), project={"kind_of_work": "new-build"}
        ),
    ),
    "circuit-gap": (
        lambda: a_house(a_circuit(enclosure=None)),
        lambda: a_house(),
    ),
    "below-minimum": (
        lambda: a_house(products=(a_receiver(limits={"phase-dimmed": (50, 200)}),)),
        lambda: a_house(products=(a_receiver(limits={"phase-dimmed": (10, 200)}),)),
    ),
    "circuit-unserved": (
        lambda: a_house(products=(a_receiver(limits={"switched": (0, 200)}),)),
        lambda: a_house(),
    ),
    "fixed-cannot-hold": (
        lambda: a_house(
            products=(a_receiver("relay", limits={"switched": (0, 99)}),),
            fixed=(fixed(kind="receiver", circuit="key-C1", product="relay"),),
        ),
        lambda: a_house(fixed=(fixed(kind="receiver", circuit="key-C1", product="unit"),)),
    ),
    "route-on-one-device": (
        lambda: a_house(rooms=(a_room(is_way_out=True),)),
        lambda: a_house(),
    ),
    "void-too-shallow": (
        lambda: a_house(rooms=(a_room(void_mm=90),), products=(recessed(),)),
        lambda: a_house(rooms=(a_room(void_mm=95),), products=(recessed(),)),
    ),
    "no-fire-rating": (
        lambda: a_house(rooms=(a_room(above="lived-in"),), products=(recessed(),)),
        lambda: a_house(rooms=(a_room(above="roof"),), products=(recessed(),)),
    ),
    "fire-evidence": (
        lambda: a_house(rooms=(a_room(above="lived-in"),), products=(recessed(fire_minutes=60),)),
        lambda: a_house(rooms=(a_room(above="roof"),), products=(recessed(fire_minutes=60),)),
    ),
    "above-not-said": (
        lambda: a_house(products=(recessed(),)),
        lambda: a_house(rooms=(a_room(above="roof"),), products=(recessed(),)),
    ),
    "joist-clash": (
        # A row of two over 5 m × 4 m stands at y = 2.0 m: on a joist at 400 mm centres from 400.
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid")),
            rooms=(a_room(joists_along="x", joist_first_mm=400, joist_centres_mm=400),),
            products=(recessed(),),
        ),
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid")),
            rooms=(a_room(joists_along="x", joist_first_mm=200, joist_centres_mm=400),),
            products=(recessed(),),
        ),
    ),
    "weight-over-fixing": (
        lambda: a_house(
            a_circuit("C1", hung(fixing_kg=Decimal(5))),
            products=(a_fitting(weight_kg=Decimal("5.1")),),
        ),
        lambda: a_house(
            a_circuit("C1", hung(fixing_kg=Decimal(5))), products=(a_fitting(weight_kg=Decimal(5)),)
        ),
    ),
    "heavy-without-fixing": (
        lambda: a_house(products=(a_fitting(weight_kg=Decimal(5)),)),
        lambda: a_house(products=(a_fitting(weight_kg=Decimal("4.9")),)),
    ),
    "bath-not-placed": (
        lambda: a_house(rooms=(a_room(**WET),)),
        lambda: a_house(rooms=(a_room(**WET, objects=(BATH,)),)),
    ),
    "bathroom-zone": (
        # 2.0 m over the bath is zone 1 (below 2.25 m): IPX4 is asked for, and IP20 is not enough.
        lambda: a_house(
            a_circuit("C1", hung(mounting_height_m=Decimal(2))),
            rooms=(a_room(**WET, objects=(BATH,)),),
        ),
        lambda: a_house(
            a_circuit("C1", hung(mounting_height_m=Decimal(2))),
            rooms=(a_room(**WET, objects=(BATH,)),),
            products=(a_fitting(ip_code="44"),),
        ),
    ),
    "keypad-in-zone": (
        lambda: a_house(
            rooms=(a_room(**WET, objects=(BATH,)),),
            positions=(a_position(x_m=Decimal("2.2"), y_m=Decimal("0.3")),),
        ),
        lambda: a_house(
            rooms=(a_room(**WET, objects=(BATH,)),),
            positions=(a_position(x_m=Decimal("2.4"), y_m=Decimal("0.3")),),
        ),
    ),
    "ip-for-place": (
        lambda: a_house(rooms=(a_room(dampness="outdoor"),)),
        lambda: a_house(rooms=(a_room(dampness="outdoor"),), products=(a_fitting(ip_code="65"),)),
    ),
    "voltage-drop": (
        # 29 mV/A/m (BS 7671 Table 4D5): 16 W at 0.9 are 0.077 A, nothing; 4 kW over 60 m is too much.
        lambda: a_house(
            a_circuit(cable_length_m=Decimal(60)),
            products=(a_fitting(feed=a_feed(watts=Decimal(2000))),),
        ),
        lambda: a_house(a_circuit(cable_length_m=Decimal(60))),
    ),
    "voltage-drop-dc": (
        lambda: dc_house(watts="40", cable_length_m=Decimal(20)),
        lambda: dc_house(watts="40", cable_length_m=Decimal(5)),
    ),
    "too-many-drivers": (
        lambda: dc_house(
            enclosure={"protective_device": "B6"}, driver=a_driver(per_device=(("B6", 0),))
        ),
        lambda: dc_house(
            enclosure={"protective_device": "B6"}, driver=a_driver(per_device=(("B6", 5),))
        ),
    ),
    "inrush-not-known": (
        lambda: dc_house(enclosure={"protective_device": "B6"}),
        lambda: dc_house(
            enclosure={"protective_device": "B6"}, driver=a_driver(per_device=(("B6", 5),))
        ),
    ),
    "leakage": (
        # 30 % of 30 mA are 9 mA.
        lambda: a_house(
            a_circuit("C1", hung(pieces=10)),
            products=(a_fitting(leakage_ma=Decimal("0.95")),),
            enclosure={"rcd_ma": 30},
        ),
        lambda: a_house(
            a_circuit("C1", hung(pieces=10)),
            products=(a_fitting(leakage_ma=Decimal("0.9")),),
            enclosure={"rcd_ma": 30},
        ),
    ),
    "kept-wiring": (
        lambda: a_house(a_circuit(is_existing=True), products=(a_fitting(protection_class="I"),)),
        lambda: a_house(products=(a_fitting(protection_class="I"),)),
    ),
    "gear-place": (
        lambda: dc_house(enclosure={"has_access": False}),
        lambda: dc_house(
            enclosure={
                "has_access": True,
                "is_ventilated": True,
                "heat_allowance_w": Decimal(50),
            }
        ),
    ),
    "driver-place": (
        lambda: driven_house(driver_place="cut-out", driver_has_access=False),
        lambda: driven_house(
            driver_place="cut-out", driver_has_access=True, driver_is_ventilated=True
        ),
    ),
    "radio-shielded": (
        lambda: a_house(enclosure={"is_shielded": True}),
        lambda: a_house(),
    ),
    "radio-path": (
        # Two masonry walls leave 0.65² of 30 m: 12.7 m.
        lambda: a_house(
            radio=(a_radio(distance_m=Decimal(13), masonry_walls=2),), products=(RADIO_KEYPAD,)
        ),
        lambda: a_house(
            radio=(a_radio(distance_m=Decimal(12), masonry_walls=2),), products=(RADIO_KEYPAD,)
        ),
    ),
    "radio-not-said": (lambda: a_house(), lambda: a_house(radio=(a_radio(),))),
    "spare-not-met": (
        lambda: a_house(
            products=(a_receiver(outputs=1),), enclosure={"spare_percent": 100, "modules": 3}
        ),
        lambda: a_house(enclosure={"spare_percent": 100}),
    ),
    "discontinued": (
        lambda: a_house(products=(a_fitting(is_discontinued=True),)),
        lambda: a_house(),
    ),
    "no-price": (lambda: a_house(priced=False), lambda: a_house()),
    "old-price": (
        lambda: a_house(price_day=datetime.date(2025, 2, 28)),
        lambda: a_house(price_day=datetime.date(2025, 3, 1)),
    ),
    "efficacy": (
        # 75 light-source lumens per circuit-watt: Approved Document L, volume 1 (England).
        lambda: a_house(products=(a_fitting(feed=a_feed(source_lm=Decimal(599))),)),
        lambda: a_house(products=(a_fitting(feed=a_feed(source_lm=Decimal(600))),)),
    ),
    "colours-mixed": (
        lambda: a_house(
            a_circuit("C1", hung("warm"), hung("cool")),
            products=(
                a_fitting("warm", feed=a_feed(cct_k=2700)),
                a_fitting("cool", feed=a_feed(cct_k=3000)),
            ),
        ),
        lambda: a_house(products=(a_fitting(feed=a_feed(cct_k=2700)),)),
    ),
    "fitting-in-opening": (
        lambda: a_house(a_circuit("C1", ON_BACK_WALL), rooms=(a_room(openings=(WAY_ON,)),)),
        lambda: a_house(a_circuit("C1", ON_BACK_WALL)),
    ),
    "keypad-in-opening": (
        lambda: a_house(positions=(IN_THE_WAY,), rooms=(a_room(openings=(WAY_ON,)),)),
        lambda: a_house(positions=(IN_THE_WAY,)),
    ),
    "open-rooms-white": (lambda: open_rooms(cct_k=3000), lambda: open_rooms(cct_k=2999)),
    "open-rooms-rendering": (lambda: open_rooms(cri=80), lambda: open_rooms(cri=81)),
    "open-rooms-warming": (lambda: open_rooms(cct_to_k=1800), lambda: open_rooms()),
    "tape-run": (
        lambda: a_house(
            a_circuit("C1", hung("tape", length_m=Decimal("5.1")), load_kind="dc-white"),
            products=(tape(max_run_m=Decimal(5)),),
        ),
        lambda: a_house(
            a_circuit("C1", hung("tape", length_m=Decimal(5)), load_kind="dc-white"),
            products=(tape(max_run_m=Decimal(5)),),
        ),
    ),
    "tape-ends": (
        # 14.4 W/m on 0.1 Ω/m at 24 V: 7 m lose 0.1 · 7 · 4.2 / 2 = 1.47 V, 6.1 %; a quarter from both.
        lambda: tape_house(length_m=Decimal(7), ohm_per_m=Decimal("0.1")),
        lambda: tape_house(length_m=Decimal(7), ohm_per_m=Decimal("0.1"), is_fed_both_ends=True),
    ),
    "tape-run-not-known": (
        lambda: tape_house(length_m=Decimal("5.1")),
        lambda: tape_house(length_m=Decimal(5)),
    ),
    "cable-capacity": (
        # Table 4D5, method 100: 1.0 mm² carries 13 A, 1.5 mm² 16 A; two bunched 0.80 (Table 4C1).
        lambda: a_house(
            a_circuit(cable_mm2=Decimal(1), cable_laid="100"),
            enclosure={"protective_device": "C16"},
        ),
        lambda: a_house(
            a_circuit(cable_mm2=Decimal("1.5"), cable_laid="100"),
            enclosure={"protective_device": "C16"},
        ),
    ),
    "fault-loop": (
        # On B6 with 0.35 Ω outside, 1.0 mm² reaches (5.82 − 0.35) / 0.0362 = 151.1 m: worked example.
        lambda: a_house(
            a_circuit(cable_mm2=Decimal(1), cable_length_m=Decimal(152)),
            enclosure={"protective_device": "B6", "fault_loop_ohm": Decimal("0.35")},
        ),
        lambda: a_house(
            a_circuit(cable_mm2=Decimal(1), cable_length_m=Decimal(151)),
            enclosure={"protective_device": "B6", "fault_loop_ohm": Decimal("0.35")},
        ),
    ),
    "fault-loop-not-known": (
        lambda: a_house(enclosure={"protective_device": "B6"}),
        lambda: a_house(enclosure={"protective_device": "B6", "fault_loop_ohm": Decimal("0.35")}),
    ),
    "residual-current": (
        lambda: a_house(enclosure={"rcd_ma": 30, "rcd_type": "AC"}),
        lambda: a_house(enclosure={"rcd_ma": 30, "rcd_type": "A"}),
    ),
    "pair-untried": (lambda: a_house(), lambda: a_house(bench=(a_try(),))),
    "pair-flickers": (
        lambda: a_house(bench=(a_try(flicker="seen"),)),
        lambda: a_house(bench=(a_try(flicker="below"),)),
    ),
    "pair-pieces": (
        lambda: a_house(bench=(a_try(pieces=1),)),
        lambda: a_house(bench=(a_try(pieces=2),)),
    ),
    "room-too-dark": (
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid", pieces=1)), rooms=(a_room(use="study"),)
        ),
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid", pieces=24)), rooms=(a_room(use="study"),)
        ),
    ),
    "room-uneven": (
        lambda: a_house(
            a_circuit("C1", hung(arrangement="along-wall", offset_m=Decimal("0.2"))),
            rooms=(a_room(use="study"),),
            products=(a_fitting(feed=a_feed(beam_deg=Decimal(40))),),
        ),
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid", pieces=12)), rooms=(a_room(use="study"),)
        ),
    ),
    "spots-too-far-apart": (
        # Two over 5 m are 2.5 m apart; a 36° pool is 1.1 m wide 1.65 m below.
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid", pieces=2)),
            products=(a_fitting(feed=a_feed(beam_deg=Decimal(36))),),
        ),
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid", pieces=20)),
            products=(a_fitting(feed=a_feed(beam_deg=Decimal(60))),),
        ),
    ),
    "wash-off-its-wall": (
        lambda: a_house(
            a_circuit("C1", hung(arrangement="along-wall", offset_m=Decimal("0.1"), tilt_deg=25))
        ),
        lambda: a_house(
            a_circuit("C1", hung(arrangement="along-wall", offset_m=Decimal("0.8"), tilt_deg=25))
        ),
    ),
    "light-not-workable": (
        lambda: a_house(
            a_circuit("C1", hung(arrangement="grid", pieces=500)),
            rooms=(a_room(length_m=Decimal("0.6"), width_m=Decimal("0.6")),),
        ),
        lambda: a_house(),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_rule_speaks_where_it_should_and_is_silent_where_all_is_well(name):
    bad, good = CASES[name]
    spoken = findings(bad(), name)
    assert spoken, f"{name} says nothing"
    assert findings(good(), name) == [], f"{name} speaks without cause"
    for each in spoken:
        read = sentences(each)
        assert "%(" not in read.why + read.mend
        assert read.title and read.source


def test_every_rule_has_a_house_that_tries_it():
    assert set(RULES) - set(CASES) == {"route-on-one-unit"}  # a plan never does it; below


def test_a_way_out_with_two_circuits_never_hangs_on_one_receiver():
    house = a_house(
        a_circuit("C1"), a_circuit("C2", hung("lamp", id="other")), rooms=(a_room(use="stair"),)
    )
    case = case_of(house)
    assert len(case.plan.control.units) == 2  # one would be cheaper, and would do without the rule
    assert [e.rule for e in find_all(case) if e.rule == "route-on-one-unit"] == []
    plain = a_house(a_circuit("C1"), a_circuit("C2", hung("lamp", id="other")))
    assert len(case_of(plain).plan.control.units) == 1


def test_findings_come_with_stops_first():
    found = find_all(case_of(a_house(scenes=(), products=(a_fitting(feed=SWITCHED_ONLY),))))
    order = [each.severity for each in found]
    assert order == sorted(order, key=["stop", "look", "note"].index)
    assert {"stop", "look"} <= set(order)


def test_a_rule_with_a_taken_id_or_a_wrong_severity_is_refused():
    words = {"title": "t", "why": "w", "mend": "m", "place": "plan"}
    with pytest.raises(ValueError, match="severity"):
        rule("new-one", severity="loud", **words)
    with pytest.raises(ValueError, match="another rule"):
        rule("efficacy", severity="look", **words)


def test_an_added_rule_is_one_function(monkeypatch):
    monkeypatch.setattr("consult.findings.registry.RULES", dict(RULES))
    house = a_house()
    found = find_all(Case(house=house, plan=case_of(house).plan), rules={})
    assert found == ()


def test_a_keypad_too_small_is_said_with_what_would_do():
    house = a_house(
        positions=(a_position(buttons=[("all-on", "")] * 6),),
        products=(a_keypad(), a_keypad("wide", gangs=2, scene_buttons=6, finish="white")),
    )
    assert findings(house, "position-without-keypad") == []


@pytest.mark.parametrize(
    ("circuit", "severity", "capacity", "would_do"),
    [
        # Table 4D5 and Table 4C1: 1.5 mm² by method 103 carries 10 A, three bunched 0.70 of it.
        ({"cable_laid": "103", "cable_mm2": Decimal("1.5"), "cable_bunched": 3}, "stop", "7", "4"),
        # Table 4B1: 0.87 at 40 °C; method C.
        (
            {"cable_laid": "C", "cable_mm2": Decimal(1), "cable_bunched": 4, "cable_ambient_c": 40},
            "stop",
            "9",
            "1.5",
        ),
        # Laid as nobody has said: 1.0 mm² over a ceiling, five bunched 0.60 of 13 A.
        ({"cable_mm2": Decimal(1), "cable_bunched": 5}, "look", "7.8", "2.5"),
    ],
)
def test_a_cable_is_derated_as_it_is_laid(circuit, severity, capacity, would_do):
    (found,) = findings(
        a_house(a_circuit(**circuit), enclosure={"protective_device": "C10"}), "cable-capacity"
    )
    values = dict(found.values)
    assert (found.severity, values["capacity"]) == (severity, capacity)
    assert (values["needed"], values["would_do"]) == ("10", would_do)


def test_a_load_above_its_cable_is_said_where_no_device_is_typed():
    house = a_house(
        a_circuit(cable_mm2=Decimal(1), cable_laid="103"),
        products=(a_fitting(feed=a_feed(watts=Decimal(1000))),),
    )
    (found,) = findings(house, "cable-capacity")
    assert dict(found.values)["basis"] == "the-load"


def test_a_tape_too_long_for_both_ends_is_to_be_fed_in_shorter_runs():
    said = {}
    for length in (7, 13):
        (found,) = findings(
            tape_house(length_m=Decimal(length), ohm_per_m=Decimal("0.1")), "tape-ends"
        )
        said[length] = sentences(found).mend
    assert "both ends" in said[7] and "shorter runs" in said[13]


def test_a_loop_too_high_where_it_is_fed_leaves_no_metre():
    house = a_house(enclosure={"protective_device": "B6", "fault_loop_ohm": Decimal(6)})
    (found,) = findings(house, "fault-loop")  # 5.82 Ω measured cold
    assert dict(found.values)["most"] == "0"


@pytest.mark.parametrize(
    ("enclosure", "codes"),
    [
        ({}, ["rcd-not-said"]),
        ({"rcd_ma": 30}, ["rcd-type-not-said"]),
        ({"rcd_ma": 100, "rcd_type": "A"}, ["rcd-above-30-ma"]),
        ({"rcd_ma": 100, "rcd_type": "AC"}, ["rcd-type-ac", "rcd-above-30-ma"]),
    ],
)
def test_a_residual_current_device_is_asked_about_as_far_as_it_is_known(enclosure, codes):
    found = findings(a_house(enclosure=enclosure), "residual-current")
    assert [dict(each.values)["code"] for each in found] == codes


def test_type_ac_stands_where_no_load_has_a_dc_part():
    filament = a_fitting(feed=a_feed(load_nature="resistive"))
    house = a_house(products=(filament,), enclosure={"rcd_ma": 30, "rcd_type": "AC"})
    assert not findings(house, "residual-current")


def test_the_newest_try_counts_and_its_steady_level_holds_the_scenes():
    tried = (a_try(lowest_level=15), a_try(lowest_level=5, day=datetime.date(2025, 1, 1)))
    house = a_house(scenes=(a_scene(("C1", 10)),), bench=tried)
    (found,) = findings(house, "level-below-steady")
    assert dict(found.values)["lowest"] == "15"
    mended = a_house(scenes=(a_scene(("C1", 15)),), bench=tried)
    assert not findings(mended, "level-below-steady")


def test_a_try_on_the_other_edge_says_nothing():
    products = (a_fitting(feed=a_feed(edge="trailing")), a_receiver(edge="either"))
    leading = a_house(products=products, bench=(a_try(edge="leading"),))
    assert findings(leading, "pair-untried")
    for edge in ("trailing", "", "either"):
        assert not findings(a_house(products=products, bench=(a_try(edge=edge),)), "pair-untried")


def test_of_a_driver_after_the_output_the_driver_is_tried():
    (found,) = findings(driven_house(), "pair-untried")
    assert dict(found.values)["load"] == "The driver"


def test_a_switched_circuit_needs_no_try():
    assert not findings(a_house(a_circuit(load_kind="switched")), "pair-untried")


@pytest.mark.parametrize(
    ("circuit", "severity", "codes"),
    [
        ({"driver_has_access": False, "driver_is_ventilated": True}, "stop", "sealed-in"),
        ({"driver_has_access": True, "driver_is_ventilated": False}, "look", "not-ventilated"),
        ({}, "note", "sealed-in-not-known not-ventilated-not-known"),
    ],
)
def test_a_driver_elsewhere_is_asked_about_there(circuit, severity, codes):
    (found,) = findings(driven_house(driver_place="remote", **circuit), "driver-place")
    assert (found.severity, dict(found.values)["codes"]) == (severity, codes)
    assert "in a place of their own" in sentences(found).why


def test_the_heat_of_a_driver_counts_where_it_stands():
    known = {"has_access": True, "is_ventilated": True, "heat_allowance_w": Decimal(4)}
    # 40 W at an efficiency of 0.9 give off 4.4 W.
    (found,) = findings(driven_house(enclosure=known), "gear-place")
    assert dict(found.values)["losses"] == "4.4" and found.severity == "stop"
    assert not findings(driven_house(enclosure=known, driver_place="cut-out"), "gear-place")
    (there,) = findings(driven_house(enclosure=known, driver_place="cut-out"), "driver-place")
    assert dict(there.values)["losses"] == "4.4"


def test_a_driver_with_the_receiver_needs_room_there():
    room_for_both = driven_house(enclosure={"modules": 5}, width=2)  # receiver 3, driver 2
    assert not findings(room_for_both, "circuit-unserved")
    (found,) = findings(driven_house(enclosure={"modules": 4}, width=2), "circuit-unserved")
    assert dict(found.values)["reason"] == "no_room"
    elsewhere = driven_house(enclosure={"modules": 4}, width=2, driver_place="cut-out")
    assert not findings(elsewhere, "circuit-unserved")


def test_a_keypad_outside_a_bathroom_is_asked_about_no_zone_whatever_it_is_called():
    def asked(**position):
        house = a_house(
            rooms=(a_room(**WET, objects=(BATH,)),), positions=(a_position(**position),)
        )
        return findings(house, "keypad-in-zone")

    assert not asked(is_outside=True, name="by the door")
    (found,) = asked(name="on the outside wall")
    assert dict(found.values)["zone_words"] == "keypad-not-placed"


@pytest.mark.parametrize(
    ("keypad", "values", "codes"),
    [
        ({}, {}, "range-not-known"),
        ({"radio_range_m": 30}, {"has_mirror": True}, "shielded"),
        ({"radio_range_m": 30}, {"distance_m": Decimal(31), "has_steel": True}, "shielded beyond-rule"),
        ({"radio_range_m": 30}, {"distance_m": Decimal(13), "concrete_floors": 1}, "beyond-rule"),
    ],
)  # fmt: skip
def test_a_way_of_radio_says_why_it_is_proven_on_site(keypad, values, codes):
    house = a_house(radio=(a_radio(**values),), products=(a_keypad(**keypad),))
    (found,) = findings(house, "radio-path")
    assert dict(found.values)["codes"] == codes
