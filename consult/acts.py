"""Acts of the journal as the history shows them: what each row was, and what it became."""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import models
from django.db.models import TextField, Value
from django.db.models.functions import Cast
from django.utils.translation import gettext as _

from consult.journal import next_redo, next_undo
from consult.models import JournalEntry, Project

# Shown at most of one act; the rest is counted.
MOST_SHOWN = 24
NOT_SHOWN = frozenset({"project_id", "position", "schema"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One field of one row, before and after, in words."""

    row: str
    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    entry: JournalEntry
    differences: tuple[Difference, ...]
    more: int
    is_next_undo: bool
    is_next_redo: bool


def acts(entries: Sequence[JournalEntry], project: Project) -> list[Act]:
    """The acts with their differences. One query names all rows that they point at."""
    names = _names(change for entry in entries for change in entry.changes[:MOST_SHOWN])
    undo, redo = next_undo(project), next_redo(project)
    found = []
    for entry in entries:
        differences = [d for change in entry.changes[:MOST_SHOWN] for d in _of(change, names)]
        found.append(
            Act(
                entry=entry,
                differences=tuple(differences[:MOST_SHOWN]),
                more=max(0, len(entry.changes) - MOST_SHOWN),
                is_next_undo=undo == entry,
                is_next_redo=redo == entry,
            )
        )
    return found


def _model(change: dict[str, Any]) -> type[models.Model]:
    return apps.get_model("consult", change["model"])


def _of(change: dict[str, Any], names: dict[str, str]) -> Iterable[Difference]:
    model = _model(change)
    before, after = change["before"] or {}, change["after"] or {}
    row = str(model._meta.verbose_name).capitalize()
    if not change["before"] or not change["after"]:
        title = _title(before or after, names)
        yield Difference(
            row=row, label="", before=title if before else "", after=title if after else ""
        )
        return
    for field in model._meta.concrete_fields:
        name = field.attname
        if name in NOT_SHOWN or before.get(name) == after.get(name):
            continue
        yield Difference(
            row=row,
            label=str(field.verbose_name),
            before=_shown(field, before.get(name), names),
            after=_shown(field, after.get(name), names),
        )


def _title(values: dict[str, Any], names: dict[str, str]) -> str:
    """What a row is called: its own name, else what it points at."""
    own = [str(values[n]) for n in ("code", "name", "placeholder", "level") if values.get(n)]
    if own:
        return " ".join(own[:2])
    pointed = [names[v] for n, v in values.items() if n != "project_id" and v in names]
    return ", ".join(pointed[:2]) or "–"


def _shown(field: models.Field[Any, Any], value: Any, names: dict[str, str]) -> str:
    if value is None or value == "":
        return "–"
    if field.is_relation:
        return names.get(value, _("removed since"))
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    labels = dict(field.flatchoices)
    return str(labels.get(value, value))[:120]


def _names(changes: Iterable[dict[str, Any]]) -> dict[str, str]:
    """What the rows are called that the changes point at."""
    asked: dict[type[models.Model], set[str]] = {}
    for change in changes:
        for field in _model(change)._meta.concrete_fields:
            if field.is_relation and field.attname != "project_id":
                values = {(change[side] or {}).get(field.attname) for side in ("before", "after")}
                asked.setdefault(field.related_model, set()).update(v for v in values if v)
    rows = [_called(model, keys) for model, keys in asked.items() if keys]
    if not rows:
        return {}
    # A model's own order is none of several tables together.
    found = rows[0].union(*rows[1:], all=True).order_by() if len(rows) > 1 else rows[0]
    return {
        str(key): " ".join(filter(None, (code, name))) or reference or "–"
        for key, code, name, reference in found
    }


def _called(model: type[models.Model], keys: Iterable[str]) -> Any:
    """Key, code, name and reference of rows, empty where a table has none, without an order."""
    own = {field.attname for field in model._meta.concrete_fields}
    asked = [
        Cast(name, TextField()) if name in own else Cast(Value(""), TextField())
        for name in ("code", "name", "reference")
    ]
    rows = model._base_manager.filter(pk__in=[uuid.UUID(key) for key in keys])
    return rows.order_by().values_list("pk", *asked)
