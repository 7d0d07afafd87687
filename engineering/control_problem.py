"""What the control planner is asked: circuits, enclosures, products and fixed choices.

Everything here is frozen and refuses bad values when made. A *contradictory product* (a limit whose
minimum stands above its maximum) is not refused: catalogues hold such rows, the planner leaves the
limit out and names it, so that the rest of the plan stands.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from engineering.drivers import DriverOption
from engineering.refusal import above_zero, count, not_negative, text

__all__ = [
    "CHANNELS",
    "LOAD_KINDS",
    "LOAD_NATURES",
    "ControlCircuit",
    "DriverOption",
    "EnclosureSpec",
    "FixedChoice",
    "FixedDriver",
    "FixedReceiver",
    "FixedTogether",
    "FixedUnits",
    "ReceiverOption",
]

CHANNELS: Mapping[str, int] = {
    "switched": 1,
    "phase-dimmed": 1,
    "dc-white": 1,
    "dc-tunable": 2,
    "dc-rgb": 3,
    "dc-rgbw": 4,
    "dc-rgb-tunable": 5,
    "analogue-dimmed": 1,
    "digital-dimmed": 1,
    "motor": 1,
}
"""Outputs that one part of a circuit takes, by load kind."""

LOAD_KINDS = tuple(CHANNELS)
LOAD_NATURES = ("led", "resistive", "wound", "motor")


def _above_zero_if_given(name: str, value: float | None) -> None:
    if value is not None:
        above_zero(name, value)


def _require_kind(kind: str) -> None:
    if kind not in CHANNELS:
        raise ValueError(f"load kind must be one of {', '.join(LOAD_KINDS)}, got {kind!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlCircuit:
    """One circuit as the planner sees it.

    Parameters
    ----------
    code : the circuit's code, unique in the house.
    load_kind : how it is driven, one of `LOAD_KINDS`.
    pieces_w : connected watts of each indivisible fitting or tape run [W], each above 0. A part of a
        split circuit holds whole pieces.
    enclosure : reference of the enclosure that feeds it.
    channels : outputs that one part takes; for a colour circuit the number of its load kind.
    load_nature : "led", "resistive", "wound" (wound transformer) or "motor".
    supply_v : DC voltage of a constant-voltage circuit [V]; None where none is needed. With a `dc-…` kind
        the driver stands before the unit, with any other kind after the output.
    current_ma, forward_v : drive current [mA] and forward voltage of one piece [V] of a
        constant-current circuit; its drivers stand after the output.
    power_factor : above 0 up to 1; None = not known.
    channel_shares : share of a part's watts on each channel, adding up to 1; empty = even.
    edges : dimming edges that the load takes ("leading", "trailing"); empty = either.
    route : name of a stair or exit route; the circuits of one route never all hang on one unit.
    drivers_apart : whether drivers after its output stand elsewhere, so that they take no width in the enclosure.
    """

    code: str
    load_kind: str
    pieces_w: tuple[float, ...]
    enclosure: str
    channels: int = 1
    load_nature: str = "led"
    supply_v: float | None = None
    current_ma: float | None = None
    forward_v: float | None = None
    power_factor: float | None = None
    channel_shares: tuple[float, ...] = ()
    edges: frozenset[str] = frozenset()
    route: str = ""
    drivers_apart: bool = False

    def __post_init__(self) -> None:
        text("code", self.code)
        text("enclosure", self.enclosure)
        _require_kind(self.load_kind)
        object.__setattr__(self, "pieces_w", tuple(self.pieces_w))
        object.__setattr__(self, "edges", frozenset(self.edges))
        if not self.pieces_w:
            raise ValueError(f"circuit {self.code} must have at least one piece")
        for watts in self.pieces_w:
            _above_zero_if_given("a piece's watts", watts)
        count("channels", self.channels, at_least=1)
        if self.load_nature not in LOAD_NATURES:
            raise ValueError(f"load nature must be one of {LOAD_NATURES}, got {self.load_nature!r}")
        for name in ("supply_v", "current_ma", "forward_v", "power_factor"):
            _above_zero_if_given(name, getattr(self, name))
        self._check_together()

    def _check_together(self) -> None:
        if (self.current_ma is None) != (self.forward_v is None):
            raise ValueError("current_ma and forward_v come together")
        if self.current_ma is not None and self.supply_v is not None:
            raise ValueError("a circuit is of constant voltage or of constant current, not both")
        if self.power_factor is not None and self.power_factor > 1:
            raise ValueError(f"power_factor must be at most 1, got {self.power_factor!r}")
        if not self.channel_shares:
            return
        if len(self.channel_shares) != self.channels:
            raise ValueError("channel_shares must name every channel")
        if not math.isclose(sum(self.channel_shares), 1.0, abs_tol=1e-9):
            raise ValueError("channel_shares must add up to 1")
        for share in self.channel_shares:
            _above_zero_if_given("a channel's share", share)

    @property
    def load_w(self) -> float:
        """Connected watts of the whole circuit [W]."""
        return math.fsum(self.pieces_w)

    @property
    def is_direct_current(self) -> bool:
        """Whether the unit itself feeds the load with DC."""
        return self.load_kind.startswith("dc-")

    @property
    def supply_place(self) -> str:
        """Where its driver stands: "before" the unit, "after" the output, or "" for none."""
        if self.supply_v is None and self.current_ma is None:
            return ""
        return "before" if self.is_direct_current and self.current_ma is None else "after"


@dataclass(frozen=True, slots=True, kw_only=True)
class EnclosureSpec:
    """A place where receivers live.

    Parameters
    ----------
    reference : its name, unique in the house.
    capacity : width for units and their drivers, in the unit of the products' `width`; None = not limited.
        A driver after an output counts unless its circuit says that it stands apart.
    ip_needed : IP code that units need there ("IP44"); empty = none.
    protective_a : rating of its protective device [A]; None = not said.
    spare_share : share of the used outputs to be kept spare as well, 0 or more (0.1 = one in ten).
    """

    reference: str
    capacity: float | None = None
    ip_needed: str = ""
    protective_a: float | None = None
    spare_share: float = 0.0

    def __post_init__(self) -> None:
        text("reference", self.reference)
        if self.capacity is not None:
            not_negative("capacity", self.capacity)
        _above_zero_if_given("protective_a", self.protective_a)
        not_negative("spare_share", self.spare_share)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiverOption:
    """A receiver that may be bought: a unit that takes commands and feeds circuits.

    Parameters
    ----------
    reference : the product's reference, unique among the options.
    outputs : number of outputs, 1 or more.
    limits : per load kind the least and the most watts on one output [W]. A kind that is missing
        cannot be fed.
    unit_max_w : the most watts on all outputs together [W], above 0.
    cost_minor : what one costs, in whole minor units of the currency.
    nature_limits : {(load kind, load nature): (least, most)}. Where a kind has entries here they rule, and
        a nature without one is *not known*, so the unit is not used for it; `limits` rules elsewhere.
    pieces_max : the most pieces on one output per load kind.
    limits_in : "W" or "VA": what the limits count. VA needs the circuit's power factor.
    output_max_a, unit_max_a : limits in amperes [A] at the DC voltage that the unit is fed with; they need
        `supply_volts`.
    width : room it takes in an enclosure. ip : its IP code, empty = not known.
    edges : dimming edges it offers, empty = not said.
    supply_volts : DC voltages that it may be fed with [V]; empty = fed from the mains, no driver before it.
    labour_minor : labour of fitting one, in whole minor units.
    """

    reference: str
    outputs: int
    limits: Mapping[str, tuple[float, float]]
    unit_max_w: float
    cost_minor: int
    nature_limits: Mapping[tuple[str, str], tuple[float, float]] = field(default_factory=dict)
    pieces_max: Mapping[str, int] = field(default_factory=dict)
    limits_in: str = "W"
    output_max_a: float | None = None
    unit_max_a: float | None = None
    width: float = 0.0
    ip: str = ""
    edges: frozenset[str] = frozenset()
    supply_volts: tuple[float, ...] = ()
    labour_minor: int = 0

    def __post_init__(self) -> None:
        text("reference", self.reference)
        count("outputs", self.outputs, at_least=1)
        _above_zero_if_given("unit_max_w", self.unit_max_w)
        count("cost_minor", self.cost_minor, at_least=0)
        count("labour_minor", self.labour_minor, at_least=0)
        not_negative("width", self.width)
        _above_zero_if_given("output_max_a", self.output_max_a)
        _above_zero_if_given("unit_max_a", self.unit_max_a)
        if (self.output_max_a or self.unit_max_a) and not self.supply_volts:
            raise ValueError("limits in amperes need supply_volts")
        if self.limits_in not in ("W", "VA"):
            raise ValueError(f"limits_in must be W or VA, got {self.limits_in!r}")
        for kind, limit in self.limits.items():
            _require_kind(kind)
            self._check_limit(limit)
        for (kind, nature), limit in self.nature_limits.items():
            _require_kind(kind)
            if nature not in LOAD_NATURES:
                raise ValueError(f"load nature must be one of {LOAD_NATURES}, got {nature!r}")
            self._check_limit(limit)
        for kind, pieces in self.pieces_max.items():
            _require_kind(kind)
            count("pieces_max", pieces, at_least=1)
        for volts in self.supply_volts:
            _above_zero_if_given("a supply voltage", volts)

    @staticmethod
    def _check_limit(limit: Sequence[float]) -> None:
        if len(limit) != 2:
            raise ValueError(f"a limit must be (least, most) watts, got {limit!r}")
        for watts in limit:
            not_negative("a limit's watts", watts)


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedReceiver:
    """The circuit is fed by this receiver product."""

    circuit: str
    receiver: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedTogether:
    """These circuits sit in one unit."""

    circuits: tuple[str, ...]
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedDriver:
    """The circuit is fed by this driver product, before its unit or after its output."""

    circuit: str
    driver: str
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedUnits:
    """The enclosure holds exactly this many units of this receiver; other products stay free."""

    enclosure: str
    receiver: str
    count: int
    reason: str = ""

    def __post_init__(self) -> None:
        count("count", self.count, at_least=0)


FixedChoice = FixedReceiver | FixedTogether | FixedDriver | FixedUnits
