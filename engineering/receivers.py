"""Receivers for circuits, in the plainest form: one place, no drivers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from engineering.control import plan_house
from engineering.control_plan import CircuitPart, ControlPlan, Output, Unit
from engineering.control_problem import (
    CHANNELS,
    LOAD_KINDS,
    ControlCircuit,
    EnclosureSpec,
    FixedChoice,
    FixedReceiver,
    ReceiverOption,
)
from engineering.refusal import above_zero, count, text

__all__ = ["CircuitLoad", "PlannedUnit", "ReceiverOption", "ReceiverPlan", "UsedOutput", "plan"]

_PLACE = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitLoad:
    """A circuit to be fed.

    Parameters
    ----------
    code : unique among the circuits.
    load_kind : how it is driven, one of `LOAD_KINDS`.
    fittings_w : connected watts of each fitting [W], above 0; a fitting is never split.
    channels : outputs that one part takes, 1 or more; None = that of the load kind.
    """

    code: str
    load_kind: str
    fittings_w: tuple[float, ...]
    channels: int | None = None

    def __post_init__(self) -> None:
        text("code", self.code)
        if self.load_kind not in LOAD_KINDS:
            raise ValueError(f"load_kind must be one of {LOAD_KINDS}, got {self.load_kind!r}")
        object.__setattr__(self, "fittings_w", tuple(self.fittings_w))
        if not self.fittings_w:
            raise ValueError("fittings_w must hold at least one fitting")
        for watts in self.fittings_w:
            above_zero("a fitting's watts", watts)
        if self.channels is None:
            object.__setattr__(self, "channels", CHANNELS[self.load_kind])
        count("channels", self.channels or 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedOutput:
    """An output in use: its number in the unit, the circuit's code and the watts it carries [W]."""

    number: int
    circuit: str
    power_w: float
    fittings: tuple[int, ...] = ()
    channel: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedUnit:
    """A unit: its number, the product's reference, the outputs in use and how many are spare."""

    number: int
    reference: str
    outputs: tuple[UsedOutput, ...]
    spare_outputs: int


class UnservedCircuit(NamedTuple):
    """A circuit that nothing feeds, and the reason's code (see `engineering.control`)."""

    code: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiverPlan:
    """Units at least cost.

    `bound_minor` is proven: no plan costs less. `broken` holds the codes of fixed or held choices that could
    not hold, with what they concern; `refused` the references of products with a limit that contradicts
    itself.
    """

    units: tuple[PlannedUnit, ...]
    cost_minor: int
    bound_minor: int
    is_proven: bool
    unserved: tuple[UnservedCircuit, ...] = ()
    broken: tuple[tuple[str, str], ...] = ()
    refused: tuple[str, ...] = ()


def plan(
    *,
    circuits: Sequence[CircuitLoad],
    receivers: Sequence[ReceiverOption],
    fixed: Sequence[FixedChoice | tuple[str, str]] = (),
    held: Sequence[PlannedUnit] = (),
    exact: bool = True,
) -> ReceiverPlan:
    """Return the cheapest receivers for circuits that all live in one place.

    Parameters
    ----------
    circuits : codes unique.
    receivers : what may be bought, references unique.
    fixed : choices that the plan obeys: those of `engineering.control_problem`, or (circuit, receiver).
    held : units of an earlier plan that are wired already; their circuits stay on them.
    exact : False gives a quick valid plan with its bound.

    Returns
    -------
    Units that break no limit and cost least in whole minor units; then fewest units; then most spare outputs.
    Each circuit sits on one output per channel, or, above every output, is split by whole fittings into the
    fewest parts; a colour circuit sits in one unit, and its watts fall evenly on its channels.

    Raises
    ------
    ValueError for bad values and for codes or references that stand twice.

    >>> options = [
    ...     ReceiverOption(
    ...         reference=f"R{outputs}",
    ...         outputs=outputs,
    ...         limits={"switched": (0, 150)},
    ...         unit_max_w=150 * outputs,
    ...         cost_minor=cost,
    ...     )
    ...     for outputs, cost in ((2, 5000), (4, 8000))
    ... ]
    >>> loads = [CircuitLoad(code=c, load_kind="switched", fittings_w=(40,)) for c in "ABCDE"]
    >>> found = plan(circuits=loads, receivers=options)
    >>> [unit.reference for unit in found.units], found.cost_minor, found.is_proven
    (['R2', 'R4'], 13000, True)
    """
    codes = [circuit.code for circuit in circuits]
    if len(set(codes)) < len(codes):
        raise ValueError("each circuit must have its own code")
    house = plan_house(
        circuits=[
            ControlCircuit(
                code=circuit.code,
                load_kind=circuit.load_kind,
                pieces_w=circuit.fittings_w,
                channels=circuit.channels or 1,
                enclosure=_PLACE,
            )
            for circuit in circuits
        ],
        enclosures=[EnclosureSpec(reference=_PLACE)],
        receivers=receivers,
        fixed=[_choice(one) for one in fixed],
        held=[_held(unit) for unit in held],
        exact=exact,
    )
    return _plain(house)


def _choice(one: FixedChoice | tuple[str, str]) -> FixedChoice:
    if isinstance(one, tuple):
        circuit, receiver = one
        return FixedReceiver(circuit=circuit, receiver=receiver)
    return one


def _held(unit: PlannedUnit) -> Unit:
    return Unit(
        enclosure=_PLACE,
        number=unit.number,
        reference=unit.reference,
        outputs=tuple(
            Output(
                number=output.number,
                parts=(
                    CircuitPart(
                        circuit=output.circuit,
                        pieces=output.fittings,
                        power_w=output.power_w,
                        channel=output.channel,
                    ),
                ),
            )
            for output in unit.outputs
        ),
    )


def _plain(house: ControlPlan) -> ReceiverPlan:
    return ReceiverPlan(
        units=tuple(
            PlannedUnit(
                number=unit.number,
                reference=unit.reference,
                outputs=tuple(
                    UsedOutput(
                        number=output.number,
                        circuit=part.circuit,
                        power_w=part.power_w,
                        fittings=part.pieces,
                        channel=part.channel,
                    )
                    for output in unit.outputs
                    for part in output.parts
                ),
                spare_outputs=unit.spare_outputs,
            )
            for unit in house.units
        ),
        cost_minor=house.cost_minor,
        bound_minor=house.bound_minor,
        is_proven=house.is_proven,
        unserved=tuple(UnservedCircuit(one.code, one.reason) for one in house.unserved),
        broken=tuple((reason.code, str(dict(reason.values))) for reason in house.broken),
        refused=tuple(str(reason.values["receiver"]) for reason in house.refused),
    )
