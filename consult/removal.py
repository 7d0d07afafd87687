"""Removing rows in few queries: what holds on to them is asked once for all tables of an act.

Django's own delete asks each relation of each table apart.
"""

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import PROTECT, Q, Value


def holder_of(gone: Mapping[Any, Sequence[uuid.UUID]]) -> str:
    """The field by which a row that stays points at one of these that go, by model; "" if none does.

    One query. Fields that let the row go (emptied, or removed with it) hold nothing.
    """
    asked, names = [], []
    for model, keys in gone.items():
        for relation in _relations_to(model):
            if relation.on_delete is not PROTECT:
                continue
            holder = relation.related_model
            rows = holder._base_manager.filter(**{f"{relation.field.name}__in": keys}).order_by()
            if holder in gone:
                rows = rows.exclude(pk__in=gone[holder])
            asked.append(rows.values_list(Value(len(names)), flat=True))
            names.append(relation.field.name)
    if not asked:
        return ""
    # A model's own order is none of several tables together.
    found = asked[0].union(*asked[1:], all=True).order_by() if len(asked) > 1 else asked[0]
    return next((names[number] for number in found[:1]), "")


def removed(model: Any, which: Q) -> int:
    """Remove the rows of a model, and return how many there were. Ask `holder_of` first."""
    rows = model._base_manager.filter(which)
    if all(relation.on_delete is PROTECT for relation in _relations_to(model)):
        return int(rows._raw_delete(rows.db))
    return int(rows.delete()[1].get(model._meta.label, 0))


def _relations_to(model: Any) -> list[Any]:
    """The foreign keys that point at the model, those without a name back included."""
    fields = model._meta.get_fields(include_hidden=True)
    return [
        f for f in fields if f.auto_created and not f.concrete and (f.one_to_many or f.one_to_one)
    ]
