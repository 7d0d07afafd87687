"""Voltage drop: mains cable by millivolts per ampere and metre, extra-low voltage by resistance.

Figures are those of BS 7671:2018 as public texts quote them; see `docs/calculations/electrical.md`.
Every result is to be verified by a qualified electrician against the edition in force.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from engineering import refusal
from engineering.published import COMMON_PRACTICE, Certainty, Figure, Source, wiring_rules

VOLTAGE_DROP_TABLE = wiring_rules(place="Appendix 4, Table 4D5")
DROP_LIMIT_TABLE = wiring_rules(place="Appendix 4, Table 4Ab")
CONDUCTOR_TABLE = Source(
    work="IEC 60228",
    place="resistance at 20 °C, as quoted in a guide to the wiring regulations, Table 4.1",
    certainty=Certainty.READ,
)

MILLIVOLTS: Mapping[float, float] = MappingProxyType(
    {1.0: 44.0, 1.5: 29.0, 2.5: 18.0, 4.0: 11.0, 6.0: 7.3, 10.0: 4.4}
)
"""mV/A/m of flat twin and earth, 70 °C thermoplastic, by size in mm² (VOLTAGE_DROP_TABLE)."""

SOLID_OHM_PER_KM: Mapping[float, float] = MappingProxyType(
    {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08, 10.0: 1.83}
)
"""Ohm/km at 20 °C of a plain copper conductor, class 1 or 2, by size in mm² (CONDUCTOR_TABLE)."""

FLEXIBLE_OHM_PER_KM: Mapping[float, float] = MappingProxyType({1.0: 19.5, 1.5: 13.3, 2.5: 7.98})
"""Ohm/km at 20 °C of a plain copper conductor, class 5, by size in mm² (CONDUCTOR_TABLE)."""

COPPER_PER_KELVIN = 0.004
"""Rise of resistance per kelvin from 20 °C: the factor 1.20 at 70 °C of On-Site Guide Table I3."""


class Use(StrEnum):
    """What a final circuit feeds, for the limit of voltage drop."""

    LIGHTING = "lighting"
    OTHER = "other"


class Conductor(StrEnum):
    """How a copper conductor is built (IEC 60228)."""

    SOLID = "solid"
    FLEXIBLE = "flexible"


class Feed(StrEnum):
    """From which ends a run of tape is fed."""

    ONE_END = "one-end"
    BOTH_ENDS = "both-ends"


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageDrop:
    """A drop in volts and as a share of the supply, with where its figures come from."""

    drop_v: float
    share: float
    source: Source


def millivolts_per_amp_metre(*, size_mm2: float) -> Figure:
    """Return the published voltage drop of twin and earth, in mV per ampere and metre.

    Parameters: size_mm2 [mm²], one of MILLIVOLTS.
    Raises: ValueError for a size that the table does not hold.

    >>> millivolts_per_amp_metre(size_mm2=1.5).value
    29.0
    """
    if size_mm2 not in MILLIVOLTS:
        raise ValueError(f"size_mm2 must be one of {sorted(MILLIVOLTS)}, got {size_mm2!r}")
    return Figure(value=MILLIVOLTS[size_mm2], unit="mV/A/m", source=VOLTAGE_DROP_TABLE)


def conductor_resistance(
    *, size_mm2: float, conductor: Conductor = Conductor.SOLID, temperature_c: float = 20.0
) -> Figure:
    """Return the resistance of one copper conductor at a temperature, in ohm/km.

    Parameters: size_mm2 [mm²], one the table holds; temperature_c [°C], -40 to 250.
    Notes: R = R20 · (1 + 0.004·(t - 20)), the factor 1.20 at 70 °C.
    Raises: ValueError for a size or temperature outside those.

    >>> round(conductor_resistance(size_mm2=1.5, temperature_c=70).value, 2)
    14.52
    """
    table = SOLID_OHM_PER_KM if Conductor(conductor) is Conductor.SOLID else FLEXIBLE_OHM_PER_KM
    if size_mm2 not in table:
        raise ValueError(f"size_mm2 must be one of {sorted(table)}, got {size_mm2!r}")
    if not -40 <= temperature_c <= 250:
        raise ValueError(f"temperature_c must be from -40 to 250, got {temperature_c!r}")
    factor = 1 + COPPER_PER_KELVIN * (temperature_c - 20)
    return Figure(value=table[size_mm2] * factor, unit="ohm/km", source=CONDUCTOR_TABLE)


def spread_factor(*, loads: int) -> float:
    """Return the share of the lumped drop that equal, evenly spaced loads cause at the far end.

    Parameters: loads, 1 or more; one load stands at the far end.
    Notes: (n + 1) / (2n), from the sum of the drops of n equal sections.

    >>> spread_factor(loads=10)
    0.55
    """
    refusal.count("loads", loads)
    return (loads + 1) / (2 * loads)


def voltage_drop(
    *,
    current_a: float,
    length_m: float,
    size_mm2: float,
    supply_v: float = 230,
    loads: int = 1,
) -> VoltageDrop:
    """Return the voltage drop of a single-phase mains circuit in twin and earth.

    Parameters: current_a [A], 0 or more, the current of all loads together; length_m [m], 0 or
    more, one way; size_mm2 [mm²], one of MILLIVOLTS; supply_v [V], above 0; loads, 1 or more, equal
    and evenly spaced along the length.
    Returns: the drop in V and as a share of supply_v (0.03 is 3 %).
    Notes: mV/A/m · A · m / 1000, at the conductor's full working temperature, so on the safe side
    for a cable that carries less than it may.
    Raises: ValueError for anything outside those ranges.

    >>> drop = voltage_drop(current_a=3, length_m=20, size_mm2=1.5)
    >>> round(drop.drop_v, 2), round(drop.share, 4)
    (1.74, 0.0076)
    """
    refusal.not_negative("current_a", current_a)
    refusal.not_negative("length_m", length_m)
    refusal.above_zero("supply_v", supply_v)
    figure = millivolts_per_amp_metre(size_mm2=size_mm2)
    drop_v = figure.value * current_a * length_m / 1000 * spread_factor(loads=loads)
    return VoltageDrop(drop_v=drop_v, share=drop_v / supply_v, source=figure.source)


def drop_limit(*, use: Use = Use.LIGHTING, length_m: float = 0) -> Figure:
    """Return the limit of voltage drop from a public low-voltage supply, as a share.

    Parameters: use; length_m [m], 0 or more, of the final circuit.
    Notes: 3 % for lighting, 5 % for other uses; beyond 100 m it may rise by 0.005 % a metre, by
    0.5 % at most.

    >>> drop_limit().value
    0.03
    """
    refusal.not_negative("length_m", length_m)
    base = 0.03 if Use(use) is Use.LIGHTING else 0.05
    extra = min(0.00005 * max(length_m - 100, 0.0), 0.005)
    return Figure(value=base + extra, unit="share", source=DROP_LIMIT_TABLE)


def longest_run_m(
    *,
    current_a: float,
    size_mm2: float,
    limit_share: float = 0.03,
    supply_v: float = 230,
    loads: int = 1,
) -> float:
    """Return the length at which a mains circuit reaches its limit of voltage drop, in metres.

    Parameters: as `voltage_drop`, with current_a above 0; limit_share, above 0, at most 1.

    >>> round(longest_run_m(current_a=6, size_mm2=1.0), 2)
    26.14
    """
    refusal.above_zero("current_a", current_a)
    refusal.share("limit_share", limit_share)
    per_metre = voltage_drop(
        current_a=current_a, length_m=1, size_mm2=size_mm2, supply_v=supply_v, loads=loads
    )
    return limit_share / per_metre.share


def dc_voltage_drop(
    *,
    current_a: float,
    length_m: float,
    ohm_per_km: float,
    supply_v: float,
    temperature_c: float = 20.0,
) -> VoltageDrop:
    """Return the drop of an extra-low voltage DC feed, out and back.

    Parameters: current_a [A], 0 or more; length_m [m], 0 or more, one way; ohm_per_km [ohm/km] of
    ONE conductor at 20 °C, above 0; supply_v [V], above 0; temperature_c [°C], -40 to 250.
    Returns: drop in V and as a share of supply_v.
    Notes: 2 · R · L · I, since both legs drop.
    Raises: ValueError for anything outside those ranges.

    >>> drop = dc_voltage_drop(current_a=3, length_m=10, ohm_per_km=12.1, supply_v=24)
    >>> round(drop.drop_v, 3), round(drop.share, 3)
    (0.726, 0.03)
    """
    return dc_channel_drop(
        channel_currents_a=(current_a,),
        length_m=length_m,
        ohm_per_km=ohm_per_km,
        supply_v=supply_v,
        temperature_c=temperature_c,
    )


def dc_channel_drop(
    *,
    channel_currents_a: Sequence[float],
    length_m: float,
    ohm_per_km: float,
    supply_v: float,
    temperature_c: float = 20.0,
) -> VoltageDrop:
    """Return the worst channel's drop where several channels share one common core.

    Parameters: channel_currents_a [A], one or more, each 0 or more; the rest as `dc_voltage_drop`.
    Notes: the channel's own leg carries its own current, the common leg carries the sum of all, so
    the drop is R · L · (I of the largest channel + sum of I). One channel alone gives 2 · R · L · I.

    >>> drop = dc_channel_drop(channel_currents_a=(1, 1, 1), length_m=10, ohm_per_km=12.1,
    ...                        supply_v=24)
    >>> round(drop.drop_v, 3)
    0.484
    """
    if not channel_currents_a:
        raise ValueError("channel_currents_a must hold one current or more")
    for current_a in channel_currents_a:
        refusal.not_negative("current_a", current_a)
    refusal.not_negative("length_m", length_m)
    refusal.above_zero("ohm_per_km", ohm_per_km)
    refusal.above_zero("supply_v", supply_v)
    if not -40 <= temperature_c <= 250:
        raise ValueError(f"temperature_c must be from -40 to 250, got {temperature_c!r}")
    leg_ohm = ohm_per_km / 1000 * length_m * (1 + COPPER_PER_KELVIN * (temperature_c - 20))
    drop_v = leg_ohm * (max(channel_currents_a) + sum(channel_currents_a))
    return VoltageDrop(drop_v=drop_v, share=drop_v / supply_v, source=CONDUCTOR_TABLE)


def dc_size_mm2(
    *,
    channel_currents_a: Sequence[float],
    length_m: float,
    supply_v: float,
    limit_share: float,
    temperature_c: float = 70.0,
    conductor: Conductor = Conductor.SOLID,
) -> float | None:
    """Return the smallest conductor that keeps a DC feed within its limit, in mm².

    Parameters: as `dc_channel_drop`; limit_share, above 0, at most 1: a setting of the business.
    Returns: a size of the conductor's table, or None where none of them would do.

    >>> dc_size_mm2(channel_currents_a=(3,), length_m=10, supply_v=24, limit_share=0.03)
    2.5
    """
    refusal.share("limit_share", limit_share)
    table = SOLID_OHM_PER_KM if Conductor(conductor) is Conductor.SOLID else FLEXIBLE_OHM_PER_KM
    for size_mm2, ohm_per_km in sorted(table.items()):
        drop = dc_channel_drop(
            channel_currents_a=channel_currents_a,
            length_m=length_m,
            ohm_per_km=ohm_per_km,
            supply_v=supply_v,
            temperature_c=temperature_c,
        )
        if drop.share <= limit_share:
            return size_mm2
    return None


def tape_drop(
    *, watts_per_m: float, length_m: float, ohm_per_m: float, supply_v: float, feed: Feed
) -> VoltageDrop:
    """Return the drop along a uniform run of tape, at the point that is worst off.

    Parameters: watts_per_m [W/m], above 0; length_m [m], 0 or more; ohm_per_m [ohm/m], above 0,
    out AND back together, as the maker gives it or as measured; supply_v [V], above 0.
    Notes: the current falls evenly to nothing, so the far end loses r · L · I / 2. Fed from both
    ends the middle is worst off and loses a quarter of that. The current is taken at the full supply
    voltage everywhere, which is on the safe side for tape with series resistors.

    >>> drop = tape_drop(watts_per_m=14.4, length_m=5, ohm_per_m=0.1, supply_v=24,
    ...                  feed=Feed.ONE_END)
    >>> round(drop.drop_v, 3)
    0.75
    """
    refusal.above_zero("watts_per_m", watts_per_m)
    refusal.not_negative("length_m", length_m)
    refusal.above_zero("ohm_per_m", ohm_per_m)
    refusal.above_zero("supply_v", supply_v)
    total_a = watts_per_m * length_m / supply_v
    drop_v = ohm_per_m * length_m * total_a / 2
    if Feed(feed) is Feed.BOTH_ENDS:
        drop_v /= 4
    return VoltageDrop(drop_v=drop_v, share=drop_v / supply_v, source=COMMON_PRACTICE)


def longest_tape_m(
    *, watts_per_m: float, ohm_per_m: float, supply_v: float, limit_share: float, feed: Feed
) -> float:
    """Return the length at which a uniform tape reaches its limit of drop, in metres.

    Parameters: as `tape_drop`; limit_share, above 0, at most 1. The maker's own greatest run comes
    first: this is for tape whose maker gives a resistance and no run.

    >>> round(longest_tape_m(watts_per_m=14.4, ohm_per_m=0.1, supply_v=24, limit_share=0.03,
    ...                      feed=Feed.ONE_END), 2)
    4.9
    """
    refusal.share("limit_share", limit_share)
    one_metre = tape_drop(
        watts_per_m=watts_per_m, length_m=1, ohm_per_m=ohm_per_m, supply_v=supply_v, feed=feed
    )
    return math.sqrt(limit_share / one_metre.share)


def tape_run_guide_m(*, supply_v: float) -> Figure:
    """Return the run of tape, fed from one end, that is usual where a maker states none, in metres.

    Parameters: supply_v [V], 12 or 24. Common practice, no source: 5 m at 12 V, and at 24 V the
    lower end of 5 to 10 m.

    >>> tape_run_guide_m(supply_v=24).value
    5.0
    """
    if supply_v not in (12, 24):
        raise ValueError(f"supply_v must be 12 or 24, got {supply_v!r}")
    return Figure(value=5.0, unit="m", source=COMMON_PRACTICE)
