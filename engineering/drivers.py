"""Drivers (power supplies): the rating a load needs and the cheapest drivers that give it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from engineering.refusal import above_zero, count, not_negative, share, text

__all__ = [
    "HEADROOM_METHODS",
    "DriverChoice",
    "DriverOption",
    "NoDriverError",
    "choose",
    "required_rating_w",
    "split_run",
    "usable_w",
]

HEADROOM_METHODS = ("added", "reserved")


class NoDriverError(ValueError):
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
        text("reference", self.reference)
        above_zero("rating_w", self.rating_w)
        if (self.supply_v is None) == (self.current_ma is None):
            raise ValueError("a driver has either supply_v or current_ma")
        for name in ("supply_v", "current_ma"):
            if getattr(self, name) is not None:
                above_zero(name, getattr(self, name))
        count("cost_minor", self.cost_minor, at_least=0)
        count("labour_minor", self.labour_minor, at_least=0)
        for name in ("min_load_w", "width", "forward_min_v"):
            not_negative(name, getattr(self, name))
        if not self.forward_max_v > 0:
            raise ValueError(f"forward_max_v must be above 0, got {self.forward_max_v!r}")
        if self.efficiency is not None:
            share("efficiency", self.efficiency)


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverChoice:
    """`count` drivers of one product; `share_loaded` is load over rating, 0 to 1."""

    reference: str
    count: int
    cost_minor: int
    share_loaded: float


def _require_headroom(headroom: float, method: str) -> None:
    if method not in HEADROOM_METHODS:
        raise ValueError(f"method must be one of {HEADROOM_METHODS}, got {method!r}")
    not_negative("headroom", headroom)
    if method == "reserved" and not headroom < 1:
        raise ValueError(f"a reserved headroom must be below 1, got {headroom!r}")


def required_rating_w(*, load_w: float, headroom: float = 0.2, method: str = "added") -> float:
    """Return the rating [W] that a load needs, with headroom.

    Parameters
    ----------
    load_w : connected load [W], 0 or more.
    headroom : share, 0 or more (below 1 when reserved).
    method : "added" gives load × (1 + headroom); "reserved" keeps that share of the rating free:
        load ÷ (1 − headroom).

    Returns
    -------
    Least rating [W].

    Raises
    ------
    ValueError for a value out of range or an unknown method.

    Notes
    -----
    The 20 % usual for LED tape is common practice, stated both ways by makers; no standard sets it.

    >>> round(required_rating_w(load_w=72), 6), required_rating_w(load_w=72, method="reserved")
    (86.4, 90.0)
    """
    not_negative("load_w", load_w)
    _require_headroom(headroom, method)
    return load_w * (1 + headroom) if method == "added" else load_w / (1 - headroom)


def usable_w(*, rating_w: float, headroom: float = 0.2, method: str = "added") -> float:
    """Return the load [W] that a rating [W] carries with headroom: `required_rating_w` turned round.

    Parameters: rating_w above 0; headroom and method as there. Raises: ValueError.

    >>> usable_w(rating_w=120)
    100.0
    """
    above_zero("rating_w", rating_w)
    _require_headroom(headroom, method)
    return rating_w / (1 + headroom) if method == "added" else rating_w * (1 - headroom)


def choose(
    *,
    load_w: float,
    supply_v: float,
    drivers: Sequence[DriverOption],
    headroom: float = 0.2,
    method: str = "added",
) -> DriverChoice:
    """Return the cheapest constant-voltage drivers of one product that carry the load with headroom.

    Parameters
    ----------
    load_w : connected load [W], above 0; it may be shared out freely between several drivers.
    supply_v : voltage of the load [V], above 0; the driver's must be equal.
    drivers : what may be bought.
    headroom, method : as of `required_rating_w`.

    Returns
    -------
    `.reference .count .cost_minor` (labour included) `.share_loaded` (load over all ratings, 0 to 1).
    Ties: fewer drivers, then the less loaded, then the reference.

    Raises
    ------
    NoDriverError (a ValueError) when none has the voltage; ValueError for a value out of range.

    >>> small = DriverOption(reference="P60", supply_v=24, rating_w=60, cost_minor=2400)
    >>> large = DriverOption(reference="P100", supply_v=24, rating_w=100, cost_minor=3900)
    >>> choice = choose(load_w=72, supply_v=24, drivers=[small, large])
    >>> choice.reference, choice.count, choice.cost_minor, choice.share_loaded
    ('P100', 1, 3900, 0.72)
    """
    above_zero("load_w", load_w)
    above_zero("supply_v", supply_v)
    required = required_rating_w(load_w=load_w, headroom=headroom, method=method)
    choices = []
    for driver in drivers:
        if driver.supply_v is None or not math.isclose(driver.supply_v, supply_v):
            continue
        # Float division may land a hair above a whole number that is exactly enough.
        count = max(1, math.ceil(required / driver.rating_w - 1e-9))
        if load_w / count < driver.min_load_w:
            continue
        cost = count * (driver.cost_minor + driver.labour_minor)
        choices.append((cost, count, load_w / (count * driver.rating_w), driver.reference))
    if not choices:
        raise NoDriverError(f"no driver of {supply_v:g} V carries {load_w:g} W")
    cost, count, share_loaded, reference = min(choices)
    return DriverChoice(
        reference=reference, count=count, cost_minor=cost, share_loaded=share_loaded
    )


def split_run(*, length_m: float, max_run_m: float, cut_m: float) -> tuple[float, ...]:
    """Split a length of tape into the fewest runs, as even as its cutting marks allow.

    Parameters: length_m [m] above 0, rounded up to a whole number of cuts; max_run_m [m], the longest run
    that may be fed from one end; cut_m [m], distance of the cutting marks, above 0 and up to max_run_m.
    Returns: lengths [m], longest first. Raises: ValueError.

    >>> split_run(length_m=12, max_run_m=5, cut_m=0.5)
    (4.0, 4.0, 4.0)
    """
    above_zero("length_m", length_m)
    above_zero("max_run_m", max_run_m)
    above_zero("cut_m", cut_m)
    cuts = math.ceil(length_m / cut_m - 1e-9)
    longest = math.floor(max_run_m / cut_m + 1e-9)
    if longest < 1:
        raise ValueError(f"cut_m must be up to max_run_m, got {cut_m!r} above {max_run_m!r}")
    runs = math.ceil(cuts / longest)
    least, more = divmod(cuts, runs)
    return tuple(round((least + (place < more)) * cut_m, 9) for place in range(runs))
