"""Control planning: from circuits to the receivers and drivers that make them work, at least cost.

Codes of `Unserved.reason`, the nearest to working wins where several stand in the way: "no_receiver_for_kind",
"ip_not_met", "edge_not_met", "limits_contradictory", "limit_not_known", "power_factor_not_known",
"no_supply_for_unit" (no unit at the circuit's voltage), "no_driver", "channels_above_unit", "too_many_parts" (a
colour circuit whose parts fill more than one unit), "piece_above_unit", "piece_above_output", "too_many_pieces",
"below_minimum"; and, of circuits that could be fed, "no_room", "protective_device_full", "no_such_enclosure",
"repeated_code".

Codes of `ControlPlan.broken`: "fixed_cannot_hold", "fixed_unknown", "circuit_unserved" (the fixed choice's circuit
cannot be fed at all), "held_unknown_product", "held_gone", "held_changed", "held_cannot_hold". Codes of reasons
of an enclosure: "spare_not_met", "route_on_one_unit"; of a unit: "unit_serves", "unit_spare", "unit_held",
"colour_in_one_unit", "unit_voltage"; of a supply: "rating_covers_load"; of `refused`: "limits_contradictory".
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import partial

from engineering.control_enclosure import EnclosureTask, Through, plan_enclosure
from engineering.control_fixed import KnownWays, fixed_reason
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
from engineering.control_units import Headroom
from engineering.drivers import DriverOption, required_rating_w
from engineering.refusal import above_zero
from engineering.unit_cover import CoverLimits

__all__ = [
    "CHANNELS",
    "LOAD_KINDS",
    "LOAD_NATURES",
    "CircuitPart",
    "ControlCircuit",
    "ControlPlan",
    "CoverLimits",
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
    limits: CoverLimits | None = None,
    previous: Sequence[Unit] = (),
    through: Through | None = None,
) -> ControlPlan:
    """Return the cheapest plan of receivers and drivers for a house.

    Parameters
    ----------
    circuits : codes unique; a repeated code is refused with a reason, the first in order of watts stands.
    enclosures : references unique.
    receivers, drivers : what may be bought, references unique.
    fixed : choices that overrule the planner. One that cannot hold is named in `broken` and left out.
    held : units of an earlier plan that are wired already; they stay, and so do their circuits.
    headroom : share, 0 or more; headroom_method : "added" or "reserved" (`drivers.required_rating_w`).
    mains_v : supply voltage [V], above 0, for the load that a protective device allows.
    exact : False gives a quick valid plan with its bound, in a few milliseconds.
    limits : how much work may be done; past it the best plan found stands with its bound.
    previous : units of an earlier plan that is not wired. Among equals, circuits keep their units and outputs
        there as far as can be; it never changes the cost, nor which products are bought.
    through : called for each enclosure with its task and a function that works it out; gives that outcome,
        which it may have kept. All of a task but `known` and `solved` says what the outcome is.

    Returns
    -------
    A plan that breaks no limit, at least cost in whole minor units (products, labour, drivers); then with the
    fewest units; then with the most spare outputs. Same input, same answer, whatever the order of rows.

    Raises
    ------
    ValueError for a headroom or voltage out of range, or a reference that stands twice.

    Notes
    -----
    One output feeds one circuit. A circuit above every output is split by whole pieces into the fewest parts.
    All outputs of a colour circuit sit in one unit. A driver before a unit must carry the whole unit with
    headroom, and its least load must be met by any single part, since each can be on alone.

    >>> plan = plan_house(
    ...     circuits=[
    ...         ControlCircuit(code="A1", load_kind="switched", pieces_w=(60.0, 60.0), enclosure="E1")
    ...     ],
    ...     enclosures=[EnclosureSpec(reference="E1")],
    ...     receivers=[
    ...         ReceiverOption(
    ...             reference="R4",
    ...             outputs=4,
    ...             limits={"switched": (0, 200)},
    ...             unit_max_w=600,
    ...             cost_minor=9000,
    ...         )
    ...     ],
    ... )
    >>> plan.cost_minor, plan.is_proven, plan.units[0].circuits, plan.spare_outputs
    (9000, True, ('A1',), 3)
    """
    above_zero("mains_v", mains_v)
    required_rating_w(load_w=0.0, headroom=headroom, method=headroom_method)
    _require_unique("receivers", [receiver.reference for receiver in receivers])
    _require_unique("drivers", [driver.reference for driver in drivers])
    _require_unique("enclosures", [enclosure.reference for enclosure in enclosures])
    known: dict[object, KnownWays] = {}
    chosen, unserved = _placed(circuits, {enclosure.reference for enclosure in enclosures})
    tasks = [
        EnclosureTask(
            spec=spec,
            circuits=[circuit for circuit in chosen if circuit.enclosure == spec.reference],
            receivers=sorted(receivers, key=lambda one: one.reference),
            drivers=sorted(drivers, key=lambda one: one.reference),
            fixed=[one for one in fixed if _concerns(one, spec.reference, chosen)],
            held=[unit for unit in held if unit.enclosure == spec.reference],
            headroom=Headroom(share=headroom, method=headroom_method),
            mains_v=mains_v,
            exact=exact,
            limits=limits or CoverLimits(),
            previous=[unit for unit in previous if unit.enclosure == spec.reference],
            known=known,
        )
        for spec in sorted(enclosures, key=lambda one: one.reference)
    ]
    ask = through or (lambda _task, make: make())
    outcomes = [ask(task, partial(plan_enclosure, task=task)) for task in tasks]
    plans = tuple(outcome.plan for outcome in outcomes)
    unserved += [one for plan in plans for one in plan.unserved]
    broken: list[Reason] = []
    for outcome in outcomes:
        # Circuits kept together over two enclosures are named by both.
        broken += [reason for reason in outcome.broken if reason not in broken]
    return ControlPlan(
        enclosures=plans,
        cost_minor=sum(plan.cost_minor for plan in plans),
        bound_minor=sum(plan.bound_minor for plan in plans),
        is_proven=all(plan.is_proven for plan in plans),
        are_ties_proven=all(plan.are_ties_proven for plan in plans),
        unserved=tuple(sorted(unserved, key=lambda one: one.code)),
        broken=(*broken, *_unknown(fixed, chosen, receivers, drivers, enclosures)),
        refused=_refused(receivers),
    )


def _require_unique(name: str, references: Sequence[str]) -> None:
    repeated = sorted(reference for reference, n in Counter(references).items() if n > 1)
    if repeated:
        raise ValueError(f"{name} must each have their own reference, got {repeated} again")


def _placed(
    circuits: Sequence[ControlCircuit], enclosures: set[str]
) -> tuple[list[ControlCircuit], list[Unserved]]:
    """Return the circuits that have a place, by code, and those that have none."""
    chosen: dict[str, ControlCircuit] = {}
    unserved: list[Unserved] = []
    times = Counter(circuit.code for circuit in circuits)
    ordered = sorted(
        circuits,
        key=lambda one: (one.code, *((one.load_w, repr(one)) if times[one.code] > 1 else ())),
    )
    for circuit in ordered:
        if circuit.code in chosen:
            unserved.append(Unserved(code=circuit.code, reason="repeated_code"))
        elif circuit.enclosure not in enclosures:
            values = {"enclosure": circuit.enclosure}
            unserved.append(
                Unserved(code=circuit.code, reason="no_such_enclosure", values=dict(values))
            )
        else:
            chosen[circuit.code] = circuit
    return list(chosen.values()), unserved


def _named_circuits(choice: FixedChoice) -> tuple[str, ...]:
    match choice:
        case FixedUnits():
            return ()
        case FixedTogether():
            return choice.circuits
    return (choice.circuit,)


def _concerns(choice: FixedChoice, enclosure: str, circuits: Sequence[ControlCircuit]) -> bool:
    if isinstance(choice, FixedUnits):
        return choice.enclosure == enclosure
    here = {circuit.code for circuit in circuits if circuit.enclosure == enclosure}
    return any(code in here for code in _named_circuits(choice))


def _unknown(
    fixed: Sequence[FixedChoice],
    circuits: Sequence[ControlCircuit],
    receivers: Sequence[ReceiverOption],
    drivers: Sequence[DriverOption],
    enclosures: Sequence[EnclosureSpec],
) -> tuple[Reason, ...]:
    """Return the fixed choices none of whose circuits, or whose enclosure, is there."""
    codes = {circuit.code for circuit in circuits}
    places = {enclosure.reference for enclosure in enclosures}
    lost = [
        choice
        for choice in fixed
        if (isinstance(choice, FixedUnits) and choice.enclosure not in places)
        or (not isinstance(choice, FixedUnits) and not codes & set(_named_circuits(choice)))
    ]
    return tuple(fixed_reason(code="fixed_unknown", choice=one) for one in sorted(lost, key=repr))


def _refused(receivers: Sequence[ReceiverOption]) -> tuple[Reason, ...]:
    """Return the limits that contradict themselves; they are left out."""
    reasons = []
    for receiver in sorted(receivers, key=lambda one: one.reference):
        entries = [(kind, "", limit) for kind, limit in receiver.limits.items()]
        entries += [
            (kind, nature, limit) for (kind, nature), limit in receiver.nature_limits.items()
        ]
        for kind, nature, (least, most) in sorted(entries):
            if least > most:
                values = {"receiver": receiver.reference, "load_kind": kind, "load_nature": nature}
                reasons.append(
                    Reason(
                        code="limits_contradictory",
                        values={**values, "least_w": least, "most_w": most},
                    )
                )
    return tuple(reasons)
