"""Whether an offer adds up: everything printed is worked out again from its lines.

Run before an issue is frozen, and by whoever reads one. Codes and values only.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from quoting.grouping import group_totals
from quoting.money import EXACT, added, exact, total
from quoting.offer import (
    DEAL_PLACES,
    FORMAT,
    PARTIES_AT_WORK,
    PARTY_ROLES,
    TAX_TREATMENTS,
    DocumentAdjustment,
    Line,
    Offer,
    Room,
    Section,
)
from quoting.options import check_groups
from quoting.pricing import Adjustment, Priced, PriceLine, price, stages

BAD_VALUE = "bad_value"
CREDIT_SIGN = "credit_sign"
DATES = "dates"
FORMAT_UNKNOWN = "format_unknown"
KEY_TWICE = "key_twice"
UNKNOWN_WORD = "unknown_word"
WRONG_CHANGE = "wrong_change"
WRONG_FEE = "wrong_fee"
WRONG_GROSS = "wrong_gross"
WRONG_NET = "wrong_net"
WRONG_STAGE = "wrong_stage"
WRONG_TAX = "wrong_tax"
WRONG_TOTAL = "wrong_total"

_LABOURERS = ("", *PARTIES_AT_WORK)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that does not add up: ``stated`` in the offer against what was ``worked_out``."""

    code: str
    key: str
    stated: str = ""
    worked_out: str = ""


def check_offer(*, offer: Offer) -> tuple[Fault, ...]:
    """Return what is wrong with the offer; empty when it may be issued.

    Where a value is so bad that nothing can be worked out from it (an unknown currency, a discount
    above 1), that is the one fault told.
    """
    try:
        priced = priced_offer(offer=offer)
        faults = [
            *_shape_faults(offer),
            *_line_faults(offer, priced),
            *_group_faults(offer, priced),
            *_total_faults(offer, priced),
            *_stage_faults(offer, priced),
            *_variation_faults(offer),
            *_fee_faults(offer),
        ]
    except ValueError as error:
        return (Fault(code=BAD_VALUE, key="", stated=str(error)),)
    faults += [Fault(code=code, key=key) for code, key in check_groups(groups=offer.options)]
    return tuple(faults)


def priced_offer(*, offer: Offer) -> Priced:
    """Return the offer priced afresh from its lines, allowances and charges.

    Raises ValueError where one of them cannot be priced.
    """
    return price(
        lines=[_price_line(line) for line in offer.lines()],
        allowances=[_adjustment(each) for each in offer.allowances],
        charges=[_adjustment(each) for each in offer.charges],
        currency=offer.currency,
        tax_rounding=offer.tax_rounding,
    )


def _price_line(line: Line) -> PriceLine:
    return PriceLine(
        key=line.key,
        quantity=line.quantity,
        unit_price=line.unit_price,
        tax_rate=line.tax_rate,
        discount=line.discount,
    )


def _adjustment(each: DocumentAdjustment) -> Adjustment:
    return Adjustment(amount=each.amount, tax_rate=each.tax_rate)


def _shape_faults(offer: Offer) -> Iterator[Fault]:
    if offer.format != FORMAT:
        yield Fault(code=FORMAT_UNKNOWN, key="", stated=str(offer.format), worked_out=str(FORMAT))
    if offer.valid_until < offer.issued:
        yield Fault(code=DATES, key="valid_until", stated=offer.valid_until.isoformat())
    if offer.deal_place not in DEAL_PLACES:
        yield Fault(code=UNKNOWN_WORD, key="deal_place", stated=offer.deal_place)
    for party in offer.parties:
        if party.role not in PARTY_ROLES or party.role == "introducer":
            yield Fault(code=UNKNOWN_WORD, key=party.name, stated=party.role)
    seen: set[str] = set()
    for line in offer.lines():
        if line.key in seen:
            yield Fault(code=KEY_TWICE, key=line.key)
        seen.add(line.key)
        if (line.quantity < 0) != line.is_credit:
            yield Fault(code=CREDIT_SIGN, key=line.key, stated=str(line.quantity))
        yield from _word_faults(line)


def _word_faults(line: Line) -> Iterator[Fault]:
    # What others supply is an OtherLine: a priced line is the showroom's to supply.
    for word, words in (
        (line.supplied_by, ("showroom",)),
        (line.installed_by, _LABOURERS),
        (line.connected_by, _LABOURERS),
        (line.tax_treatment, TAX_TREATMENTS),
    ):
        if word not in words:
            yield Fault(code=UNKNOWN_WORD, key=line.key, stated=word)


