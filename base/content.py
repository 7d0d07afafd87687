"""Frozen dataclasses as plain content, and back.

*Content* is what JSON can carry without losing anything: objects with text keys, lists, text,
true, false and null. Numbers travel as text ("12.50"), so that no reader turns them into binary
fractions; days travel as ISO 8601 text ("2026-03-09").
"""

import dataclasses
import functools
import re
import types
import typing
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any, Self

_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?", re.ASCII)


class Content:
    """Mix-in for frozen dataclasses that travel as content.

    Allowed field types: str, bool, int, Decimal, date, another Content class, ``tuple[X, ...]``
    and ``X | None``. Anything else is refused, floats above all.
    """

    __slots__ = ()

    def to_content(self) -> dict[str, Any]:
        """Return the fields as content, one entry for every field.

        Raises ValueError for a value that is not of its field's type.
        """
        kinds = _field_kinds(type(self))
        return {
            name: _plain(getattr(self, name), kind, f"{type(self).__name__}.{name}")
            for name, kind in kinds.items()
        }

    @classmethod
    def from_content(cls, content: Mapping[str, Any]) -> Self:
        """Return the dataclass that ``to_content`` wrote.

        A missing entry takes the field's default. Raises ValueError for a missing entry without a
        default, an entry that is no field, and a value of the wrong type.
        """
        kinds = _field_kinds(cls)
        if not isinstance(content, Mapping):
            raise ValueError(f"{cls.__name__} must be an object, got {content!r}")
        unknown = sorted(set(content) - set(kinds))
        if unknown:
            raise ValueError(f"{cls.__name__} has no entry {', '.join(map(repr, unknown))}")
        values = {
            name: _typed(content[name], kind, f"{cls.__name__}.{name}")
            for name, kind in kinds.items()
            if name in content
        }
        try:
            return cls(**values)
        except TypeError as error:
            raise ValueError(f"{cls.__name__} is incomplete: {error}") from error


_known: dict[Any, dict[str, Any]] = {}


def _field_kinds(cls: Any) -> dict[str, Any]:
    found = _known.get(cls)
    if found is None:
        hints = typing.get_type_hints(cls)
        found = _known[cls] = {each.name: hints[each.name] for each in dataclasses.fields(cls)}
    return found


def _plain(value: Any, kind: Any, where: str) -> Any:
    inner, may_be_none, is_tuple = _parts(kind)
    if value is None and may_be_none:
        return None
    if is_tuple:
        if not isinstance(value, tuple):
            raise ValueError(f"{where} must be a tuple, got {value!r}")
        return [_plain(each, inner, where) for each in value]
    # type() rather than isinstance: True is an int to Python, and a datetime is a date.
    if type(value) is not inner:
        raise ValueError(f"{where} must be {inner.__name__}, got {value!r}")
    if isinstance(value, Content):
        return value.to_content()
    if isinstance(value, bool | str):
        return value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal) and not value.is_finite():
        raise ValueError(f"{where} must be a finite number, got {value!r}")
    return format(value, "f" if isinstance(value, Decimal) else "d")


def _typed(value: Any, kind: Any, where: str) -> Any:
    inner, may_be_none, is_tuple = _parts(kind)
    if value is None and may_be_none:
        return None
    if is_tuple:
        if not isinstance(value, list | tuple):
            raise ValueError(f"{where} must be a list, got {value!r}")
        return tuple(_typed(each, inner, where) for each in value)
    if issubclass(inner, Content):
        return inner.from_content(value)
    if inner is bool:
        return _checked(value, bool, where)
    text = _checked(value, str, where)
    return text if inner is str else _read(text, inner, where)


def _read(text: str, kind: type, where: str) -> Decimal | int | date:
    if kind is date:
        try:
            return date.fromisoformat(text)
        except ValueError as error:
            raise ValueError(f"{where} must be a day as YYYY-MM-DD, got {text!r}") from error
    if not _NUMBER.fullmatch(text) or (kind is int and "." in text):
        raise ValueError(f"{where} must be a number as text, got {text!r}")
    return int(text) if kind is int else Decimal(text)


def _checked[T](value: Any, kind: type[T], where: str) -> T:
    if not isinstance(value, kind):
        raise ValueError(f"{where} must be {kind.__name__}, got {value!r}")
    return value


@functools.cache
def _parts(kind: Any) -> tuple[Any, bool, bool]:
    """Return the innermost type, whether None is allowed, and whether it is a tuple of them."""
    may_be_none = False
    if typing.get_origin(kind) in (types.UnionType, typing.Union):
        (kind,) = (each for each in typing.get_args(kind) if each is not type(None))
        may_be_none = True
    if typing.get_origin(kind) is tuple:
        return typing.get_args(kind)[0], may_be_none, True
    return kind, may_be_none, False
