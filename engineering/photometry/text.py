"""From the bytes of a photometric file to lines and numbers, with every step bounded."""

import re
from collections.abc import Iterator, Sequence
from itertools import islice

from engineering.photometry.errors import PhotometryError

MAX_BYTES = 2_000_000
"""Largest file that is read by default. A dense real file has about 400 kB."""

MAX_ANGLES = 1801
"""Most angles in one direction: 180 degrees in steps of a tenth, ends included."""

MAX_NUMBER = 1e9
"""Largest magnitude of any number in a file; beyond it a file is nonsense."""

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,2})?", re.ASCII)
_NUMBER_SIGNS = frozenset("0123456789+-.eE")
_LONGEST_NUMBER = 40
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x19\x1b-\x1f]")
_END_OF_FILE = "\x1a"
_PADDING = "\x00\x1a \r\n"
_LINE_END = re.compile(r"\r\n|\r|\n")


def read_lines(content: bytes, *, max_bytes: int = MAX_BYTES) -> list[str]:
    """Decode a file and split it into lines, whatever wrote it.

    Understands UTF-8 with and without mark, UTF-16 with mark, and Windows-1252 or Latin-1 for the
    rest; line ends of every system and the doubled carriage returns of a bad transfer; stops at
    the old end-of-file character.

    Raises
    ------
    PhotometryError : empty, larger than `max_bytes`, or not a text

    >>> read_lines(b"TILT=NONE\\r\\n1 1000\\r\\n")
    ['TILT=NONE', '1 1000', '']
    """
    if not isinstance(content, bytes | bytearray | memoryview):
        raise PhotometryError("not_bytes", kind=type(content).__name__)
    size = memoryview(content).nbytes
    if size > max_bytes:
        raise PhotometryError("too_large", size=size, limit=max_bytes)
    text = _decode(bytes(content)).replace("\r\r\n", "\n")
    if not text.strip():
        raise PhotometryError("empty")
    return _LINE_END.split(text)


def _decode(content: bytes) -> str:
    try:
        if content.startswith((b"\xff\xfe", b"\xfe\xff")):
            text = content.decode("utf-16")
        else:
            text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        if content.startswith((b"\xff\xfe", b"\xfe\xff")):
            raise PhotometryError("binary") from None
        text = _decode_single_byte(content)
    text, _, padding = text.partition(_END_OF_FILE)
    found = _CONTROL.search(text) or _CONTROL.search(padding.strip(_PADDING))
    if found:
        raise PhotometryError("binary", line=len(_LINE_END.findall(text[: found.start()])) + 1)
    return text


def _decode_single_byte(content: bytes) -> str:
    try:
        return content.decode("cp1252")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def to_number(text: str, *, field: str, line: int) -> float:
    """Read one number, with a point.

    Parameters
    ----------
    text : the number as written
    field : what it is, for the refusal
    line : where it is, counted from 1

    Raises
    ------
    PhotometryError : not a plain decimal number, or its magnitude above 1e9

    >>> to_number("1.5e2", field="input watts", line=1)
    150.0
    """
    if len(text) > _LONGEST_NUMBER or not _NUMBER.fullmatch(text):
        raise PhotometryError("not_a_number", line=line, field=field, text=text[:_LONGEST_NUMBER])
    value = float(text)
    if not abs(value) <= MAX_NUMBER:
        raise PhotometryError(
            "number_out_of_range",
            line=line,
            field=field,
            allowed=f"at most {MAX_NUMBER:g}",
            value=value,
        )
    return value


def to_numbers(texts: Sequence[str]) -> list[float] | None:
    """Read many numbers at once, or return None where any of them needs a closer look.

    Ten times faster than one by one, which a large table needs.

    >>> to_numbers(["1", "2.5"]), to_numbers(["1", "nan"]), to_numbers(["1e99"])
    ([1.0, 2.5], None, None)
    """
    if not _NUMBER_SIGNS.issuperset("".join(texts)) or max(map(len, texts)) > _LONGEST_NUMBER:
        return None
    try:
        values = [float(text) for text in texts]
    except ValueError:
        return None
    return values if max(values) <= MAX_NUMBER and min(values) >= -MAX_NUMBER else None


def to_whole(value: float, *, field: str, line: int) -> int:
    """Return a whole number that was written as one, or as one with a point (`2.0`)."""
    if value != int(value):
        raise PhotometryError("not_whole", line=line, field=field, text=f"{value:g}")
    return int(value)


def is_number(text: str) -> bool:
    """Tell whether the text is a plain decimal number, with a point or a comma."""
    return len(text) <= _LONGEST_NUMBER and bool(_NUMBER.fullmatch(text.replace(",", ".")))


def within(
    value: float, *, low: float, high: float, field: str, line: int, allowed: str = ""
) -> float:
    """Return a value that lies from `low` to `high`, or refuse it."""
    if not low <= value <= high:
        raise PhotometryError(
            "number_out_of_range",
            line=line,
            field=field,
            allowed=allowed or f"from {low:g} to {high:g}",
            value=value,
        )
    return value


def rising(values: list[float], lines: list[int], *, field: str) -> None:
    """Refuse a list of angles that does not rise from each to the next."""
    for previous, value, line in zip(values, values[1:], lines[1:], strict=False):
        if not value > previous:
            raise PhotometryError(
                "angles_not_rising", line=line, field=field, value=value, previous=previous
            )


class Words:
    """The words of a file from some line on, parted by spaces, commas and line ends.

    Each word is handed out once, with its line, in the order of the file.
    """

    def __init__(self, lines: list[str], *, start: int) -> None:
        self._words = self._walk(lines, start)
        self._last_line = len(lines)
        self.line = start + 1

    @staticmethod
    def _walk(lines: list[str], start: int) -> Iterator[tuple[int, str]]:
        for number, text in enumerate(lines[start:], start=start + 1):
            for word in text.replace(",", " ").split():
                yield number, word

    def number(self, field: str) -> float:
        """Read the next word as a number and remember its line in `line`."""
        found = next(self._words, None)
        if found is None:
            raise PhotometryError("ends_early", line=self._last_line, field=field)
        self.line, word = found
        return to_number(word, field=field, line=self.line)

    def whole(self, field: str) -> int:
        """Read the next word as a whole number."""
        return to_whole(self.number(field), field=field, line=self.line)

    def numbers(self, count: int, field: str) -> tuple[list[float], list[int]]:
        """Read the next `count` numbers; return them and the line of each."""
        found = list(islice(self._words, count))
        lines = [line for line, _ in found]
        values = to_numbers([word for _, word in found]) if found else []
        if values is None:
            values = [to_number(word, field=field, line=line) for line, word in found]
        if len(found) < count:
            raise PhotometryError("ends_early", line=self._last_line, field=field)
        self.line = lines[-1]
        return values, lines

    def rest(self) -> Iterator[tuple[int, str]]:
        """Return what has not been read, word by word with its line."""
        return self._words
