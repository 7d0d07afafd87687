"""Rows of several tables read in one query are those that the database has."""

from decimal import Decimal

import pytest

from consult import journal
from consult.models import CircuitFitting, FixedChoice, JournalEntry, Room, SceneLevel
from consult.together import read_together
from tests.factories import PersonFactory, a_circuit, a_product, a_project

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory()


def test_rows_are_as_the_database_has_them_in_one_query(by, django_assert_num_queries):
    project = a_project(by=by, rooms=2, circuits_each=2)
    CircuitFitting.objects.update(length_m=Decimal("2.705"), lamp_cap="“E27”")
    a_circuit(by=by, room=Room.objects.first(), product=a_product())
    asked = [SceneLevel.objects.all(), FixedChoice.objects.all(), CircuitFitting.objects.all()]
    with django_assert_num_queries(1):
        found = read_together(*asked)
    assert found[1] == []
    for rows, queryset in zip(found, asked, strict=True):
        kept = {row.pk: (row.version, journal._fields(row)) for row in queryset}
        assert {row.pk: (row.version, journal._fields(row)) for row in rows} == kept
    assert len(found[2]) == 5
    assert project.pk == found[0][0].project_id


def test_nothing_asked_of_no_rows(django_assert_num_queries):
    with django_assert_num_queries(0):
        assert read_together(SceneLevel.objects.none(), CircuitFitting.objects.none()) == [[], []]


def test_a_table_with_times_is_refused():
    with pytest.raises(TypeError, match="JournalEntry"):
        read_together(JournalEntry.objects.all())
