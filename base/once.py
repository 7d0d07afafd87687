"""What was worked out of the same frozen values is kept, and given again.

A frozen value never changes, so what a pure function makes of it never does either: whoever has the
same values in hand gets the answer that is there already. Values are the same if they are one
object; those that are plain (text, numbers, keys, sets of such) if they are equal. Nothing is written down: a key
cannot leave something out, for the inputs of the function are the key.
"""

import uuid
from collections.abc import Callable
from decimal import Decimal
from functools import lru_cache, wraps
from threading import Lock
from typing import Any

PLAIN = frozenset({str, int, float, bool, type(None), Decimal, uuid.UUID, frozenset})
_forgetting: list[Callable[[], None]] = []


class _Same:
    """A value that equals itself alone. Holds it, so that no other takes its place in memory."""

    __slots__ = ("it",)

    def __init__(self, it: Any) -> None:
        self.it = it

    def __hash__(self) -> int:
        return id(self.it)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.it is self.it


def once[**P, T](most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep the answers of a pure function of frozen values, at most so many in this process.

    The function takes its values by position. What it gives is shared: it must be frozen too.
    """

    def decorate(function: Callable[P, T]) -> Callable[P, T]:
        @lru_cache(maxsize=most, typed=True)
        def kept(*given: Any) -> T:
            return function(*[one.it if type(one) is _Same else one for one in given])  # type: ignore[call-arg]

        @wraps(function)
        def asked(*given: P.args, **named: P.kwargs) -> T:
            if named:
                raise TypeError(f"{function.__name__} takes its values by position")
            return kept(*[one if type(one) in PLAIN else _Same(one) for one in given])

        _forgetting.append(kept.cache_clear)
        return asked

    return decorate


class Kept[T]:
    """The same for what is not a function of its own: at most so many answers, the oldest go.

    `inputs` must be all that `make` looks at.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._answers: dict[tuple[Any, ...], T] = {}
        self._lock = Lock()  # for what goes; looking up needs none
        _forgetting.append(self._answers.clear)

    def get(self, inputs: tuple[Any, ...], make: Callable[[], T]) -> T:
        key = tuple(one if type(one) in PLAIN else _Same(one) for one in inputs)
        try:
            return self._answers[key]
        except KeyError:
            pass
        made = make()
        with self._lock:
            self._answers[key] = made
            if len(self._answers) > self._most:
                del self._answers[next(iter(self._answers))]
        return made


def forget() -> None:
    """Forget all that is kept in this process."""
    for each in _forgetting:
        each()
