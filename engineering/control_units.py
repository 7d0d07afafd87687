"""Units that may stand in an enclosure: a receiver alone, or a DC receiver with the driver before it."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from engineering.control_problem import ControlCircuit, EnclosureSpec, ReceiverOption
from engineering.drivers import DriverOption, usable_w
from engineering.ingress import ip_meets

# Watts are counted in millionths, so that sums of decimal figures are exact.
GRAIN = 1_000_000


def grains(watts: float) -> int:
    """Return watts [W] as a whole number of millionths.

    >>> grains(0.1) + grains(0.2) == grains(0.3)
    True
    """
    return round(watts * GRAIN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Headroom:
    """How much more than its load a driver must be rated for: share and way of stating it."""

    share: float
    method: str

    def usable_w(self, driver: DriverOption) -> float:
        """Return the load that the driver may carry [W]."""
        return usable_w(rating_w=driver.rating_w, headroom=self.share, method=self.method)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitChoice:
    """A receiver with what stands before it, as it could be bought for one enclosure.

    `volts` is 0 for a unit fed from the mains. `blocked` is a reason's code where the place rules it out.
    """

    receiver: ReceiverOption
    driver: DriverOption | None = None
    volts: float = 0.0
    capacity_w: float = 0.0
    cost_minor: int = 0
    width: float = 0.0
    blocked: str = ""

    @property
    def order(self) -> tuple[str, float, str]:
        """What puts choices in order, whatever the order of the rows."""
        return (self.receiver.reference, self.volts, self.driver.reference if self.driver else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputLimit:
    """Least and most on one output, in the receiver's terms [W or VA], and the most pieces."""

    least: float
    most: float
    pieces: int | None


def unit_choices(
    *,
    enclosure: EnclosureSpec,
    receivers: Sequence[ReceiverOption],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
    named_drivers: Collection[str] = (),
) -> tuple[UnitChoice, ...]:
    """Return every unit that may be bought for the enclosure, in a fixed order.

    A driver that another beats in price, width, power and least load is left out, unless it is named.
    """
    choices: list[UnitChoice] = []
    for receiver in receivers:
        if not receiver.supply_volts:
            choices.append(_alone(receiver, enclosure))
            continue
        for volts in sorted(set(receiver.supply_volts)):
            fed = [
                _fed(receiver, driver, volts, enclosure, headroom)
                for driver in drivers
                if driver.supply_v is not None and math.isclose(driver.supply_v, volts)
            ]
            without = UnitChoice(receiver=receiver, volts=volts, blocked="no_driver")
            choices += _undominated(fed, named_drivers) or [without]
    return tuple(sorted(choices, key=lambda choice: choice.order))


def _place_blocks(ip: str, enclosure: EnclosureSpec) -> bool:
    if not enclosure.ip_needed:
        return False
    return not ip or not ip_meets(code=ip, needs=enclosure.ip_needed)


def _alone(receiver: ReceiverOption, enclosure: EnclosureSpec) -> UnitChoice:
    return UnitChoice(
        receiver=receiver,
        capacity_w=receiver.unit_max_w,
        cost_minor=receiver.cost_minor + receiver.labour_minor,
        width=receiver.width,
        blocked="ip_not_met" if _place_blocks(receiver.ip, enclosure) else "",
    )


def _fed(
    receiver: ReceiverOption,
    driver: DriverOption,
    volts: float,
    enclosure: EnclosureSpec,
    headroom: Headroom,
) -> UnitChoice:
    capacity = min(receiver.unit_max_w, headroom.usable_w(driver))
    if receiver.unit_max_a is not None:
        capacity = min(capacity, receiver.unit_max_a * volts)
    blocked = _place_blocks(receiver.ip, enclosure) or _place_blocks(driver.ip, enclosure)
    cost = receiver.cost_minor + receiver.labour_minor + driver.cost_minor + driver.labour_minor
    return UnitChoice(
        receiver=receiver,
        driver=driver,
        volts=volts,
        capacity_w=capacity,
        cost_minor=cost,
        width=receiver.width + driver.width,
        blocked="ip_not_met" if blocked else "",
    )


