"""Rows by a query that is put together once are the rows of the plain query."""

import uuid

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import F
from django.db.transaction import TransactionManagementError

from base.asked import Asked, by_key, changed, locked_by_key, put
from base.models import Deed
from catalogue.models import Feed, Product
from consult.models import CircuitFitting, JournalEntry, Room
from tests.conftest import counted_queries
from tests.factories import PersonFactory, a_product, a_project

pytestmark = pytest.mark.django_db
RELATED = ("project", "circuit__room", "product__fitting", "feed", "lamp")


@pytest.fixture
def design():
    """A small house, its fittings of a product with two feeds."""
    project = a_project(by=PersonFactory(), rooms=2, circuits_each=3)
    product = a_product(watts="9", lumens="700", load_kinds=("switched",))
    Feed.objects.filter(product=product).update(number=2)
    first = Feed.objects.get(product=product)
    first.pk, first.number, first.name = None, 1, "down"
    first.save(force_insert=True)
    row = CircuitFitting.objects.first()
    CircuitFitting.objects.filter(pk=row.pk).update(product=product, feed=first)
    return project


def values(row, deep=4):
    """All that a row holds, with the rows it knows, and those that they know."""
    if row is None or not deep:
        return row and row.pk
    cached = sorted(row._state.fields_cache.items())
    known = {name: values(other, deep - 1) for name, other in cached}
    return {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields} | {
        "known": known
    }


def test_every_row_is_as_the_plain_query_gives_it(design):
    plain = CircuitFitting.objects.select_related(*RELATED)
    keys = list(CircuitFitting.objects.values_list("pk", flat=True))
    assert len(keys) == 6
    for key in keys:
        found = by_key(CircuitFitting, *RELATED).first(key)
        assert values(found) == values(plain.get(pk=key))
        assert found._state.db == "default"
        assert not found._state.adding


def test_a_row_is_asked_for_once_and_what_it_points_at_comes_with_it(design):
    key = CircuitFitting.objects.values_list("pk", flat=True).first()
    asked = by_key(CircuitFitting, "project", "circuit__room")
    asked.first(key)
    with counted_queries() as counted:
        row = asked.first(key)
        assert row.project.name and row.circuit.room.name
    assert len(counted) == 1


def test_what_is_not_there_is_nothing():
    assert by_key(Room).first(uuid.uuid4()) is None
    assert Asked(lambda key: Feed.objects.filter(product=key)).all(uuid.uuid4()) == []


def test_rows_come_in_the_order_that_was_asked_for(design):
    asked = Asked(lambda key: Feed.objects.filter(product=key).order_by("-number"))
    product = next(p for p in Product.objects.prefetch_related("feeds") if p.feeds.count() > 1)
    found = [feed.number for feed in asked.all(product.pk)]
    assert found == sorted(found, reverse=True)
    assert len(found) > 1


def test_a_row_changed_since_is_given_as_it_is(design):
    room = Room.objects.first()
    by_key(Room).first(room.pk)
    Room.objects.filter(pk=room.pk).update(name="The snug")
    assert by_key(Room).first(room.pk).name == "The snug"


def test_each_row_is_an_object_of_its_own(design):
    key = Room.objects.values_list("pk", flat=True).first()
    one, other = by_key(Room).first(key), by_key(Room).first(key)
    one.name = "changed here alone"
    assert one is not other
    assert other.name != one.name


def test_a_query_without_the_key_is_refused():
    with pytest.raises(ValueError, match="do not depend"):
        Asked(lambda _key: Room.objects.filter(name="x")).all(uuid.uuid4())


def test_a_locked_row_is_asked_for_under_lock_where_the_database_locks_rows(design):
    key = Room.objects.values_list("pk", flat=True).first()
    with counted_queries() as counted:
        assert locked_by_key(Room).first(key).pk == key
    assert len(counted) == 1
    assert counted[0]["sql"].endswith(" FOR UPDATE") is connection.features.has_select_for_update


def a_record(**values):
    return Deed(key=uuid.uuid4(), name="tests.deed", answer={"pk": "1", "n": [1, None]}, **values)


def test_a_row_put_is_the_row_that_is_read(design):
    made = a_record()
    assert put(made)
    assert not made._state.adding
    found = Deed.objects.get(key=made.key)
    assert (found.name, found.answer, found.done_at) == (made.name, made.answer, made.done_at)
    entry = JournalEntry.objects.order_by("-number").first()
    again = JournalEntry(
        **{f.attname: getattr(entry, f.attname) for f in entry._meta.concrete_fields}
    )
    again.pk, again.number = uuid.uuid4(), entry.number + 1
    assert put(again)
    assert values(JournalEntry.objects.get(pk=again.pk)) == values(again)


def test_what_is_there_already_is_not_put_twice():
    made = a_record()
    other = Deed(key=made.key, name="another")
    assert put(made, unless="key")
    assert not put(other, unless="key")
    assert Deed.objects.get(key=made.key).name == "tests.deed"


def test_without_that_the_rule_of_the_database_is_told(design):
    entry = JournalEntry.objects.first()
    entry.pk = uuid.uuid4()
    with pytest.raises(IntegrityError), transaction.atomic():
        put(entry)


@pytest.mark.django_db(transaction=True)
def test_a_lock_outside_a_transaction_is_refused():
    with transaction.atomic():
        assert locked_by_key(Room).first(uuid.uuid4()) is None
    with pytest.raises(TransactionManagementError):
        locked_by_key(Room).first(uuid.uuid4())


def test_a_row_is_changed_and_given_as_it_then_is_in_one_statement(design):
    row, other = Room.objects.order_by("pk")
    rows = Room.objects.filter(pk=row.pk)
    with counted_queries() as counted:
        found = changed(rows, last_circuit_number=F("last_circuit_number") + 1, name="Snug")
    assert len(counted) == 1
    assert found.last_circuit_number == row.last_circuit_number + 1
    assert found.name == "Snug"
    assert values(found) == values(rows.get())
    assert Room.objects.get(pk=other.pk).name == other.name


def test_of_no_row_nothing_is_changed(design):
    assert changed(Room.objects.filter(pk=uuid.uuid4()), name="Snug") is None
    assert not Room.objects.filter(name="Snug").exists()
