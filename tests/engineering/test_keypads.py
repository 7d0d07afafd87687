"""Keypads at positions and over a house, against trying every choice."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering import keypad_house, keypads
from engineering.keypads import KeypadNeed, KeypadOption


def keypad(reference, buttons, **more):
    return KeypadOption(
        **(
            {"reference": reference, "series": "S", "finish": "brass", "buttons": buttons,
             "cost_minor": 1000 * buttons, "characters": 10, "box_depth_mm": 25}
            | more
        )
    )  # fmt: skip


TWO, FOUR, SIX = keypad("K2", 2), keypad("K4", 4), keypad("K6", 6)
ALL = [SIX, TWO, FOUR]


def choose(scenes, *, options=ALL, needs_off=True, **more):
    return keypads.choose_keypad(scenes=scenes, needs_off=needs_off, options=options, **more)


def offers(choice):
    return {reason.code: dict(reason.values) for reason in choice.offers}


@pytest.mark.parametrize(
    ("scenes", "needs_off", "reference", "spare"),
    [(1, True, "K2", 0), (2, True, "K4", 1), (2, False, "K2", 0), (5, True, "K6", 0)],
)
def test_buttons_needed_are_scenes_and_off(scenes, needs_off, reference, spare):
    choice = choose(scenes, needs_off=needs_off)
    assert (choice.reference, choice.spare) == (reference, spare)


def test_an_off_of_its_own_saves_a_button():
    extra = keypad("K2X", 2, off_is_extra=True, cost_minor=2500)
    choice = choose(2, options=[*ALL, extra])
    assert (choice.reference, choice.buttons_needed) == ("K2X", 2)


def test_the_cheapest_that_fits_need_not_be_the_smallest():
    choice = choose(1, options=[TWO, keypad("K6-sale", 6, cost_minor=500)])
    assert (choice.reference, choice.spare) == ("K6-sale", 4)
    assert choice.why[0].code == "cheapest-that-fits"
    assert choice.why[0].values["fitting"] == 2


def test_engraving_is_paid_for_only_where_it_is_asked():
    dear = keypad("A", 4, cost_minor=1000, engraving_minor=900)
    cheap = keypad("B", 4, cost_minor=1500)
    assert choose(2, options=[dear, cheap]).reference == "A"
    engraved = choose(2, options=[dear, cheap], engraving=["Evening", "Supper", "Off"])
    assert (engraved.reference, engraved.cost_minor) == ("B", 1500)
    assert engraved.labels == ("Evening", "Supper", "Off")


def test_plain_buttons_are_numbered():
    assert choose(2).labels == ("1", "2", "3")
    # A button left without a text keeps its number.
    assert choose(2, engraving=["Evening"]).labels == ("Evening", "2", "3")


def test_every_reason_stands_by_its_own_code():
    def against(option, **more):
        return keypads.reasons_against(
            option=option, need=KeypadNeed(code="P", scenes=2, needs_off=True, **more)
        )

    assert against(TWO) == ("too-few-buttons",)
    assert against(FOUR, series="T") == ("other-series",)
    assert against(FOUR, finish="white") == ("other-finish",)
    assert against(FOUR, box_depth_mm=16) == ("box-too-shallow",)
    assert against(keypad("K", 4, box_gangs=2), box_gangs=1) == ("box-too-narrow",)
    assert against(FOUR, has_supply=False) == ("no-supply",)
    assert against(keypad("K", 4, is_battery=True), has_supply=False) == ()
    assert against(keypad("K", 4, characters=None), engraving=("Eve",)) == ("not-engravable",)
    assert against(FOUR, engraving=("Late evening",)) == ("engraving-too-long",)
    assert against(FOUR, engraving=("Evening",), box_depth_mm=25) == ()


def test_where_none_fits_all_ways_out_are_offered():
    choice = choose(7, options=[*ALL, keypad("W8", 8, finish="white")], finish="brass")
    assert choice.reference is None
    assert choice.why[0].code == "none-fits"
    assert offers(choice) == {
        "two-keypads": {"first": "K2", "second": "K6", "cost_minor": 8000},
        "larger-one": {"reference": "W8", "gives_way": "other-finish", "cost_minor": 8000},
        "fewer-scenes": {"scenes": 5, "reference": "K6", "cost_minor": 6000},
    }


def test_two_keypads_carry_off_once():
    # 2 + 2 buttons hold three scenes and one off.
    choice = choose(3, options=[TWO])
    assert offers(choice)["two-keypads"] == {"first": "K2", "second": "K2", "cost_minor": 4000}
    assert "two-keypads" not in offers(choose(4, options=[TWO]))
    # Two buttons in all, on two keypads of one: two scenes, or one scene and off.
    one = keypad("K1", 1)
    pair = {"first": "K1", "second": "K1", "cost_minor": 2000}
    assert offers(choose(2, options=[one], needs_off=False))["two-keypads"] == pair
    assert offers(choose(1, options=[one]))["two-keypads"] == pair
    # A single button is nothing to share, whatever else stands against the keypad.
    assert "two-keypads" not in offers(choose(1, options=[one], needs_off=False, series="T"))


def test_no_way_out_is_offered_that_does_not_exist():
    assert choose(9, options=[TWO], series="T").offers == ()
    assert choose(1, options=[]).offers == ()


def test_a_fixed_keypad_is_kept_or_its_reason_named():
    assert choose(1, reference="K6").reference == "K6"
    assert choose(1, reference="K6").why[0].code == "fixed"
    small = choose(4, reference="K2")
    assert small.reference is None
    assert small.why[0].code == "fixed-does-not-fit"
    assert small.why[0].values["against"] == "too-few-buttons"
    assert choose(1, reference="gone").why[0].code == "fixed-not-offered"


OPTIONS = st.lists(
    st.builds(
        KeypadOption,
        reference=st.uuids().map(str),
        series=st.sampled_from("ST"),
        finish=st.sampled_from(["brass", "white"]),
        buttons=st.integers(1, 8),
        cost_minor=st.integers(0, 50),
        off_is_extra=st.booleans(),
        box_depth_mm=st.sampled_from([16, 25, 35]),
        characters=st.sampled_from([None, 6, 12]),
        is_battery=st.booleans(),
    ),
    max_size=8,
    unique_by=lambda option: option.reference,
)
NEEDS = st.lists(
    st.builds(
        KeypadNeed,
        code=st.uuids().map(str),
        scenes=st.integers(1, 6),
        needs_off=st.booleans(),
        box_depth_mm=st.sampled_from([None, 16, 35]),
        has_supply=st.booleans(),
        engraving=st.sampled_from([(), ("Supper",)]),
    ),
    max_size=4,
    unique_by=lambda need: need.code,
)


def fits(option, need):
    """The rules once more, written apart from the code."""
    buttons = need.scenes + (0 if option.off_is_extra or not need.needs_off else 1)
    text = max(map(len, need.engraving), default=0)
    return (
        option.buttons >= buttons
        and (need.box_depth_mm is None or option.box_depth_mm <= need.box_depth_mm)
        and (need.has_supply or option.is_battery)
        and (text == 0 or (option.characters is not None and option.characters >= text))
    )


@given(options=OPTIONS, needs=NEEDS)
def test_a_house_is_served_as_well_and_as_cheaply_as_by_trying_every_look(options, needs):
    house = keypad_house.choose_house(needs=needs, options=options)
    best = (len(needs), 0)
    for series in "ST":
        for finish in ("brass", "white"):
            look = [o for o in options if (o.series, o.finish) == (series, finish)]
            costs = [[o.cost_minor for o in look if fits(o, need)] for need in needs]
            best = min(best, (sum(not c for c in costs), sum(min(c) for c in costs if c)))
    assert (len(house.unserved), house.cost_minor) == best
    used = {o.reference: o for o in options}
    for choice, need in zip(house.choices, needs, strict=True):
        assert choice.code == need.code
        if choice.reference is not None:
            option = used[choice.reference]
            assert fits(option, need)
            assert (option.series, option.finish) == (house.series, house.finish)


@given(options=OPTIONS, needs=NEEDS, data=st.data())
def test_the_order_of_the_catalogue_never_matters(options, needs, data):
    other = data.draw(st.permutations(options))
    assert keypad_house.choose_house(needs=needs, options=options) == keypad_house.choose_house(
        needs=needs, options=other
    )


def test_a_fixed_look_is_obeyed_and_a_positions_own_look_too():
    white = [keypad(f"W{n}", n, finish="white", cost_minor=1) for n in (2, 4, 6)]
    needs = [
        KeypadNeed(code="hall", scenes=1, needs_off=True),
        KeypadNeed(code="study", scenes=1, needs_off=True, finish="white"),
        KeypadNeed(code="cellar", scenes=1, needs_off=True, reference="K6"),
    ]
    house = keypad_house.choose_house(needs=needs, options=[*ALL, *white], finish="brass")
    assert house.finish == "brass"
    assert [choice.reference for choice in house.choices] == ["K2", "W2", "K6"]
    free = keypad_house.choose_house(needs=needs, options=[*ALL, *white])
    assert free.finish == "white"


def test_the_house_says_why_it_took_its_look():
    white = [keypad(f"W{n}", n, finish="white", cost_minor=10 * n) for n in (2, 4)]
    small = [KeypadNeed(code="hall", scenes=1, needs_off=True)]
    assert keypad_house.choose_house(needs=small, options=ALL).why.code == "only-look"
    cheap = keypad_house.choose_house(needs=small, options=[*ALL, *white])
    assert (cheap.finish, cheap.why.code) == ("white", "cheapest-look")
    assert cheap.why.values == {
        "looks": 2,
        "next_series": "S",
        "next_finish": "brass",
        "next_unserved": 0,
        "next_cost_minor": 2000,
    }
    # Five scenes and off need six buttons, which white does not have.
    large = [*small, KeypadNeed(code="living", scenes=5, needs_off=True)]
    served = keypad_house.choose_house(needs=large, options=[*ALL, *white])
    assert (served.finish, served.why.code) == ("brass", "fewest-unserved")
    assert served.why.values["next_unserved"] == 1


def test_a_look_that_nobody_sells_leaves_every_position_bare_with_a_reason():
    needs = [KeypadNeed(code="hall", scenes=1, needs_off=True)]
    house = keypad_house.choose_house(needs=needs, options=ALL, finish="gold")
    assert (house.unserved, house.cost_minor) == (("hall",), 0)
    assert house.why.code == "look-not-sold"
    assert house.choices[0].why[0].code == "none-fits"
    assert "larger-one" in offers(house.choices[0])


def test_bad_values_are_refused():
    with pytest.raises(ValueError, match="references must differ"):
        choose(1, options=[TWO, TWO])
    with pytest.raises(ValueError, match="codes of positions"):
        keypad_house.choose_house(
            needs=[KeypadNeed(code="P", scenes=1, needs_off=True)] * 2, options=ALL
        )
    with pytest.raises(ValueError, match="needs a scene or off"):
        choose(0, needs_off=False)
    with pytest.raises(ValueError, match="scenes"):
        choose(-1)
    with pytest.raises(ValueError, match="box_depth_mm"):
        choose(1, box_depth_mm=math.nan)
    good = {"reference": "K", "series": "S", "finish": "brass", "buttons": 2, "cost_minor": 1}
    for field, bad in (("buttons", 0), ("cost_minor", -1), ("characters", 0), ("reference", " ")):
        with pytest.raises(ValueError, match=field):
            KeypadOption(**(good | {field: bad}))
