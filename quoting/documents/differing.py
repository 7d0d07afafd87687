"""What changed between two issues, in words: for the page and for paper."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from quoting import words
from quoting.differences import CHANGED, Difference, difference
from quoting.money import EXACT
from quoting.offer import Offer
from quoting.templatetags.documents import amount, day, each, figure, share

MONEY = frozenset(
    {"net", "gross", "tax", "taxable", "allowance", "charge", "amount"}
    | {"net_delta", "tax_delta", "gross_delta"}
)
SHARES = frozenset({"discount", "tax_rate", "share", "level"})
WHO = frozenset({"supplied_by", "installed_by", "connected_by"})
LONGEST = 90


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing that changed. ``before`` and ``after`` are texts, '–' where there is nothing."""

    name: str
    place: str
    how: str  # what changed of it; 'new' or 'gone' where all of it did
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Changes of one sort, under their title."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """A total as it was, as it is, and the change."""

    name: str
    before: Decimal
    after: Decimal

    @property
    def change(self) -> Decimal:
        return EXACT.subtract(self.after, self.before)


def sums(*, old: Offer, new: Offer) -> tuple[Sum, ...]:
    """The totals that a reader looks for first."""
    before, after = old.totals, new.totals
    return (
        Sum(name=_("Without tax"), before=before.taxable, after=after.taxable),
        Sum(name=new.tax_name, before=before.tax, after=after.tax),
        Sum(name=_("With tax"), before=before.gross, after=after.gross),
    )


def groups(*, old: Offer, new: Offer) -> tuple[Group, ...]:
    """Every change that a client sees, by sort; totals stand apart in ``sums``."""
    titles = {
        "line": _("Lines"),
        "room": _("Rooms"),
        "scene": _("Scenes"),
        "level": _("Levels in scenes"),
        "option": _("What may be chosen"),
        "adjustment": _("Discounts and charges"),
        "stage": _("Payment"),
        "document": _("The offer"),
        "terms": _("Terms"),
    }
    rows = difference(old=old, new=new)
    found = (
        Group(title=title, rows=tuple(_rows((r for r in rows if r.subject == subject), new)))
        for subject, title in titles.items()
    )
    return tuple(group for group in found if group.rows)


def _rows(rows: Iterable[Difference], offer: Offer) -> Iterable[Row]:
    for row in rows:
        if row.subject == "option" and row.field in {"net_delta", "tax_delta"}:
            continue  # one price of an option is enough to read
        what = words.field(row.field)
        yield Row(
            name=row.name or what,
            place=row.place if row.subject != "adjustment" else words.field(row.place),
            how=what if row.change == CHANGED else words.change(row.change),
            before=_value(row.before, row, offer),
            after=_value(row.after, row, offer),
        )


def _value(value: Any, row: Difference, offer: Offer) -> str:
    if value is None:
        no_rate = row.field == "tax_rate" and row.change == CHANGED
        return _("none") if no_rate else "–"
    if isinstance(value, bool):
        return words.yes_or_no(value)
    if isinstance(value, Decimal):
        if row.field in MONEY:
            return amount(value, offer)
        if row.field == "unit_price":
            return each(value, offer)
        return share(value, offer) if row.field in SHARES else figure(value, offer)
    if isinstance(value, datetime.date):
        return day(value, offer)
    return _text(str(value), row.field)


def _text(value: str, field: str) -> str:
    if field in WHO:
        return words.trade(value) or "–"
    if field == "tax_treatment":
        return words.treatment(value) or "–"
    if field == "unit":
        return words.unit(value) or _("piece")
    if field == "picture":
        return _("a picture") if value else "–"
    short = value if len(value) <= LONGEST else f"{value[: LONGEST - 1].rstrip()}…"
    return short or "–"
