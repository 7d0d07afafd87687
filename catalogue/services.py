"""How the catalogue is changed. Every function is a deed; a refusal is a sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from base.deeds import Refusal
from base.keys import Versioned
from base.models import Person
from base.services import store_picture
from catalogue import rules, search
from catalogue.edition import deed
from catalogue.models import (
    Family,
    LabourNorm,
    LabourRate,
    Part,
    Product,
    ProductPrice,
    Supplier,
    TaxRate,
)
from catalogue.rules import Problem
from catalogue.sheet import ProductSheet, sheet_of, write, write_parts


class NotAllowed(Refusal):
    """Somebody who does not keep the catalogue tried to change it."""


class Objections(Refusal):
    """The sheet does not hold. Carries every objection with its field."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(" ".join(problem.sentence for problem in problems))
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """Cost and sell from a day on."""

    from_day: date
    cost: Decimal
    sell: Decimal


@deed()
def add_product(*, by: Person | None, sheet: ProductSheet) -> Product:
    """A new product. `by` is None where the installation itself loads its catalogue."""
    _must_keep(by)
    _must_hold(sheet)
    return _indexed(_written(Product(kind=sheet.kind), sheet))


@deed(locks="product")
def change_product(*, by: Person | None, product: Product, sheet: ProductSheet) -> Product:
    """Store the sheet over the product; its kind stays."""
    _must_keep(by)
    if sheet.kind != product.kind:
        raise Refusal(_("A product keeps its kind: add another product instead."))
    _must_hold(sheet, product=product)
    product.version += 1
    return _indexed(_written(product, sheet))


@deed(locks="product")
def copy_product(
    *, by: Person | None, product: Product, reference: str, name: str, today: date, with_price: bool
) -> Product:
    """A new product like this one, with its parts, and at its price of today if wished."""
    _must_keep(by)
    source = Product.objects.with_everything().get(pk=product.pk)
    sheet = sheet_of(source)
    sheet = replace(
        sheet,
        basics={**sheet.basics, "reference": reference, "name": name, "supplier_code": ""},
        feeds=[{**feed, "number": None} for feed in sheet.feeds],
    )
    _must_hold(sheet)
    made = _written(Product(kind=source.kind), sheet)
    price = source.price_on(today)
    if with_price and price is not None:
        ProductPrice.objects.create(product=made, from_day=today, cost=price.cost, sell=price.sell)
    return _indexed(made)


@deed(locks="product")
def discontinue(
    *, by: Person | None, product: Product, replaced_by: Product | None = None
) -> Product:
    """No longer sold. What stands in projects stays and shows what takes its place."""
    _must_keep(by)
    if product.is_discontinued:
        raise Refusal(_("It is discontinued already."))
    if replaced_by is not None and (sentence := _unfit(product, replaced_by)):
        raise Objections([Problem(block="basics", field="replaced_by", sentence=sentence)])
    product.is_discontinued = True
    product.replaced_by = replaced_by
    return _saved_and_indexed(product)


@deed(locks="product")
def sell_again(*, by: Person | None, product: Product) -> Product:
    """A discontinued product is sold again; nothing takes its place any more."""
    _must_keep(by)
    if not product.is_discontinued:
        raise Refusal(_("It is sold already."))
    product.is_discontinued = False
    product.replaced_by = None
    return _saved_and_indexed(product)


@deed(locks="product")
def change_picture(*, by: Person | None, product: Product, content: bytes | None) -> Product:
    """The product's picture from the bytes of a file; None takes it away."""
    _must_keep(by)
    product.picture = None if content is None else store_picture(content=content)
    return _raised(product)


@deed(locks="product")
def change_parts(
    *, by: Person | None, product: Product, parts: Sequence[Mapping[str, Any]]
) -> Product:
    """What the product needs with it, all at once."""
    _must_keep(by)
    stored = Product.objects.with_everything().get(pk=product.pk)
    _must_hold(replace(sheet_of(stored), parts=parts), product=product)
    write_parts(product, parts)
    return _raised(product)


@deed(locks="product")
def set_price(*, by: Person | None, product: Product, price: Price, today: date) -> ProductPrice:
    """The price from a day on, today or later. A past day's is never changed: quotes rest on it.

    The very first price may begin in the past, since nothing can have been quoted before it.
    """
    _must_keep(by)
    begun = product.prices.filter(from_day__lte=today).exists()
    if price.from_day < today and begun:
        raise Refusal(
            _(
                "A price of a past day stays as it is, since quotes rest on it. Choose today or later."
            )
        )
    row, _is_new = ProductPrice.objects.update_or_create(
        product=product,
        from_day=price.from_day,
        defaults={"cost": price.cost, "sell": price.sell},
    )
    _raised(product)
    return row


@deed(locks="product")
def start_prices(*, by: Person | None, product: Product, prices: Sequence[Price]) -> Product:
    """The whole price history of a product that has no price yet."""
    _must_keep(by)
    if product.prices.exists():
        raise Refusal(_("It has prices already: add a price from a day on."))
    for price in prices:
        ProductPrice.objects.create(
            product=product, from_day=price.from_day, cost=price.cost, sell=price.sell
        )
    return _raised(product)


@deed(locks="product")
def remove_price(
    *, by: Person | None, product: Product, price: ProductPrice, today: date
) -> Product:
    """Take back a price whose day has not come."""
    _must_keep(by)
    if price.product_id != product.pk:
        raise Refusal(_("That price belongs to another product."))
    if price.from_day <= today:
        raise Refusal(_("Its day has come, so quotes may rest on it. Set a new price instead."))
    product.prices.filter(pk=price.pk).delete()
    return _raised(product)


