"""All rows of one design in one query.

Each table gives its rows as JSON text, and the tables are put under one another. One statement sees
one moment, so a design is never half old and half new, however busy the house is.

Every act on a design is in its journal, with what each row became. So a process that has read a
design before asks only for the acts since, and takes their rows over: of a large house an edit
changes a few. It also asks whether the act it stopped at still stands where it stood: if not (it
was read inside a transaction that came to nothing) the whole design is read again. The digests of
the rows add up to that of the design, the key of all that is worked out from it.
"""

import hashlib
import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, cached_property, lru_cache
from threading import Lock
from typing import Any

from django.conf import settings
from django.db import connection, models
from django.db.models import IntegerField, QuerySet, Subquery, Value
from django.db.models.functions import Cast, JSONObject

from base.models import Business
from catalogue.models import CatalogueEdition
from consult.held import ISSUE, issues_of
from consult.models import (
    Circuit,
    CircuitFitting,
    Enclosure,
    FixedChoice,
    Floor,
    JournalEntry,
    KeypadPosition,
    Opening,
    Option,
    OptionGroup,
    PositionButton,
    Project,
    Room,
    RoomGroup,
    RoomObject,
    Scene,
    SceneLevel,
)
from consult.radio_models import RadioPath

TABLES: tuple[type[models.Model], ...] = (
    Floor,
    RoomGroup,
    Enclosure,
    OptionGroup,
    Option,
    Room,
    RoomObject,
    Opening,
    Circuit,
    CircuitFitting,
    Scene,
    SceneLevel,
    KeypadPosition,
    PositionButton,
    FixedChoice,
    RadioPath,
)
# Of no consequence to the design: an undone act comes back to the input that was there before.
NOT_READ = frozenset(
    {"version", "changed_at", "created_at", "last_room_number", "last_circuit_number"}
)
GIVEN = (Project, Business, *TABLES, CatalogueEdition)
BY_NAME = {model._meta.model_name: number for number, model in enumerate(GIVEN) if model in TABLES}
ISSUES = len(GIVEN)
LAST_ACT, ACT = ISSUES + 1, ISSUES + 2
KEPT_ROWS = 20_000
KEPT_DESIGNS = 32
# Stand for the project, and for the number of the act last seen, in statements put together once.
ANY_PROJECT = uuid.UUID("00000000-0000-4000-8000-000000000000")
ANY_NUMBER = 1_999_999_999

Tables = dict[type[models.Model], dict[uuid.UUID, "Row"]]


class Row:
    """The values of a row by column, `pk` its key. Shared by all who read the same: never changed.

    `made` is for what was made of the row last, and so may be kept with it.
    """

    made: Any = None

    def __init__(self, values: dict[str, Any]) -> None:
        self.__dict__.update(values)

    def __getattr__(self, name: str) -> Any:
        raise AttributeError(name)

    @cached_property
    def digest(self) -> int:
        """SHA-256 of the values, as a number."""
        values = {name: value for name, value in self.__dict__.items() if name != "made"}
        content = json.dumps(values, sort_keys=True, default=str)
        return int.from_bytes(hashlib.sha256(content.encode()).digest())


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignRows:
    """The project, the business, and the rows of every table of the design, not in any order.

    With them the edition of the catalogue, what was issued, as `consult.held` takes it, and the
    digest of the design's rows. A table that no act touched is the same object as before.
    """

    project: Row
    business: Any
    tables: Mapping[type[models.Model], Mapping[uuid.UUID, Row]]
    edition: int
    issues: tuple[dict[str, Any], ...]
    digest: str

    def of(self, model: type[models.Model]) -> list[Row]:
        return list(self.tables[model].values())

    def get(self, model: type[models.Model], key: uuid.UUID) -> Row:
        return self.tables[model][key]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """A design's rows as they were after an act: its number and key (0 and none before any)."""

    number: int
    act: str
    tables: Tables
    summed: dict[type[models.Model], int]


_kept: dict[uuid.UUID, _Kept] = {}
_keeping = Lock()


