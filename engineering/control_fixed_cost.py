"""What a fixed choice costs over the plan without it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engineering.control import plan_house
from engineering.control_fixed import fixed_reason
from engineering.control_plan import ControlPlan, Unit
from engineering.control_problem import (
    ControlCircuit,
    DriverOption,
    EnclosureSpec,
    FixedChoice,
    FixedTogether,
    FixedUnits,
    ReceiverOption,
)
from engineering.unit_cover import CoverLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedCost:
    """What a fixed choice costs, in whole minor units of the currency.

    `cost_minor` compares the two plans found. The true difference lies from `least_minor` to `most_minor`; the
    three are equal where both plans are proven. `holds` is False where the choice cannot hold, or both plans do
    not serve the same circuits: the figures then say nothing.
    """

    cost_minor: int
    least_minor: int
    most_minor: int
    holds: bool

    @property
    def is_proven(self) -> bool:
        """Whether the cost is known for sure."""
        return self.holds and self.least_minor == self.most_minor


def cost_of_fixed(
    *,
    choice: FixedChoice,
    circuits: Sequence[ControlCircuit],
    enclosures: Sequence[EnclosureSpec],
    receivers: Sequence[ReceiverOption],
    drivers: Sequence[DriverOption] = (),
    fixed: Sequence[FixedChoice] = (),
    held: Sequence[Unit] = (),
    headroom: float = 0.2,
    headroom_method: str = "added",
    mains_v: float = 230.0,
    limits: CoverLimits | None = None,
) -> FixedCost:
    """Return what one fixed choice costs, with all others as they are.

    Parameters
    ----------
    choice : the choice in question; it may stand in `fixed` or not.
    The others are those of `control.plan_house`.

    Returns
    -------
    The difference between the plan with the choice and the plan without it. Only the enclosures that it
    concerns are planned, twice.

    Raises
    ------
    ValueError as `control.plan_house` does.

    >>> from engineering.control_problem import FixedReceiver
    >>> options = [
    ...     ReceiverOption(
    ...         reference=reference,
    ...         outputs=2,
    ...         limits={"switched": (0, 200)},
    ...         unit_max_w=400,
    ...         cost_minor=cost,
    ...     )
    ...     for reference, cost in (("R", 5000), ("S", 6500))
    ... ]
    >>> lamp = ControlCircuit(code="A", load_kind="switched", pieces_w=(60.0,), enclosure="E")
    >>> found = cost_of_fixed(
    ...     choice=FixedReceiver(circuit="A", receiver="S"),
    ...     circuits=[lamp],
    ...     enclosures=[EnclosureSpec(reference="E")],
    ...     receivers=options,
    ... )
    >>> found.cost_minor, found.is_proven
    (1500, True)
    """
    places = _places(choice, circuits)
    others = [one for one in fixed if one != choice]

    def planned(chosen: Sequence[FixedChoice]) -> ControlPlan:
        return plan_house(
            circuits=[circuit for circuit in circuits if circuit.enclosure in places],
            enclosures=[spec for spec in enclosures if spec.reference in places],
            receivers=receivers,
            drivers=drivers,
            fixed=chosen,
            held=[unit for unit in held if unit.enclosure in places],
            headroom=headroom,
            headroom_method=headroom_method,
            mains_v=mains_v,
            limits=limits,
        )

    under, free = planned([*others, choice]), planned(others)
    return FixedCost(
        cost_minor=under.cost_minor - free.cost_minor,
        least_minor=under.bound_minor - free.cost_minor,
        most_minor=under.cost_minor - free.bound_minor,
        holds=_holds(choice, under, free),
    )


def _places(choice: FixedChoice, circuits: Sequence[ControlCircuit]) -> set[str]:
    """Return the enclosures that a choice concerns."""
    if isinstance(choice, FixedUnits):
        return {choice.enclosure}
    codes = choice.circuits if isinstance(choice, FixedTogether) else (choice.circuit,)
    return {circuit.enclosure for circuit in circuits if circuit.code in codes}


def _holds(choice: FixedChoice, under: ControlPlan, free: ControlPlan) -> bool:
    codes = ("fixed_cannot_hold", "fixed_unknown", "circuit_unserved")
    named = [fixed_reason(code=code, choice=choice) for code in codes]
    same = {one.code for one in under.unserved} == {one.code for one in free.unserved}
    return same and not any(reason in under.broken for reason in named)
