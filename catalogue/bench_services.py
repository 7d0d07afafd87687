"""Deeds on what was tried on the bench. Whoever works here may keep them: designers try lamps."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal
from base.models import Person
from catalogue.bench_models import BenchTest
from catalogue.edition import deed
from catalogue.kinds import Kind
from catalogue.models import Product

# What may hang on a receiver, or stand between it and the light.
TRIED_KINDS = frozenset({Kind.LAMP, Kind.FITTING, Kind.TAPE, Kind.DRIVER})


@deed()
def add_bench_test(*, by: Person, fields: Mapping[str, Any], today: date) -> BenchTest:
    """Keep what was tried: `fields` as of the form."""
    _must_hold(by, fields, today, BenchTest.objects.all())
    made: BenchTest = BenchTest.objects.create(by=by, **fields)
    return made


@deed(locks="row")
def change_bench_test(
    *, by: Person, row: BenchTest, fields: Mapping[str, Any], today: date
) -> BenchTest:
    _must_hold(by, fields, today, BenchTest.objects.exclude(pk=row.pk))
    for name, value in fields.items():
        setattr(row, name, value)
    row.version += 1
    row.save()
    return row


@deed(locks="row")
def remove_bench_test(*, by: Person, row: BenchTest) -> None:
    _must_work_here(by)
    row.delete()


def _must_work_here(by: Person) -> None:
    if not by.is_active:
        raise Refusal(_("Only somebody who works here may keep this."))


def _must_hold(by: Person, fields: Mapping[str, Any], today: date, others: Any) -> None:
    _must_work_here(by)
    load: Product = fields["load"]
    receiver: Product = fields["receiver"]
    if load.kind not in TRIED_KINDS:
        raise Refusal(_("Tried is a lamp, a fitting, a tape or a driver: choose one of those."))
    if receiver.kind != Kind.RECEIVER:
        raise Refusal(_("It is tried on a receiver: choose one."))
    if fields["tried_on"] > today:
        raise Refusal(_("That day has not come yet: say when it was tried."))
    names = ("load", "receiver", "edge", "pieces", "tried_on")
    if others.filter(**{name: fields[name] for name in names}).exists():
        raise Refusal(_("This was kept already for that day: change it there."))
