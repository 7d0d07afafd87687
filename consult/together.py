"""Rows of several tables of a design in one query.

A deed that removes a thing takes with it what hangs on it in other tables: to ask each apart costs
a query for each, most of which find nothing.
"""

import json
from collections.abc import Sequence
from functools import cache
from typing import Any

from django.db import models
from django.db.models import IntegerField, QuerySet, TextField, Value

from consult.rows import numbered, value_of


def read_together(*asked: QuerySet[Any]) -> list[list[Any]]:
    """The rows of each of these querysets, by key, all in one query.

    For rows of a design as the journal takes them: their tables hold keys, text, numbers and
    truths, no times. What such a row points at is not with it. Raises TypeError for other tables.
    """
    found, _which = read_beside(asked, ())
    return found


def read_beside(
    asked: Sequence[QuerySet[Any]], others: Sequence[QuerySet[Any]]
) -> tuple[list[list[Any]], list[int]]:
    """As `read_together`; and, in the same query, which of the `others` have rows, by their place."""
    texts = [
        numbered(number, rows, *(f.attname for f in _fields(rows.model)))
        for number, rows in enumerate(asked)
    ]
    texts += [_without_text(len(asked) + place, rows) for place, rows in enumerate(others)]
    found: list[list[Any]] = [[] for _rows in asked]
    which = set()
    # A model's own order is none of several tables together.
    for number, text in texts[0].union(*texts[1:], all=True).order_by() if texts else ():
        if number < len(asked):
            found[number].append(_made(asked[number].model, json.loads(text)))
        else:
            which.add(number - len(asked))
    return [sorted(rows, key=lambda row: str(row.pk)) for rows in found], sorted(which)


def _without_text(number: int, rows: QuerySet[Any]) -> QuerySet[Any]:
    return rows.order_by().values_list(
        Value(number, output_field=IntegerField()), Value("", output_field=TextField())
    )


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
    return model(**{f.attname: value_of(f, content[f.attname]) for f in _fields(model)})
