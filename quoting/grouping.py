"""Sums of groups of lines, such as rooms, without and with tax."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.money import EXACT, apportion, rounded, total
from quoting.pricing import Priced

type _Owner = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupTotal:
    """A group's sum without and with tax."""

    label: str
    net: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Grouped:
    """Groups, allowances and charges with their tax in.

    The sum of ``groups`` less ``allowances`` plus ``charges`` is the document's gross total.
    """

    groups: tuple[GroupTotal, ...]
    allowances: tuple[Decimal, ...]
    charges: tuple[Decimal, ...]


def group_totals(*, priced: Priced, labels: Sequence[str]) -> Grouped:
    """Return the sums of groups of lines, such as rooms, without and with tax.

    ``labels`` names the group of each line, in the lines' order. The tax of each rate is shared out
    over groups, allowances and charges by largest remainder, so that the grosses add up to the
    gross total. Raises ValueError where there is not one label for each line.
    """
    if len(labels) != len(priced.lines):
        raise ValueError(f"{len(priced.lines)} lines need as many labels, got {len(labels)}")
    nets = dict.fromkeys(labels, Decimal(0))
    for label, line in zip(labels, priced.lines, strict=True):
        nets[label] = EXACT.add(nets[label], line.net)
    tax_of = _shared_tax(priced, labels)
    currency = priced.currency
    return Grouped(
        groups=tuple(
            GroupTotal(
                label=label,
                net=rounded(net, currency),
                gross=total([net, tax_of.get(("group", label), Decimal(0))], currency),
            )
            for label, net in nets.items()
        ),
        allowances=tuple(
            total(
                [each.amount, tax_of.get(("allowance", str(index)), Decimal(0)).copy_negate()],
                currency,
            )
            for index, each in enumerate(priced.allowances)
        ),
        charges=tuple(
            total([each.amount, tax_of.get(("charge", str(index)), Decimal(0))], currency)
            for index, each in enumerate(priced.charges)
        ),
    )


def _shared_tax(priced: Priced, labels: Sequence[str]) -> dict[_Owner, Decimal]:
    """Return each owner's tax, with its sign in the document (below 0 for an allowance)."""
    result: dict[_Owner, Decimal] = {}
    for rate_tax in priced.taxes:
        exact_tax: dict[_Owner, Decimal] = {}
        for owner, net, rate, tax in _taxed(priced, labels):
            if rate == rate_tax.rate:
                part = EXACT.multiply(net, rate or Decimal(0)) if tax is None else tax
                exact_tax[owner] = EXACT.add(exact_tax.get(owner, Decimal(0)), part)
        parts = apportion(list(exact_tax.values()), rate_tax.tax, priced.currency)
        for owner, part in zip(exact_tax, parts, strict=True):
            result[owner] = EXACT.add(result.get(owner, Decimal(0)), part)
    return result


def _taxed(
    priced: Priced, labels: Sequence[str]
) -> Iterator[tuple[_Owner, Decimal, Decimal | None, Decimal | None]]:
    for label, line in zip(labels, priced.lines, strict=True):
        yield ("group", label), line.net, line.tax_rate, line.tax
    for index, each in enumerate(priced.allowances):
        tax = None if each.tax is None else each.tax.copy_negate()
        yield ("allowance", str(index)), each.amount.copy_negate(), each.tax_rate, tax
    for index, each in enumerate(priced.charges):
        yield ("charge", str(index)), each.amount, each.tax_rate, each.tax