def _undominated(fed: list[UnitChoice], named: Collection[str]) -> list[UnitChoice]:
    kept: list[UnitChoice] = []
    for choice in sorted(fed, key=_merit):
        assert choice.driver is not None
        beaten = any(_beats(other, choice) for other in kept)
        if not beaten or choice.driver.reference in named:
            kept.append(choice)
    return kept


def _merit(choice: UnitChoice) -> tuple[bool, int, float, float, float, str]:
    assert choice.driver is not None
    return (
        bool(choice.blocked),
        choice.cost_minor,
        choice.width,
        -choice.capacity_w,
        choice.driver.min_load_w,
        choice.driver.reference,
    )


def _beats(first: UnitChoice, second: UnitChoice) -> bool:
    assert first.driver is not None and second.driver is not None
    return (
        not first.blocked
        and first.cost_minor <= second.cost_minor
        and first.width <= second.width
        and first.capacity_w >= second.capacity_w
        and first.driver.min_load_w <= second.driver.min_load_w
    )


def output_limit(*, choice: UnitChoice, circuit: ControlCircuit) -> OutputLimit | str:
    """Return the limits of one output for the circuit, or the code of why there are none."""
    receiver, kind = choice.receiver, circuit.load_kind
    limit = kind_limit(receiver=receiver, kind=kind, nature=circuit.load_nature)
    if isinstance(limit, str):
        return limit
    for code in (_place_refusal(choice, circuit), _feed_refusal(choice, circuit)):
        if code:
            return code
    least, most = limit
    if receiver.output_max_a is not None:
        most = min(most, receiver.output_max_a * choice.volts)
    return OutputLimit(least=least, most=most, pieces=receiver.pieces_max.get(kind))


def kind_limit(*, receiver: ReceiverOption, kind: str, nature: str) -> tuple[float, float] | str:
    """Return (least, most) on an output for a kind and nature of load, or the code of why not."""
    if any(entry == kind for entry, _ in receiver.nature_limits):
        found = receiver.nature_limits.get((kind, nature))
        missing = "limit_not_known"
    else:
        found, missing = receiver.limits.get(kind), "no_receiver_for_kind"
    if found is None:
        return missing
    least, most = found
    return "limits_contradictory" if least > most else (least, most)


def _place_refusal(choice: UnitChoice, circuit: ControlCircuit) -> str:
    receiver = choice.receiver
    if choice.blocked:
        return choice.blocked
    if circuit.edges and not circuit.edges & receiver.edges:
        return "edge_not_met"
    if circuit.channels > receiver.outputs:
        return "channels_above_unit"
    if receiver.limits_in == "VA" and circuit.power_factor is None:
        return "power_factor_not_known"
    return ""


def _feed_refusal(choice: UnitChoice, circuit: ControlCircuit) -> str:
    if not choice.volts:
        return ""
    fits = circuit.supply_place == "before" and circuit.supply_v is not None
    if not fits or not math.isclose(circuit.supply_v or 0.0, choice.volts):
        return "no_supply_for_unit"
    return ""


def channel_watts(*, circuit: ControlCircuit, power_w: float) -> tuple[float, ...]:
    """Return the watts that each channel of a part carries [W]."""
    shares = circuit.channel_shares or (1 / circuit.channels,) * circuit.channels
    return tuple(share * power_w for share in shares)


def part_refusal(
    *, choice: UnitChoice, circuit: ControlCircuit, power_w: float, pieces: int
) -> str:
    """Return why the unit cannot take a part of the circuit on one output per channel, or ""."""
    limit = output_limit(choice=choice, circuit=circuit)
    if isinstance(limit, str):
        return limit
    factor = 1.0
    if choice.receiver.limits_in == "VA" and circuit.power_factor is not None:
        factor = circuit.power_factor
    watts = channel_watts(circuit=circuit, power_w=power_w)
    if grains(max(watts) / factor) > grains(limit.most):
        return "piece_above_output"
    if grains(power_w) > grains(choice.capacity_w):
        return "piece_above_unit"
    if limit.pieces is not None and pieces > limit.pieces:
        return "too_many_pieces"
    if grains(min(watts) / factor) < grains(limit.least):
        return "below_minimum"
    if choice.driver is not None and power_w < choice.driver.min_load_w:
        return "below_minimum"
    return ""
