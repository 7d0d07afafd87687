"""A quote as it stands: the bill of the design, what was overruled, what was added, priced.

A draft is worked out each time from the design, the catalogue of the pricing day and the few rows
a person typed; nothing of it is stored. `problems` names by code what keeps it from being issued.
"""

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import Any

from django.utils import timezone

from base.models import Business
from base.once import once
from catalogue.reader import read_stock
from consult.derived import planned, read_house
from consult.design import OptionPart
from consult.pieces import House
from consult.planning import PlannedHouse
from quoting import problems, switching, words
from quoting.bill import SWITCHING, Bill, BillLine, make_bill
from quoting.draft import GENERAL, Draft, DraftLine, Overruling, label_of
from quoting.fees import credits_for
from quoting.grouping import group_totals
from quoting.models import ManualLine, Quote, QuoteOverride
from quoting.offer import FeeCredit
from quoting.pricing import (
    Adjustment,
    Priced,
    PriceLine,
    overall_discount,
    price,
)
from quoting.problems import Problem
from quoting.terms import Terms, tax_of, terms_of


def draft_of(
    quote: Quote,
    *,
    day: datetime.date | None = None,
    choice: Iterable[str] | None = None,
    plan_of: Callable[[House], PlannedHouse] = planned,
) -> Draft:
    """Work out a quote from its design as it stands, with these options taken.

    `choice` None takes what is in unless the client says otherwise. A constant number of queries,
    whatever the number of rooms and lines.
    """
    business = Business.objects.current()
    day = quote.priced_on or day or timezone.localdate()
    terms = terms_of(quote, currency=business.currency, day=day)
    house, plan, bill, gaps = _billed(quote, choice, day, terms, plan_of)
    taxes = {tax.tax_class: tax.share for tax in house.stock.taxes}
    is_kept = not quote._state.adding  # else nobody can have typed anything to it
    overrides: dict[str, list[QuoteOverride]] = {}
    for row in QuoteOverride.objects.filter(quote=quote).select_related("by") if is_kept else ():
        overrides.setdefault(row.key, []).append(row)
    unpriced = [
        _of_bill(line, overrides.pop(line.key, []), taxes, terms)
        for line in bill.lines
        if line.is_ours
    ]
    manual = ManualLine.objects.filter(quote=quote) if is_kept else ()
    taken = _taken(house, choice)
    unpriced += [
        _of_manual(row, taxes, house)
        for row in manual
        if row.option_id is None or str(row.option_id) in taken
    ]
    fees = credits_for(quote) if is_kept else ()
    priced = _price(quote, business, unpriced, fees)
    labels = [label_of(line["section"], line["room"]) for line in unpriced]
    lines = tuple(
        DraftLine(**line, net=result.net)
        for line, result in zip(unpriced, priced.lines, strict=True)
    )
    return Draft(
        quote=quote,
        business=business,
        day=day,
        house=house,
        planned=plan,
        bill=bill,
        lines=lines,
        others=tuple(line for line in bill.lines if not line.is_ours),
        orphans=_orphans(quote, overrides, house, terms, day),
        priced=priced,
        grouped=group_totals(priced=priced, labels=labels),
        problems=(
            *problems.of_lines(bill, lines, taxes),
            *(Problem(code="switches_size", about=group) for group in gaps),
            *problems.of_scope(lines, business),
            *problems.of_options(house),
            *problems.of_fees(fees, lines, priced),
        ),
        terms=terms,
        fees=fees,
    )


def with_optional(draft: Draft) -> Draft:
    """The draft with the lines of options that it does not take, so that they can be overruled.

    One further draft, two where ordinary switches are an option, however many options there are.
    """
    options = draft.house.design.options
    seen = {line.key for line in draft.lines}
    found: list[DraftLine] = []
    for choice in every_choice(options) if options else ():
        whole = draft_of(draft.quote, day=draft.day, choice=choice)
        for line in whole.lines:
            name = _option_of(line, whole.house)
            if name and line.key not in seen:
                seen.add(line.key)
                found.append(replace(line, option=name))
    return replace(draft, optional=tuple(found))


def _taken(house: House, choice: Iterable[str] | None) -> set[str]:
    """The options that are taken: those chosen, else those in unless the client says otherwise."""
    if choice is not None:
        return set(choice)
    return {option.id for option in house.design.options if option.is_in}


def _option_of(line: DraftLine, house: House) -> str:
    """The option that a line comes with by itself, its room or its source; '' for none."""
    room = house.design.room_of.get(line.room or "")
    own = line.bill.option if line.bill else line.manual and line.manual.option_id
    key = str(own) if own else (room.option if room else None)
    switches = line.bill is not None and line.bill.source == SWITCHING
    for option in house.design.options:
        if option.id == key or (switches and option.is_by_switches):
            return f"{option.group_name}: {option.name}"
    return ""


def _billed(
    quote: Quote,
    choice: Iterable[str] | None,
    day: datetime.date,
    terms: Terms,
    plan_of: Callable[[House], PlannedHouse],
) -> tuple[House, PlannedHouse, Bill, tuple[str, ...]]:
    """The house, its plan and its bill with these options; groups whose switches are not counted."""
    house = read_house(quote.project, choice, day=day)
    plan = plan_of(house)
    if not switching.is_by_switches(house.design, choice):
        return house, plan, make_bill(house=house, planned=plan, terms=terms.labour), ()
    known = switching.pieces()
    named = house.design.product_ids() | set(known.products.values())
    house = replace(
        house, stock=read_stock(product_ids=named, day=day, currency=house.stock.currency)
    )
    made = switching.switches_of(house, plan, known, terms.labour)
    switched = switching.without_scenes(house)
    bill = make_bill(house=switched, planned=plan, terms=terms.labour, switches=made)
    return switched, plan_of(switching.nothing_to_control(house)), bill, made.gaps


