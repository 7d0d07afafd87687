"""The offer's lines, allowances and charges as one table of comma-separated values.

RFC 4180: one header, the same number of fields in every record, CRLF, quotes doubled. In UTF-8 with
a byte order mark, without which spreadsheets take accents and currency signs for something else.
The column ``amount`` has its sign, so that its sum is the taxable total.

A variation of an order holds the whole job as it is to become, and so do its lines and amounts.
What it changes stands in records of the kind ``change``: without tax, the tax, and with tax, to the
minor unit as the page and the print tell it. ``change_net``, ``change_tax`` and ``change_with_tax``
each add up to what the variation itself comes to. Issues of before tax was kept line by line have
one record for the tax of all changes instead. Records of the kind ``total`` say in ``total`` what
was ordered, what the variation comes to, and the new total, each with tax. What the client may
choose stands in records of the kind ``option``: what taking it changes, in ``option_net`` and
``option_with_tax``. Elsewhere these columns are empty.

A text cell that a spreadsheet could take for a formula gets an apostrophe in front (OWASP, CSV
injection; also where such a sign follows white space, and for its full-width forms). Numbers are
written by us and stay numbers, negative ones too.
"""

import csv
import io
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from quoting.exports.characters import carried
from quoting.money import EXACT
from quoting.offer import DocumentAdjustment, Line, Offer

COLUMNS = (
    "kind",
    "place",
    "floor",
    "key",
    "description",
    "quantity",
    "unit",
    "unit_price",
    "discount",
    "amount",
    "tax_rate",
    "currency",
    "supplied_by",
    "installed_by",
    "connected_by",
    "provisional",
    "note",
    "quantity_before",
    "change_net",
    "change_tax",
    "change_with_tax",
    "total",
    "option_net",
    "option_with_tax",
)
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def write(*, offer: Mapping[str, Any]) -> bytes:
    """Return the table's bytes. Raises ValueError where the content is no offer."""
    document = Offer.from_content(offer)
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, dialect="excel", lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for record in _records(document):
        writer.writerow([_cell(record.get(column)) for column in COLUMNS])
    return stream.getvalue().encode("utf-8-sig")


def safe_text(text: str) -> str:
    """Return the text so that no spreadsheet calculates it.

    >>> safe_text("=1+1"), safe_text("2 × 3")
    ("'=1+1", '2 × 3')
    """
    clean = carried(text)
    is_formula = clean.startswith(_FORMULA_SIGNS) or clean.lstrip().startswith(_FORMULA_SIGNS)
    return f"'{clean}" if is_formula else clean


def _records(offer: Offer) -> Iterator[Mapping[str, str | Decimal | None]]:
    for room in offer.rooms:
        for line in room.lines:
            yield {**_line(line), "place": room.name, "floor": room.floor, **_money(offer)}
    for section in offer.sections():
        for line in section.lines:
            yield {**_line(line), "place": section.title, **_money(offer)}
    for each in offer.allowances:
        yield {**_adjustment("allowance", each, each.amount.copy_negate()), **_money(offer)}
    for each in offer.charges:
        yield {**_adjustment("charge", each, each.amount), **_money(offer)}
    for record in (*_variation(offer), *_options(offer)):
        yield {**record, **_money(offer)}


def _options(offer: Offer) -> Iterator[dict[str, str | Decimal | None]]:
    for group in offer.options:
        for option in group.options:
            yield {
                "kind": "option",
                "place": group.name,
                "description": option.name,
                "note": "counted in" if option.is_in_base else "",
                "option_net": option.net_delta,
                "option_with_tax": option.gross_delta,
            }


def _variation(offer: Offer) -> Iterator[dict[str, str | Decimal | None]]:
    told = offer.variation
    if told is None:
        return
    for row in told.changes:
        yield {
            "kind": "change",
            "place": row.place,
            "description": row.what,
            "quantity": row.after,
            "quantity_before": row.before,
            "unit": "" if row.before is None and row.after is None else row.unit,
            "change_net": row.net_delta,
            "change_tax": row.tax_delta,
            "change_with_tax": row.gross_delta,
        }
    if told.tax_change and not told.tells_tax:
        yield {"kind": "change", "description": offer.tax_name, "change_tax": told.tax_change}
    for name, amount in (
        (f"ordered {told.since}", told.ordered_gross),
        (f"variation {told.number}", EXACT.subtract(offer.totals.gross, told.ordered_gross)),
        ("new total", offer.totals.gross),
    ):
        yield {"kind": "total", "description": name, "total": amount}


def _line(line: Line) -> dict[str, str | Decimal | None]:
    return {
        "kind": "credit" if line.is_credit else "line",
        "key": line.key,
        "description": line.client_name or line.description,
        "quantity": line.quantity,
        "unit": line.unit,
        "unit_price": line.unit_price,
        "discount": line.discount,
        "amount": line.net,
        "tax_rate": "exempt" if line.tax_rate is None else line.tax_rate,
        "supplied_by": line.supplied_by,
        "installed_by": line.installed_by,
        "connected_by": line.connected_by,
        "provisional": "yes" if line.is_provisional else "no",
        "note": line.note,
    }


def _adjustment(
    kind: str, each: DocumentAdjustment, signed: Decimal
) -> dict[str, str | Decimal | None]:
    rate = "exempt" if each.tax_rate is None else each.tax_rate
    return {"kind": kind, "description": each.reason, "amount": signed, "tax_rate": rate}


def _money(offer: Offer) -> dict[str, str | Decimal | None]:
    return {"currency": offer.currency}


def _cell(value: str | Decimal | None) -> str:
    if value is None:
        return ""
    return format(value, "f") if isinstance(value, Decimal) else safe_text(value)
