"""A whole catalogue from a folder of CSV files: checked to the last row before anything is kept.

The rows go through the same forms and deeds as what people type, inside one transaction that is
taken back where any row does not hold. What is there already and equal is left as it is.
"""

from __future__ import annotations

import csv
import datetime
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django import forms
from django.db import transaction
from django.utils.translation import gettext as _

from base.deeds import Refusal
from catalogue import search, services
from catalogue.forms import (
    DiscontinueForm,
    NormForm,
    PriceForm,
    RateForm,
    SupplierForm,
    TaxForm,
)
from catalogue.forms_product import (
    TECHNICAL_FORMS,
    BasicsForm,
    FeedForm,
    LimitForm,
    PartForm,
    ProductForms,
)
from catalogue.kinds import Kind
from catalogue.models import Family, LabourNorm, LabourRate, Product, Supplier, TaxRate
from catalogue.services import Price
from catalogue.sheet import FEED_FIELDS, PART_FIELDS, ProductSheet, sheet_of

TECHNICAL_FILES = {Kind.DRIVER: "drivers", Kind.RECEIVER: "receivers", Kind.KEYPAD: "keypads"}
SUBJECTS = (
    "suppliers",
    "products",
    "fittings",
    "feeds",
    "drivers",
    "receivers",
    "limits",
    "keypads",
    "parts",
    "prices",
    "norms",
    "rates",
    "taxes",
)
MANY_VALUED = frozenset({"load_kinds", "dimmed_by"})
TRUE = frozenset({"yes", "true", "1"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong:
    """A row that does not hold, with the reason."""

    file: str
    row: int
    reason: str

    def __str__(self) -> str:
        return f"{self.file}, row {self.row}: {self.reason}"


class NotLoaded(Exception):
    """Nothing was kept. Carries every row that does not hold."""

    def __init__(self, wrong: Sequence[Wrong]) -> None:
        super().__init__("\n".join(str(each) for each in wrong))
        self.wrong = tuple(wrong)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row of a file: where it stands and what its cells say."""

    file: str
    row: int
    cells: Mapping[str, str]

    def __getitem__(self, name: str) -> str:
        return self.cells.get(name, "")


@dataclass(slots=True)
class Load:
    """What is known while loading: the lines by subject, and what was wrong so far."""

    today: datetime.date
    lines: dict[str, list[Line]] = field(default_factory=dict)
    wrong: list[Wrong] = field(default_factory=list)
    changed: int = 0
    products: dict[str, Product] = field(default_factory=dict)

    def read_products(self) -> None:
        """All products by reference, once: one by one would be most of the work."""
        everything = Product.objects.with_everything()
        self.products = {product.reference: product for product in everything}

    def of(self, subject: str) -> dict[str, list[Line]]:
        """The lines of a subject by the reference of their product."""
        found: dict[str, list[Line]] = defaultdict(list)
        for line in self.lines.get(subject, []):
            found[line["reference"]].append(line)
        return found

    def object_to(self, line: Line, reason: str) -> None:
        self.wrong.append(Wrong(file=line.file, row=line.row, reason=reason))

    def do(self, line: Line, deed: Callable[[], Any]) -> Any:
        """Run a deed for a line; a refusal becomes the line's reason."""
        try:
            with transaction.atomic():
                answer = deed()
        except Refusal as refusal:
            self.object_to(line, str(refusal))
            return None
        self.changed += 1
        return answer


def load(*, folder: Path, today: datetime.date) -> int:
    """Load every file of the folder, and return how many rows changed something.

    Raises NotLoaded, with every row that does not hold, and keeps nothing then.
    """
    loading = Load(today=today)
    for subject in SUBJECTS:
        loading.lines[subject] = list(_read(folder, subject, loading))
    with transaction.atomic(), search.postponed():
        _load_suppliers(loading)
        _load_products(loading)
        loading.read_products()
        _load_parts(loading)
        _load_prices(loading)
        _load_dated(loading)
        _load_discontinued(loading)
        if loading.wrong:
            raise NotLoaded(loading.wrong)
    return loading.changed


def _read(folder: Path, subject: str, loading: Load) -> Iterator[Line]:
    """The rows of a file, counted as a spreadsheet counts them: the headings are row 1."""
    for path in (folder / f"{subject}.csv", folder / f"demo_{subject}.csv"):
        if path.is_file():
            break
    else:
        return
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        loading.wrong.append(Wrong(file=path.name, row=1, reason=_("The file is not UTF-8 text.")))
        return
    reader = csv.DictReader(text.splitlines())
    for row, cells in enumerate(reader, start=2):
        if None in cells or None in cells.values():
            reason = _("It has more or fewer cells than there are headings.")
            loading.wrong.append(Wrong(file=path.name, row=row, reason=reason))
            continue
        yield Line(
            file=path.name, row=row, cells={name: cell.strip() for name, cell in cells.items()}
        )


def _typed(form: type[forms.Form], line: Line, *, prefix: str = "") -> dict[str, Any]:
    """The cells of a line as the form would be sent; an empty cell takes the form's first value."""
    data: dict[str, Any] = {}
    for name, each in form.base_fields.items():
        cell: Any = line[name]
        if name in MANY_VALUED:
            cell = cell.split()
        elif isinstance(each, forms.NullBooleanField):
            cell = {"yes": "true", "no": "false"}.get(cell, "unknown")
        elif isinstance(each, forms.BooleanField):
            cell = cell.lower() in TRUE
        elif cell == "" and each.initial not in (None, ""):
            cell = each.prepare_value(each.initial)
        data[f"{prefix}{name}"] = cell
    return data


def _first_reason(errors: Mapping[str, Any]) -> str:
    return "; ".join(f"{name}: {' '.join(map(str, texts))}" for name, texts in errors.items())


def _checked(form: type[forms.Form], line: Line, loading: Load) -> dict[str, Any] | None:
    bound = form(_typed(form, line))
    if bound.is_valid():
        return dict(bound.cleaned_data)
    loading.object_to(line, _first_reason(bound.errors))
    return None


def _load_suppliers(loading: Load) -> None:
    for line in loading.lines["suppliers"]:
        fields = _checked(SupplierForm, line, loading)
        if fields is None:
            continue
        there = Supplier.objects.filter(name__iexact=fields["name"]).first()
        if there is None:
            loading.do(line, lambda f=fields: services.add_supplier(by=None, fields=f))
        elif any(getattr(there, name) != value for name, value in fields.items()):
            loading.do(
                line,
                lambda f=fields, s=there: services.change_supplier(by=None, supplier=s, fields=f),
            )


def _load_products(loading: Load) -> None:
    """Services first, since keypads name one for their engraving."""
    loading.read_products()
    below = {subject: loading.of(subject) for subject in SUBJECTS}
    _object_to_strays(loading, below)
    lines = sorted(loading.lines["products"], key=lambda line: line["kind"] != Kind.SERVICE)
    families = {line["family"] for line in lines} - {""}
    for name in sorted(families - set(Family.objects.values_list("name", flat=True))):
        services.add_family(by=None, name=name)
    seen: set[str] = set()
    for line in lines:
        if line["kind"] not in Kind.values:
            loading.object_to(line, _("There is no such kind: %s") % line["kind"])
        elif line["reference"] in seen:
            loading.object_to(line, _("This reference stands in the file twice."))
        else:
            _load_product(loading, line, below)
        seen.add(line["reference"])


def _object_to_strays(loading: Load, below: Mapping[str, Mapping[str, Sequence[Line]]]) -> None:
    """Rows below a product that is neither in the file nor in the catalogue."""
    named = {line["reference"] for line in loading.lines["products"]}
    for subject in ("fittings", "feeds", "drivers", "receivers", "limits", "keypads"):
        for reference, lines in below[subject].items():
            if reference not in named:
                loading.object_to(lines[0], _("There is no product %s in the file.") % reference)


def _load_product(
    loading: Load, line: Line, below: Mapping[str, Mapping[str, Sequence[Line]]]
) -> None:
    reference = line["reference"]
    stored = loading.products.get(reference)
    forms_ = ProductForms(kind=line["kind"], data=_product_data(line, below))
    if not forms_.is_valid():
        loading.object_to(line, _reasons(forms_))
        return
    sheet = forms_.sheet()
    if stored is None:
        loading.do(line, lambda: services.add_product(by=None, sheet=sheet))
        return
    before = sheet_of(stored)
    sheet = ProductSheet(
        kind=sheet.kind,
        basics={**sheet.basics, "picture": stored.picture},
        technical=sheet.technical,
        feeds=sheet.feeds,
        limits=sheet.limits,
        parts=before.parts,
    )
    if _comparable(sheet) != _comparable(before):
        loading.do(line, lambda: services.change_product(by=None, product=stored, sheet=sheet))


def _comparable(sheet: ProductSheet) -> tuple[Any, ...]:
    """What of a sheet says whether two are equal, whatever the order of limits."""
    feeds = [{name: feed.get(name) for name in ("number", *FEED_FIELDS)} for feed in sheet.feeds]
    limits = sorted(
        sorted((name, str(v)) for name, v in _plain(each).items()) for each in sheet.limits
    )
    return sheet.kind, dict(sheet.basics), sheet.technical and dict(sheet.technical), feeds, limits


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    return {n: v.normalize() if hasattr(v, "normalize") else v for n, v in values.items()}


def _product_data(line: Line, below: Mapping[str, Mapping[str, Sequence[Line]]]) -> dict[str, Any]:
    """All cells of one product as its forms would be sent."""
    reference, kind = line["reference"], line["kind"]
    data = _typed(BasicsForm, line)
    if technical := TECHNICAL_FORMS.get(kind):
        own = below[TECHNICAL_FILES.get(Kind(kind), "fittings")].get(reference)
        empty = Line(file=line.file, row=line.row, cells={})
        data |= _typed(technical, own[0] if own else empty, prefix="technical-")
    for prefix, form in (("feeds", FeedForm), ("limits", LimitForm)):
        rows = below[prefix].get(reference, [])
        data |= {f"{prefix}-TOTAL_FORMS": len(rows), f"{prefix}-INITIAL_FORMS": 0}
        for index, row in enumerate(rows):
            data |= _typed(form, row, prefix=f"{prefix}-{index}-")
    return data | {"parts-TOTAL_FORMS": 0, "parts-INITIAL_FORMS": 0}


def _reasons(forms_: ProductForms) -> str:
    reasons = [_first_reason(forms_.basics.errors)]
    if forms_.technical is not None:
        reasons.append(_first_reason(forms_.technical.errors))
    for rows in (forms_.feeds, forms_.limits):
        if rows is not None:
            reasons += [_first_reason(errors) for errors in rows.errors]
            reasons += [str(error) for error in rows.non_form_errors()]
    return "; ".join(filter(None, reasons))


def _named_product(loading: Load, lines: Sequence[Line], reference: str) -> Product | None:
    product = loading.products.get(reference)
    if product is None and not any(wrong.file.endswith("products.csv") for wrong in loading.wrong):
        loading.object_to(lines[0], _("There is no product %s.") % reference)
    return product


def _load_parts(loading: Load) -> None:
    for reference, lines in loading.of("parts").items():
        product = _named_product(loading, lines, reference)
        typed = [_checked(PartForm, line, loading) for line in lines]
        if product is None or None in typed:
            continue
        parts = [part for part in typed if part is not None]
        stored = [{name: getattr(p, name) for name in PART_FIELDS} for p in product.parts.all()]
        if sorted(map(_part_key, parts)) != sorted(map(_part_key, stored)):
            loading.do(
                lines[0],
                lambda o=product, p=parts: services.change_parts(by=None, product=o, parts=p),
            )


def _part_key(part: Mapping[str, Any]) -> tuple[str, str, Any]:
    return str(part["part"].pk), part["per"], part["quantity"]


def _load_prices(loading: Load) -> None:
    for reference, lines in loading.of("prices").items():
        product = _named_product(loading, lines, reference)
        typed = [_checked(PriceForm, line, loading) for line in lines]
        if product is None or None in typed:
            continue
        prices = [Price(**fields) for fields in typed if fields is not None]
        stored = {price.from_day: (price.cost, price.sell) for price in product.prices.all()}
        if not stored:
            if len({price.from_day for price in prices}) < len(prices):
                loading.object_to(lines[0], _("Two prices of one product begin on one day."))
                continue
            loading.do(
                lines[0],
                lambda o=product, p=prices: services.start_prices(by=None, product=o, prices=p),
            )
            continue
        for line, price in zip(lines, prices, strict=True):
            if stored.get(price.from_day) != (price.cost, price.sell):
                loading.do(
                    line,
                    lambda o=product, p=price: services.set_price(
                        by=None, product=o, price=p, today=loading.today
                    ),
                )


def _load_dated(loading: Load) -> None:
    """Norms, hourly rates and tax rates. One that is there already is left, or refused if unlike."""
    for subject, form, model in (
        ("norms", NormForm, LabourNorm),
        ("rates", RateForm, LabourRate),
        ("taxes", TaxForm, TaxRate),
    ):
        for line in loading.lines[subject]:
            fields = _checked(form, line, loading)
            if fields is None or model._base_manager.filter(**fields).exists():
                continue
            loading.do(
                line,
                lambda m=model, f=fields: services.set_from_day(
                    by=None, model=m, fields=f, today=loading.today
                ),
            )


def _load_discontinued(loading: Load) -> None:
    for line in loading.lines["products"]:
        if line["discontinued"].lower() not in TRUE:
            continue
        fields = _checked(DiscontinueForm, line, loading)
        product = Product.objects.filter(reference=line["reference"]).first()
        if product is None or fields is None or product.is_discontinued:
            continue
        loading.do(
            line,
            lambda o=product, f=fields: services.discontinue(
                by=None, product=o, replaced_by=f["replaced_by"]
            ),
        )


def mend_search() -> None:
    """Make the search's lines anew where products came without a deed."""
    if Product.objects.filter(search_text__isnull=True).exists():
        search.rebuild()
