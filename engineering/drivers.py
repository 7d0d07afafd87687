"""Drivers (power supplies): the rating a load needs and the cheapest drivers that give it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["DriverChoice", "DriverOption", "NoDriver", "choose", "required_rating_w"]


class NoDriver(ValueError):
    """No driver on offer can feed the load."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverOption:
    """A driver that may be bought.

    Parameters
    ----------
    reference : the product's reference, unique among the options.
    rating_w : rated output [W], above 0.
    cost_minor : what one costs, in whole minor units of the currency, 0 or more.
    supply_v : output of a constant-voltage driver [V]; None for constant current.
    current_ma : output of a constant-current driver [mA]; None for constant voltage.
    forward_min_v, forward_max_v : window of the series forward voltage [V], constant current only.
    dimmed_by : load kinds by which it can be dimmed ("phase-dimmed", "analogue-dimmed",
        "digital-dimmed"); empty = it only switches.
    min_load_w : least load it works with [W]. efficiency : above 0 up to 1; None = not known, counted
        as 1 (no loss).
    width, ip, labour_minor : as of a receiver.
    """

    reference: str
    rating_w: float
    cost_minor: int
    supply_v: float | None = None
    current_ma: float | None = None
    forward_min_v: float = 0.0
    forward_max_v: float = math.inf
    dimmed_by: frozenset[str] = frozenset()
    min_load_w: float = 0.0
    efficiency: float | None = None
    width: float = 0.0
    ip: str = ""
    labour_minor: int = 0

    def __post_init__(self) -> None:
        object.__setattr__(self, "dimmed_by", frozenset(self.dimmed_by))
        if not self.reference:
            raise ValueError("reference must not be empty")
        for name in ("rating_w", "supply_v", "current_ma"):
            value = getattr(self, name)
            if value is not None and not 0 < value < math.inf:
                raise ValueError(f"{name} must be a finite number above 0, got {value!r}")
        if (self.supply_v is None) == (self.current_ma is None):
            raise ValueError("a driver has either supply_v or current_ma")
        for name in ("cost_minor", "labour_minor"):
            value = getattr(self, name)
            if isinstance(value, bool) or not isinstance(value, int) or value < 0:
                raise ValueError(f"{name} must be a whole number of at least 0, got {value!r}")
        for name in ("min_load_w", "width", "forward_min_v"):
            value = getattr(self, name)
            if not 0 <= value < math.inf:
                raise ValueError(f"{name} must be a finite number of at least 0, got {value!r}")
        if not self.forward_max_v > 0:
            raise ValueError(f"forward_max_v must be above 0, got {self.forward_max_v!r}")
        if self.efficiency is not None and not 0 < self.efficiency <= 1:
            raise ValueError(f"efficiency must be above 0 and up to 1, got {self.efficiency!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverChoice:
    """`count` drivers of one product; `share_loaded` is load over rating, 0 to 1."""

    reference: str
    count: int
    cost_minor: int
    share_loaded: float


def required_rating_w(*, load_w: float, headroom: float = 0.2, method: str = "added") -> float:
    """Return the rating [W] that a load needs, with headroom."""
    raise NotImplementedError


def choose(
    *,
    load_w: float,
    supply_v: float,
    drivers: Sequence[DriverOption],
    headroom: float = 0.2,
    method: str = "added",
) -> DriverChoice:
    """Return the cheapest drivers of one product that carry the load with headroom."""
    raise NotImplementedError
