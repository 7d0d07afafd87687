"""The arithmetic of a quote: nets, allowances, charges, tax, stages.

Order of working (EN 16931-1, business rules BR-CO-10 to BR-CO-17):

1. line net = quantity × unit price × (1 − discount), rounded half-up once, per line;
2. net total = sum of the line nets; taxable total = net total − allowances + charges;
3. tax by rate, rounded once per rate on the sum (``document``) or per line (``line``);
4. gross total = taxable total + tax.

So whatever is printed adds up to what is printed under it, without a remainder. A negative quantity
is a credit for something taken back; that it is meant as one is for the caller to know.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from base.once import once
from quoting.money import (
    EXACT,
    added,
    amount,
    exact,
    minor_unit,
    rounded,
    share,
    share_out,
    total,
)

TAX_ROUNDINGS = ("document", "line")


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """What a line is worked out from.

    ``quantity`` in the line's unit, below 0 for a credit; ``unit_price`` without tax, 0 or above,
    up to 12 decimals; ``tax_rate`` and ``discount`` are shares from 0 to 1 (0.2 is 20 %), the rate
    None where the line is exempt. Ints are taken as whole numbers. Raises ValueError otherwise.
    """

    key: str
    quantity: Decimal
    unit_price: Decimal
    tax_rate: Decimal | None
    discount: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        object.__setattr__(self, "quantity", exact("quantity", self.quantity))
        object.__setattr__(self, "unit_price", exact("unit_price", self.unit_price))
        object.__setattr__(self, "discount", share("discount", self.discount))
        object.__setattr__(self, "tax_rate", _rate(self.tax_rate))
        if self.unit_price < 0:
            # EN 16931-1 BR-27: a credit is a negative quantity, never a negative price.
            raise ValueError(f"unit_price must be 0 or above, got {self.unit_price}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """An allowance or a charge on the whole document, 0 or above, taxed at one rate.

    It is rounded half-up to the minor unit when priced. Raises ValueError for a bad value.
    """

    amount: Decimal
    tax_rate: Decimal | None

    def __post_init__(self) -> None:
        object.__setattr__(self, "amount", exact("amount", self.amount))
        object.__setattr__(self, "tax_rate", _rate(self.tax_rate))
        if self.amount < 0:
            raise ValueError(f"amount must be 0 or above, got {self.amount}")


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedLine:
    """A line's result. ``undiscounted − discount_amount = net``; ``tax`` only in line mode."""

    key: str
    undiscounted: Decimal
    discount_amount: Decimal
    net: Decimal
    tax_rate: Decimal | None
    tax: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedAdjustment:
    """An allowance's or charge's result; ``tax`` only in line mode."""

    amount: Decimal
    tax_rate: Decimal | None
    tax: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RateTax:
    """The tax of one rate; ``rate`` None gathers what is exempt, apart from what is taxed at 0."""

    rate: Decimal | None
    taxable: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A priced document; every amount in whole minor units of ``currency``.

    ``taxes`` runs from the highest rate to the lowest, what is exempt last.
    """

    currency: str
    tax_rounding: str
    lines: tuple[PricedLine, ...]
    allowances: tuple[PricedAdjustment, ...]
    charges: tuple[PricedAdjustment, ...]
    net_total: Decimal
    allowance_total: Decimal
    charge_total: Decimal
    taxable_total: Decimal
    taxes: tuple[RateTax, ...]
    tax_total: Decimal
    gross_total: Decimal


def price(
    *,
    lines: Iterable[PriceLine],
    allowances: Iterable[Adjustment] = (),
    charges: Iterable[Adjustment] = (),
    currency: str,
    tax_rounding: str = "document",
) -> Priced:
    """Return the document worked out from its lines.

    ``currency`` is an ISO 4217 code; ``tax_rounding`` is ``document`` or ``line``. Raises ValueError
    for an unknown currency or rounding. Half a minor unit goes away from zero, so that a credit is
    the exact mirror of its line.

    Source: EN 16931-1, rules BR-CO-10 to BR-CO-17.

    >>> line = PriceLine(
    ...     key="a", quantity=Decimal(3), unit_price=Decimal("1.02"), tax_rate=Decimal("0.2")
    ... )
    >>> price(lines=[line], currency="GBP").gross_total
    Decimal('3.67')
    """
    if tax_rounding not in TAX_ROUNDINGS:
        raise ValueError(f"tax_rounding must be one of {TAX_ROUNDINGS}, got {tax_rounding!r}")
    by_line = tax_rounding == "line"
    priced = tuple(_priced_line(line, currency, by_line) for line in lines)
    taken_off = tuple(_priced_adjustment(each, currency, by_line) for each in allowances)
    put_on = tuple(_priced_adjustment(each, currency, by_line) for each in charges)
    net = total([line.net for line in priced], currency)
    allowance = total([each.amount for each in taken_off], currency)
    charge = total([each.amount for each in put_on], currency)
    taxable = total([net, allowance.copy_negate(), charge], currency)
    taxes = _taxes(priced, taken_off, put_on, currency)
    tax = total([each.tax for each in taxes], currency)
    return Priced(
        currency=currency,
        tax_rounding=tax_rounding,
        lines=priced,
        allowances=taken_off,
        charges=put_on,
        net_total=net,
        allowance_total=allowance,
        charge_total=charge,
        taxable_total=taxable,
        taxes=taxes,
        tax_total=tax,
        gross_total=total([taxable, tax], currency),
    )


def tax_in_gross(*, gross: Decimal, tax_rate: Decimal | None, currency: str) -> Decimal:
    """Return the tax contained in a gross amount: gross × rate / (1 + rate), rounded half-up.

    ``tax_rate`` is a share from 0 to 1, None for exempt. Raises ValueError for a bad value.

    Source: arithmetic of the rate: one sixth at 20 %, one twenty-first at 5 %.

    >>> tax_in_gross(gross=Decimal("99.99"), tax_rate=Decimal("0.2"), currency="GBP")
    Decimal('16.67')
    """
    whole = exact("gross", gross)
    rate = _rate(tax_rate) or Decimal(0)
    return rounded(EXACT.divide(EXACT.multiply(whole, rate), EXACT.add(1, rate)), currency)


def stages(*, total: Decimal, shares: Iterable[Decimal], currency: str) -> tuple[Decimal, ...]:
    """Return the payment stages of a total, one for each share; they add up to it exactly.

    ``total`` 0 or above in whole minor units; ``shares`` from 0 to 1 that add up to exactly 1.
    Minor units that no share claims whole go to the largest remainders, the earlier stage first.
    Raises ValueError otherwise.

    >>> stages(
    ...     total=Decimal("100.01"), shares=[Decimal("0.5"), Decimal("0.5")], currency="GBP"
    ... )
    (Decimal('50.01'), Decimal('50.00'))
    """
    whole = amount("total", total, currency)
    if whole < 0:
        raise ValueError(f"total must be 0 or above, got {whole}")
    parts = [share("share", each) for each in shares]
    if added(parts) != 1:
        raise ValueError(f"shares must add up to 1, got {added(parts)}")
    return share_out(whole, parts, currency)


def overall_discount(
    *,
    lines: Iterable[PriceLine],
    currency: str,
    share_off: Decimal | None = None,
    amount_off: Decimal | None = None,
) -> tuple[Adjustment, ...]:
    """Return the allowances that an overall discount makes, one for each tax rate it touches.

    Give either ``share_off`` (0 to 1) or ``amount_off`` (whole minor units, at most what can be
    discounted). It is split by the nets of the rates, each part rounded down, and the remainder
    goes to the largest rate (on to the next where it would take more than all of it). A rate whose
    lines come to nothing or to a credit takes no part. Raises ValueError otherwise.
    """
    bases = {
        each.rate: each.taxable
        for each in price(lines=lines, currency=currency).taxes
        if each.taxable > 0
    }
    base = total(bases.values(), currency)
    whole = _discount_amount(base, share_off, amount_off, currency)
    parts = {
        rate: EXACT.divide(EXACT.multiply(whole, net), base).quantize(
            minor_unit(currency), rounding=ROUND_DOWN, context=EXACT
        )
        for rate, net in bases.items()
    }
    left = EXACT.subtract(whole, added(parts.values()))
    for rate in sorted(bases, key=lambda each: bases[each], reverse=True):
        taken = min(left, EXACT.subtract(bases[rate], parts[rate]))
        parts[rate] = EXACT.add(parts[rate], taken)
        left = EXACT.subtract(left, taken)
    return tuple(Adjustment(amount=part, tax_rate=rate) for rate, part in parts.items() if part > 0)


def _rate(value: Decimal | None) -> Decimal | None:
    return None if value is None else share("tax_rate", value)


@once(20_000)
def _priced_line(line: PriceLine, currency: str, by_line: bool) -> PricedLine:
    full = EXACT.multiply(line.quantity, line.unit_price)
    undiscounted = rounded(full, currency)
    net = rounded(EXACT.multiply(full, EXACT.subtract(1, line.discount)), currency)
    return PricedLine(
        key=line.key,
        undiscounted=undiscounted,
        discount_amount=total([undiscounted, net.copy_negate()], currency),
        net=net,
        tax_rate=line.tax_rate,
        tax=_tax(net, line.tax_rate, currency) if by_line else None,
    )


def _priced_adjustment(each: Adjustment, currency: str, by_line: bool) -> PricedAdjustment:
    money = rounded(each.amount, currency)
    return PricedAdjustment(
        amount=money,
        tax_rate=each.tax_rate,
        tax=_tax(money, each.tax_rate, currency) if by_line else None,
    )


def _tax(net: Decimal, rate: Decimal | None, currency: str) -> Decimal:
    return rounded(EXACT.multiply(net, rate or Decimal(0)), currency)


def _taxes(
    lines: Sequence[PricedLine],
    allowances: Sequence[PricedAdjustment],
    charges: Sequence[PricedAdjustment],
    currency: str,
) -> tuple[RateTax, ...]:
    taxable: dict[Decimal | None, Decimal] = {}
    by_line: dict[Decimal | None, Decimal] = {}
    signed = [
        *((line.net, line.tax_rate, line.tax, 1) for line in lines),
        *((each.amount, each.tax_rate, each.tax, -1) for each in allowances),
        *((each.amount, each.tax_rate, each.tax, 1) for each in charges),
    ]
    is_by_line = False
    for net, rate, tax, sign in signed:
        taxable[rate] = EXACT.fma(net, sign, taxable.get(rate, Decimal(0)))
        if tax is not None:
            is_by_line = True
            by_line[rate] = EXACT.fma(tax, sign, by_line.get(rate, Decimal(0)))
    return tuple(
        RateTax(
            rate=rate,
            taxable=rounded(net, currency),
            tax=rounded(by_line[rate], currency) if is_by_line else _tax(net, rate, currency),
        )
        for rate, net in sorted(
            taxable.items(),
            key=lambda pair: (pair[0] is None, (pair[0] or Decimal(0)).copy_negate()),
        )
    )


def _discount_amount(
    base: Decimal, share_off: Decimal | None, amount_off: Decimal | None, currency: str
) -> Decimal:
    if (share_off is None) == (amount_off is None):
        raise ValueError("give either share_off or amount_off")
    if share_off is not None:
        return rounded(EXACT.multiply(base, share("share_off", share_off)), currency)
    whole = amount("amount_off", amount_off if amount_off is not None else 0, currency)
    if not 0 <= whole <= base:
        raise ValueError(f"amount_off must be from 0 to {base}, got {whole}")
    return whole
