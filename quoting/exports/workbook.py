"""The offer as an XLSX workbook whose formulas work the totals out again.

Quantities, prices, rates and days are typed cells; every text is a text cell, so that nothing a
person typed is ever calculated. Line nets, sums by room, tax and totals are formulas; beside the
gross total stands the issued one and the difference, which is 0.

A variation of an order holds the whole job as it is to become. Beside its totals stand what was
ordered before and what the variation itself comes to; what changes is a sheet of its own.

Formulas compare with ``=`` and ``EXACT`` inside ``SUMPRODUCT`` rather than with ``SUMIFS``, whose
criteria would take a text such as ``>5`` for a comparison. Spreadsheets calculate in binary: a
product that is half a minor unit in decimal may come out a hair below it, so each is rounded to ten
decimals before it is rounded to the minor unit. A program that rounds in binary all the same may
still be a minor unit off there; the difference beside the totals then shows it. Values are
calculated when the file is opened; a viewer that cannot calculate shows them empty.
"""

import io
import re
import zipfile
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet.worksheet import Worksheet

from quoting.exports import cells
from quoting.exports.characters import carried
from quoting.exports.workbook_changes import changes_sheet, options_sheet, variation_rows
from quoting.money import EXACT, minor_digits
from quoting.offer import Line, Offer

type _Value = Decimal | str | date | None
type _Words = Callable[[str], str]


def write(*, offer: Mapping[str, Any], words: _Words = str) -> bytes:
    """Return the workbook's bytes, the same for the same offer.

    ``words`` translates a heading. Raises ValueError where the content is no offer.
    """
    document = Offer.from_content(offer)
    workbook = Workbook()
    workbook.calculation.fullCalcOnLoad = True
    workbook.properties.creator = carried(document.business.name)
    workbook.properties.title = carried(f"{document.number}-{document.revision}")
    workbook.remove(workbook.active)
    totals = workbook.create_sheet("Totals")
    line_rows = _lines_sheet(workbook.create_sheet("Lines"), document, words)
    adjustment_rows = _adjustments_sheet(workbook.create_sheet("Adjustments"), document, words)
    if document.variation is not None:
        changes_sheet(workbook.create_sheet("Changes"), document.variation, document, words)
    if document.options:
        options_sheet(workbook.create_sheet("Options"), document, words)
    _totals_sheet(totals, document, line_rows, adjustment_rows, words)
    stream = io.BytesIO()
    workbook.save(stream)
    return _dated(stream.getvalue(), document.issued)


def _lines_sheet(sheet: Worksheet, offer: Offer, words: _Words) -> int:
    """Fill the sheet and return the last row of the lines."""
    _ = words
    headings = [
        _("Place"),
        _("Floor"),
        _("Line"),
        _("Description"),
        _("Quantity"),
        _("Unit"),
        _("Unit price"),
        _("Discount"),
        _("Net"),
        _("Tax rate"),
        _("Tax by line"),
        _("Supplied by"),
        _("Installed by"),
        _("Connected by"),
        _("Note"),
    ]
    cells.headings(sheet, headings, (24, 14, 14, 44, 10, 8, 12, 10, 14, 10, 12, 14, 14, 14, 40))
    row = 1
    for place, floor, line in _placed_lines(offer):
        row += 1
        _line_row(sheet, row, place, floor, line, offer)
    return max(row, 2)


def _placed_lines(offer: Offer) -> Iterable[tuple[str, str, Line]]:
    for room in offer.rooms:
        for line in room.lines:
            yield room.name, room.floor, line
    for section in offer.sections():
        for line in section.lines:
            yield section.title, "", line


def _line_row(sheet: Worksheet, row: int, place: str, floor: str, line: Line, offer: Offer) -> None:
    digits = minor_digits(offer.currency)
    money = cells.money_format(digits)
    for column, text in ((1, place), (2, floor), (3, line.key), (6, line.unit)):
        cells.text(sheet.cell(row, column), text)
    cells.text(sheet.cell(row, 4), line.client_name or line.description)
    cells.number(sheet.cell(row, 5), line.quantity, "#,##0.###")
    cells.number(sheet.cell(row, 7), line.unit_price, f"{money}##" if digits else f"{money}.##")
    cells.number(sheet.cell(row, 8), line.discount, "0.##%")
    cells.formula(sheet.cell(row, 9), f"=ROUND(ROUND(E{row}*G{row}*(1-H{row}),10),{digits})", money)
    cells.rate(sheet.cell(row, 10), line.tax_rate)
    if offer.tax_rounding == "line":
        tax = f"=IF(ISNUMBER(J{row}),ROUND(ROUND(I{row}*J{row},10),{digits}),0)"
        cells.formula(sheet.cell(row, 11), tax, money)
    for column, text in ((12, line.supplied_by), (13, line.installed_by), (14, line.connected_by)):
        cells.text(sheet.cell(row, column), text)
    cells.text(sheet.cell(row, 15), line.note)