def _orphans(
    quote: Quote,
    left: dict[str, list[QuoteOverride]],
    house: House,
    terms: Terms,
    day: datetime.date,
) -> tuple[QuoteOverride, ...]:
    """Overrides whose line is gone; one of a line that comes with an option not taken is not."""
    if left and house.design.options:
        known: set[str] = set()
        for choice in every_choice(house.design.options):
            _house, _plan, bill, _gaps = _billed(quote, choice, day, terms, planned)
            known |= {line.key for line in bill.lines}
        left = {key: rows for key, rows in left.items() if key not in known}
    return tuple(row for rows in left.values() for row in rows)


def every_choice(options: Iterable[OptionPart]) -> tuple[tuple[str, ...], ...]:
    """Choices that together have every line in: all options, with and without ordinary switches."""
    every = list(options)
    without = tuple(each.id for each in every if not each.is_by_switches)
    if len(without) == len(every):
        return (without,)
    return without, tuple(each.id for each in every)


def _price(
    quote: Quote, business: Business, lines: Sequence[dict[str, Any]], fees: Iterable[FeeCredit]
) -> Priced:
    priceable = [_priceable(*(line[name] for name in PRICED_BY)) for line in lines]
    allowances: tuple[Adjustment, ...] = ()
    if quote.discount_share and priceable:
        allowances = overall_discount(
            lines=priceable, currency=business.currency, share_off=quote.discount_share
        )
    credited = (Adjustment(amount=fee.net, tax_rate=fee.tax_rate) for fee in fees)
    allowances = (*allowances, *credited)
    return price(
        lines=priceable,
        allowances=allowances,
        currency=business.currency,
        tax_rounding=business.tax_rounding,
    )


PRICED_BY = ("key", "quantity", "unit_price", "tax_rate", "discount")


@once(20_000)
def _priceable(
    key: str, quantity: Decimal, unit_price: Decimal, tax_rate: Decimal | None, discount: Decimal
) -> PriceLine:
    return PriceLine(
        key=key, quantity=quantity, unit_price=unit_price, tax_rate=tax_rate, discount=discount
    )


def described(line: BillLine) -> str:
    """What a line is, in words: labour by the name of its operation."""
    return words.operation(line.operation) if line.source == "labour" else line.description


def derived_values(line: BillLine, terms: Terms) -> dict[str, str]:
    """What the design and the terms say of each field that may be overruled."""
    return {
        "quantity": str(line.quantity.normalize() + 0),
        "unit_price": str((terms.unit_price(line) or Decimal(0)).normalize() + 0),
        "discount": str(terms.discount(line).normalize() + 0),
        "description": described(line),
        "tax_treatment": line.tax_class,
    }


def _of_bill(
    line: BillLine,
    overrides: Sequence[QuoteOverride],
    taxes: dict[str, Decimal | None],
    terms: Terms,
) -> dict[str, Any]:
    derived = derived_values(line, terms) if overrides else {}
    values: dict[str, str] = {row.field: row.value for row in overrides}
    reasons = {row.field: row.reason for row in overrides}
    treatment = values.get("tax_treatment", "")
    return {
        "key": line.key,
        "section": line.section,
        "room": line.room,
        "description": values["description"] if "description" in values else described(line),
        "client_name": "" if "description" in values else line.client_name,
        "quantity": _number(values.get("quantity"), line.quantity),
        "unit": line.unit,
        "unit_price": _number(values.get("unit_price"), terms.unit_price(line) or Decimal(0)),
        "unit_cost": line.unit_cost,
        "discount": _number(values.get("discount"), terms.discount(line)),
        "tax_rate": _rate(treatment, line.tax_class, taxes),
        "tax_treatment": treatment,
        "tax_reason": reasons.get("tax_treatment", ""),
        "bill": line,
        "overrulings": tuple(
            Overruling(row=row, derived_now=derived[row.field]) for row in overrides
        ),
    }


def _rate(treatment: str, tax_class: str, taxes: dict[str, Decimal | None]) -> Decimal | None:
    if not treatment:
        return taxes.get(tax_class)
    try:
        return tax_of(treatment, taxes)
    except KeyError:  # told as a problem: the day has no rate of this treatment
        return None


def _number(text: str | None, otherwise: Decimal) -> Decimal:
    try:
        return otherwise if text is None else Decimal(text)
    except InvalidOperation:
        return otherwise


def _of_manual(row: ManualLine, taxes: dict[str, Decimal | None], house: House) -> dict[str, Any]:
    room = str(row.room_id) if row.room_id and str(row.room_id) in house.design.room_of else None
    return {
        "key": f"manual|{row.pk}",
        "section": "room" if room else GENERAL,
        "room": room,
        "description": row.description,
        "client_name": "",
        "quantity": row.quantity,
        "unit": "piece",
        "unit_price": row.unit_price,
        "unit_cost": row.unit_cost,
        "discount": Decimal(0),
        "tax_rate": _rate(row.tax_treatment, row.tax_class, taxes),
        "tax_treatment": row.tax_treatment,
        "tax_reason": row.tax_reason,
        "manual": row,
    }
