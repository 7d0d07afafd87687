"""Refusals and remarks of the photometric readers."""

from collections.abc import Callable

from engineering.photometry.messages import REFUSALS, REMARKS

type Value = float | int | str


class PhotometryError(ValueError):
    """A photometric file that cannot be trusted.

    Attributes
    ----------
    line : the line of the file, counted from 1
    reason : why, as an English sentence
    code : why, as a key of `messages.REFUSALS`, for translation
    values : the values of the sentence by name

    >>> str(PhotometryError("not_a_number", line=7, field="input watts", text="ten"))
    "line 7: input watts: 'ten' is not a number"
    """

    def __init__(self, code: str, line: int = 1, **values: Value) -> None:
        self.code = code
        self.line = line
        self.values = values
        self.reason = REFUSALS[code].format(**values)
        super().__init__(f"line {line}: {self.reason}")

    def __reduce__(self) -> tuple[Callable[..., "PhotometryError"], tuple[object, ...]]:
        # An exception with keyword arguments does not survive a pickle on its own.
        return _rebuild, (self.code, self.line, self.values)


def _rebuild(code: str, line: int, values: dict[str, Value]) -> PhotometryError:
    return PhotometryError(code, line, **values)


class Remark(str):
    """A warning that reads as an English sentence and carries its code, line and values.

    >>> remark = Remark("no_watts", line=12)
    >>> remark, remark.code, remark.line
    ('no input power is given', 'no_watts', 12)
    """

    code: str
    line: int
    values: dict[str, Value]

    def __new__(cls, code: str, *, line: int = 1, **values: Value) -> "Remark":
        remark = super().__new__(cls, REMARKS[code].format(**values))
        remark.code = code
        remark.line = line
        remark.values = values
        return remark

    def __getnewargs_ex__(self) -> tuple[tuple[str], dict[str, Value]]:
        return (self.code,), {"line": self.line, **self.values}
