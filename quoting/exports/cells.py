"""Typed cells of a workbook: texts that are never calculated, exact decimals, formulas."""

from collections.abc import Sequence
from decimal import Decimal

from openpyxl.cell import Cell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from quoting.exports.characters import carried

_LONGEST_TEXT = 32_000  # a cell holds 32,767 characters
_EXEMPT = "exempt"


def title(sheet: Worksheet, row: int, names: Sequence[str]) -> int:
    for column, name in enumerate(names, start=1):
        text(sheet.cell(row, column), name)
        sheet.cell(row, column).font = Font(bold=True)
    return row + 1


def headings(sheet: Worksheet, names: Sequence[str], widths: Sequence[int]) -> None:
    title(sheet, 1, names)
    for column, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = width
    sheet.freeze_panes = "A2"
    sheet.print_title_rows = "1:1"


def text(cell: Cell, words: str) -> None:
    cell.value = carried(words)[:_LONGEST_TEXT]
    # openpyxl takes a text that begins with = for a formula: it is told that this is none.
    cell.data_type = "s"
    cell.style = "Normal"
    cell.quotePrefix = True


def number(cell: Cell, value: Decimal, number_format: str) -> None:
    # Given a number, openpyxl writes 16 digits of its binary fraction (0.07 becomes
    # 0.07000000000000001); given its text as a number, the decimal itself.
    cell.value = format(value, "f")
    cell.data_type = "n"
    cell.number_format = number_format


def formula(cell: Cell, expression: str, number_format: str) -> None:
    cell.value = expression
    cell.number_format = number_format


def rate(cell: Cell, share: Decimal | None) -> None:
    if share is None:
        text(cell, _EXEMPT)
    else:
        number(cell, share, "0.##%")


def money_format(digits: int) -> str:
    return f"#,##0.{'0' * digits}" if digits else "#,##0"
