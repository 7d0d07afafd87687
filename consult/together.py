"""Rows of several tables of a design in one query.

A deed that removes a thing takes with it what hangs on it in other tables: to ask each apart costs
a query for each, most of which find nothing.
"""

import json
from functools import cache
from typing import Any

from django.db import models
from django.db.models import IntegerField, QuerySet, TextField, Value
from django.db.models.functions import Cast, JSONObject


def read_together(*asked: QuerySet[Any]) -> list[list[Any]]:
    """The rows of each of these querysets, by key, all in one query.

    For rows of a design as the journal takes them: their tables hold keys, text, numbers and
    truths, no times. What such a row points at is not with it. Raises TypeError for other tables.
    """
    numbered = [
        rows.order_by().values_list(
            Value(number, output_field=IntegerField()),
            Cast(JSONObject(**{f.attname: f.attname for f in _fields(rows.model)}), TextField()),
        )
        for number, rows in enumerate(asked)
    ]
    found: list[list[Any]] = [[] for _rows in asked]
    for number, text in numbered[0].union(*numbered[1:], all=True).order_by():
        found[number].append(_made(asked[number].model, json.loads(text)))
    return [sorted(rows, key=lambda row: str(row.pk)) for rows in found]


def is_readable_together(model: type[models.Model]) -> bool:
    """Whether rows of this table may be read so: it holds nothing that JSON writes otherwise."""
    fields = model._meta.concrete_fields
    return not any(isinstance(field, models.DateField | models.JSONField) for field in fields)


@cache
def _fields(model: type[models.Model]) -> tuple[models.Field[Any, Any], ...]:
    if not is_readable_together(model):
        raise TypeError(f"{model.__name__} holds values that are not read in this way")
    return tuple(model._meta.concrete_fields)


def _made(model: type[models.Model], content: dict[str, Any]) -> Any:
    return model(**{f.attname: _value(f, content[f.attname]) for f in _fields(model)})


def _value(field: models.Field[Any, Any], value: Any) -> Any:
    if value is None:
        return None
    field = field.target_field if field.is_relation else field
    # Through text: a figure of JSON is a float, and would be as near as that only.
    return field.to_python(str(value) if isinstance(field, models.DecimalField) else value)
