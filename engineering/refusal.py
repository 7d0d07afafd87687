"""Refusals of bad input, worded once.

Each check is written so that NaN fails it, and an infinite value is refused too.
"""

import math


def above_zero(name: str, value: float) -> float:
    """Return `value`, or refuse it when it is not a finite number above 0.

    >>> above_zero("length_m", 2.5)
    2.5
    """
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{name} must be above 0, got {value!r}")
    return value


def not_negative(name: str, value: float) -> float:
    """Return `value`, or refuse it when it is not a finite number of 0 or more.

    >>> not_negative("current_a", 0.0)
    0.0
    """
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{name} must be 0 or more, got {value!r}")
    return value


def share(name: str, value: float) -> float:
    """Return `value`, or refuse it when it is not above 0 and at most 1.

    >>> share("power_factor", 0.9)
    0.9
    """
    if not 0 < value <= 1:
        raise ValueError(f"{name} must be above 0 and at most 1, got {value!r}")
    return value


def count(name: str, value: int, *, at_least: int = 1) -> int:
    """Return `value`, or refuse it when it is not a whole number of `at_least` or more.

    >>> count("pieces", 3)
    3
    """
    if isinstance(value, bool) or not isinstance(value, int) or value < at_least:
        raise ValueError(f"{name} must be a whole number of {at_least} or more, got {value!r}")
    return value


def text(name: str, value: str) -> str:
    """Return `value`, or refuse it when nothing is written in it.

    >>> text("code", "G-07")
    'G-07'
    """
    if not value.strip():
        raise ValueError(f"{name} must not be empty")
    return value
