"""How a cable runs and what clears a fault there: typed on the screens, said by the findings."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalogue.models import DriverData, Product, ProductPrice
from consult.found import read_findings
from consult.models import Circuit, CircuitFitting, Enclosure, Room
from consult.services import circuits, turns
from tests.conftest import all_of, one
from tests.factories import PRICED_FROM, PersonFactory, a_circuit, a_product, a_project, a_receiver

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by)
    return client


@pytest.fixture
def room(by):
    a_receiver()
    return Room.objects.get(project=a_project(by=by))


def post(staff, view, row, **data):
    address = reverse(f"consult:{view}", args=[row.pk])
    return staff.post(address, data, headers={"HX-Request": "true"})


def said(room, rule):
    return [row.words.why for row in read_findings(room.project).rows if row.found.rule == rule]


def place(**values):
    return {"name": "Cupboard", "kind": "cupboard", "dampness": "dry", **values}


def circuit_values(**values):
    return {"name": "Ceiling", "layer": "ambient", "load_kind": "switched", **values}


def test_the_loop_and_the_device_are_typed_at_the_place_and_taken_back(staff, by, room):
    enclosure = Enclosure.objects.get()
    typed = place(protective_device="C16", rcd_ma="30", rcd_type="AC", fault_loop_ohm="0,35")
    assert post(staff, "enclosure_change", enclosure, seen=enclosure.version, **typed)
    row = Enclosure.objects.get()
    assert (row.fault_loop_ohm, row.rcd_type) == (Decimal("0.35"), "AC")
    (why,) = said(room, "residual-current")
    assert "type AC" in why
    turns.undo(by=by, project=room.project)
    assert Enclosure.objects.get().fault_loop_ohm is None


def test_how_a_cable_is_laid_is_typed_at_the_circuit_and_derates_it(staff, room):
    Enclosure.objects.update(protective_device="C16")
    circuit = Circuit.objects.get()
    typed = circuit_values(cable_mm2="1.5", cable_laid="103", cable_bunched="2")
    post(staff, "circuit_change", circuit, seen=circuit.version, **typed)
    (why,) = said(room, "cable-capacity")
    assert "not touching it (103), carries 8 A" in why  # Table 4D5: 10 A; Table 4C1: 0.80
    assert "protective device of 16 A" in why


def test_where_the_drivers_stand_is_typed_at_the_circuit_and_shown_in_the_plan(staff, by):
    a_receiver(kinds=("analogue-dimmed",))
    driver = Product.objects.create(kind="driver", reference="DRV-1", name="Slim driver")
    DriverData.objects.create(
        product=driver, supply_v=24, rating_w=100, efficiency=Decimal("0.9"), modules=3,
        dimmed_by=["analogue-dimmed"],
    )  # fmt: skip
    ProductPrice.objects.create(product=driver, from_day=PRICED_FROM, cost=9, sell=19)
    fed = a_product(
        load_kinds=("analogue-dimmed",), feed={"supply_v": Decimal(24), "driver_place": "apart"}
    )
    room = Room.objects.get(project=a_project(by=by, circuits_each=0))
    circuit = a_circuit(by=by, room=room, product=fed, load_kind="analogue-dimmed")
    plan = reverse("consult:plan", args=[room.project_id])
    assert "4 modules" in one(staff.get(plan), "main").text  # the receiver's 1 and the driver's 3
    typed = circuit_values(
        load_kind="analogue-dimmed", driver_place="cut-out", driver_has_access="true"
    )
    post(staff, "circuit_change", circuit, seen=circuit.version, **typed)
    shown = one(staff.get(plan), ".unit-card").text
    assert "Slim driver, through the cut-out of the fitting" in shown
    (why,) = said(room, "driver-place")
    assert "nobody has said whether it has air" in why and "reached" not in why


@pytest.mark.parametrize(
    ("view", "model", "data", "wrong"),
    [
        ("circuit_change", Circuit, circuit_values(cable_bunched="6"), "less than or equal to 5"),
        ("circuit_change", Circuit, circuit_values(cable_ambient_c="41"), "less than or equal to"),
        ("circuit_change", Circuit, circuit_values(cable_laid="104"), "not one of the available"),
        ("enclosure_change", Enclosure, place(fault_loop_ohm="-1"), "greater than or equal to 0"),
        ("enclosure_change", Enclosure, place(rcd_type="Z"), "not one of the available"),
    ],
)
def test_what_the_tables_do_not_hold_is_refused_and_stays_typed(
    staff, room, view, model, data, wrong
):
    row = model.objects.get()
    answer = post(staff, view, row, seen=row.version, **data)
    assert wrong in answer.content.decode()
    assert model.objects.get().version == row.version


def test_only_what_is_sold_by_the_metre_is_fed_from_both_ends(staff, by, room):
    tape = a_product(
        kind="tape", unit="metre", name="Tape", watts="14.4", load_kinds=("dc-white",),
        feed={"supply_v": Decimal(24), "ohm_per_m": Decimal("0.1")},
    )  # fmt: skip
    long = a_circuit(by=by, room=room, product=a_product(), name="Cove", load_kind="dc-white")
    row = circuits.fitting_add(by=by, circuit=long, product=tape, length_m=Decimal(7))
    (why,) = said(room, "tape-ends")
    assert "fed from one end, loses 6.1 %" in why
    shown = staff.get(
        reverse("consult:fitting_form", args=[row.pk]), headers={"HX-Request": "true"}
    )
    assert one(shown, "input[name=is_fed_both_ends]")
    lamps = CircuitFitting.objects.filter(circuit=long).exclude(pk=row.pk).get()
    other = staff.get(
        reverse("consult:fitting_form", args=[lamps.pk]), headers={"HX-Request": "true"}
    )
    assert not all_of(other, "input[name=is_fed_both_ends]")
    typed = {"product": tape.pk, "pieces": "1", "length_m": "7", "room": room.pk,
             "arrangement": "points", "supplied_by": "showroom", "installed_by": "showroom",
             "connected_by": "showroom", "is_fed_both_ends": "on"}  # fmt: skip
    post(staff, "fitting_change", row, seen=row.version, **typed)
    assert CircuitFitting.objects.get(pk=row.pk).is_fed_both_ends
    assert not said(room, "tape-ends")
