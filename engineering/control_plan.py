"""What the control planner answers: enclosures, units, outputs, parts, power supplies and reasons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Value = str | int | float | tuple[str, ...] | tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """A code and its values; the sentence is worded, and translated, outside the core."""

    code: str
    values: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerSupply:
    """Drivers of one product at one place.

    `count` of them share `load_w` [W]; `rating_w` [W] is the rating of one; `share_loaded` is the
    fullest one's load over its rating, 0 to 1. `volts` [V] is 0 for constant current.
    """

    reference: str
    count: int
    volts: float
    load_w: float
    rating_w: float
    share_loaded: float
    cost_minor: int
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitPart:
    """What one output feeds of a circuit: whole pieces, by their place in `pieces_w`.

    `power_w` [W] is what this output carries of it, driver loss included. A part of a colour circuit stands
    at one output for each `channel` (1, 2, …) with that channel's share of the watts.
    `supplies` are the drivers after the output.
    """

    circuit: str
    pieces: tuple[int, ...]
    power_w: float
    channel: int = 1
    supplies: tuple[PowerSupply, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """One output of a unit: no part when it is spare, else one. Limits in the unit's terms [W or VA]."""

    number: int
    parts: tuple[CircuitPart, ...] = ()
    min_w: float | None = None
    max_w: float | None = None

    @property
    def power_w(self) -> float:
        """Watts on this output [W]."""
        return sum(part.power_w for part in self.parts)

    @property
    def is_spare(self) -> bool:
        """Whether nothing hangs on it."""
        return not self.parts


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A receiver in an enclosure.

    `number` counts from 1 within the enclosure and is the same for the same input. `supplies` are the
    drivers before a DC unit. `cost_minor` is the unit with its labour and the drivers before it.
    """

    enclosure: str
    number: int
    reference: str
    outputs: tuple[Output, ...]
    supplies: tuple[PowerSupply, ...] = ()
    max_w: float = 0.0
    cost_minor: int = 0
    is_held: bool = False
    reasons: tuple[Reason, ...] = ()

    @property
    def load_w(self) -> float:
        """Watts on all its outputs [W]."""
        return sum(output.power_w for output in self.outputs)

    @property
    def spare_outputs(self) -> int:
        """Outputs that feed nothing."""
        return sum(output.is_spare for output in self.outputs)

    @property
    def circuits(self) -> tuple[str, ...]:
        """Codes of the circuits it feeds, each once, by output."""
        codes = (part.circuit for output in self.outputs for part in output.parts)
        return tuple(dict.fromkeys(codes))


@dataclass(frozen=True, slots=True, kw_only=True)
class Unserved:
    """A circuit that nothing feeds, and why (see `engineering.control` for the codes)."""

    code: str
    reason: str
    values: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class EnclosurePlan:
    """The units of one enclosure. `bound_minor` is proven: no plan of it costs less."""

    reference: str
    units: tuple[Unit, ...]
    cost_minor: int
    bound_minor: int
    is_proven: bool
    are_ties_proven: bool = False
    width_used: float = 0.0
    unserved: tuple[Unserved, ...] = ()
    reasons: tuple[Reason, ...] = ()

    @property
    def load_w(self) -> float:
        """Watts on all its units [W]."""
        return sum(unit.load_w for unit in self.units)

    @property
    def spare_outputs(self) -> int:
        """Outputs that feed nothing."""
        return sum(unit.spare_outputs for unit in self.units)


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlPlan:
    """The hardware of a house.

    `cost_minor` is the sum over the enclosures, `bound_minor` a proven lower bound on it, `is_proven` says
    that no plan is cheaper; `are_ties_proven` that among the cheapest none has fewer units, nor as few units and
    more spare outputs.
    `broken` names fixed and held choices that cannot hold, `refused` the products and limits left out;
    both as codes and values.
    """

    enclosures: tuple[EnclosurePlan, ...]
    cost_minor: int
    bound_minor: int
    is_proven: bool
    are_ties_proven: bool = False
    unserved: tuple[Unserved, ...] = ()
    broken: tuple[Reason, ...] = ()
    refused: tuple[Reason, ...] = ()

    @property
    def units(self) -> tuple[Unit, ...]:
        """All units, by enclosure and number."""
        return tuple(unit for enclosure in self.enclosures for unit in enclosure.units)

    @property
    def spare_outputs(self) -> int:
        """Outputs that feed nothing."""
        return sum(enclosure.spare_outputs for enclosure in self.enclosures)
