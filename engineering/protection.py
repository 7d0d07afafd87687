"""Protective devices: fault loop, inrush of drivers, leakage on a residual-current device.

Figures are those of the editions named with them, as public texts quote them. Every result is to be
verified by a qualified electrician against the edition in force and the maker's own figures.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Literal

from engineering import refusal
from engineering.published import Certainty, Figure, Source, wiring_rules

FAULT_LOOP_SOURCE = wiring_rules(place="Table 41.3")
BREAKER_SOURCE = Source(work="BS EN 60898-1", certainty=Certainty.QUOTED)
RESISTANCE_SOURCE = Source(
    work="On-Site Guide and a guide to the wiring regulations",
    place="Table I1; Table 4.3",
    certainty=Certainty.READ,
)
INRUSH_SCALE_SOURCE = Source(
    work="a maker's table of how many drivers a breaker starts", certainty=Certainty.READ
)
INRUSH_GUIDE_SOURCE = Source(
    work="BEAMA guide, as discussed in a professional forum",
    edition="2021",
    certainty=Certainty.READ,
)
LEAKAGE_SOURCE = wiring_rules(place="residual-current protection, from secondary public pages")

LEAST_VOLTAGE_FACTOR = 0.95
"""Cmin: the share of the nominal voltage that a fault must still be cleared at."""

HOT_FAULT_SHARE = 0.8
"""Share of the greatest Zs that a value measured on a cold cable may reach."""

CONVENTIONAL_NO_TRIP = 1.13
CONVENTIONAL_TRIP = 1.45
CONVENTIONAL_SOURCE = Source(work="BS EN 60898-1", certainty=Certainty.MEMORY)
"""Multiples of the rating that a breaker carries for an hour, and that trip it within one."""


class Curve(StrEnum):
    """Instantaneous tripping curve of a miniature circuit breaker."""

    B = "B"
    C = "C"
    D = "D"


MAGNETIC_BAND: Mapping[Curve, tuple[float, float]] = MappingProxyType(
    {Curve.B: (3, 5), Curve.C: (5, 10), Curve.D: (10, 20)}
)
"""Multiples of the rating: under the first it does not trip at once, at the second it must."""

R1_R2_OHM_PER_KM: Mapping[tuple[float, float], float] = MappingProxyType(
    {(1.0, 1.0): 36.2, (1.5, 1.0): 30.2, (2.5, 1.5): 19.51}
)
"""Line and protective conductor together at 20 °C, by their sizes in mm²."""

INRUSH_SCALE: Mapping[tuple[Curve, int], float] = MappingProxyType(
    {
        (Curve.C, 16): 1.00,
        (Curve.C, 10): 0.62,
        (Curve.C, 20): 1.25,
        (Curve.B, 10): 0.37,
        (Curve.B, 16): 0.60,
        (Curve.B, 20): 0.75,
    }
)
"""How many drivers a device starts, as a share of what a C16 starts (INRUSH_SCALE_SOURCE)."""

INRUSH_GUIDE: Mapping[tuple[Curve, int], Mapping[float, int]] = MappingProxyType(
    {
        (Curve.B, 10): MappingProxyType({10.0: 15, 75.0: 4}),
        (Curve.B, 16): MappingProxyType({10.0: 22, 75.0: 8}),
        (Curve.C, 10): MappingProxyType({10.0: 30, 150.0: 5}),
    }
)
"""Guide number of drivers by the watts of one (INRUSH_GUIDE_SOURCE); the maker's figure is first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A miniature circuit breaker: curve and rating [A]."""

    curve: Curve
    rating_a: int

    def __post_init__(self) -> None:
        Curve(self.curve)
        refusal.count("rating_a", self.rating_a)


def greatest_fault_loop_ohm(*, device: Device, nominal_v: float = 230) -> Figure:
    """Return the greatest earth-fault loop impedance at which a breaker still trips at once, in ohm.

    Parameters: device; nominal_v [V], above 0, to earth.
    Notes: Cmin · U0 / (upper end of the magnetic band · rating).

    >>> round(greatest_fault_loop_ohm(device=Device(curve=Curve.B, rating_a=6)).value, 2)
    7.28
    """
    refusal.above_zero("nominal_v", nominal_v)
    trips_a = MAGNETIC_BAND[Curve(device.curve)][1] * device.rating_a
    value = LEAST_VOLTAGE_FACTOR * nominal_v / trips_a
    return Figure(value=value, unit="ohm", source=FAULT_LOOP_SOURCE)


