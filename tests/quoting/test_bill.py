"""The bill: every line with its reason, nothing forgotten, nothing counted twice."""

from decimal import Decimal

import pytest

from catalogue.models import LabourNorm, Part, Product, ProductPrice
from consult.derived import planned, read_house
from consult.models import Circuit, Room
from consult.services import circuits, house, keypads
from quoting.bill import make_bill
from quoting.labour import height_factor
from quoting.problems import Problem, of_lines, problem_sentence
from tests.factories import (
    PRICED_FROM,
    PersonFactory,
    a_circuit,
    a_keypad,
    a_product,
    a_project,
    a_receiver,
    with_rates,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def project(by):
    with_rates()
    a_receiver(outputs=8, max_w="500")
    return a_project(by=by)


def bill_of(project):
    read = read_house(project)
    return make_bill(house=read, planned=planned(read))


def lines(project, source):
    return [line for line in bill_of(project).lines if line.source == source]


def a_thing(kind, name, **values):
    number = Product.objects.count()
    thing = Product.objects.create(kind=kind, reference=f"{kind}-{number}", name=name, **values)
    ProductPrice.objects.create(
        product=thing, from_day=PRICED_FROM, cost=Decimal("3.33"), sell=Decimal("7.00")
    )
    return thing


def test_every_line_says_why_it_is_there(project):
    for line in bill_of(project).lines:
        assert line.why, line.key
        assert line.quantity > 0


def test_keys_are_the_same_when_the_bill_is_made_again(project):
    first, again = bill_of(project), bill_of(project)
    assert [line.key for line in first.lines] == [line.key for line in again.lines]
    assert len({line.key for line in first.lines}) == len(first.lines)


def test_one_product_on_two_circuits_of_a_room_is_one_line_with_two_reasons(by, project):
    circuit = Circuit.objects.get()
    a_circuit(by=by, room=circuit.room, product=circuit.fittings.get().product)
    (line,) = lines(project, "fitting")
    assert line.quantity == 12
    assert sorted((why.about, why.quantity) for why in line.why) == [
        ("001.1", 6),
        ("001.2", 6),
    ] or {why.quantity for why in line.why} == {Decimal(6)}
    assert len(line.why) == 2


def test_a_piece_with_two_feeds_is_billed_once(by, project):
    room = Room.objects.get()
    light = a_product(name="Up and down wall light")
    down = circuits.circuit_add(
        by=by, room=room, name="Down", fitting={"product": light, "pieces": 4}
    )
    up = circuits.circuit_add(by=by, room=room, name="Up")
    circuits.fitting_add(by=by, circuit=up, same_pieces_as=down.fittings.get())
    (line,) = [line for line in lines(project, "fitting") if line.product == str(light.pk)]
    assert line.quantity == 4
    read = read_house(project)
    assert read.loads[str(up.pk)].watts == read.loads[str(down.pk)].watts == 32


def test_tape_is_cut_at_its_step_and_the_rest_of_the_reel_is_a_line_of_its_own(by, project):
    tape = a_product(
        kind="tape", name="Tape", unit="metre", load_kinds=("dc-white",), watts="9.6",
        sold_length_m=Decimal(5), cut_step_m=Decimal("0.05"), feed={"supply_v": 24},
    )  # fmt: skip
    circuit = circuits.circuit_add(
        by=by, room=Room.objects.get(), name="Shelf", load_kind="dc-white"
    )
    circuits.fitting_add(by=by, circuit=circuit, product=tape, pieces=2, length_m=Decimal("1.23"))
    (line,) = lines(project, "tape")
    (rest,) = [x for x in lines(project, "remainder") if x.product == str(tape.pk)]
    assert line.quantity == Decimal("2.50")  # each cut at 1.25
    assert rest.quantity == Decimal("2.50")
    assert line.quantity + rest.quantity == 5


def test_what_a_product_needs_with_it_follows(by, project):
    light = a_product(name="Recessed light")
    hood = a_thing("accessory", "Hood")
    clip = a_thing("accessory", "Clip")
    Part.objects.create(product=light, part=hood, per="piece", quantity=1)
    Part.objects.create(product=hood, part=clip, per="piece", quantity=2)
    a_circuit(by=by, room=Room.objects.get(), product=light)
    found = {line.description: line.quantity for line in lines(project, "part")}
    assert found == {"Hood": 6, "Clip": 12}


def test_what_others_supply_is_named_but_not_ours(by, project):
    fitting = Circuit.objects.get().fittings.get()
    circuits.fitting_change(by=by, fitting=fitting, supplied_by="client")
    (line,) = lines(project, "fitting")
    assert (line.is_ours, line.supplied_by) == (False, "client")


def test_what_the_clients_electrician_installs_costs_us_no_labour(by, project):
    fitting = Circuit.objects.get().fittings.get()
    assert lines(project, "labour")
    circuits.fitting_change(by=by, fitting=fitting, installed_by="electrician")
    assert not lines(project, "labour")


def test_a_placeholder_is_a_provisional_sum(by, project):
    circuits.circuit_add(
        by=by, room=Room.objects.get(), name="Hall pendant",
        fitting={
            "placeholder": "Hall pendant", "allowance": Decimal(450), "placeholder_w": Decimal(40)
        },
    )  # fmt: skip
    (line,) = bill_of(project).provisional()
    assert (line.unit_sell, line.quantity, line.source) == (Decimal(450), 1, "placeholder")


def test_cable_follows_the_lengths_typed(by, project):
    a_thing("cable", "Lighting cable", unit="metre", sold_length_m=Decimal(50))
    circuits.circuit_change(by=by, circuit=Circuit.objects.get(), cable_length_m=Decimal("12.5"))
    (line,) = lines(project, "cable")
    assert (line.quantity, line.unit) == (Decimal("12.50"), "metre")


def test_work_under_a_high_ceiling_takes_longer(by, project):
    before = lines(project, "labour")[0].quantity
    house.room_change(by=by, room=Room.objects.get(), height_m=Decimal("4.1"))
    assert lines(project, "labour")[0].quantity == before * Decimal("1.5")


@pytest.mark.parametrize(
    ("finish", "factor"),
    # Factors of our own: common practice, no source.
    [("", "1"), ("plaster", "1"), ("lath", "1.2"), ("tiled", "1.3"), ("concrete", "1.5")],
)
def test_work_into_a_hard_ceiling_takes_longer(by, project, finish, factor):
    before = lines(project, "labour")[0].quantity
    house.room_change(by=by, room=Room.objects.get(), ceiling_finish=finish, wall_finish="tiled")
    (line,) = lines(project, "labour")
    assert line.quantity == before * Decimal(factor)
    assert sum(why.quantity for why in line.why) == line.quantity * 60
    told = [(why.code, why.about) for why in line.why if why.code != "norm"]
    assert told == ([("by_ceiling", f"{finish} × {factor}")] if Decimal(factor) != 1 else [])


def test_a_keypad_is_fixed_into_the_wall_and_heights_count_besides(by, project):
    LabourNorm.objects.all().delete()
    LabourNorm.objects.create(
        operation="second-fix", kind="keypad", per="piece", minutes=40, grade="electrician"
    )
    a_keypad()
    keypads.position_add(by=by, room=Room.objects.get(), name="Inside the door")
    house.room_change(
        by=by, room=Room.objects.get(), height_m=3, ceiling_finish="concrete", wall_finish="tiled"
    )
    (line,) = lines(project, "labour")
    # 40 min × 1.25 for three metres × 1.3 for tiles = 65 min.
    assert line.quantity == Decimal("1.08")
    assert {why.code: why.quantity for why in line.why} == {
        "norm": 40,
        "by_height": 10,
        "by_wall": 15,
    }


@pytest.mark.parametrize(
    ("height", "factor"),
    # Steps of our own: common practice, no source.
    [(None, "1"), ("2.4", "1"), ("2.7", "1"), ("2.71", "1.25"), ("5", "1.5"), ("5.01", "2")],
)
def test_access_rises_in_steps(height, factor):
    assert height_factor(Decimal(height) if height else None) == Decimal(factor)


def test_norms_per_circuit_scene_and_visit_count_those(project):
    LabourNorm.objects.create(
        operation="termination", per="circuit", minutes=30, grade="electrician"
    )
    LabourNorm.objects.create(operation="programming", per="scene", minutes=15, grade="electrician")
    LabourNorm.objects.create(operation="travel", per="visit", minutes=60, grade="electrician")
    found = {line.operation: line.quantity for line in lines(project, "labour")}
    assert found["termination"] == Decimal("0.50")
    assert found["programming"] == Decimal("0.25")
    assert found["travel"] == Decimal("1.00")


def test_without_norms_or_prices_the_bill_says_what_it_lacks(by, project):
    bare = a_product(name="Bare")
    bare.prices.all().delete()
    a_circuit(by=by, room=Room.objects.get(), product=bare)
    assert [line.description for line in bill_of(project).without_price()] == ["Bare"]


def test_a_placeholder_without_an_allowance_is_mended_on_its_sheet(by, project):
    """Not in the catalogue, where nothing of it stands."""
    bare = a_product(name="Bare")
    bare.prices.all().delete()
    a_circuit(by=by, room=Room.objects.get(), product=bare)
    circuits.circuit_add(
        by=by, room=Room.objects.get(), name="Hall pendant", fitting={"placeholder": "Hall pendant"}
    )
    found = {each.about: each.code for each in of_lines(bill_of(project), (), {})}
    assert found["Hall pendant"] == "no_allowance"
    assert found["Bare"] == "no_price"
    said = problem_sentence(Problem(code="no_allowance", about="Hall pendant"))
    assert "an allowance" in said
    assert "catalogue" not in said
