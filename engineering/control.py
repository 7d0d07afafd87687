"""Control planning: from circuits to the receivers and drivers that make them work, at least cost.

Codes of `Unserved.reason`: "no_receiver_for_kind", "limit_not_known", "limits_contradictory",
"below_minimum", "piece_above_output", "too_many_parts" (a colour circuit whose parts fill more than one
unit), "channels_above_unit", "ip_not_met", "edge_not_met", "power_factor_not_known", "no_driver",
"no_supply_for_unit", "fixed_cannot_hold", "no_room", "protective_device_full", "no_such_enclosure",
"repeated_code".
"""

from __future__ import annotations

from collections.abc import Sequence

from engineering.control_plan import (
    CircuitPart,
    ControlPlan,
    EnclosurePlan,
    Output,
    PowerSupply,
    Reason,
    Unit,
    Unserved,
)
from engineering.control_problem import (
    CHANNELS,
    LOAD_KINDS,
    LOAD_NATURES,
    ControlCircuit,
    EnclosureSpec,
    FixedChoice,
    FixedDriver,
    FixedReceiver,
    FixedTogether,
    FixedUnits,
    ReceiverOption,
)
from engineering.drivers import DriverOption

__all__ = [
    "CHANNELS",
    "LOAD_KINDS",
    "LOAD_NATURES",
    "CircuitPart",
    "ControlCircuit",
    "ControlPlan",
    "DriverOption",
    "EnclosurePlan",
    "EnclosureSpec",
    "FixedChoice",
    "FixedDriver",
    "FixedReceiver",
    "FixedTogether",
    "FixedUnits",
    "Output",
    "PowerSupply",
    "Reason",
    "ReceiverOption",
    "Unit",
    "Unserved",
    "plan_house",
]


def plan_house(
    *,
    circuits: Sequence[ControlCircuit],
    enclosures: Sequence[EnclosureSpec],
    receivers: Sequence[ReceiverOption],
    drivers: Sequence[DriverOption] = (),
    fixed: Sequence[FixedChoice] = (),
    held: Sequence[Unit] = (),
    headroom: float = 0.2,
    headroom_method: str = "added",
    mains_v: float = 230.0,
    exact: bool = True,
) -> ControlPlan:
    """Return the cheapest plan of receivers and drivers for a house.

    `held` are units of an earlier plan that are wired already. `exact=False` gives a quick valid plan
    with its bound. Same input, same answer, whatever the order of rows.
    """
    raise NotImplementedError
