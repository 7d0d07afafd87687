"""How much LED a phase dimmer carries, and how deep a box a plate needs.

Rules of thumb from trade texts; the maker's published LED rating always comes first.
"""

from dataclasses import dataclass
from typing import Literal

from engineering import refusal
from engineering.published import COMMON_PRACTICE, Certainty, Source

DERATING_SHARE = 0.1
"""LED watts per watt of a rating given for filament lamps, where no LED rating is published."""

OLD_LEADING_EDGE_LEAST_W = 40.0
"""Least load of many old leading-edge dimmers: a rule of thumb, for a dimmer whose own is unknown."""

BOX_SOURCE = Source(work="two trade texts on wall boxes", certainty=Certainty.READ)
BOX_DEPTHS_MM = (16, 25, 35, 47)
"""Depths of flush boxes on sale (BOX_SOURCE)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LedCapacity:
    """LED load that one dimmer gang carries [W], and whether it is published or a rule of thumb."""

    led_w: float
    basis: Literal["published", "rule-of-thumb"]
    source: Source


def led_capacity(*, rating_w: float, led_rating_w: float | None = None) -> LedCapacity:
    """Return the LED load that a dimmer gang carries.

    Parameters: rating_w [W], above 0, for filament lamps; led_rating_w [W], above 0, as published,
    or None.
    Notes: a tenth of the rating where no LED rating is published.

    >>> led_capacity(rating_w=400).led_w
    40.0
    """
    refusal.above_zero("rating_w", rating_w)
    if led_rating_w is not None:
        source = Source(work="the dimmer's data sheet", certainty=Certainty.READ)
        led_w = refusal.above_zero("led_rating_w", led_rating_w)
        return LedCapacity(led_w=led_w, basis="published", source=source)
    led_w = rating_w * DERATING_SHARE
    return LedCapacity(led_w=led_w, basis="rule-of-thumb", source=COMMON_PRACTICE)


def box_depth_mm(*, is_dimmer: bool, is_flat_plate: bool = False) -> int:
    """Return the box depth that is usual behind a plate, in mm.

    Notes: 25 for a plain switch, 35 for a dimmer or a flat plate (BOX_SOURCE). A plain switch may
    go on 16 where the wall is thin.

    >>> box_depth_mm(is_dimmer=True)
    35
    """
    return 35 if is_dimmer or is_flat_plate else 25