def read_rows(project: Project) -> DesignRows:
    """One query; two where a design that was kept turned out to be of no use.

    Raises Project.DoesNotExist where the project is gone.
    """
    before = _kept.get(project.pk) if settings.DESIGN_IS_KEPT else None
    answer = _ask(project.pk, before)
    kept = _since(before, answer) if before else _whole(answer)
    if kept is None:
        answer = _ask(project.pk, None)
        kept = _whole(answer)
    if settings.DESIGN_IS_KEPT:
        with _keeping:
            _kept.pop(project.pk, None)
            while len(_kept) >= KEPT_DESIGNS:
                del _kept[next(iter(_kept))]
            _kept[project.pk] = kept
    return _rows(project, kept, answer)


def forget() -> None:
    """Forget every row that is kept in this process."""
    _kept.clear()
    _row.cache_clear()


def _ask(project: uuid.UUID, before: _Kept | None) -> dict[int, list[str]]:
    """The texts of a design by number of their table: all of it, or what came after."""
    sql, params = _statement(connection.vendor, before is not None)
    meant, anyone = _in_sql(project), _in_sql(ANY_PROJECT)
    stands_for = {anyone: meant, ANY_NUMBER: before.number if before else 0}
    with connection.cursor() as cursor:
        cursor.execute(sql, [stands_for.get(param, param) for param in params])
        found: dict[int, list[str]] = {}
        for number, text in cursor.fetchall():
            found.setdefault(number, []).append(text)
    return found


def _rows(project: Project, kept: _Kept, answer: dict[int, list[str]]) -> DesignRows:
    of_house: dict[type[models.Model], list[Row]] = {
        model: [_row(number, text) for text in answer.get(number, ())]
        for number, model in enumerate(GIVEN)
        if model not in kept.tables
    }
    if not of_house[Project]:
        raise Project.DoesNotExist
    # An installation without a business makes one the first time it is asked for.
    business = next(iter(of_house[Business]), None) or Business.objects.current()
    edition = next(iter(of_house[CatalogueEdition]), None)
    summed = {**kept.summed, Project: of_house[Project][0].digest}
    if of_house[Business]:
        summed[Business] = of_house[Business][0].digest
    return DesignRows(
        project=of_house[Project][0],
        business=business,
        tables=kept.tables,
        edition=edition.number if edition else 0,
        issues=tuple(json.loads(text) for text in answer.get(ISSUES, ())),
        digest=digest_of(summed),
    )


def digest_of(summed: Mapping[type[models.Model], int]) -> str:
    """SHA-256 of what a design is made of, by table: the sum of the digests of its rows."""
    content = "\n".join(f"{model.__name__} {summed[model]:x}" for model in GIVEN if model in summed)
    return hashlib.sha256(content.encode()).hexdigest()


def _whole(answer: dict[int, list[str]]) -> _Kept:
    tables: Tables = {}
    for model in TABLES:
        number = GIVEN.index(model)
        rows = [_row(number, text) for text in answer.get(number, ())]
        tables[model] = {row.pk: row for row in rows}
    last = [json.loads(text) for text in answer.get(LAST_ACT, ())]
    return _Kept(
        number=last[0]["number"] if last else 0,
        act=last[0]["id"] if last else "",
        tables=tables,
        summed={model: sum(r.digest for r in rows.values()) for model, rows in tables.items()},
    )


def _since(before: _Kept, answer: dict[int, list[str]]) -> _Kept | None:
    """The rows after the acts that came since; None where those before do not stand any more."""
    stands = [json.loads(text)["id"] for text in answer.get(LAST_ACT, ())]
    if stands != ([before.act] if before.act else []):
        return None
    acts = sorted(
        (json.loads(text) for text in answer.get(ACT, ())), key=lambda each: int(each["number"])
    )
    if not acts:
        return before
    tables, summed = dict(before.tables), dict(before.summed)
    for act in acts:
        for change in json.loads(act["changes"]):
            if (number := BY_NAME.get(change["model"])) is None:
                continue  # of the project itself, which is always read, or of no part in a design
            if not _take_over(number, change, before.tables, tables, summed):
                return None
    return _Kept(number=acts[-1]["number"], act=acts[-1]["id"], tables=tables, summed=summed)


