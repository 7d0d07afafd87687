"""What a reader of our files finds in them: totals, and breaches of the rules for them."""

import csv
import io
from decimal import ROUND_HALF_UP, Decimal

from lxml import etree

from quoting.offer import Totals
from tests.quoting.spreadsheet import Book

NAMES = {
    "cac": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
    "cbc": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
}


def csv_rows(content: bytes) -> list[dict[str, str]]:
    """Return the table's records as a reader of RFC 4180 finds them."""
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline="")))


def csv_amount(content: bytes) -> Decimal:
    """Return the sum of the amounts."""
    return csv_sum(content, "amount")


def csv_sum(content: bytes, column: str) -> Decimal:
    """Return the sum of a column, whose empty fields count as nothing."""
    found = (row[column] for row in csv_rows(content))
    return sum((Decimal(text) for text in found if text), Decimal(0))


def ubl_root(content: bytes) -> etree._Element:
    return etree.fromstring(content)


def texts(element: etree._Element, path: str) -> list[str]:
    return [each.text for each in element.findall(path, NAMES)]


def amounts(element: etree._Element, path: str) -> list[Decimal]:
    return [Decimal(text) for text in texts(element, path)]


def ubl_totals(root: etree._Element) -> Totals:
    def one(path: str) -> Decimal:
        (value,) = amounts(root, path)
        return value

    return Totals(
        net=one("cac:QuotedMonetaryTotal/cbc:LineExtensionAmount"),
        allowance=one("cac:QuotedMonetaryTotal/cbc:AllowanceTotalAmount"),
        charge=one("cac:QuotedMonetaryTotal/cbc:ChargeTotalAmount"),
        taxable=one("cac:QuotedMonetaryTotal/cbc:TaxExclusiveAmount"),
        tax=one("cac:TaxTotal/cbc:TaxAmount"),
        gross=one("cac:QuotedMonetaryTotal/cbc:TaxInclusiveAmount"),
    )


def rule_faults(root: etree._Element, *, is_by_line: bool = False) -> list[str]:
    """Return the EN 16931-1 rules for sums, BR-CO-10 to BR-CO-17, that the quotation breaks.

    Wording after the EN 16931 validation artefacts 1.3.16; BT-113 and BT-114 (paid, rounding) are
    0 in a quotation. ``is_by_line`` takes the tax of BR-CO-17 part by part, as a document says that
    rounds by line.
    """
    totals = ubl_totals(root)
    (payable,) = amounts(root, "cac:QuotedMonetaryTotal/cbc:PayableAmount")
    signed: dict[str, list[Decimal]] = {"false": [], "true": []}
    for element in root.findall("cac:AllowanceCharge", NAMES):
        signed[texts(element, "cbc:ChargeIndicator")[0]] += amounts(element, "cbc:Amount")
    lines = amounts(root, "cac:QuotationLine/cac:LineItem/cbc:LineExtensionAmount")
    checks = {
        "BR-CO-10": totals.net == sum(lines),
        "BR-CO-11": totals.allowance == sum(signed["false"]),
        "BR-CO-12": totals.charge == sum(signed["true"]),
        "BR-CO-13": totals.taxable == totals.net - totals.allowance + totals.charge,
        "BR-CO-14": totals.tax == sum(amounts(root, "cac:TaxTotal/cac:TaxSubtotal/cbc:TaxAmount")),
        "BR-CO-15": totals.gross == totals.taxable + totals.tax,
        "BR-CO-16": payable == totals.gross,
    }
    for subtotal in root.findall("cac:TaxTotal/cac:TaxSubtotal", NAMES):
        (taxable,) = amounts(subtotal, "cbc:TaxableAmount")
        (tax,) = amounts(subtotal, "cbc:TaxAmount")
        percent = (amounts(subtotal, "cac:TaxCategory/cbc:Percent") or [Decimal(0)])[0]
        parts = _taxed_parts(root, texts(subtotal, "cac:TaxCategory/cbc:ID")[0], percent)
        code = f"at {percent} %"
        checks[f"taxable {code}"] = taxable == sum(parts)
        rounded = parts if is_by_line else [taxable]
        checks[f"BR-CO-17 {code}"] = tax == sum(
            (part * percent / 100).quantize(tax, rounding=ROUND_HALF_UP) for part in rounded
        )
    return [rule for rule, holds in checks.items() if not holds]


def _taxed_parts(root: etree._Element, category: str, percent: Decimal) -> list[Decimal]:
    """Return the signed amounts of lines, allowances and charges of this category and rate."""
    found: list[Decimal] = []
    for path, kind, field in (
        (
            "cac:QuotationLine/cac:LineItem",
            "cac:Item/cac:ClassifiedTaxCategory",
            "LineExtensionAmount",
        ),
        ("cac:AllowanceCharge", "cac:TaxCategory", "Amount"),
    ):
        for element in root.findall(path, NAMES):
            rate = amounts(element, f"{kind}/cbc:Percent") or [Decimal(0)]
            if (texts(element, f"{kind}/cbc:ID"), rate) == ([category], [percent]):
                sign = -1 if texts(element, "cbc:ChargeIndicator") == ["false"] else 1
                found += [sign * each for each in amounts(element, f"cbc:{field}")]
    return found


def workbook_totals(content: bytes) -> tuple[Totals, Totals, dict[str, Decimal]]:
    """Return the totals worked out, those written as issued, and the net by place."""
    book = Book(content)
    top = book.row_of("Totals", "Total") + 1
    worked_out, issued = (
        Totals(
            net=book.value("Totals", f"{column}{top}"),
            allowance=book.value("Totals", f"{column}{top + 1}"),
            charge=book.value("Totals", f"{column}{top + 2}"),
            taxable=book.value("Totals", f"{column}{top + 3}"),
            tax=book.value("Totals", f"{column}{top + 4}"),
            gross=book.value("Totals", f"{column}{top + 5}"),
        )
        for column in "BC"
    )
    places: dict[str, Decimal] = {}
    row = book.row_of("Totals", "Place") + 1
    while book.value("Totals", f"A{row}"):
        places[book.value("Totals", f"A{row}")] = book.value("Totals", f"B{row}")
        row += 1
    return worked_out, issued, places
