"""All rows of one design in one query, as model instances with their keys resolved among themselves.

Each table gives its rows as JSON, and the tables are put under one another. One statement sees one
moment, so a design is never half old and half new, however busy the house is.
"""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import IntegerField, QuerySet, Value
from django.db.models.functions import JSONObject

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
)
Rows = dict[type[models.Model], list[Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignRows:
    """The project, the business, and the rows of every table of the design, not in any order.

    With them the edition of the catalogue, and what was issued, as `consult.held` takes it.
    """

    project: Project
    business: Business
    tables: Rows
    edition: int
    issues: tuple[dict[str, Any], ...]

    def of(self, model: type[models.Model]) -> list[Any]:
        return self.tables.get(model, [])


def read_rows(project: Project) -> DesignRows:
    """One query. Raises Project.DoesNotExist where the project is gone."""
    of_design = [model._default_manager.filter(project_id=project.pk) for model in TABLES]
    asked = [Project.objects.filter(pk=project.pk), Business.objects.all(), *of_design]
    asked.append(CatalogueEdition.objects.all())
    queries = [_as_json(number, rows) for number, rows in enumerate(asked)]
    queries += [_numbered(len(asked), rows, *ISSUE) for rows in issues_of(project)]
    given = (Project, Business, *TABLES, CatalogueEdition)
    tables: Rows = defaultdict(list)
    issues = []
    for number, content in queries[0].union(*queries[1:], all=True).order_by():
        if number < len(given):
            tables[given[number]].append(_instance(given[number], content))
        else:
            issues.append(content)
    if not tables[Project]:
        raise Project.DoesNotExist
    _resolve(tables)
    # An installation without a business makes one the first time it is asked for.
    business = tables[Business][0] if tables[Business] else Business.objects.current()
    return DesignRows(
        project=tables[Project][0],
        business=business,
        tables=tables,
        edition=tables[CatalogueEdition][0].number if tables[CatalogueEdition] else 0,
        issues=tuple(issues),
    )


def _as_json(number: int, rows: QuerySet[Any]) -> QuerySet[Any]:
    return _numbered(number, rows, *(f.attname for f in rows.model._meta.concrete_fields))


def _numbered(number: int, rows: QuerySet[Any], *names: str) -> QuerySet[Any]:
    return rows.order_by().values_list(
        Value(number, output_field=IntegerField()), JSONObject(**{name: name for name in names})
    )


def _instance(model: type[models.Model], content: dict[str, Any]) -> Any:
    fields = model._meta.concrete_fields
    values = [_value(field, content[field.attname]) for field in fields]
    return model.from_db("default", [f.attname for f in fields], values)


def _value(field: models.Field[Any, Any], value: Any) -> Any:
    if value is None:
        return None
    field = field.target_field if field.is_relation else field
    if isinstance(field, models.DecimalField):
        return Decimal(str(value)).quantize(Decimal(1).scaleb(-(field.decimal_places or 0)))
    return field.to_python(value)


def _resolve(tables: Rows) -> None:
    """Point every foreign key within the design at the instance that was read with it."""
    named = {model: {row.pk: row for row in tables[model]} for model in (Project, *TABLES)}
    for model in TABLES:
        keys = [f for f in model._meta.concrete_fields if f.related_model in named]
        for row in tables[model]:
            for field in keys:
                target = named[field.related_model].get(getattr(row, field.attname))
                if target is not None:
                    field.set_cached_value(row, target)
