"""What each fixed choice costs over the plan without it, in whole minor units. No words, no money signs."""

from collections.abc import Iterator
from dataclasses import replace

from consult import planning
from consult.derived import kept
from consult.design import FixedPart
from consult.pieces import House
from consult.plan_rows import fixed_row
from consult.planning import ControlProblem
from engineering.control import FixedChoice, FixedTogether
from engineering.control_fixed_cost import FixedCost, cost_of_fixed

OF_KEYPADS = frozenset({"keypad", "look"})


def fixed_costs(house: House) -> Iterator[tuple[str, str, FixedCost]]:
    """Each fixed choice: what it is about, what was chosen, and what it costs.

    Circuits that are kept together over several pairs are one choice, as they are to the planner.
    """
    problem, _gaps = planning.control_problem(house)
    for part in house.design.fixed:
        if part.kind == "together":
            continue
        row = fixed_row(house, part)
        if part.kind in OF_KEYPADS:
            yield row.what, row.to, _of_keypads(house, part)
        else:
            alone = replace(house, design=replace(house.design, fixed=(part,)))
            (choice,) = planning.fixed_choices(alone, problem.circuits)
            yield row.what, row.to, _of_control(house, problem, choice)
    for choice in problem.fixed:
        if isinstance(choice, FixedTogether):
            yield ", ".join(choice.circuits), "", _of_control(house, problem, choice)


def _of_control(house: House, problem: ControlProblem, choice: FixedChoice) -> FixedCost:
    return kept(
        "fixed-cost",
        (problem, house.held, choice),
        lambda: cost_of_fixed(
            choice=choice,
            circuits=problem.circuits,
            enclosures=problem.enclosures,
            receivers=problem.receivers,
            drivers=problem.drivers,
            fixed=problem.fixed,
            held=house.held,
            headroom=problem.headroom,
            mains_v=problem.mains_v,
        ),
    )


def _of_keypads(house: House, part: FixedPart) -> FixedCost:
    """Keypads are chosen exactly, so what one costs is known for sure where both ways serve alike."""
    others = tuple(each for each in house.design.fixed if each.id != part.id)
    under = planning.chosen_keypads(planning.keypad_problem(house))
    without = replace(house, design=replace(house.design, fixed=others))
    free = planning.chosen_keypads(planning.keypad_problem(without))
    more = under.cost_minor - free.cost_minor
    return FixedCost(
        cost_minor=more,
        least_minor=more,
        most_minor=more,
        holds=under.unserved == free.unserved,
    )
