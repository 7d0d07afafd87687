"""What is kept is what would be worked out afresh, whatever was changed before.

Every value that a house is asked for is taken through what is kept, and then once more with
everything that is kept thrown away. They must be the same after any edits; and a key that leaves
something out must be caught by that.
"""

from decimal import Decimal

import pytest
from django.core.cache import caches
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from base import once
from base.models import Business
from catalogue import reader as catalogue_reader
from catalogue import services as catalogue
from catalogue.models import Product
from consult import derived, reader, rows
from consult.derived import fingerprint, planned, planned_now, read_house
from consult.found import findings_of
from consult.models import (
    Circuit,
    CircuitFitting,
    Enclosure,
    Opening,
    Project,
    Room,
    Scene,
    SceneLevel,
)
from consult.room_light import room_light
from consult.services import circuits, house, keypads, openings, people, scenes, turns
from quoting.drafting import draft_of
from quoting.models import Quote
from tests.conftest import counted_queries
from tests.factories import PersonFactory, a_keypad, a_product, a_project, a_receiver, with_rates

pytestmark = pytest.mark.django_db


@pytest.fixture
def by(settings):
    settings.STOCK_IS_KEPT = settings.DESIGN_IS_KEPT = True  # as it is where it is served
    return PersonFactory(role="manager")


def forget_all():
    for each in caches.all(initialized_only=True):
        each.clear()
    once.forget()
    rows.forget()
    derived.forget()
    catalogue_reader._kept.clear()


def values(project):
    """Every value that pages show of a house: its digest is left out, since it is a key itself."""
    read = read_house(project)
    exact, quick = planned(read), planned(read, exact=False)
    now, _is_pending = planned_now(read)
    draft = draft_of(Quote(project=project))
    at_table = draft_of(Quote(project=project), plan_of=lambda each: planned_now(each)[0])
    found = {
        "design": read.design,
        "stock": read.stock,
        "loads": tuple(sorted(read.loads.items())),
        "exact plan": exact,
        "quick plan": quick,
        "plan at hand": now,
        "findings": tuple(row.found for row in findings_of(project, read, exact).rows),
        "findings by the quick plan": tuple(
            row.found for row in findings_of(project, read, quick).rows
        ),
        "light": tuple(room_light(read, room, exact=True) for room in read.design.rooms),
        "lines": tuple((x.key, x.quantity, x.unit_price, x.unit_cost, x.net) for x in draft.lines),
        "price": (draft.priced.gross_total, draft.cost_total, at_table.priced.gross_total),
    }
    return {name: fingerprint(value) for name, value in found.items()}


def differing(project):
    """The names of values that come out otherwise once nothing is kept."""
    project = Project.objects.get(pk=project.pk)
    kept = values(project)
    forget_all()
    fresh = values(project)
    return {name for name in kept if kept[name] != fresh[name]}


# --- edits ----------------------------------------------------------------------------------------
def _nth(rows_of, n):
    found = list(rows_of.order_by("pk"))
    return found[n % len(found)]


def pieces(by, project, n):
    row = _nth(CircuitFitting.objects.filter(project=project), n)
    circuits.fitting_change(by=by, fitting=row, pieces=1 + n)


def another_product(by, project, n):
    row = _nth(CircuitFitting.objects.filter(project=project), n)
    product = _nth(Product.objects.filter(kind="fitting"), n)
    circuits.fitting_change(by=by, fitting=row, product=product, feed=None)


def fitting_away(by, project, n):
    rows_of = CircuitFitting.objects.filter(project=project)
    if rows_of.count() > 1:
        circuits.fitting_remove(by=by, fitting=_nth(rows_of, n))


def fitting_elsewhere(by, project, n):
    row = _nth(CircuitFitting.objects.filter(project=project), n)
    other = _nth(Circuit.objects.filter(project=project), n + 1)
    circuits.fitting_to_circuit(by=by, fitting=row, circuit=other)


def fitting_up(by, project, n):
    row = _nth(CircuitFitting.objects.filter(project=project), n)
    circuits.fitting_move(by=by, fitting=row, step=(-1, 1)[n % 2])


