"""Sheets of the workbook beside its lines: what a variation changes, and what may be chosen."""

from collections.abc import Callable
from decimal import Decimal

from openpyxl.worksheet.worksheet import Worksheet

from quoting.exports import cells
from quoting.money import EXACT, minor_digits
from quoting.offer import Offer, Variation

type _Words = Callable[[str], str]


def changes_sheet(sheet: Worksheet, told: Variation, offer: Offer, words: _Words) -> None:
    """Fill the sheet with the lines that are not as they were ordered, and what each changes.

    What a change comes to with tax is a formula; both are empty in issues of before it was kept.
    """
    _ = words
    headings = [
        *(_("What"), _("Place"), _("Before"), _("Now"), _("Unit")),
        *(_("Change without tax"), offer.tax_name, _("Change with tax")),
    ]
    cells.headings(sheet, headings, (44, 24, 10, 10, 8, 20, 14, 18))
    digits = minor_digits(offer.currency)
    money = cells.money_format(digits)
    for row, change in enumerate(told.changes, start=2):
        cells.text(sheet.cell(row, 1), change.what)
        cells.text(sheet.cell(row, 2), change.place)
        for column, quantity in ((3, change.before), (4, change.after)):
            if quantity is not None:
                cells.number(sheet.cell(row, column), quantity, "#,##0.###")
        if change.before is not None or change.after is not None:
            cells.text(sheet.cell(row, 5), change.unit)
        cells.number(sheet.cell(row, 6), change.net_delta, money)
        if change.tax_delta is not None:
            cells.number(sheet.cell(row, 7), change.tax_delta, money)
            cells.formula(sheet.cell(row, 8), f"=ROUND(F{row}+G{row},{digits})", money)


def variation_rows(
    sheet: Worksheet, row: int, told: Variation, offer: Offer, taxable_row: int, words: _Words
) -> int:
    """Write what was ordered, what changes and the new total, and return the next free row.

    ``taxable_row`` holds the total without tax worked out; the tax and the gross total follow it.
    """
    _ = words
    digits = minor_digits(offer.currency)
    money = cells.money_format(digits)
    name = _("Variation %s of order %s")
    heading = name.replace("%s", str(told.number), 1).replace("%s", told.order, 1)
    row = cells.title(
        sheet, row, [heading, _("Ordered"), _("Change"), _("New total"), _("Left over")]
    )
    totals = offer.totals
    parts: list[tuple[str, Decimal | None, Decimal]] = [
        (_("Change without tax"), told.net_change, totals.taxable),
        (_("Change of tax"), told.tax_change, totals.tax),
        (_("Change with tax"), EXACT.subtract(totals.gross, told.ordered_gross), totals.gross),
    ]
    for place, (label, change, total) in enumerate(parts):
        if change is None:  # an issue of before these were kept
            continue
        cells.text(sheet.cell(row, 1), label)
        cells.number(sheet.cell(row, 2), EXACT.subtract(total, change), money)
        cells.formula(sheet.cell(row, 3), f"=ROUND(D{row}-B{row},{digits})", money)
        cells.formula(sheet.cell(row, 4), f"=B{taxable_row + place}", money)
        if place == 0 or told.tells_tax:
            last = max(len(told.changes) + 1, 2)
            column = "FGH"[place]
            left = f"=ROUND(C{row}-SUM(Changes!${column}$2:${column}${last}),{digits})"
            cells.formula(sheet.cell(row, 5), left, money)
        row += 1
    return row


def options_sheet(sheet: Worksheet, offer: Offer, words: _Words) -> None:
    """Fill the sheet with what the client may choose and what each changes; with tax is a formula."""
    _ = words
    headings = [
        _("To choose"),
        _("Option"),
        _("Counted in"),
        _("Net"),
        offer.tax_name,
        _("With tax"),
    ]
    cells.headings(sheet, [*headings, _("What it is")], (30, 30, 12, 14, 14, 14, 60))
    digits = minor_digits(offer.currency)
    money = cells.money_format(digits)
    row = 1
    for group in offer.options:
        for option in group.options:
            row += 1
            cells.text(sheet.cell(row, 1), group.name)
            cells.text(sheet.cell(row, 2), option.name)
            cells.text(sheet.cell(row, 3), _("yes") if option.is_in_base else _("no"))
            cells.number(sheet.cell(row, 4), option.net_delta, money)
            cells.number(sheet.cell(row, 5), option.tax_delta, money)
            cells.formula(sheet.cell(row, 6), f"=ROUND(D{row}+E{row},{digits})", money)
            cells.text(sheet.cell(row, 7), option.description)
