"""Laws of control planning, by random houses."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.control import (
    ControlCircuit,
    EnclosureSpec,
    FixedReceiver,
    FixedTogether,
    FixedUnits,
    ReceiverOption,
    plan_house,
)
from tests.engineering.control_validator import faults

KINDS = ("switched", "phase-dimmed", "dc-tunable")
CODES = "ABCDEFGH"


@st.composite
def circuits(draw, most_w=60, most_pieces=1):
    count = draw(st.integers(1, 8))
    found = []
    for code in CODES[:count]:
        kind = draw(st.sampled_from(KINDS))
        pieces = draw(st.integers(1, most_pieces))
        watts = draw(st.integers(5, most_w))
        found.append(
            ControlCircuit(
                code=code,
                load_kind=kind,
                channels=2 if kind == "dc-tunable" else 1,
                pieces_w=(watts,) * pieces,
                enclosure="E",
            )
        )
    return found


@st.composite
def receivers(draw, least_each=60):
    found = []
    for number in range(draw(st.integers(1, 4))):
        each = draw(st.integers(least_each, 150))
        kinds = draw(st.sets(st.sampled_from(KINDS), min_size=1))
        outputs = draw(st.integers(2, 6))
        found.append(
            ReceiverOption(
                reference=f"R{number}",
                outputs=outputs,
                limits={kind: (draw(st.sampled_from((0, 0, 10))), each) for kind in sorted(kinds)},
                unit_max_w=draw(st.integers(each, each * outputs)),
                cost_minor=draw(st.integers(20, 400)),
            )
        )
    return found


def _house(loads, options):
    return {
        "circuits": loads,
        "receivers": options,
        "enclosures": [EnclosureSpec(reference="E")],
    }


def _plan(house, **more):
    plan = plan_house(**house, **more)
    assert faults(plan, house) == []
    return plan


law = settings(max_examples=60, deadline=None, derandomize=True)


@law
@given(loads=circuits(), options=receivers(), extra=receivers())
def test_adding_a_product_never_raises_the_cost_of_what_was_served(loads, options, extra):
    """For circuits that fit an output whole: a larger output may close a split that a smaller one needed."""
    before = _plan(_house(loads, options))
    lost = {one.code for one in before.unserved}
    served = [load for load in loads if load.code not in lost]
    added = replace(extra[0], reference="NEW")
    after = _plan(_house(served, [*options, added]))
    assert not after.unserved
    assert after.cost_minor <= before.cost_minor


@law
@given(loads=circuits(most_w=90, most_pieces=4), options=receivers(), data=st.data())
def test_a_fixed_choice_never_lowers_the_cost(loads, options, data):
    house = _house(loads, options)
    free = _plan(house)
    code = data.draw(st.sampled_from([load.code for load in loads]))
    reference = data.draw(st.sampled_from([option.reference for option in options]))
    others = data.draw(st.sets(st.sampled_from([load.code for load in loads]), min_size=1))
    choice = data.draw(
        st.sampled_from(
            [
                FixedReceiver(circuit=code, receiver=reference),
                FixedTogether(circuits=tuple(sorted(others))),
                FixedUnits(enclosure="E", receiver=reference, count=len(others)),
            ]
        )
    )
    fixed = _plan(house, fixed=[choice])
    assert len(fixed.unserved) == len(free.unserved)
    assert fixed.cost_minor >= free.cost_minor
    if isinstance(choice, FixedReceiver) and not fixed.broken:
        used = {unit.reference for unit in fixed.units if code in unit.circuits}
        assert used == {reference}
    if isinstance(choice, FixedTogether) and not fixed.broken:
        numbers = {unit.number for unit in fixed.units if set(unit.circuits) & set(choice.circuits)}
        assert len(numbers) == 1


@law
@given(loads=circuits(most_w=120, most_pieces=5), options=receivers(), data=st.data())
def test_order_never_matters(loads, options, data):
    plan = _plan(_house(loads, options))
    shuffled = _house(data.draw(st.permutations(loads)), data.draw(st.permutations(options)))
    assert plan_house(**shuffled) == plan


@law
@given(
    loads=circuits(most_w=150, most_pieces=5),
    options=receivers(least_each=20),
    capacity=st.one_of(st.none(), st.integers(0, 12)),
    spare=st.sampled_from((0, 0, 0.25)),
    exact=st.booleans(),
)
def test_a_plan_breaks_no_limit(loads, options, capacity, spare, exact):
    house = _house(loads, [replace(option, width=option.outputs) for option in options])
    house["enclosures"] = [EnclosureSpec(reference="E", capacity=capacity, spare_share=spare)]
    plan = _plan(house, exact=exact)
    served = {code for unit in plan.units for code in unit.circuits}
    assert served | {one.code for one in plan.unserved} == {load.code for load in loads}


@law
@given(loads=circuits(), options=receivers())
def test_what_is_held_is_planned_again_at_the_same_cost(loads, options):
    house = _house(loads, options)
    first = _plan(house)
    again = _plan(house, held=first.units)
    assert again.cost_minor == first.cost_minor
    assert not again.broken
    assert [unit.outputs for unit in again.units] == [unit.outputs for unit in first.units]
