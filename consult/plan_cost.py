"""What the plan costs us, in words with money: for staff, and only where somebody opened it."""

from dataclasses import dataclass, replace
from decimal import Decimal

from babel.numbers import format_currency
from django.utils.translation import gettext as _

from base.models import Business
from consult.derived import planned, planned_freely
from consult.pieces import House
from consult.plan_rows import FixedRow, fixed_row
from consult.planning import DIGITS, PlannedHouse
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
class FreeCost:
    """What fixed choices cost: each by itself, and all of them against the free plan."""

    rows: tuple[tuple[FixedRow, str], ...]
    sentence: str


def free_cost(house: House, business: Business) -> FreeCost:
    """What each fixed choice costs over the plan without it, and all of them together.

    One plan is worked out for each fixed choice, so this is done only where somebody asks.
    """
    whole = _cost(planned(house))
    free = _cost(planned_freely(house))
    rows = []
    for part in house.design.fixed:
        others = tuple(each for each in house.design.fixed if each.id != part.id)
        without = replace(house, design=replace(house.design, fixed=others))
        more = whole - _cost(planned(without))
        rows.append((fixed_row(house, part), money(more, business)))
    sentence = _(
        "With what is fixed the plan costs %(fixed)s, freely chosen %(free)s: %(more)s more."
    ) % {
        "fixed": money(whole, business),
        "free": money(free, business),
        "more": money(whole - free, business),
    }
    return FreeCost(rows=tuple(rows), sentence=sentence)


def _cost(plan: PlannedHouse) -> int:
    return plan.control.cost_minor + plan.keypads.cost_minor