def _take_over(
    number: int,
    change: Mapping[str, Any],
    shared: Tables,
    tables: Tables,
    summed: dict[type[models.Model], int],
) -> bool:
    """Put one row as an act left it; False where the act does not say all of it."""
    model, key = GIVEN[number], uuid.UUID(change["id"])
    if tables[model] is shared[model]:
        tables[model] = dict(shared[model])
    if (gone := tables[model].pop(key, None)) is not None:
        summed[model] -= gone.digest
    if change["after"] is not None:
        values = {"id": change["id"], **change["after"]}
        if any(f.attname not in values for f in _fields(model)):
            return False
        row = tables[model][key] = _row_of(model, values)
        summed[model] += row.digest
    return True


@lru_cache(maxsize=4)
def _statement(_vendor: str, is_since: bool) -> tuple[str, tuple[Any, ...]]:
    """A query for any project, put together once in a process: that takes longer than to ask."""
    asked: dict[type[models.Model], QuerySet[Any]] = {
        Project: Project.objects.filter(pk=ANY_PROJECT),
        Business: Business.objects.all(),
        CatalogueEdition: CatalogueEdition.objects.all(),
    }
    acts = JournalEntry.objects.filter(project_id=ANY_PROJECT)
    if is_since:
        last = acts.filter(number=ANY_NUMBER)
    else:
        asked |= {m: m._default_manager.filter(project_id=ANY_PROJECT) for m in TABLES}
        last = acts.filter(number=Subquery(acts.order_by("-number").values("number")[:1]))
    queries = [
        numbered(GIVEN.index(model), rows, *(f.attname for f in _fields(model)))
        for model, rows in asked.items()
    ]
    queries += [numbered(ISSUES, rows, *ISSUE) for rows in issues_of(Project(pk=ANY_PROJECT))]
    queries.append(numbered(LAST_ACT, last, "id", "number"))
    if is_since:
        since = acts.filter(number__gt=ANY_NUMBER)
        whole = Cast("changes", models.TextField())  # a text within the text, on both databases
        queries.append(numbered(ACT, since, "id", "number", changes=whole))
    sql, params = queries[0].union(*queries[1:], all=True).order_by().query.sql_with_params()
    return sql, tuple(params)


def _in_sql(key: uuid.UUID) -> Any:
    return models.UUIDField().get_db_prep_value(key, connection)


@cache
def _fields(model: type[models.Model]) -> tuple[models.Field[Any, Any], ...]:
    return tuple(f for f in model._meta.concrete_fields if f.attname not in NOT_READ)


def numbered(number: int, rows: QuerySet[Any], *names: str, **more: Any) -> QuerySet[Any]:
    """Each row as this number and its values as JSON text, so that tables go under one another."""
    content = JSONObject(**{name: name for name in names}, **more)
    return rows.order_by().values_list(
        Value(number, output_field=IntegerField()), Cast(content, models.TextField())
    )


@lru_cache(maxsize=KEPT_ROWS)
def _row(number: int, text: str) -> Row:
    return _row_of(GIVEN[number], json.loads(text))


def _row_of(model: type[models.Model], content: Mapping[str, Any]) -> Row:
    values = {f.attname: value_of(f, content[f.attname]) for f in _fields(model)}
    return Row({**values, "pk": values[model._meta.pk.attname]})


def value_of(field: models.Field[Any, Any], value: Any) -> Any:
    """What JSON says of a field, as the field has it; a decimal with the places of its column."""
    if value is None:
        return None
    field = field.target_field if field.is_relation else field
    if isinstance(field, models.DecimalField):
        return Decimal(str(value)).quantize(Decimal(1).scaleb(-(field.decimal_places or 0)))
    return field.to_python(value)