def _line_faults(offer: Offer, priced: Priced) -> Iterator[Fault]:
    for line, worked in zip(offer.lines(), priced.lines, strict=True):
        yield from _compared(WRONG_NET, line.key, line.net, worked.net)


def _group_faults(offer: Offer, priced: Priced) -> Iterator[Fault]:
    parts: tuple[Room | Section, ...] = (*offer.rooms, *offer.sections())
    labels = [str(index) for index, part in enumerate(parts) for _ in part.lines]
    worked = {each.label: each for each in group_totals(priced=priced, labels=labels).groups}
    for index, part in enumerate(parts):
        key = part.key if isinstance(part, Room) else part.title
        found = worked.get(str(index))
        yield from _compared(WRONG_NET, key, part.net, found.net if found else Decimal(0))
        yield from _compared(WRONG_GROSS, key, part.gross, found.gross if found else Decimal(0))


def _total_faults(offer: Offer, priced: Priced) -> Iterator[Fault]:
    totals = offer.totals
    for key, stated, worked in (
        ("net", totals.net, priced.net_total),
        ("allowance", totals.allowance, priced.allowance_total),
        ("charge", totals.charge, priced.charge_total),
        ("taxable", totals.taxable, priced.taxable_total),
        ("tax", totals.tax, priced.tax_total),
        ("gross", totals.gross, priced.gross_total),
    ):
        yield from _compared(WRONG_TOTAL, key, stated, worked)
    for each, adjusted in zip(
        (*offer.allowances, *offer.charges), (*priced.allowances, *priced.charges), strict=True
    ):
        yield from _compared(WRONG_TOTAL, each.reason, each.amount, adjusted.amount)
    stated_taxes = [(each.rate, each.taxable, each.tax) for each in offer.taxes]
    worked_taxes = [(each.rate, each.taxable, each.tax) for each in priced.taxes]
    if stated_taxes != worked_taxes:
        yield Fault(
            code=WRONG_TAX,
            key="taxes",
            stated=_tax_text(stated_taxes),
            worked_out=_tax_text(worked_taxes),
        )


def _stage_faults(offer: Offer, priced: Priced) -> Iterator[Fault]:
    if not offer.stages:
        return
    amounts = stages(
        total=priced.gross_total,
        shares=[stage.share for stage in offer.stages],
        currency=offer.currency,
    )
    for stage, worked in zip(offer.stages, amounts, strict=True):
        yield from _compared(WRONG_STAGE, stage.name, stage.amount, worked)
    stated = total((exact("stage", stage.amount) for stage in offer.stages), offer.currency)
    yield from _compared(WRONG_STAGE, "sum", stated, priced.gross_total)


def _variation_faults(offer: Offer) -> Iterator[Fault]:
    """What a variation says that it changes, against the totals and line by line."""
    told = offer.variation
    if told is None or told.net_change is None or told.tax_change is None:
        return
    gross = EXACT.subtract(offer.totals.gross, told.ordered_gross)
    yield from _compared(WRONG_CHANGE, "gross", told.gross_change or Decimal(0), gross)
    parts = EXACT.add(told.net_change, told.tax_change)
    yield from _compared(WRONG_CHANGE, "parts", parts, gross)
    rows = added(change.net_delta for change in told.changes)
    yield from _compared(WRONG_CHANGE, "rows", rows, told.net_change)
    with_tax = [change.gross_delta for change in told.changes if change.gross_delta is not None]
    if with_tax:
        yield from _compared(WRONG_CHANGE, "rows with tax", added(with_tax), gross)


def _fee_faults(offer: Offer) -> Iterator[Fault]:
    """A design fee that is credited stands among the allowances, once, and nothing else does so."""
    for fee in (*offer.fees(), *(() if offer.design_fee else offer.further_fees)):
        wanted = DocumentAdjustment(
            reason=fee.reason,
            amount=fee.net,
            tax_rate=fee.tax_rate,
            tax_treatment=fee.tax_treatment,
        )
        if [each for each in offer.allowances if each.reason == fee.reason] != [wanted]:
            yield Fault(code=WRONG_FEE, key=fee.reason, stated=str(fee.net))


def _compared(code: str, key: str, stated: Decimal, worked_out: Decimal) -> Iterator[Fault]:
    if stated != worked_out:
        yield Fault(code=code, key=key, stated=str(stated), worked_out=str(worked_out))


def _tax_text(taxes: list[tuple[Decimal | None, Decimal, Decimal]]) -> str:
    return "; ".join(f"{rate}: {taxable} {tax}" for rate, taxable, tax in taxes)
