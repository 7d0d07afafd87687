"""A reader of our workbooks that calculates their formulas in decimal.

It knows only what the workbooks use: + - * =, ROUND, SUM, SUMPRODUCT, EXACT, IF, ISNUMBER, cells
and ranges. What it does not know it refuses, so that a formula cannot pass by not being understood.
"""

import io
import re
import zipfile
from decimal import ROUND_HALF_UP, Decimal
from xml.etree import ElementTree

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_TOKEN = re.compile(
    r"\s*((?:[A-Za-z]+!)?\$?[A-Z]+\$?\d+(?::\$?[A-Z]+\$?\d+)?|[A-Z]+(?=\()|\d+(?:\.\d+)?|[-+*=(),])"
)
_CELL = re.compile(r"\$?([A-Z]+)\$?(\d+)")

type Value = Decimal | str | bool | None


class Book:
    """A workbook's cells by sheet and name, such as ``book.value("Totals", "B12")``."""

    def __init__(self, content: bytes) -> None:
        self.cells: dict[str, dict[str, tuple[str, str]]] = {}
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            assert package.testzip() is None
            names = re.findall(
                r'<sheet [^>]*name="(\w+)"', package.read("xl/workbook.xml").decode()
            )
            shared = self._shared(package)
            for number, name in enumerate(names, start=1):
                sheet = package.read(f"xl/worksheets/sheet{number}.xml")
                self.cells[name] = dict(self._read(sheet, shared))

    def value(self, sheet: str, cell: str) -> Value:
        kind, text = self.cells[sheet].get(cell, ("empty", ""))
        if kind == "formula":
            return Formula(self, sheet, text).result()
        if kind == "number":
            return Decimal(text)
        return text if kind == "text" else None

    def row_of(self, sheet: str, text: str) -> int:
        """Return the only row whose first cell holds this text."""
        (row,) = (
            int(cell[1:])
            for cell, (kind, held) in self.cells[sheet].items()
            if re.fullmatch(r"A\d+", cell) and (kind, held) == ("text", text)
        )
        return row

    @staticmethod
    def _shared(package: zipfile.ZipFile) -> list[str]:
        if "xl/sharedStrings.xml" not in package.namelist():
            return []
        root = ElementTree.fromstring(package.read("xl/sharedStrings.xml"))
        return ["".join(t.text or "" for t in si.iter(f"{_MAIN}t")) for si in root]

    @staticmethod
    def _read(sheet: bytes, shared: list[str]):
        for cell in ElementTree.fromstring(sheet).iter(f"{_MAIN}c"):
            formula, value = cell.find(f"{_MAIN}f"), cell.find(f"{_MAIN}v")
            name = cell.get("r")
            if formula is not None:
                yield name, ("formula", formula.text or "")
            elif cell.get("t") == "inlineStr":
                yield name, ("text", "".join(t.text or "" for t in cell.iter(f"{_MAIN}t")))
            elif cell.get("t") == "s" and value is not None:
                yield name, ("text", shared[int(value.text or "")])
            elif cell.get("t") in ("n", None) and value is not None:
                yield name, ("number", value.text or "")
            elif value is not None:
                yield name, (str(cell.get("t")), value.text or "")


class Formula:
    """One formula, read and calculated in one go."""

    def __init__(self, book: Book, sheet: str, text: str) -> None:
        self.book, self.sheet, self.text = book, sheet, text
        self.tokens: list[str] = []
        position = 0
        while position < len(text):
            match = _TOKEN.match(text, position)
            assert match, f"cannot read {text!r} at {position}"
            self.tokens.append(match[1])
            position = match.end()
        self.at = 0

    def result(self) -> Value:
        value = self._comparison()
        assert self.at == len(self.tokens), f"left over in {self.text!r}"
        assert not isinstance(value, list)
        assert value == value, f"{self.text!r} calculates with a text"  # NaN is not itself
        return value

    def _peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def _take(self, expected: str = "") -> str:
        token = self._peek()
        assert token and expected in ("", token), f"{expected!r} expected in {self.text!r}"
        self.at += 1
        return token

    def _comparison(self):
        left = self._sum()
        if self._peek() == "=":
            self._take()
            return _each(_same, left, self._sum())
        return left

    def _sum(self):
        left = self._product()
        while self._peek() in ("+", "-"):
            sign = self._take()
            right = self._product()
            left = _each(
                lambda a, b, s=sign: _n(a) + _n(b) if s == "+" else _n(a) - _n(b), left, right
            )
        return left

    def _product(self):
        left = self._factor()
        while self._peek() == "*":
            self._take()
            left = _each(lambda a, b: _n(a) * _n(b), left, self._factor())
        return left

    def _factor(self):
        token = self._take()
        if token == "-":
            return -_n(self._factor())
        if token == "(":
            value = self._comparison()
            self._take(")")
            return value
        if token.isalpha():
            return self._call(token)
        if token[0].isdigit():
            return Decimal(token)
        return self._reference(token)

    def _call(self, name: str):
        self._take("(")
        arguments = [self._comparison()]
        while self._peek() == ",":
            self._take()
            arguments.append(self._comparison())
        self._take(")")
        return _FUNCTIONS[name](*arguments)

    def _reference(self, token: str):
        sheet, _, cells = token.rpartition("!")
        sheet = sheet or self.sheet
        if ":" not in cells:
            return self.book.value(sheet, cells.replace("$", ""))
        first, last = (_CELL.fullmatch(each) for each in cells.split(":"))
        assert first and last and first[1] == last[1]
        return [
            self.book.value(sheet, f"{first[1]}{row}")
            for row in range(int(first[2]), int(last[2]) + 1)
        ]


def _n(value: Value) -> Decimal:
    # A sum with a text in it is an error, which travels on (as #VALUE! does) unless not asked for.
    return Decimal("NaN") if isinstance(value, str) else Decimal(value or 0)


def _same(first: Value, second: Value) -> bool:
    if first is None or second is None:  # an empty cell equals 0 and the empty text
        return (first or None) == (second or None) or Decimal(0) in (first, second)
    return type(first) is type(second) and first == second


def _each(function, first, second):
    if not isinstance(first, list) and not isinstance(second, list):
        return function(first, second)
    length = len(first if isinstance(first, list) else second)
    firsts = first if isinstance(first, list) else [first] * length
    seconds = second if isinstance(second, list) else [second] * length
    return [function(a, b) for a, b in zip(firsts, seconds, strict=True)]


def _round(value: Value, digits: Value) -> Decimal:
    return _n(value).quantize(Decimal(1).scaleb(-int(_n(digits))), rounding=ROUND_HALF_UP)


def _total(value) -> Decimal:
    # Like a spreadsheet's, a sum over cells passes over text.
    return sum((_n(each) for each in value if not isinstance(each, str)), Decimal(0))


_FUNCTIONS = {
    "ROUND": _round,
    "SUM": _total,
    "SUMPRODUCT": _total,
    "EXACT": lambda a, b: _each(lambda x, y: (x or "") == (y or ""), a, b),
    "IF": lambda test, yes, no: yes if test else no,
    "ISNUMBER": lambda value: isinstance(value, Decimal),
}