def circuit_up(by, project, n):
    row = _nth(Circuit.objects.filter(project=project), n)
    circuits.circuit_move(by=by, circuit=row, step=(-1, 1)[n % 2])


def circuit(by, project, n):
    row = _nth(Circuit.objects.filter(project=project), n)
    kinds = ("switched", "phase-dimmed", "digital-dimmed")
    circuits.circuit_change(
        by=by, circuit=row, name=f"Circuit {n}", load_kind=kinds[n % 3],
        cable_length_m=Decimal(n), cable_mm2=Decimal("1.5"),
    )  # fmt: skip


def circuit_more(by, project, n):
    room = _nth(Room.objects.filter(project=project), n)
    product = _nth(Product.objects.filter(kind="fitting"), n)
    circuits.circuit_add(
        by=by, room=room, name="More", load_kind="switched",
        fitting={"product": product, "pieces": 1 + n % 9},
    )  # fmt: skip


def room_size(by, project, n):
    room = _nth(Room.objects.filter(project=project), n)
    house.room_change(by=by, room=room, length_m=Decimal(3 + n % 5), use=("study", "hall")[n % 2])


def opened(by, project, n):
    one, *_, other = Room.objects.filter(project=project).order_by("pk")
    row = Opening.objects.filter(project=project).first()
    values = {"wall": ("", "left", "back")[n % 3], "width_m": Decimal(1 + n % 2)}
    values |= {"from_m": Decimal("0.5"), "height_m": Decimal(2), "other_wall": "right"}
    if row is None:
        openings.opening_add(by=by, room=one, other=other, other_from_m=Decimal(0), **values)
    else:
        openings.opening_change(by=by, row=row, **values)


def closed(by, project, n):
    row = Opening.objects.filter(project=project).first()
    if row is not None:
        openings.opening_remove(by=by, row=row)


def board(by, project, n):
    row = _nth(Enclosure.objects.filter(project=project), n)
    house.enclosure_change(
        by=by, enclosure=row, modules=4 + n, dampness=("dry", "wet")[n % 2]
    )  # fmt: skip


def level(by, project, n):
    row = _nth(SceneLevel.objects.filter(project=project), n)
    scenes.level_set(by=by, scene=row.scene, circuit=row.circuit, level=n)


def scene_hours(by, project, n):
    row = _nth(Scene.objects.filter(project=project), n)
    hours = (None, Decimal(0), Decimal(n % 13), Decimal("1.25"))[n % 4]
    scenes.scene_change(by=by, scene=row, hours_a_day=hours)


def keypad(by, project, n):
    room = _nth(Room.objects.filter(project=project), n)
    keypads.position_add(by=by, room=room, name=f"At the door {n}", is_engraved=bool(n % 2))


def name_of_project(by, project, n):
    people.project_change(by=by, project=project, name=f"Yard {n}", wiring_has_earth=bool(n % 2))


def price(by, project, n):
    product = _nth(Product.objects.filter(prices__isnull=False).distinct(), n)
    today = timezone.localdate()
    new = catalogue.Price(from_day=today, cost=Decimal(5 + n), sell=Decimal(50 + n))
    catalogue.set_price(by=by, product=product, price=new, today=today)


def headroom(by, project, n):
    Business.objects.update(driver_headroom=Decimal(n % 40) / 100)


def back(by, project, n):
    turns.undo(by=by, project=project)


EDITS = (
    pieces, another_product, fitting_away, fitting_elsewhere, fitting_up, circuit_up, circuit,
    circuit_more, room_size, opened, closed, board, level, scene_hours, keypad,
    name_of_project, price, headroom, back,
)  # fmt: skip


@pytest.fixture
def project(by):
    with_rates()
    a_receiver()
    a_receiver(outputs=2, cost="41.00", kinds=("switched", "phase-dimmed", "digital-dimmed"))
    a_keypad()
    a_product(watts="14", lumens="1200", load_kinds=("switched", "digital-dimmed"))
    return a_project(by=by, rooms=2, circuits_each=2)


