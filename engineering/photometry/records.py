"""The lines of a EULUMDAT file, one field each."""

import math

from engineering.photometry.errors import PhotometryError, Remark
from engineering.photometry.text import is_number, to_number, to_numbers, to_whole, within

_LONGEST_TEXT = 200


class Records:
    """Hands out the fields of a file one after the other, each a line of its own.

    Commas in numbers are read as points. `line` is the line of the last field.
    """

    def __init__(self, lines: list[str]) -> None:
        self._lines = lines
        self.line = 0

    def _next(self, field: str) -> str:
        if self.line >= len(self._lines):
            raise PhotometryError("ends_early", line=len(self._lines), field=field)
        text = self._lines[self.line].strip()
        self.line += 1
        return text

    def text(self, field: str) -> str:
        """Read a text, which may be empty; a long one is cut."""
        return self._next(field)[:_LONGEST_TEXT]

    def number(self, field: str) -> float:
        """Read a number."""
        text = self._next(field)
        if not text and not any(line.strip() for line in self._lines[self.line :]):
            raise PhotometryError("ends_early", line=self.line, field=field)
        if len(words := text.split()) > 1 and all(map(is_number, words)):
            raise PhotometryError("one_value_a_line", line=self.line, field=field, text=text[:40])
        return to_number(text.replace(",", "."), field=field, line=self.line)

    def optional_number(self, field: str) -> float:
        """Read a number that may be left out, which gives 0."""
        text = self._next(field)
        if not text:
            return 0.0
        return to_number(text.replace(",", "."), field=field, line=self.line)

    def whole(self, field: str, *, low: int, high: int, but: int | None = None) -> int:
        """Read a whole number from `low` to `high`, other than `but`."""
        value = to_whole(self.number(field), field=field, line=self.line)
        within(value, low=low, high=high, field=field, line=self.line)
        if value == but:
            raise PhotometryError(
                "number_out_of_range",
                line=self.line,
                field=field,
                allowed=f"other than {but}",
                value=value,
            )
        return value

    def count(self, field: str, *, limit: int) -> int:
        """Read how many there are, from 1 to `limit`."""
        value = to_whole(self.number(field), field=field, line=self.line)
        within(value, low=1, high=math.inf, field=field, line=self.line, allowed="1 or more")
        if value > limit:
            raise PhotometryError(
                "too_many_angles", line=self.line, field=field, value=value, limit=limit
            )
        return value

    def size_m(self, field: str) -> float:
        """Read a size in millimetres, or nothing; return metres."""
        value = self.optional_number(field)
        within(value, low=0, high=1e6, field=field, line=self.line)
        return value / 1000.0

    def numbers(self, count: int, field: str) -> tuple[list[float], list[int]]:
        """Read so many numbers; return them and the line of each."""
        start = self.line
        texts = [text.strip() for text in self._lines[start : start + count]]
        values = to_numbers([text.replace(",", ".") for text in texts]) if texts else None
        if values is None or len(values) < count:
            values = [self.number(field) for _ in range(count)]
        self.line = start + count
        return values, list(range(start + 1, self.line + 1))

    def skip_numbers(self, count: int, field: str) -> None:
        """Pass over numbers that are not used, but refuse what is none."""
        for _ in range(count):
            self.optional_number(field)

    def rest(self) -> list[Remark]:
        """Remark on text after the last field; refuse numbers there."""
        for number, text in enumerate(self._lines[self.line :], start=self.line + 1):
            for word in text.split():
                if is_number(word):
                    raise PhotometryError("surplus_numbers", line=number)
                return [Remark("text_left_over", line=number)]
        return []
