"""Whether a draft may go out as it is: discounts against limits, margins against the least one.

What goes beyond is let pass by a manager with a reason, for the draft exactly as it stood: whatever
moves afterwards asks for another approval.
"""

import hashlib
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.utils.translation import gettext as _

from base.models import Person
from quoting.draft import Draft, DraftLine
from quoting.frozen import canonical
from quoting.models import QuoteApproval
from quoting.money import EXACT, rounded
from quoting.selling import SellingFinding, SellingRules, Sold, check_selling


def findings_of(draft: Draft, *, role: str) -> tuple[SellingFinding, ...]:
    """What stands in the way of issuing this draft, for a person of this role.

    Lines of options that are not taken are judged one by one; the whole is what is offered.
    """
    rules = draft.terms.rules
    applied = SellingRules(
        discount_limits={role: rules.limit_of(role)}, minimum_margin=rules.minimum_margin
    )
    optional = check_selling(lines=list(_sold(draft, draft.optional)), role=role, rules=applied)
    return (
        *check_selling(
            lines=list(_sold(draft, draft.lines)),
            whole_allowance=draft.discount_total + draft.trade_discount,
            passed_on=draft.commission,
            role=role,
            rules=applied,
        ),
        *(each for each in optional if each.key),
    )


def needing_approval(draft: Draft, *, role: str) -> tuple[SellingFinding, ...]:
    return tuple(each for each in findings_of(draft, role=role) if each.needs == "approval")


def _sold(draft: Draft, lines: Iterable[DraftLine]) -> Iterator[Sold]:
    currency = draft.business.currency
    for line in lines:
        full = EXACT.multiply(line.quantity, _full_price(draft, line))
        cost = None if line.cost is None else rounded(line.cost, currency)
        yield Sold(key=line.key, undiscounted=rounded(full, currency), net=line.net, cost=cost)


def _full_price(draft: Draft, line: DraftLine) -> Decimal:
    """The price before any discount. A price overruled downwards is a discount by another name."""
    if line.bill is None:
        return line.unit_price
    return max(line.unit_price, draft.terms.unit_price(line.bill) or Decimal(0))


def digest_of(draft: Draft) -> str:
    """What an approval is bound to: every quantity, price, discount and cost, options included,
    and what is passed on to others.
    """
    content = {
        "lines": [_content(line) for line in draft.lines],
        "allowance": draft.discount_total,
        "minimum_margin": draft.terms.rules.minimum_margin,
    }
    for name, passed_on in (("commission", draft.commission), ("trade", draft.trade_discount)):
        if passed_on:
            content[name] = passed_on
    if draft.optional:
        content["optional"] = [_content(line) for line in draft.optional]
    return hashlib.sha256(canonical(content=content)).hexdigest()


def _content(line: DraftLine) -> dict[str, object]:
    return {
        "key": line.key,
        "quantity": line.quantity,
        "unit_price": line.unit_price,
        "discount": line.discount,
        "net": line.net,
        "cost": line.unit_cost,
    }


def approval_of(draft: Draft) -> QuoteApproval | None:
    """The approval of the draft as it stands now; None where it was never given or is outdated."""
    rows = QuoteApproval.objects.filter(quote=draft.quote, findings_sha256=digest_of(draft))
    return rows.select_related("by").first()


def may_approve(person: Person) -> bool:
    return person.is_manager


def names_of(draft: Draft) -> dict[str, str]:
    """What the lines are called, by key; those of an option with its name."""
    names = {line.key: f"{line.description} ({line.option})" for line in draft.optional}
    return names | {line.key: line.description for line in draft.lines}


def sentence(finding: SellingFinding, names: dict[str, str]) -> str:
    """A finding in words, for staff alone."""
    shares = {
        "about": names.get(finding.key, finding.key),
        "value": _percent(finding.value),
        "limit": _percent(finding.limit),
    }
    texts = {
        "discount_above_limit": _(
            "%(about)s: the discount of %(value)s is above your limit of %(limit)s."
        ),
        "whole_discount_above_limit": _(
            "The discounts come to %(value)s in all; your limit is %(limit)s."
        ),
        "margin_below_minimum": _(
            "%(about)s: a margin of %(value)s is below the least one, %(limit)s."
        ),
        "whole_margin_below_minimum": _(
            "The whole has a margin of %(value)s; the least one is %(limit)s."
        ),
        "sold_below_cost": _("%(about)s is sold below its cost."),
        "cost_unknown": _("%(about)s: its cost is not known, so its margin is not judged."),
    }
    return texts[finding.code] % shares


def _percent(value: Decimal | None) -> str:
    return "–" if value is None else f"{(value * 100).normalize():f} %"
