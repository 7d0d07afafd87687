"""Heights of switches and the heat of gear in its enclosure: small rules with a setting each."""

from dataclasses import dataclass
from typing import Literal

from engineering import refusal
from engineering.control_plan import Reason
from engineering.published import Certainty, Source

SWITCH_HEIGHT_SOURCE = Source(
    work="guidance on access for new dwellings, from secondary public pages",
    certainty=Certainty.QUOTED,
)
LOWEST_SWITCH_M = 0.45
HIGHEST_SWITCH_M = 1.20


def switch_height_codes(*, height_m: float, is_new_dwelling: bool) -> tuple[Reason, ...]:
    """Return what to check about the height of a switch or keypad.

    Parameters: height_m [m] above the finished floor, above 0; is_new_dwelling: the heights of 0.45 to
    1.20 m are for new homes (SWITCH_HEIGHT_SOURCE).

    >>> [reason.code for reason in switch_height_codes(height_m=1.35, is_new_dwelling=True)]
    ['switch-height-outside']
    """
    refusal.above_zero("height_m", height_m)
    if not is_new_dwelling or LOWEST_SWITCH_M <= height_m <= HIGHEST_SWITCH_M:
        return ()
    values = {
        "height_m": height_m,
        "lowest_m": LOWEST_SWITCH_M,
        "highest_m": HIGHEST_SWITCH_M,
    }
    return (Reason(code="switch-height-outside", values=values),)


@dataclass(frozen=True, slots=True, kw_only=True)
class GearPlace:
    """Where gear stands: losses summed [W], heat allowance [W] or None, and what is known of it.

    `has_access` whether it can be reached and replaced; `is_ventilated`; None where not known.
    """

    losses_w: float
    allowance_w: float | None = None
    has_access: bool | None = None
    is_ventilated: bool | None = None

    def __post_init__(self) -> None:
        refusal.not_negative("losses_w", self.losses_w)
        if self.allowance_w is not None:
            refusal.above_zero("allowance_w", self.allowance_w)


def gear_place_codes(*, place: GearPlace) -> tuple[Reason, ...]:
    """Return what to check about the place of gear.

    Codes: 'sealed-in' (a stop: it cannot be reached), 'too-warm', 'not-ventilated', and each with
    '-not-known' where nobody has said. Common practice, no source.

    >>> [reason.code for reason in gear_place_codes(place=GearPlace(
    ...     losses_w=30, allowance_w=25, has_access=True, is_ventilated=True))]
    ['too-warm']
    """
    if place.losses_w == 0:
        return ()
    heat = {"losses_w": place.losses_w}
    found = [
        *_unless(place.has_access, "sealed-in"),
        *_unless(place.is_ventilated, "not-ventilated"),
    ]
    if place.allowance_w is None:
        found.append(Reason(code="too-warm-not-known", values=heat))
    elif place.losses_w > place.allowance_w:
        warm = heat | {"allowance_w": place.allowance_w}
        found.append(Reason(code="too-warm", values=warm))
    return tuple(found)


def _unless(claim: Literal[True, False] | None, code: str) -> list[Reason]:
    if claim:
        return []
    return [Reason(code=code if claim is False else f"{code}-not-known")]