@deed()
def add_supplier(*, by: Person | None, fields: Mapping[str, Any]) -> Supplier:
    _must_keep(by)
    _must_be_new(Supplier.objects.filter(name__iexact=fields["name"]), "name")
    return Supplier.objects.create(**fields)


@deed(locks="supplier")
def change_supplier(
    *, by: Person | None, supplier: Supplier, fields: Mapping[str, Any]
) -> Supplier:
    _must_keep(by)
    others = Supplier.objects.exclude(pk=supplier.pk)
    _must_be_new(others.filter(name__iexact=fields["name"]), "name")
    for name, value in fields.items():
        setattr(supplier, name, value)
    return _raised(supplier)


@deed()
def add_family(*, by: Person | None, name: str) -> Family:
    _must_keep(by)
    _must_be_new(Family.objects.filter(name__iexact=name), "name")
    return Family.objects.create(name=name)


@deed(locks="family")
def rename_family(*, by: Person | None, family: Family, name: str) -> Family:
    _must_keep(by)
    _must_be_new(Family.objects.exclude(pk=family.pk).filter(name__iexact=name), "name")
    family.name = name
    return _raised(family)


DatedRow = LabourNorm | LabourRate | TaxRate
# What names a row beside its day: the newest of the same names that is not after a day is valid.
DATED_NAMES: dict[type[DatedRow], tuple[str, ...]] = {
    LabourNorm: ("operation", "kind", "per", "grade"),
    LabourRate: ("grade",),
    TaxRate: ("tax_class",),
}


@deed()
def set_from_day(
    *, by: Person | None, model: type[DatedRow], fields: Mapping[str, Any], today: date
) -> DatedRow:
    """A norm, hourly rate or tax rate from a day on. What was valid on past days stays."""
    _must_keep(by)
    names = {name: fields[name] for name in DATED_NAMES[model]}
    rows = model._base_manager.filter(**names)
    if fields["from_day"] < today and rows.filter(from_day__lte=today).exists():
        raise Refusal(
            _("What was valid on a past day stays, since quotes rest on it. Choose today or later.")
        )
    if rows.filter(from_day=fields["from_day"]).exists():
        raise Refusal(
            _("There is one from that day already: take it back first, or choose another day.")
        )
    made: DatedRow = model._base_manager.create(**fields)
    return made


@deed()
def take_back(*, by: Person | None, row: DatedRow, today: date) -> None:
    """Remove a norm or rate whose day is today or has not come."""
    _must_keep(by)
    if row.from_day < today:
        raise Refusal(_("Its day has passed, so quotes may rest on it. Add a new one instead."))
    if not type(row)._base_manager.filter(pk=row.pk).delete()[0]:
        raise Refusal(_("This was removed meanwhile. Nothing was changed."))


def _must_keep(by: Person | None) -> None:
    if by is not None and not by.keeps_prices:
        raise NotAllowed(_("The catalogue is kept by the office and the manager."))


def _unfit(product: Product, replaced_by: Product) -> str:
    """Why the other cannot take the product's place; empty where it can."""
    if replaced_by.pk == product.pk:
        return _("A product cannot take its own place: choose another.")
    if replaced_by.kind != product.kind:
        return _("What takes its place is of the same kind: choose another.")
    if replaced_by.is_discontinued:
        return _("That one is discontinued too: choose one that is sold.")
    return ""


def _must_be_new(others: Any, field: str) -> None:
    if others.exists():
        sentence = _("There is one with this name already.")
        raise Objections([Problem(block="basics", field=field, sentence=sentence)])


def _must_hold(sheet: ProductSheet, *, product: Product | None = None) -> None:
    problems = rules.problems(sheet)
    others = Product.objects.filter(reference__iexact=sheet.basics["reference"])
    if product is not None:
        others = others.exclude(pk=product.pk)
    if others.exists():
        problems.insert(0, _taken_reference())
    problems += _rings(sheet, product)
    if problems:
        raise Objections(problems)


def _taken_reference() -> Problem:
    sentence = _("There is already a product with this reference.")
    return Problem(block="basics", field="reference", sentence=sentence)


def _written(product: Product, sheet: ProductSheet) -> Product:
    """Store the sheet; two who take one reference in the same moment are told apart here."""
    try:
        with transaction.atomic():
            return write(product, sheet)
    except IntegrityError as error:
        if (
            Product.objects.exclude(pk=product.pk)
            .filter(reference=sheet.basics["reference"])
            .exists()
        ):
            raise Objections([_taken_reference()]) from error
        raise


def _rings(sheet: ProductSheet, product: Product | None) -> list[Problem]:
    """A part that needs this product, straight or through others, would never end."""
    if product is None or not sheet.parts:
        return []
    needs: dict[Any, set[Any]] = {}
    for owner, part in Part.objects.exclude(product=product).values_list("product_id", "part_id"):
        needs.setdefault(owner, set()).add(part)
    found = []
    for row, each in enumerate(sheet.parts):
        reached, waiting = set(), [each["part"].pk]
        while waiting:
            key = waiting.pop()
            if key not in reached:
                reached.add(key)
                waiting += needs.get(key, ())
        if product.pk in reached and each["part"].pk != product.pk:
            sentence = _("This part itself needs the product: that would never end.")
            found.append(Problem(block="parts", row=row, field="part", sentence=sentence))
    return found


def _raised[R: Versioned](row: R) -> R:
    row.version += 1
    row.save()
    return row


def _saved_and_indexed(product: Product) -> Product:
    return _indexed(_raised(product))


def _indexed(product: Product) -> Product:
    search.index_one(product)
    return product