def _adjustments_sheet(sheet: Worksheet, offer: Offer, words: _Words) -> int:
    """Fill the sheet and return its last row. The factor is −1 for what is taken off."""
    _ = words
    headings = [_("Factor"), _("Reason"), _("Amount"), _("Tax rate"), _("Tax by line")]
    cells.headings(sheet, headings, (10, 44, 14, 10, 12))
    digits = minor_digits(offer.currency)
    money = cells.money_format(digits)
    signed = [(-1, each) for each in offer.allowances] + [(1, each) for each in offer.charges]
    for row, (factor, each) in enumerate(signed, start=2):
        cells.number(sheet.cell(row, 1), Decimal(factor), "0")
        cells.text(sheet.cell(row, 2), each.reason)
        cells.number(sheet.cell(row, 3), each.amount, money)
        cells.rate(sheet.cell(row, 4), each.tax_rate)
        if offer.tax_rounding == "line":
            tax = f"=IF(ISNUMBER(D{row}),ROUND(ROUND(C{row}*D{row},10),{digits}),0)"
            cells.formula(sheet.cell(row, 5), tax, money)
    return max(len(signed) + 1, 2)


def _totals_sheet(sheet: Worksheet, offer: Offer, lines: int, adjusted: int, words: _Words) -> None:
    _ = words
    digits = minor_digits(offer.currency)
    money = cells.money_format(digits)
    sheet.column_dimensions["A"].width = 30
    for column in "BCDE":
        sheet.column_dimensions[column].width = 18
    row = _facts(sheet, offer, words)
    net = f"Lines!$I$2:$I${lines}"
    factor = f"Adjustments!$A$2:$A${adjusted}"
    amount = f"Adjustments!$C$2:$C${adjusted}"

    row = cells.title(sheet, row + 1, [_("Place"), _("Net"), _("Issued")])
    for name, floor, issued in _places(offer):
        cells.text(sheet.cell(row, 1), name)
        cells.text(sheet.cell(row, 4), floor)
        same = f"EXACT(Lines!$A$2:$A${lines},A{row})*EXACT(Lines!$B$2:$B${lines},D{row})"
        cells.formula(sheet.cell(row, 2), f"=ROUND(SUMPRODUCT({same}*{net}),{digits})", money)
        cells.number(sheet.cell(row, 3), issued, money)
        row += 1

    row = cells.title(sheet, row + 1, [_("Tax rate"), _("Taxable"), offer.tax_name])
    first_tax = row
    for tax in offer.taxes:
        cells.rate(sheet.cell(row, 1), tax.rate)
        of_lines = f"(Lines!$J$2:$J${lines}=A{row})"
        of_adjusted = f"(Adjustments!$D$2:$D${adjusted}=A{row})*{factor}"
        taxable = f"SUMPRODUCT({of_lines}*{net})+SUMPRODUCT({of_adjusted}*{amount})"
        cells.formula(sheet.cell(row, 2), f"=ROUND({taxable},{digits})", money)
        if offer.tax_rounding == "line":
            summed = (
                f"SUMPRODUCT({of_lines}*Lines!$K$2:$K${lines})"
                f"+SUMPRODUCT({of_adjusted}*Adjustments!$E$2:$E${adjusted})"
            )
            cells.formula(sheet.cell(row, 3), f"=ROUND({summed},{digits})", money)
        else:
            once = f"=IF(ISNUMBER(A{row}),ROUND(ROUND(B{row}*A{row},10),{digits}),0)"
            cells.formula(sheet.cell(row, 3), once, money)
        row += 1
    last_tax = max(row - 1, first_tax)

    row = cells.title(sheet, row + 1, [_("Total"), _("Worked out"), _("Issued"), _("Difference")])
    top = row
    totals = offer.totals
    rows: list[tuple[str, str, Decimal]] = [
        (_("Lines"), f"SUM({net})", totals.net),
        (_("Allowances"), f"SUMPRODUCT(({factor}=-1)*{amount})", totals.allowance),
        (_("Charges"), f"SUMPRODUCT(({factor}=1)*{amount})", totals.charge),
        (_("Without tax"), f"B{top}-B{top + 1}+B{top + 2}", totals.taxable),
        (offer.tax_name, f"SUM(C{first_tax}:C{last_tax})", totals.tax),
        (_("With tax"), f"B{top + 3}+B{top + 4}", totals.gross),
    ]
    for name, formula, issued in rows:
        cells.text(sheet.cell(row, 1), name)
        cells.formula(sheet.cell(row, 2), f"=ROUND({formula},{digits})", money)
        cells.number(sheet.cell(row, 3), issued, money)
        cells.formula(sheet.cell(row, 4), f"=ROUND(B{row}-C{row},{digits})", money)
        row += 1
    if offer.variation is not None:
        row = variation_rows(sheet, row + 1, offer.variation, offer, top + 3, words)
    _stages(sheet, row + 1, offer, top + 5, words)


