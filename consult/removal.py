"""Removing rows in few queries: what holds on to them is asked once for all tables of an act.

Django's own delete asks each relation of each table apart.
"""

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import PROTECT, SET_NULL, Q, QuerySet

from consult.together import read_beside


def read_to_remove(
    asked: Sequence[QuerySet[Any]], gone: Mapping[Any, Sequence[uuid.UUID] | QuerySet[Any]]
) -> tuple[list[list[Any]], str]:
    """The rows of these querysets, as `read_together` gives them, and what holds on to what goes.

    That is the field by which a row that stays points at one of these that go (by model: keys, or
    the queryset of them); "" where none does. One query. Fields that let the row go (emptied, or
    removed with it) hold nothing.
    """
    holders, names = [], []
    for model, keys in gone.items():
        for relation in _relations_to(model):
            if relation.on_delete is not PROTECT:
                continue
            holder = relation.related_model
            rows = holder._base_manager.filter(**{f"{relation.field.name}__in": keys}).order_by()
            if holder in gone:
                rows = rows.exclude(pk__in=gone[holder])
            holders.append(rows)
            names.append(relation.field.name)
    found, held_by = read_beside(asked, holders)
    return found, names[held_by[0]] if held_by else ""


def removed(model: Any, which: Q) -> int:
    """Remove the rows of a model, and return how many there were. Ask `read_to_remove` first."""
    rows = model._base_manager.filter(which)
    loose = [r for r in _relations_to(model) if r.on_delete is not PROTECT]
    if any(relation.on_delete is not SET_NULL for relation in loose):
        return int(rows.delete()[1].get(model._meta.label, 0))
    for relation in loose:
        name = relation.field.name
        pointing = relation.related_model._base_manager.filter(**{f"{name}__in": rows.values("pk")})
        pointing.update(**{name: None})
    return int(rows._raw_delete(rows.db))


def _relations_to(model: Any) -> list[Any]:
    """The foreign keys that point at the model, those without a name back included."""
    fields = model._meta.get_fields(include_hidden=True)
    return [
        f for f in fields if f.auto_created and not f.concrete and (f.one_to_many or f.one_to_one)
    ]
