"""From cost to sell price, and whether a discount or a margin may pass.

Everything here is before tax. Margin is a share of the sell price, mark-up a share of the cost: at
a cost of 60 and a sell price of 100 the margin is 0.4 and the mark-up 0.667. Verdicts are codes with
values; sentences are made outside, since only staff may see them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from types import MappingProxyType

from quoting.money import EXACT, added, exact, rounded, share

ROUNDINGS = ("nearest", "up")

COST_UNKNOWN = "cost_unknown"
DISCOUNT_ABOVE_LIMIT = "discount_above_limit"
MARGIN_BELOW_MINIMUM = "margin_below_minimum"
SOLD_BELOW_COST = "sold_below_cost"
WHOLE_DISCOUNT_ABOVE_LIMIT = "whole_discount_above_limit"
WHOLE_MARGIN_BELOW_MINIMUM = "whole_margin_below_minimum"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taste:
    """The endings a business likes its prices to have: multiples of ``step`` plus ``ending``.

    ``step`` above 0, ``ending`` from 0 to below the step: 100 and 0 give …00, 1 and 0.95 give ….95,
    10 and 9 give …9. ``rounding``: to the nearest such price (half up), or up to the next. Raises
    ValueError otherwise.
    """

    step: Decimal
    ending: Decimal = Decimal(0)
    rounding: str = "nearest"

    def __post_init__(self) -> None:
        object.__setattr__(self, "step", exact("step", self.step))
        object.__setattr__(self, "ending", exact("ending", self.ending))
        if self.step <= 0:
            raise ValueError(f"step must be above 0, got {self.step}")
        if not 0 <= self.ending < self.step:
            raise ValueError(f"ending must be from 0 to below {self.step}, got {self.ending}")
        if self.rounding not in ROUNDINGS:
            raise ValueError(f"rounding must be one of {ROUNDINGS}, got {self.rounding!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """A line as it would be sold: ``undiscounted`` and ``net`` amounts, ``cost`` of all of it.

    ``cost`` is None where it is not known. Raises ValueError for a value that is no number.
    """

    key: str
    undiscounted: Decimal
    net: Decimal
    cost: Decimal | None

    def __post_init__(self) -> None:
        object.__setattr__(self, "undiscounted", exact("undiscounted", self.undiscounted))
        object.__setattr__(self, "net", exact("net", self.net))
        if self.cost is not None:
            object.__setattr__(self, "cost", exact("cost", self.cost))


@dataclass(frozen=True, slots=True, kw_only=True)
class SellingRules:
    """What a business allows.

    ``discount_limits``: the largest discount by role, a share from 0 to 1; a role that is not
    named may give none. ``minimum_margin``: share from 0 to 1, or None for no guard.
    """

    discount_limits: Mapping[str, Decimal] = field(default_factory=dict)
    minimum_margin: Decimal | None = None

    def __post_init__(self) -> None:
        limits = {
            role: share(f"limit of {role}", each) for role, each in self.discount_limits.items()
        }
        object.__setattr__(self, "discount_limits", MappingProxyType(limits))
        if self.minimum_margin is not None:
            object.__setattr__(self, "minimum_margin", share("minimum_margin", self.minimum_margin))


@dataclass(frozen=True, slots=True, kw_only=True)
class SellingFinding:
    """Why a quote may not go out as it is.

    ``key`` is the line's, empty for the whole; ``value`` and ``limit`` are shares (of a
    ``sold_below_cost`` they are the net and the cost); ``needs`` is ``approval`` or ``notice``.
    """

    code: str
    key: str = ""
    value: Decimal | None = None
    limit: Decimal | None = None
    needs: str = "approval"


def sell_by_margin(*, cost: Decimal, margin: Decimal, currency: str) -> Decimal:
    """Return cost / (1 − margin), in whole minor units.

    ``cost`` 0 or above, ``margin`` from 0 to below 1. Raises ValueError otherwise.

    >>> sell_by_margin(cost=Decimal("60"), margin=Decimal("0.4"), currency="GBP")
    Decimal('100.00')
    """
    part = share("margin", margin)
    if part == 1:
        raise ValueError("margin must be below 1: no price leaves a margin of all of it")
    return rounded(EXACT.divide(_cost(cost), EXACT.subtract(1, part)), currency)


def sell_by_markup(*, cost: Decimal, markup: Decimal, currency: str) -> Decimal:
    """Return cost × (1 + mark-up), in whole minor units.

    ``cost`` and ``markup`` 0 or above; a mark-up of 1.5 adds 150 %. Raises ValueError otherwise.

    >>> sell_by_markup(cost=Decimal("60"), markup=Decimal("0.5"), currency="GBP")
    Decimal('90.00')
    """
    part = exact("markup", markup)
    if part < 0:
        raise ValueError(f"markup must be 0 or above, got {markup}")
    return rounded(EXACT.multiply(_cost(cost), EXACT.add(1, part)), currency)


def margin(*, cost: Decimal, sell: Decimal) -> Decimal | None:
    """Return (sell − cost) / sell as a share with four decimals, None where ``sell`` is 0.

    It is below 0 where the sale makes a loss.

    >>> margin(cost=Decimal("60"), sell=Decimal("100"))
    Decimal('0.4000')
    """
    price = exact("sell", sell)
    return _ratio(EXACT.subtract(price, exact("cost", cost)), price)


def markup(*, cost: Decimal, sell: Decimal) -> Decimal | None:
    """Return (sell − cost) / cost as a share with four decimals, None where ``cost`` is 0."""
    bought = exact("cost", cost)
    return _ratio(EXACT.subtract(exact("sell", sell), bought), bought)


def to_taste(*, price: Decimal, taste: Taste, currency: str) -> Decimal:
    """Return the price with the ending that the business likes.

    A price of 0 stays 0, and a price above 0 never becomes 0. Raises ValueError for a price below
    0, and where the taste is finer than the currency's minor unit.

    >>> taste = Taste(step=Decimal(1), ending=Decimal("0.95"))
    >>> to_taste(price=Decimal("17.20"), taste=taste, currency="GBP")
    Decimal('16.95')
    """
    given = exact("price", price)
    if given < 0:
        raise ValueError(f"price must be 0 or above, got {price}")
    for name, value in (("step", taste.step), ("ending", taste.ending)):
        if rounded(value, currency) != value:
            raise ValueError(f"{name} {value} is finer than the minor unit of {currency}")
    if given == 0:
        return rounded(given, currency)
    steps = EXACT.divide(EXACT.subtract(given, taste.ending), taste.step).to_integral_value(
        rounding=ROUND_CEILING if taste.rounding == "up" else ROUND_HALF_UP, context=EXACT
    )
    result = EXACT.fma(max(steps, Decimal(0)), taste.step, taste.ending)
    # Below half a step the nearest such price may be 0: nothing is given away by rounding.
    return rounded(result if result > 0 else taste.step, currency)


def discount_given(*, undiscounted: Decimal, net: Decimal) -> Decimal | None:
    """Return the discount that a net amounts to, a share with four decimals, None of nothing."""
    full = exact("undiscounted", undiscounted)
    return _ratio(EXACT.subtract(full, exact("net", net)), full)


def check_selling(
    *,
    lines: Iterable[Sold],
    whole_allowance: Decimal = Decimal(0),
    passed_on: Decimal = Decimal(0),
    role: str,
    rules: SellingRules,
) -> tuple[SellingFinding, ...]:
    """Return what stands in the way of sending these lines out, for a person of this role.

    ``whole_allowance`` is taken off the sum of the lines and counts in the discount and the margin
    of the whole; ``passed_on``, such as a commission, counts in its margin alone. Credits (below 0) are left out of the checks line by line. Margins are judged on
    the exact amounts, not on rounded shares.
    """
    sold = tuple(lines)
    allowance = exact("whole_allowance", whole_allowance)
    findings = [finding for line in sold for finding in _line_findings(line, role, rules)]
    net = EXACT.subtract(added(line.net for line in sold), allowance)
    whole = Sold(
        key="",
        undiscounted=added(line.undiscounted for line in sold),
        net=net,
        cost=added(line.cost for line in sold if line.cost is not None),
    )
    findings += _discount_findings(whole, role, rules, WHOLE_DISCOUNT_ABOVE_LIMIT)
    if all(line.cost is not None for line in sold):
        left = replace(whole, net=EXACT.subtract(net, exact("passed_on", passed_on)))
        findings += _margin_findings(left, rules, WHOLE_MARGIN_BELOW_MINIMUM)
    return tuple(findings)


def _line_findings(line: Sold, role: str, rules: SellingRules) -> list[SellingFinding]:
    if line.undiscounted <= 0:
        return []
    findings = _discount_findings(line, role, rules, DISCOUNT_ABOVE_LIMIT)
    if line.cost is None:
        return [*findings, SellingFinding(code=COST_UNKNOWN, key=line.key, needs="notice")]
    if line.net < line.cost:
        loss = SellingFinding(code=SOLD_BELOW_COST, key=line.key, value=line.net, limit=line.cost)
        return [*findings, loss]
    return findings + _margin_findings(line, rules, MARGIN_BELOW_MINIMUM)


def _discount_findings(
    line: Sold, role: str, rules: SellingRules, code: str
) -> list[SellingFinding]:
    limit = rules.discount_limits.get(role, Decimal(0))
    # Half a minor unit of rounding in the net must not look like a discount above the limit: the
    # limit is on the discount as a person sees it, with four decimals.
    given = discount_given(undiscounted=line.undiscounted, net=line.net)
    if given is None or given <= limit:
        return []
    return [SellingFinding(code=code, key=line.key, value=given, limit=limit)]


def _margin_findings(line: Sold, rules: SellingRules, code: str) -> list[SellingFinding]:
    least = rules.minimum_margin
    if least is None or line.cost is None:
        return []
    if EXACT.subtract(line.net, line.cost) >= EXACT.multiply(least, line.net):
        return []
    value = margin(cost=line.cost, sell=line.net)
    return [SellingFinding(code=code, key=line.key, value=value, limit=least)]


def _cost(cost: Decimal) -> Decimal:
    value = exact("cost", cost)
    if value < 0:
        raise ValueError(f"cost must be 0 or above, got {cost}")
    return value


def _ratio(part: Decimal, whole: Decimal) -> Decimal | None:
    if whole == 0:
        return None
    ratio = EXACT.divide(part, whole).quantize(Decimal("0.0001"), context=EXACT)
    return ratio if ratio else ratio.copy_abs()