@settings(
    max_examples=10, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
@given(st.lists(st.tuples(st.sampled_from(EDITS), st.integers(0, 40)), min_size=1, max_size=4))
def test_what_is_kept_is_what_is_afresh(by, project, changes):
    values(project)
    for edit, n in changes:
        edit(by=by, project=Project.objects.get(pk=project.pk), n=n)
        values(project)  # so that what is kept of here is there for the next
    assert not differing(project)


@pytest.mark.parametrize(
    ("left_out", "edit", "n"),
    [
        (CircuitFitting, pieces, 11),
        (Circuit, circuit, 2),
        (Room, room_size, 4),
        (Opening, opened, 1),
        (Enclosure, board, 1),
        (Scene, scene_hours, 3),
    ],
)
def test_a_key_that_leaves_something_out_is_caught(by, project, monkeypatch, left_out, edit, n):
    whole = rows.digest_of
    monkeypatch.setattr(
        rows, "digest_of", lambda summed: whole({k: v for k, v in summed.items() if k != left_out})
    )
    forget_all()
    values(project)
    edit(by=by, project=Project.objects.get(pk=project.pk), n=n)
    assert differing(project)


def test_a_design_says_where_it_is_from_and_another_says_otherwise(by, project):
    design = reader.read_design(project)
    assert reader.read_design(project).digest == design.digest
    forget_all()
    assert reader.read_design(project).digest == design.digest
    house.room_change(by=by, room=Room.objects.filter(project=project).first(), name="Renamed")
    assert reader.read_design(project).digest != design.digest


def test_only_what_an_act_changed_is_read_again(by, project):
    before = reader.read_design(project)
    circuits.fitting_change(
        by=by, fitting=CircuitFitting.objects.filter(project=project).first(), pieces=7
    )
    with counted_queries() as asked:
        after = reader.read_design(project)
    assert len(asked) == 1
    assert "consult_circuitfitting" not in asked[0]["sql"]
    same = [new is old for new, old in zip(after.circuits, before.circuits, strict=True)]
    assert same.count(False) == 1
    assert after.rooms is before.rooms
    assert after.scenes is before.scenes


def test_the_digest_follows_acts_there_and_back(by, project):
    before = reader.read_design(project).digest
    fitting = CircuitFitting.objects.filter(project=project).first()
    circuits.fitting_change(by=by, fitting=fitting, pieces=7)
    changed = reader.read_design(project).digest
    forget_all()
    assert reader.read_design(project).digest == changed != before
    turns.undo(by=by, project=Project.objects.get(pk=project.pk))
    assert reader.read_design(project).digest == before


def test_an_act_that_came_to_nothing_is_forgotten(by, project):
    """Two acts have one number: what was read within the first must not stand for the second."""
    row = CircuitFitting.objects.filter(project=project).first()
    reader.read_design(project)
    with pytest.raises(RuntimeError), transaction.atomic():
        circuits.fitting_change(by=by, fitting=row, pieces=7)
        assert _pieces(reader.read_design(Project.objects.get(pk=project.pk)), row) == 7
        raise RuntimeError
    assert _pieces(reader.read_design(project), row) == row.pieces
    with pytest.raises(RuntimeError), transaction.atomic():
        circuits.fitting_change(by=by, fitting=row, pieces=7)
        reader.read_design(project)
        raise RuntimeError
    row = CircuitFitting.objects.get(pk=row.pk)
    circuits.fitting_change(by=by, fitting=row, pieces=3)
    assert _pieces(reader.read_design(project), row) == 3


def test_an_act_of_another_process_is_seen(by, project):
    """Two processes that keep the same design each read what the other did."""
    row = CircuitFitting.objects.filter(project=project).first()
    reader.read_design(project)
    ours = dict(rows._kept)
    for pieces_now in (7, 8, 9):
        row = CircuitFitting.objects.get(pk=row.pk)
        circuits.fitting_change(by=by, fitting=row, pieces=pieces_now)
        reader.read_design(project)
    theirs = dict(rows._kept)
    turns.undo(by=by, project=Project.objects.get(pk=project.pk))
    for kept in (ours, theirs):
        rows._kept.clear()
        rows._kept.update(kept)
        assert _pieces(reader.read_design(project), row) == 8


def _pieces(design, row):
    fittings = {f.id: f for circuit in design.circuits for f in circuit.fittings}
    return fittings[str(row.pk)].pieces
