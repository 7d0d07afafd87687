"""The one way in which a design is written, so that every act is remembered and can be undone.

`apply` takes the changes of one act, writes the rows in table order and keeps, for each row, what
it was and what it became. `undo` writes the inverse, and refuses where a row is no longer what the
act left behind. Numbers that are never reused (of rooms and circuits) are not part of the journal:
undoing does not give a code out again.
"""

import datetime
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import reduce
from itertools import chain, groupby
from operator import or_
from typing import Any, Literal

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models
from django.db.models import ProtectedError, Q, QuerySet, Subquery
from django.utils.translation import gettext as _

from base.asked import changed, put
from base.deeds import Refusal, Stale
from base.keys import Versioned
from base.models import Person
from consult import removal
from consult.models import JournalEntry, Project
from consult.numbering import give_back, number_of
from consult.together import is_readable_together

SCHEMA = 2
# Order in which rows are made; they go in the opposite order.
TABLES = (
    "client",
    "clientperson",
    "project",
    "optiongroup",
    "option",
    "enclosure",
    "floor",
    "roomgroup",
    "room",
    "roomobject",
    "opening",
    "circuit",
    "circuitfitting",
    "scene",
    "scenelevel",
    "keypadposition",
    "positionbutton",
    "radiopath",
    "fixedchoice",
    "setaside",
    "brief",
    "party",
    "note",
    "notephoto",
    "appointment",
)
# Rows altered in one statement; SQLite refuses conditions much longer than this.
AT_ONCE = 200
NOT_KEPT = frozenset(
    {"version", "last_room_number", "last_circuit_number", "changed_at", "created_at"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one row was and is to be; None where it was not, or is no more."""

    model: str
    id: uuid.UUID
    before: dict[str, Any] | None
    after: dict[str, Any] | None
    seen: int | None = None  # version of the row as read, where a row was read


def create(row: Versioned) -> Change:
    return Change(model=_name(row), id=row.pk, before=None, after=_fields(row))


def update(row: Versioned, **values: Any) -> Change:
    """The row, as read under lock, with these values, which the row given takes on at once."""
    before, seen = _fields(row), row.version
    for name, value in values.items():
        setattr(row, name, value)
    return Change(model=_name(row), id=row.pk, before=before, after=_fields(row), seen=seen)


def delete(row: Versioned) -> Change:
    return Change(model=_name(row), id=row.pk, before=_fields(row), after=None, seen=row.version)


def apply(
    *,
    project: Project | None,
    by: Person | None,
    title: str,
    changes: Iterable[Change],
    about: str = "",
    kind: Literal["act", "undo", "redo"] = "act",
    of: JournalEntry | None = None,
    new: uuid.UUID | None = None,
    is_free: bool = False,
) -> JournalEntry | None:
    """Write the changes of one act and its journal entry, with the key `new` where one is given.

    Nothing to change: None. `is_free`: what goes was read with what holds on to it, and nothing
    does (`removed_with`), the project locked before.

    Raises `Refusal` when a row still holds on to one that is to go, or a rule of the database
    stands against it; `Stale` when a row is no longer what the change says it was.
    """
    real = [change for change in changes if change.before != change.after]
    if not real:
        if project is not None:
            give_back(project)
        return None
    number = number_of(project) if project is not None else 0
    _write(real, is_free=is_free)
    entry = JournalEntry(
        pk=new or uuid.uuid4(),
        project=project,
        number=number,
        kind=kind,
        of=of,
        person=by,
        title=title,
        about=about[:200],
        schema=SCHEMA,
        changes=[
            {"model": c.model, "id": str(c.id), "before": c.before, "after": c.after} for c in real
        ],
    )
    put(entry)
    return entry


def undo(*, project: Project, by: Person, new: uuid.UUID | None = None) -> JournalEntry | None:
    """Take back the last act that is not taken back yet. None when there is none."""
    entry = _marked(_to_undo(project)[:1].values("pk"), "undone")
    if entry is None:
        give_back(project)
        return None
    return apply(
        project=project,
        by=by,
        title=entry.title,
        about=entry.about,
        kind="undo",
        of=entry,
        new=new,
        changes=[_inverse(change) for change in reversed(_changes(entry))],
    )


def redo(*, project: Project, by: Person, new: uuid.UUID | None = None) -> JournalEntry | None:
    """Do again what was last taken back. None once something else was done since."""
    entry = _marked(_to_redo(project)[:1].values("of"), "done")
    if entry is None:
        give_back(project)
        return None
    return apply(
        project=project,
        by=by,
        title=entry.title,
        about=entry.about,
        kind="redo",
        of=entry,
        new=new,
        changes=_changes(entry),
    )


def _marked(key: QuerySet[Any, Any], state: str) -> JournalEntry | None:
    """The entry of this key, found, read and marked in one statement."""
    return changed(JournalEntry.objects.filter(pk__in=key), state=state)


def acts_since(project: Project, number: int) -> list[JournalEntry]:
    """Everything done, taken back and done again after the act of this number, in order."""
    rows = JournalEntry.objects.filter(project=project, number__gt=number)
    return list(rows.select_related("person").order_by("number"))


def way_back(entries: Iterable[JournalEntry]) -> list[Change]:
    """The changes that lead from after these acts to before them, each row once."""
    before: dict[tuple[str, uuid.UUID], dict[str, Any] | None] = {}
    now: dict[tuple[str, uuid.UUID], dict[str, Any] | None] = {}
    for entry in entries:
        for change in _changes(entry):
            row = change.model, change.id
            before.setdefault(row, change.before)
            now[row] = change.after
    return [
        Change(model=model, id=key, before=now[model, key], after=before[model, key])
        for model, key in reversed(before)
        if now[model, key] is not None or before[model, key] is not None
    ]


def next_undo(project: Project) -> JournalEntry | None:
    return _to_undo(project).first()


def next_redo(project: Project) -> JournalEntry | None:
    """What was taken back since the last new act; what was before that one stays taken back."""
    turn = _to_redo(project).select_related("of").first()
    return turn.of if turn else None


def _to_undo(project: Project) -> QuerySet[JournalEntry]:
    done = JournalEntry.objects.filter(project=project, kind="act", state="done")
    return done.order_by("-number")


def _to_redo(project: Project) -> QuerySet[JournalEntry]:
    """The undoings that may be turned, in the order in which they are."""
    entries = JournalEntry.objects.filter(project=project)
    last_act = entries.filter(kind="act").order_by("-number").values("number")[:1]
    again = entries.filter(kind="undo", number__gt=Subquery(last_act), of__state="undone")
    return again.order_by("of__number")


def _write(changes: Sequence[Change], *, is_free: bool) -> None:
    """Write the rows table by table: as many queries for many rows of a table as for two."""
    rank = {name: order for order, name in enumerate(TABLES)}
    put = sorted((c for c in changes if c.after is not None), key=lambda c: rank[c.model])
    gone = sorted((c for c in changes if c.after is None), key=lambda c: -rank[c.model])
    try:
        for (name, is_new), group in groupby(put, key=lambda c: (c.model, c.before is None)):
            model = apps.get_model("consult", name)
            (_make if is_new else _alter)(model, list(group))
        if gone and not is_free:
            gone = _free(gone)
        for (name, _points), group in groupby(gone, key=lambda c: (c.model, _points_at_own(c))):
            _take(apps.get_model("consult", name), list(group))
    except ProtectedError as error:
        raise Refusal(_held_words("")) from error
    except IntegrityError as error:
        raise Refusal(
            _("This does not fit with what is there already. Nothing was saved.")
        ) from error


def _make(model: Any, changes: Sequence[Change]) -> None:
    made = [model(pk=change.id, **_values(model, change.after or {})) for change in changes]
    model._base_manager.bulk_create(made)


def _alter(model: Any, changes: Sequence[Change]) -> None:
    if len({change.id for change in changes}) < len(changes):  # a row changed twice in one act
        for change in changes:
            _alter(model, [change])
        return
    if len(changes) == 1 and (seen := changes[0].seen) is not None:
        rows = model._base_manager.filter(pk=changes[0].id, version=seen)
        if rows.update(version=seen + 1, **_values(model, _new(changes[0]))):
            return
    for start in range(0, len(changes), AT_ONCE):
        _alter_many(model, changes[start : start + AT_ONCE])


def _alter_many(model: Any, changes: Sequence[Change]) -> None:
    """In one statement, each row only where nobody changed it since it was read."""
    seen_at = {change.id: change.seen for change in changes}
    if len(changes) == 1 or None in seen_at.values():  # not read, or changed since: read now
        seen_at = {key: row.version for key, row in _locked(model, changes).items()}
    made = [
        model(pk=c.id, version=seen_at[c.id] + 1, **_values(model, c.after or {})) for c in changes
    ]
    names = {"version"}.union(*(_new(change) for change in changes))
    fields = [f.name for f in model._meta.concrete_fields if f.attname in names]
    as_seen = reduce(or_, (Q(pk=key, version=seen) for key, seen in seen_at.items()))
    if model._base_manager.filter(as_seen).bulk_update(made, fields) < len(changes):
        _locked(model, changes)
        raise Refusal(_("Somebody changed a row of this act meanwhile. Nothing was saved."))


def _new(change: Change) -> dict[str, Any]:
    """The values that the change changes."""
    before, after = change.before or {}, change.after or {}
    return {n: v for n, v in after.items() if n not in before or before[n] != v}


def removed_with(*asked: QuerySet[Any]) -> list[list[Any]]:
    """The rows of these querysets, one for each table, all of which are to go: read in one query.

    Raises `Refusal` where another row holds on to one of them. Lock the project first, and tell
    `apply` that they are free.
    """
    found, held_by = removal.read_to_remove(asked, {rows.model: rows for rows in asked})
    if held_by:
        raise Refusal(_held_words(held_by))
    return found


def _free(gone: Sequence[Change]) -> list[Change]:
    """The changes with the version of their row, each as its change says, none held: one query."""
    unread: dict[Any, dict[uuid.UUID, Change]] = {}
    for change in gone:
        model = apps.get_model("consult", change.model)
        if change.seen is None and is_readable_together(model):
            unread.setdefault(model, {})[change.id] = change
    asked = [model._base_manager.filter(pk__in=list(by_key)) for model, by_key in unread.items()]
    rows, held_by = removal.read_to_remove(asked, _keys_by_model(gone))
    if held_by:
        raise Refusal(_held_words(held_by))
    found = {(type(row), row.pk): row for row in chain(*rows)}
    for model, by_key in unread.items():
        for key, change in by_key.items():
            _must_be(found.get((model, key)), change)
    seen = {(row._meta.model_name, key): row.version for (_model, key), row in found.items()}
    return [c if c.seen else replace(c, seen=seen.get((c.model, c.id))) for c in gone]


def _take(model: Any, changes: Sequence[Change]) -> None:
    """Remove rows, each only as its change says it was: in one statement where that is still so."""
    seen_at = {change.id: change.seen for change in changes}
    left = list(changes)
    if None not in seen_at.values():
        versions = sorted(set(seen_at.values()))
        as_seen = reduce(
            or_,
            (
                Q(version=v, pk__in=[k for k, seen in seen_at.items() if seen == v])
                for v in versions
            ),
        )
        if removal.removed(model, as_seen) == len(changes):
            return
        there = set(model._base_manager.filter(pk__in=seen_at).values_list("pk", flat=True))
        left = [change for change in changes if change.id in there]
        if not left:
            raise Refusal(_("A row of this act was removed since. Nothing was changed."))
    removal.removed(model, Q(pk__in=list(_locked(model, left))))


def _keys_by_model(changes: Sequence[Change]) -> dict[Any, list[uuid.UUID]]:
    keys: dict[Any, list[uuid.UUID]] = {}
    for change in changes:
        keys.setdefault(apps.get_model("consult", change.model), []).append(change.id)
    return keys


def _held_words(field: str) -> str:
    """Why a row cannot go, by the field that points at it."""
    if field == "same_pieces_as":
        return _("Another circuit feeds a part of the same pieces. Remove that part there first.")
    return _("Something else still uses this. Remove that first.")


def _points_at_own(change: Change) -> bool:
    """Whether the row points at another of its table, which holds that one until it is gone."""
    model = apps.get_model("consult", change.model)
    before = change.before or {}
    return any(f.related_model is model and before.get(f.attname) for f in _kept_fields(model))


def _locked(model: Any, changes: Sequence[Change]) -> dict[uuid.UUID, Any]:
    """The rows of the changes, locked in one order, each as its change says it was."""
    asked = model._base_manager.select_for_update().filter(pk__in=[c.id for c in changes])
    rows = {row.pk: row for row in asked.order_by("pk")}
    for change in changes:
        _must_be(rows.get(change.id), change)
    return rows


def _must_be(row: Any, change: Change) -> None:
    if row is None:
        raise Refusal(_("A row of this act was removed since. Nothing was changed."))
    # By the names that were kept: a field that came later was nothing then.
    now = _fields(row)
    if any(now.get(name) != value for name, value in (change.before or {}).items()):
        raise Stale(row)


def _changes(entry: JournalEntry) -> list[Change]:
    if entry.schema != SCHEMA:
        raise Refusal(_("This act is from an earlier edition of the program and cannot be turned."))
    return [
        Change(model=c["model"], id=uuid.UUID(c["id"]), before=c["before"], after=c["after"])
        for c in entry.changes
    ]


def _inverse(change: Change) -> Change:
    return Change(model=change.model, id=change.id, before=change.after, after=change.before)


def _name(row: models.Model) -> str:
    name = row._meta.model_name or ""
    if name not in TABLES:
        raise ValueError(f"{name} is not a table of the journal")
    return name


def _kept_fields(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    return [
        f for f in model._meta.concrete_fields if f.attname not in NOT_KEPT and not f.primary_key
    ]


def _fields(row: models.Model) -> dict[str, Any]:
    """The row's own values as JSON knows them: keys as text, numbers exact."""
    return {f.attname: _plain(f, getattr(row, f.attname)) for f in _kept_fields(type(row))}


def _plain(field: models.Field[Any, Any], value: Any) -> Any:
    if value is None or value == "":
        return value
    if isinstance(field, models.DecimalField):
        return str(Decimal(str(value)).quantize(Decimal(1).scaleb(-field.decimal_places)))
    value = field.to_python(value) if not field.is_relation else value
    if isinstance(value, uuid.UUID | datetime.date | datetime.datetime):
        return str(value) if isinstance(value, uuid.UUID) else value.isoformat()
    return value


def _values(model: type[models.Model], kept: dict[str, Any]) -> dict[str, Any]:
    known = {f.attname: f for f in _kept_fields(model)}
    try:
        return {
            name: (
                value
                if value is None
                else (
                    known[name].target_field if known[name].is_relation else known[name]
                ).to_python(value)
            )
            for name, value in kept.items()
        }
    except (KeyError, ValidationError) as error:
        raise Refusal(_("This act does not fit the rows of today and cannot be turned.")) from error
