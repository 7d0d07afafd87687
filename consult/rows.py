"""All rows of one design in one query.

Each table gives its rows as JSON text, and the tables are put under one another. One statement sees
one moment, so a design is never half old and half new, however busy the house is. A row is kept in
this process under its text: of a large house an edit changes a few rows, and only those are read
again. The texts together are the design's frozen input; their digest is the key of all that is
worked out from it.
"""

import hashlib
import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.db import connection, models
from django.db.models import IntegerField, QuerySet, Value
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
    KeypadPosition,
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
ISSUES = len(GIVEN)
KEPT_ROWS = 20_000
# Stands for the project in the statement that is put together once.
ANY_PROJECT = uuid.UUID("00000000-0000-4000-8000-000000000000")


class Row:
    """The values of a row by column, `pk` its key. Shared by all who read the same: never changed.

    `made` is for what is made of the row alone, and so may be kept with it.
    """

    made: Any = None

    def __init__(self, values: dict[str, Any]) -> None:
        self.__dict__.update(values)

    def __getattr__(self, name: str) -> Any:
        raise AttributeError(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignRows:
    """The project, the business, and the rows of every table of the design, not in any order.

    With them the edition of the catalogue, what was issued, as `consult.held` takes it, and the
    digest of the texts of the design.
    """

    project: Row
    business: Any
    tables: dict[type[models.Model], dict[uuid.UUID, Row]]
    edition: int
    issues: tuple[dict[str, Any], ...]
    digest: str

    def of(self, model: type[models.Model]) -> list[Row]:
        return list(self.tables[model].values())

    def get(self, model: type[models.Model], key: uuid.UUID) -> Row:
        return self.tables[model][key]


def read_rows(project: Project) -> DesignRows:
    """One query. Raises Project.DoesNotExist where the project is gone."""
    sql, params = _statement(connection.vendor)
    meant, anyone = _in_sql(project.pk), _in_sql(ANY_PROJECT)
    given = [meant if param == anyone else param for param in params]
    with connection.cursor() as cursor:
        cursor.execute(sql, given)
        texts: list[tuple[int, str]] = cursor.fetchall()
    tables: dict[type[models.Model], dict[uuid.UUID, Row]] = {model: {} for model in GIVEN}
    for number, text in texts:
        if number < ISSUES:
            row = _row(number, text)
            tables[GIVEN[number]][row.pk] = row
    if not tables[Project]:
        raise Project.DoesNotExist
    # An installation without a business makes one the first time it is asked for.
    business = next(iter(tables[Business].values()), None) or Business.objects.current()
    edition = next(iter(tables[CatalogueEdition].values()), None)
    return DesignRows(
        project=tables[Project][project.pk],
        business=business,
        tables=tables,
        edition=edition.number if edition else 0,
        issues=tuple(json.loads(text) for number, text in texts if number == ISSUES),
        digest=digest_of(texts),
    )


def digest_of(texts: Iterable[tuple[int, str]]) -> str:
    """SHA-256 of the rows that a design is made of, whatever their order."""
    ordered = sorted(f"{number} {text}" for number, text in texts if number < ISSUES - 1)
    return hashlib.sha256("\n".join(ordered).encode()).hexdigest()


@lru_cache(maxsize=2)
def _statement(_vendor: str) -> tuple[str, tuple[Any, ...]]:
    """The query for any project, put together once in a process: that takes longer than to ask."""
    of_design = [model._default_manager.filter(project_id=ANY_PROJECT) for model in TABLES]
    asked = [Project.objects.filter(pk=ANY_PROJECT), Business.objects.all(), *of_design]
    asked.append(CatalogueEdition.objects.all())
    queries = [
        _numbered(number, rows, *(f.attname for f in _fields(rows.model)))
        for number, rows in enumerate(asked)
    ]
    queries += [_numbered(ISSUES, rows, *ISSUE) for rows in issues_of(Project(pk=ANY_PROJECT))]
    whole = queries[0].union(*queries[1:], all=True).order_by()
    sql, params = whole.query.sql_with_params()
    return sql, tuple(params)


def _in_sql(key: uuid.UUID) -> Any:
    return models.UUIDField().get_db_prep_value(key, connection)


def _fields(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    return [f for f in model._meta.concrete_fields if f.attname not in NOT_READ]


def _numbered(number: int, rows: QuerySet[Any], *names: str) -> QuerySet[Any]:
    content = JSONObject(**{name: name for name in names})
    return rows.order_by().values_list(
        Value(number, output_field=IntegerField()), Cast(content, models.TextField())
    )


@lru_cache(maxsize=KEPT_ROWS)
def _row(number: int, text: str) -> Row:
    content, model = json.loads(text), GIVEN[number]
    values = {f.attname: _value(f, content[f.attname]) for f in _fields(model)}
    return Row({**values, "pk": values[model._meta.pk.attname]})


def _value(field: models.Field[Any, Any], value: Any) -> Any:
    if value is None:
        return None
    field = field.target_field if field.is_relation else field
    if isinstance(field, models.DecimalField):
        return Decimal(str(value)).quantize(Decimal(1).scaleb(-(field.decimal_places or 0)))
    return field.to_python(value)
