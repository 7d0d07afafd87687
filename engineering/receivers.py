"""Receivers for circuits, in the plainest form: one place, no drivers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from engineering.control_problem import ReceiverOption

__all__ = ["CircuitLoad", "ReceiverOption", "ReceiverPlan", "plan"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitLoad:
    """A circuit: code, load kind, watts of each fitting [W], outputs that one part of it takes."""

    code: str
    load_kind: str
    fittings_w: tuple[float, ...]
    channels: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class UsedOutput:
    """An output in use: the circuit's code and the watts it carries [W]."""

    circuit: str
    power_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedUnit:
    """A unit: the product's reference and the outputs in use."""

    reference: str
    outputs: tuple[UsedOutput, ...]
    spare_outputs: int


class UnservedCircuit(NamedTuple):
    """A circuit that nothing feeds, and the reason's code."""

    code: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiverPlan:
    """Units at least cost. `bound_minor` is a proven lower bound."""

    units: tuple[PlannedUnit, ...]
    cost_minor: int
    bound_minor: int
    is_proven: bool
    unserved: tuple[UnservedCircuit, ...]


def plan(
    *,
    circuits: Sequence[CircuitLoad],
    receivers: Sequence[ReceiverOption],
    fixed: Sequence[object] = (),
    held: Sequence[object] = (),
) -> ReceiverPlan:
    """Return the cheapest receivers for the circuits."""
    raise NotImplementedError
