"""Where a product is used: in which projects, and as a part of what.

The catalogue knows nothing of projects. It asks every table that points at products, and takes the
rows that hang from something called a project.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, ForeignKey

from catalogue.models import Product


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """A project that uses the product, and in how many places."""

    project: Any
    places: int


def projects_using(product: Product, *, most: int = 50) -> list[Use]:
    """The projects, most uses first. One query per table that points at products, and one more."""
    counts: Counter[Any] = Counter()
    project_model: Any = None
    for relation in Product._meta.get_fields(include_hidden=True):
        model = getattr(relation, "related_model", None)
        field = getattr(relation, "field", None)
        if model is None or not isinstance(field, ForeignKey) or not relation.one_to_many:
            continue
        names = {each.name for each in model._meta.fields}
        if "project" not in names:
            continue
        project_model = model._meta.get_field("project").related_model
        rows = model._base_manager.filter(**{field.name: product}).values("project")
        counts.update({row["project"]: row["n"] for row in rows.annotate(n=Count("pk")).order_by()})
    if project_model is None or not counts:
        return []
    chosen = dict(counts.most_common(most))
    found = project_model._base_manager.in_bulk(chosen)
    return [Use(project=found[key], places=places) for key, places in chosen.items()]