def _stages(sheet: Worksheet, row: int, offer: Offer, gross_row: int, words: _Words) -> None:
    if not offer.stages:
        return
    _ = words
    digits = minor_digits(offer.currency)
    money = cells.money_format(digits)
    row = cells.title(sheet, row, [_("Payment stage"), _("Share"), _("Amount"), _("Due")])
    first = row
    for stage in offer.stages:
        cells.text(sheet.cell(row, 1), stage.name)
        cells.number(sheet.cell(row, 2), stage.share, "0.##%")
        cells.number(sheet.cell(row, 3), stage.amount, money)
        cells.text(sheet.cell(row, 4), stage.due)
        row += 1
    cells.text(sheet.cell(row, 1), _("Left over"))
    left = f"=ROUND(B{gross_row}-SUM(C{first}:C{row - 1}),{digits})"
    cells.formula(sheet.cell(row, 3), left, money)


def _facts(sheet: Worksheet, offer: Offer, words: _Words) -> int:
    """Write who offers what to whom, and return the next free row."""
    _ = words
    facts: list[tuple[str, _Value]] = [
        (_("Quote"), f"{offer.number}-{offer.revision}"),
        (_("Issued"), offer.issued),
        (_("Valid until"), offer.valid_until),
        (_("From"), offer.business.name),
        (_("For"), offer.client.name),
        *((_("Billed to"), party.name) for party in offer.parties if party.role == "billed"),
        (_("Project"), offer.project.name),
        (_("Currency"), offer.currency),
        (_("Tax is rounded"), offer.tax_rounding),
    ]
    for row, (name, value) in enumerate(facts, start=1):
        cells.text(sheet.cell(row, 1), name)
        sheet.cell(row, 1).font = Font(bold=True)
        if isinstance(value, date):
            sheet.cell(row, 2).value = value
            sheet.cell(row, 2).number_format = "yyyy-mm-dd"
            sheet.cell(row, 2).alignment = Alignment(horizontal="left")
        else:
            cells.text(sheet.cell(row, 2), str(value))
    return len(facts) + 1


def _places(offer: Offer) -> Iterable[tuple[str, str, Decimal]]:
    """Yield each place once: two rooms of one name on one floor share a row."""
    nets: dict[tuple[str, str], Decimal] = {}
    parts = [((room.name, room.floor), room.net) for room in offer.rooms]
    parts += [((section.title, ""), section.net) for section in offer.sections()]
    for place, net in parts:
        nets[place] = EXACT.add(nets.get(place, Decimal(0)), net)
    for (name, floor), net in nets.items():
        yield name, floor, net


def _dated(content: bytes, issued: date) -> bytes:
    """Return the package with the day of issue for every time in it, so that bytes repeat."""
    moment = datetime.combine(issued, time())
    result = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(result, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "docProps/core.xml":
                stamp = moment.isoformat().encode() + b"Z"
                part = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", stamp, part)
            entry = zipfile.ZipInfo(name, moment.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, part)
    return result.getvalue()