def loop_resistance(*, line_mm2: float, protective_mm2: float) -> Figure:
    """Return R1+R2 of a cable at 20 °C, in ohm/km.

    Parameters: sizes in mm² of the line and of the protective conductor: 1.5 mm² twin and earth has
    a protective conductor of 1.0 mm².

    >>> loop_resistance(line_mm2=1.5, protective_mm2=1.0).value
    30.2
    """
    pair = (line_mm2, protective_mm2)
    if pair not in R1_R2_OHM_PER_KM:
        raise ValueError(f"sizes must be one of {sorted(R1_R2_OHM_PER_KM)}, got {pair!r}")
    return Figure(value=R1_R2_OHM_PER_KM[pair], unit="ohm/km", source=RESISTANCE_SOURCE)


def longest_by_fault_loop_m(
    *,
    device: Device,
    external_ohm: float,
    line_mm2: float,
    protective_mm2: float,
    nominal_v: float = 230,
) -> float:
    """Return the length of cable at which the measured fault loop reaches 80 % of the greatest, in m.

    Parameters: external_ohm [ohm], 0 or more, the loop outside the house (Ze); the rest as above.
    Returns: 0 where Ze alone is already too great.

    >>> breaker = Device(curve=Curve.B, rating_a=6)
    >>> round(longest_by_fault_loop_m(device=breaker, external_ohm=0.35, line_mm2=1.0,
    ...                               protective_mm2=1.0))
    151
    """
    refusal.not_negative("external_ohm", external_ohm)
    greatest = greatest_fault_loop_ohm(device=device, nominal_v=nominal_v).value
    per_km = loop_resistance(line_mm2=line_mm2, protective_mm2=protective_mm2).value
    left_ohm = HOT_FAULT_SHARE * greatest - external_ohm
    return max(left_ohm, 0.0) / per_km * 1000


