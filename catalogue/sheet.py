"""A product with all its technical rows as one value: what a form gives, what a copy takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.db.models import ProtectedError
from django.utils.translation import gettext as _

from base.deeds import Refusal
from catalogue.kinds import FED_KINDS, Kind
from catalogue.models import (
    DriverData,
    Feed,
    FittingData,
    KeypadData,
    Part,
    Product,
    ReceiverData,
    ReceiverLimit,
)

Values = Mapping[str, Any]

# The technical row of a kind: its model and the name by which the product reaches it.
TECHNICAL: dict[str, tuple[type[models.Model], str]] = {
    **{str(kind): (FittingData, "fitting") for kind in FED_KINDS},
    Kind.DRIVER: (DriverData, "driver"),
    Kind.RECEIVER: (ReceiverData, "receiver"),
    Kind.KEYPAD: (KeypadData, "keypad"),
}
BASIC_FIELDS = (
    "reference",
    "name",
    "client_name",
    "description",
    "family",
    "finish",
    "series",
    "picture",
    "unit",
    "sold_length_m",
    "pack_size",
    "cut_step_m",
    "waste_share",
    "order_multiple",
    "phase",
    "supplier",
    "supplier_code",
    "lead_days",
    "tax_class",
    "is_made_to_order",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductSheet:
    """What is typed about a product.

    `basics` are fields of Product, `technical` of the kind's technical row (None where the kind has
    none); `feeds`, `limits` and `parts` are the rows below. A feed with a "number" is that feed.
    """

    kind: str
    basics: Values
    technical: Values | None = None
    feeds: Sequence[Values] = field(default=())
    limits: Sequence[Values] = field(default=())
    parts: Sequence[Values] = field(default=())


def fields_of(model: type[models.Model], *, without: Sequence[str] = ()) -> tuple[str, ...]:
    """Names of the fields that are typed: all but keys and what the row hangs from."""
    left_out = {"id", "product", "receiver", "number", *without}
    return tuple(each.name for each in model._meta.fields if each.name not in left_out)


FEED_FIELDS = fields_of(Feed)
LIMIT_FIELDS = fields_of(ReceiverLimit)
PART_FIELDS = fields_of(Part)


def _taken(row: models.Model, names: Sequence[str]) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names}


def sheet_of(product: Product) -> ProductSheet:
    """The sheet of a stored product. Fetch it with_everything() first."""
    technical = None
    limits: list[Values] = []
    if product.kind in TECHNICAL:
        model, name = TECHNICAL[product.kind]
        row = getattr(product, name, None)
        technical = _taken(row, fields_of(model)) if row is not None else None
        if isinstance(row, ReceiverData):
            limits = [_taken(limit, LIMIT_FIELDS) for limit in row.limits.all()]
    return ProductSheet(
        kind=product.kind,
        basics=_taken(product, BASIC_FIELDS),
        technical=technical,
        feeds=[
            {"number": feed.number, **_taken(feed, FEED_FIELDS)} for feed in product.feeds.all()
        ],
        limits=limits,
        parts=[_taken(part, PART_FIELDS) for part in product.parts.all()],
    )


def write(product: Product, sheet: ProductSheet) -> Product:
    """Store the sheet in the product's rows. Inside a deed only."""
    for name, value in sheet.basics.items():
        setattr(product, name, value)
    product.save()
    if sheet.kind in TECHNICAL and sheet.technical is not None:
        model, _name = TECHNICAL[sheet.kind]
        model._base_manager.update_or_create(product=product, defaults=dict(sheet.technical))
    _write_feeds(product, sheet.feeds)
    if sheet.kind == Kind.RECEIVER:
        receiver = ReceiverData.objects.get(product=product)
        receiver.limits.all().delete()
        for limit in sheet.limits:
            ReceiverLimit.objects.create(receiver=receiver, **limit)
    write_parts(product, sheet.parts)
    return product


def write_parts(product: Product, parts: Sequence[Values]) -> None:
    product.parts.all().delete()
    for part in parts:
        Part.objects.create(product=product, **part)


def _write_feeds(product: Product, feeds: Sequence[Values]) -> None:
    """A feed keeps its number, since circuits hang from it; one in use cannot go."""
    stored = {feed.number: feed for feed in product.feeds.all()}
    kept = {feed["number"] for feed in feeds if feed.get("number")}
    for number, feed in stored.items():
        if number not in kept:
            try:
                feed.delete()
            except ProtectedError as error:
                raise Refusal(
                    _("Feed %(number)s is used on a circuit, so it stays.") % {"number": number}
                ) from error
    following = max(stored, default=0) + 1
    for values in feeds:
        typed = {name: value for name, value in values.items() if name in FEED_FIELDS}
        number = values.get("number")
        if number in stored:
            row = stored[number]
            for name, value in typed.items():
                setattr(row, name, value)
            row.save()
        else:
            Feed.objects.create(product=product, number=following, **typed)
            following += 1
