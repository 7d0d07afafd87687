"""What was worked out of the same frozen values is kept, and given again.

A frozen value never changes, so what a pure function makes of it never does either: whoever has the
same values in hand gets the answer that is there already. Values are the same if they are one
object; those that are plain (text, numbers, keys, sets of such) if they are equal. Nothing is written down: a key
cannot leave something out, for the inputs of the function are the key.
"""

import uuid
from collections.abc import Callable
from decimal import Decimal
from functools import wraps
from threading import Lock
from typing import Any

from base import precedence

# Plain values, and whether they are numbers: of these 1, 1.0 and True are not the same.
PLAIN: dict[type, bool] = {
    **dict.fromkeys((str, type(None), uuid.UUID, frozenset), False),
    **dict.fromkeys((int, float, bool, Decimal), True),
}
_forgetting: list[Callable[[], None]] = []


def _key(given: tuple[Any, ...]) -> tuple[Any, ...]:
    """Equal for the same values, as long as those it was made of are held somewhere."""
    return tuple(
        [
            id(one)
            if (is_number := PLAIN.get(type(one))) is None
            else (type(one), one)
            if is_number
            else one
            for one in given
        ]
    )


class Kept[T]:
    """Answers by their inputs, at most so many, the oldest go.

    `inputs` must be all that `make` looks at. They are held with the answer, so that no other value
    takes the place of one in memory.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._answers: dict[tuple[Any, ...], tuple[tuple[Any, ...], T]] = {}
        self._lock = Lock()  # for what goes; looking up needs none
        _forgetting.append(self._answers.clear)

    def get(self, inputs: tuple[Any, ...], make: Callable[[], T]) -> T:
        if precedence.under_way:
            precedence.stand_aside()
        key = _key(inputs)
        try:
            return self._answers[key][1]
        except KeyError:
            return self._put(key, inputs, make())

    def of(self, function: Callable[..., T], inputs: tuple[Any, ...]) -> T:
        """The same for a function of the inputs."""
        if precedence.under_way:
            precedence.stand_aside()
        key = _key(inputs)
        try:
            return self._answers[key][1]
        except KeyError:
            return self._put(key, inputs, function(*inputs))

    def _put(self, key: tuple[Any, ...], inputs: tuple[Any, ...], made: T) -> T:
        with self._lock:
            self._answers[key] = (inputs, made)
            if len(self._answers) > self._most:
                del self._answers[next(iter(self._answers))]
        return made


def once[**P, T](most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep the answers of a pure function of frozen values, at most so many in this process.

    The function takes its values by position. What it gives is shared: it must be frozen too.
    """

    def decorate(function: Callable[P, T]) -> Callable[P, T]:
        kept: Kept[T] = Kept(most)

        @wraps(function)
        def asked(*given: P.args, **named: P.kwargs) -> T:
            if named:
                raise TypeError(f"{function.__name__} takes its values by position")
            return kept.of(function, given)

        return asked

    return decorate


def forget() -> None:
    """Forget all that is kept in this process."""
    for each in _forgetting:
        each()