Basis = Literal["maker", "maker-scaled", "inrush", "not-known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverCount:
    """How many equal drivers one breaker can start and carry.

    `count` None where it is not known; `basis` is what the inrush limit rests on; `limited_by`
    'inrush' or 'current'.
    """

    count: int | None
    basis: Basis
    limited_by: Literal["inrush", "current", "not-known"]
    by_current: int
    by_inrush: int | None


def drivers_on_device(
    *,
    device: Device,
    full_load_a: float,
    maker_counts: Mapping[tuple[Curve, int], int] | None = None,
    inrush_peak_a: float | None = None,
    pulse_factor: float = 1.0,
) -> DriverCount:
    """Return how many equal drivers a breaker can start and carry.

    Parameters: device; full_load_a [A], above 0, of one driver at the mains; maker_counts, the
    driver maker's own counts by curve and rating; inrush_peak_a [A], above 0, or None;
    pulse_factor, 1 or more: by how much the breaker withstands a pulse as short as this one
    better than a lasting current (from the breaker's maker; 1 where not known).
    Notes: the maker's own count for the device comes first; else the smallest count that scaling
    one of the maker's others gives; else floor(pulse_factor · lower magnetic limit / peak), where
    the lower limit is 3, 5 or 10 times the rating. Never more than floor(rating / full_load_a).
    Unknown stays unknown: a running current alone does not prove that a breaker starts them.
    Raises: ValueError for anything outside those.

    >>> drivers_on_device(device=Device(curve=Curve.B, rating_a=10), full_load_a=0.3,
    ...                   maker_counts={(Curve.C, 16): 30}).count
    11
    """
    refusal.above_zero("full_load_a", full_load_a)
    if not (pulse_factor >= 1 and math.isfinite(pulse_factor)):
        raise ValueError(f"pulse_factor must be 1 or more, got {pulse_factor!r}")
    by_current = _whole(device.rating_a / full_load_a)
    by_inrush, basis = _maker_count(device, maker_counts or {})
    if by_inrush is None and inrush_peak_a is not None:
        refusal.above_zero("inrush_peak_a", inrush_peak_a)
        held_a = pulse_factor * MAGNETIC_BAND[Curve(device.curve)][0] * device.rating_a
        by_inrush, basis = _whole(held_a / inrush_peak_a), "inrush"
    if by_inrush is None:
        return DriverCount(
            count=None,
            basis="not-known",
            limited_by="not-known",
            by_current=by_current,
            by_inrush=None,
        )
    return DriverCount(
        count=min(by_current, by_inrush),
        basis=basis,
        limited_by="current" if by_current < by_inrush else "inrush",
        by_current=by_current,
        by_inrush=by_inrush,
    )


def _whole(number: float) -> int:
    # 0.9 / 0.3 is 2.9999999999999996 in floating point: three drivers, not two.
    return math.floor(number + 1e-9)


def _maker_count(
    device: Device, counts: Mapping[tuple[Curve, int], int]
) -> tuple[int | None, Basis]:
    for key, number in counts.items():
        refusal.count(f"maker_counts of {key!r}", number, at_least=0)
    wanted = (Curve(device.curve), device.rating_a)
    if wanted in counts:
        return counts[wanted], "maker"
    if wanted not in INRUSH_SCALE:
        return None, "not-known"
    scaled = [
        _whole(number * INRUSH_SCALE[wanted] / INRUSH_SCALE[key])
        for key, number in counts.items()
        if key in INRUSH_SCALE
    ]
    return (min(scaled), "maker-scaled") if scaled else (None, "not-known")


LEAKAGE_SHARE = 0.3
"""Greatest standing leakage as a share of a residual-current device's rating (LEAKAGE_SOURCE)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaking:
    """Equal pieces behind one residual-current device; `leakage_ma` [mA] each, None if not known."""

    leakage_ma: float | None
    pieces: int

    def __post_init__(self) -> None:
        refusal.count("pieces", self.pieces, at_least=0)
        if self.leakage_ma is not None:
            refusal.not_negative("leakage_ma", self.leakage_ma)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakageSum:
    """Standing leakage on one device: known sum and limit [mA], and how many pieces are not known.

    `is_within` is None where the known part is within the limit but some pieces are not known.
    """

    known_ma: float
    limit_ma: float
    unknown_pieces: int
    is_within: bool | None
    source: Source = LEAKAGE_SOURCE


def leakage(*, items: Iterable[Leaking], rated_ma: float = 30) -> LeakageSum:
    """Return the standing leakage on a residual-current device, beside 30 % of its rating.

    Parameters: items; rated_ma [mA], above 0.
    Notes: leakages are added as they are; phases differ, so the true sum is never more.

    >>> leakage(items=[Leaking(leakage_ma=0.5, pieces=20)]).is_within
    False
    """
    refusal.above_zero("rated_ma", rated_ma)
    limit_ma = LEAKAGE_SHARE * rated_ma
    known_ma = 0.0
    unknown = 0
    for item in items:
        if item.leakage_ma is None:
            unknown += item.pieces
        else:
            known_ma += item.leakage_ma * item.pieces
    is_within: bool | None = known_ma <= limit_ma + 1e-9
    if is_within and unknown:
        is_within = None
    return LeakageSum(
        known_ma=known_ma, limit_ma=limit_ma, unknown_pieces=unknown, is_within=is_within
    )


def residual_type_codes(*, has_dc_part: bool | None) -> tuple[str, ...]:
    """Return what to check about the type of the residual-current device of luminaire circuits.

    Parameters: has_dc_part, whether the loads can leak a current with a DC part; None if unknown.
    Returns: codes; 'rcd-30-ma' always stands, for all luminaire circuits of a home.

    >>> residual_type_codes(has_dc_part=True)
    ('rcd-30-ma', 'rcd-not-type-ac')
    """
    if has_dc_part is None:
        return ("rcd-30-ma", "rcd-type-not-known")
    return ("rcd-30-ma", "rcd-not-type-ac") if has_dc_part else ("rcd-30-ma",)
