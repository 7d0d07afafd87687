"""The control plan as people see it: what is fixed, why, and money only where it was opened."""

import re
import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from base.deeds import Refusal
from consult.derived import planned, read_house
from consult.held import Earlier, content_of, units_of
from consult.models import Circuit, FixedChoice, Project, Room
from consult.reader import read_design
from consult.services import circuits, fixed, keypads, turns
from engineering.control_fixed_cost import FixedCost
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_circuit, a_keypad, a_product, a_project, a_receiver

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def staff(client, by):
    client.force_login(by, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def units():
    return {"cheap": a_receiver(cost="50.21"), "dear": a_receiver(outputs=8, cost="90.43")}


@pytest.fixture
def project(by, units):
    return a_project(by=by)


def url(name, *args):
    return reverse(f"consult:{name}", args=args)


def fix(by, project, **values):
    return fixed.fixed_add(by=by, project=project, reason="the client wishes it", **values)


def chosen(project):
    return [u.reference for u in planned(read_house(project)).control.units]


def test_the_page_shows_units_outputs_and_why(staff, project, units):
    page = staff.get(url("plan", project.pk))
    circuit = Circuit.objects.get()
    assert one(page, ".unit-card h3").text.endswith(units["cheap"].name)
    assert circuit.code in one(page, ".outputs li:first-child").text
    assert len(all_of(page, ".outputs .is-spare")) == 3
    assert f"{circuit.code} (48 W)" in one(page, ".unit-card details").text
    assert "Proven" in one(page, ".title-block .state.good").text


def test_no_money_is_in_the_page_until_it_is_pressed(staff, project):
    quiet = staff.get(url("plan", project.pk)).content.decode()
    assert "50.21" not in quiet and "£" not in quiet
    opened = staff.post(url("plan_cost", project.pk), headers={"HX-Request": "true"})
    assert "£50.21" in one(opened, "#money").text
    assert "delay" in one(opened, "#money")["hx-trigger"]
    assert "£50.21" in staff.post(url("plan_cost", project.pk)).content.decode()
    closed = staff.get(url("plan_closed", project.pk)).content.decode()
    assert "£" not in closed
    assert staff.get(url("plan_cost", project.pk)).status_code == 405
    assert staff.get(url("plan_free", project.pk)).status_code == 405


def test_a_fixed_receiver_is_obeyed_and_its_price_told_on_a_press(staff, by, project, units):
    assert chosen(project) == [units["cheap"].reference]
    answer = staff.post(
        url("fixed_add", project.pk, "receiver"),
        {"circuit": Circuit.objects.get().pk, "product": units["dear"].pk, "reason": "spare later"},
    )
    assert answer["Location"] == url("plan", project.pk)
    assert chosen(project) == [units["dear"].reference]
    page = staff.get(url("plan", project.pk))
    assert "spare later" in one(page, "#fixed").text
    told = one(staff.post(url("plan_free", project.pk)), "#money").text
    assert "£40.22 more" in told  # 90.43 − 50.21
    staff.post(url("fixed_remove", FixedChoice.objects.get().pk))
    assert chosen(project) == [units["cheap"].reference]
    turns.undo(by=by, project=project)
    assert chosen(project) == [units["dear"].reference]


def free_rows(page):
    """What was fixed and the figure beside it, as the opened region shows them."""
    named, figures = all_of(page, "#money dt"), all_of(page, "#money dd")
    return {what.text: figure.text for what, figure in zip(named, figures, strict=True)}


def test_each_fixed_choice_is_told_its_own_cost(staff, by, project, units):
    room = Room.objects.get()
    second = a_circuit(by=by, room=room, product=a_product(), name="Shelf")
    first = Circuit.objects.order_by("number").first()
    for circuit in (first, second):
        fix(by, project, kind="receiver", circuit=circuit, product=units["dear"])
    fix(by, project, kind="together", circuit=first, other_circuit=second)
    relay = a_receiver(kinds=("switched",))
    third = a_circuit(by=by, room=room, product=a_product(), name="Cove", load_kind="phase-dimmed")
    fix(by, project, kind="receiver", circuit=third, product=relay)
    rows = free_rows(staff.post(url("plan_free", project.pk)))
    dear = units["dear"].name
    # Each alone saves nothing: the other still asks for the large unit, which has room for both.
    assert rows[f"{first.code} {first.name} → {dear}"] == "nothing"
    assert rows[f"{first.code}, {second.code}"] == "nothing"
    assert rows[f"{third.code} Cove → {relay.name}"] == "it cannot hold"


def test_a_fixed_keypad_is_told_its_cost_too(staff, by, project):
    _cheap, dear = a_keypad(cost="7.77"), a_keypad(cost="19.50")
    keypads.position_add(by=by, room=Room.objects.get(), name="by the door")
    position = Room.objects.get().keypad_positions.get()
    fix(by, project, kind="keypad", keypad_position=position, product=dear)
    assert planned(read_house(project)).keypads.choices[0].reference == dear.reference
    rows = free_rows(staff.post(url("plan_free", project.pk)))
    assert list(rows.values()) == ["£11.73"]  # 19.50 − 7.77
    assert dear.name in next(iter(rows))


def test_what_is_not_proven_is_told_with_both_ends(monkeypatch, staff, by, project, units):
    fix(by, project, kind="receiver", circuit=Circuit.objects.get(), product=units["dear"])
    monkeypatch.setattr(
        "consult.plan_fixed.cost_of_fixed",
        lambda **_given: FixedCost(cost_minor=400, least_minor=-100, most_minor=950, holds=True),
    )
    (figure,) = free_rows(staff.post(url("plan_free", project.pk))).values()
    assert figure == "£0.00 to £9.50, not proven"


def test_one_that_cannot_hold_is_said_and_the_plan_goes_on(staff, by, project):
    relay = a_receiver(kinds=("switched",))
    fix(by, project, kind="receiver", circuit=Circuit.objects.get(), product=relay)
    page = staff.get(url("plan", project.pk))
    assert "cannot hold" in one(page, "#open").text
    assert one(page, ".unit-card")


@pytest.mark.parametrize(
    ("kind", "data", "said"),
    [
        ("receiver", {}, "required"),
        ("receiver", {"reason": ""}, "required"),
        ("units", {"count": "-1", "reason": "x"}, "greater than or equal to 0"),
        ("look", {"reason": "x"}, "Choose a series, a finish, or both"),
        ("receiver", {"circuit": str(uuid.uuid4()), "reason": "x"}, "not one of the available"),
    ],
)
def test_what_cannot_be_fixed_is_refused_in_the_form(staff, project, kind, data, said):
    answer = staff.post(url("fixed_add", project.pk, kind), data)
    assert answer.status_code == 200
    assert said in answer.content.decode()
    assert not FixedChoice.objects.exists()


def test_the_same_thing_is_not_fixed_twice_nor_across_projects(by, project, units):
    circuit = Circuit.objects.get()
    fix(by, project, kind="receiver", circuit=circuit, product=units["dear"])
    with pytest.raises(Refusal, match="fixed already"):
        fix(by, project, kind="receiver", circuit=circuit, product=units["cheap"])
    other = a_project(by=by)
    with pytest.raises(Refusal, match="another project"):
        fix(by, other, kind="receiver", circuit=circuit, product=units["dear"])
    with pytest.raises(Refusal, match="right kind"):
        fix(by, project, kind="driver", circuit=circuit, product=units["dear"])


@pytest.mark.parametrize(
    "values",
    [
        {"kind": "receiver"},
        {"kind": "receiver", "series": "Plain"},
        {"kind": "look"},
        {"kind": "wish"},
        {"kind": "together"},
    ],
)
def test_the_database_holds_the_shape_of_each_kind(project, values):
    with pytest.raises((IntegrityError, ValidationError)), transaction.atomic():
        FixedChoice.objects.create(project=project, reason="x", **values)


def test_circuits_fixed_together_in_pairs_sit_in_one_unit(by, project):
    room = Room.objects.get()
    product = a_product()
    for _n in range(4):
        a_circuit(by=by, room=room, product=product)
    rows = list(Circuit.objects.order_by("number"))
    fix(by, project, kind="together", circuit=rows[0], other_circuit=rows[4])
    fix(by, project, kind="together", circuit=rows[4], other_circuit=rows[2])
    wanted = {rows[0].code, rows[4].code, rows[2].code}
    control = planned(read_house(project)).control
    assert any(wanted <= set(unit.circuits) for unit in control.units)
    assert control.broken == ()


def test_removing_a_circuit_takes_what_was_fixed_for_it_and_undo_brings_it_back(by, project, units):
    circuit = Circuit.objects.get()
    fix(by, project, kind="receiver", circuit=circuit, product=units["dear"])
    before = read_design(project).to_content()
    circuits.circuit_remove(by=by, circuit=circuit)
    assert not FixedChoice.objects.exists()
    turns.undo(by=by, project=project)
    assert read_design(project).to_content() == before


def test_removing_a_position_takes_what_was_fixed_for_it(by, project):
    keypads.position_add(by=by, room=Room.objects.get(), name="by the door")
    position = Room.objects.get().keypad_positions.get()
    fixed_row = FixedChoice.objects.create(
        project=project,
        kind="keypad",
        keypad_position=position,
        product=a_product(kind="keypad"),
        reason="x",
    )
    keypads.position_remove(by=by, row=position)
    assert not FixedChoice.objects.filter(pk=fixed_row.pk).exists()


def test_what_is_wired_comes_back_from_its_content_as_it_was(project, monkeypatch, units):
    was = planned(read_house(project)).control.units
    back = units_of(content_of(was))
    assert content_of(back) == content_of(was)
    monkeypatch.setattr("consult.derived.earlier_units", lambda _issues: Earlier(held=back))
    cheaper = a_receiver(outputs=2, cost="1.00")
    held = planned(read_house(project)).control
    assert [u.reference for u in held.units] == [units["cheap"].reference]
    assert held.units[0].is_held
    monkeypatch.setattr("consult.derived.earlier_units", lambda _issues: Earlier())
    assert chosen(project) == [cheaper.reference]


def test_the_diagram_has_a_title_and_every_circuit(staff, by, project):
    a_circuit(by=by, room=Room.objects.get(), product=a_product(), name="Wall <lights> & more")
    page = staff.get(url("diagram", project.pk))
    drawing = one(page, "svg.one-line")
    assert one(page, "svg.one-line > title").text
    for code in Circuit.objects.values_list("code", flat=True):
        assert code in drawing.text
    assert "Wall <lights> & more" in drawing.text
    html = page.content.decode()
    assert not re.search(r"<svg[^>]*style=|<[a-z]+ [^>]*style=", html)
    assert {"Receiver (U)", "Luminaire"} <= {t.text for t in all_of(page, "svg.one-line text")}
    assert "Motor" not in {t.text for t in all_of(page, "svg.one-line text")}


@pytest.mark.parametrize("name", ["plan", "diagram", "findings", "comparison", "plan_closed"])
def test_strangers_see_nothing_and_a_missing_project_is_404(client, staff, project, name):
    assert staff.get(url(name, project.pk)).status_code == 200
    assert staff.get(url(name, uuid.uuid4())).status_code == 404
    assert staff.post(url(name, project.pk)).status_code == 405
    client.logout()
    answer = client.get(url(name, project.pk))
    assert answer.status_code == 302 and "/account/login/" in answer["Location"]


def test_deeds_of_the_plan_want_a_post_and_a_row(staff, project):
    assert staff.post(url("fixed_remove", uuid.uuid4())).status_code == 404
    assert staff.get(url("fixed_add", project.pk, "nonsense")).status_code == 404
    assert staff.get(url("fixed_remove", uuid.uuid4())).status_code == 405


@pytest.mark.parametrize("name", ["plan", "diagram", "findings", "comparison"])
def test_a_page_costs_the_same_queries_for_a_small_and_a_large_house(
    staff, by, queries, units, name
):
    def pages(**size):
        project = a_project(by=by, **size)
        staff.get(url(name, project.pk))
        return queries(lambda: staff.get(url(name, project.pk)))

    assert pages(rooms=1) == pages(rooms=4, circuits_each=3)
    assert Project.objects.count() == 2
