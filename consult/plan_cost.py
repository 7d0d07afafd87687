"""What the plan costs us, in words with money: for staff, and only where somebody opened it."""

from dataclasses import dataclass
from decimal import Decimal

from babel.numbers import format_currency
from django.utils.translation import gettext as _

from base.models import Business
from consult.derived import planned, planned_freely
from consult.pieces import House
from consult.plan_fixed import fixed_costs
from consult.planning import DIGITS, PlannedHouse
from engineering.control_fixed_cost import FixedCost
from engineering.control_plan import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    label: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanCost:
    """Rows by place, the sum, and a sentence on how good it is."""

    rows: tuple[CostRow, ...]
    total: str
    sentence: str


def money(amount_minor: int, business: Business) -> str:
    """An amount in whole minor units as people here read it."""
    digits = DIGITS.get(business.currency, 2)
    value = Decimal(amount_minor).scaleb(-digits)
    return format_currency(value, business.currency, locale=business.locale)


def plan_cost(house: House, plan: PlannedHouse, business: Business) -> PlanCost:
    """What receivers, drivers and their labour cost, by place, and what is proven of it."""
    rows = []
    for enclosure in plan.control.enclosures:
        name = house.design.enclosure_of[enclosure.reference].name
        for unit in enclosure.units:
            label = f"{name}: U{unit.number} {house.by_reference[unit.reference].name}"
            rows.append(CostRow(label=label, amount=money(_unit_minor(unit), business)))
    keypads = plan.keypads.cost_minor
    rows.append(CostRow(label=_("Keypads"), amount=money(keypads, business)))
    control = plan.control
    bound = money(control.bound_minor, business)
    sentence = (
        _("No set of receivers and drivers costs less: proven.")
        if control.is_proven
        else _("Nothing costs less than %(bound)s; this is the best that was found.")
        % {"bound": bound}
    )
    return PlanCost(
        rows=tuple(rows), total=money(control.cost_minor + keypads, business), sentence=sentence
    )


def _unit_minor(unit: Unit) -> int:
    after = sum(
        supply.cost_minor
        for output in unit.outputs
        for part in output.parts
        for supply in part.supplies
    )
    return unit.cost_minor + after


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedCostRow:
    """One choice that was fixed, to what, and what it costs over the plan without it."""

    what: str
    to: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeCost:
    """What fixed choices cost: each by itself, and all of them against the free plan."""

    rows: tuple[FixedCostRow, ...]
    sentence: str


def free_cost(house: House, business: Business) -> FreeCost:
    """What each fixed choice costs over the plan without it, and all of them together.

    Two plans are worked out for each fixed choice, so this is done only where somebody asks.
    """
    whole, free = planned(house), planned_freely(house)
    rows = [
        FixedCostRow(what=what, to=to, amount=_difference(cost, business))
        for what, to, cost in fixed_costs(house)
    ]
    more = _cost(whole) - _cost(free)
    sentence = _(
        "With what is fixed the plan costs %(fixed)s, freely chosen %(free)s: %(more)s more."
    ) % {
        "fixed": money(_cost(whole), business),
        "free": money(_cost(free), business),
        "more": money(more, business),
    }
    if not (whole.control.is_proven and free.control.is_proven):
        sentence += " " + _("One of the two is the best that was found, not proven the least.")
    return FreeCost(rows=tuple(rows), sentence=sentence)


def _difference(cost: FixedCost, business: Business) -> str:
    if not cost.holds:
        return _("it cannot hold")
    if not cost.cost_minor and cost.is_proven:
        return _("nothing")
    if cost.is_proven:
        return money(cost.cost_minor, business)
    return _("%(least)s to %(most)s, not proven") % {
        "least": money(max(0, cost.least_minor), business),
        "most": money(cost.most_minor, business),
    }


def _cost(plan: PlannedHouse) -> int:
    return plan.control.cost_minor + plan.keypads.cost_minor
