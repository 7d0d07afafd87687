"""Variations: what changes an order after it was accepted. The first acceptance is never replaced.

A variation is a quote of the whole job as it is to become. It refers to the accepted issue, says what
stands until now, and what the change comes to; once accepted, it is what stands.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from django.db.models import Q
from django.utils.translation import gettext as _

from quoting.issued import read_offer
from quoting.models import Acceptance, Quote, Revision
from quoting.money import EXACT, added, apportion, minor_digits
from quoting.offer import Change, Line, Offer, Variation
from quoting.options import chosen_totals


def what_stands(order: Revision, *, until: datetime.datetime | None = None) -> Acceptance | None:
    """The newest acceptance of an order: its own, or that of its latest accepted variation.

    With ``until``, as it was at that moment.
    """
    rows = Acceptance.objects.filter(Q(revision=order) | Q(revision__quote__varies=order))
    if until is not None:
        rows = rows.filter(at__lte=until)
    return rows.select_related("revision").order_by("-at").first()


def variation_of(quote: Quote, offer: Offer) -> Variation:
    """What an issue of this quote says of the order that it changes. Raises ValueError without one."""
    order = quote.varies
    stands = what_stands(order) if order else None
    if order is None or stands is None:
        raise ValueError("the quote changes no order")
    old = read_offer(stands.revision)
    ordered = chosen_totals(totals=old.totals, groups=old.options, chosen=stands.options)
    net_change = EXACT.subtract(offer.totals.taxable, ordered.taxable)
    gross_change = EXACT.subtract(offer.totals.gross, ordered.gross)
    rows = (*changes(old=old, new=offer), *chosen_before(old=old, chosen=stands.options))
    rows = _with_tax((*rows, *_rest(net_change, rows)), gross_change, offer.currency)
    return Variation(
        number=_number(quote, order),
        order=str(order),
        since=str(stands.revision),
        ordered_on=stands.at.date(),
        ordered_gross=stands.gross_total,
        effect_on_dates=quote.effect_on_dates,
        changes=rows,
        net_change=net_change,
        tax_change=EXACT.subtract(offer.totals.tax, ordered.tax),
        gross_change=gross_change,
    )


def chosen_before(*, old: Offer, chosen: Iterable[str]) -> tuple[Change, ...]:
    """What options changed when they were ordered: their lines are new or gone since, their price not."""
    taken = set(chosen)
    rows = []
    for group in old.options:
        for option in group.options:
            is_taken = option.key in taken
            if is_taken == option.is_in_base or not option.net_delta:
                continue
            name = _("Ordered already: %(name)s") if is_taken else _("Left out already: %(name)s")
            sign = Decimal(-1 if is_taken else 1)
            rows.append(
                Change(
                    what=name % {"name": option.name},
                    place=group.name,
                    before=None,
                    after=None,
                    net_delta=EXACT.multiply(sign, option.net_delta),
                    gross_delta=EXACT.multiply(sign, option.gross_delta),
                )
            )
    return tuple(rows)


def _rest(net_change: Decimal, rows: Iterable[Change]) -> tuple[Change, ...]:
    """What the discounts and charges on the whole change, so that the rows add up."""
    rest = EXACT.subtract(net_change, added(row.net_delta for row in rows))
    return (_in_all(_("Discounts and charges on the whole"), rest),) if rest else ()


def _in_all(what: str, net_delta: Decimal) -> Change:
    return Change(what=what, before=None, after=None, net_delta=net_delta)


def _with_tax(rows: Sequence[Change], gross_change: Decimal, currency: str) -> tuple[Change, ...]:
    """The rows with tax in, to the last minor unit; they add up to what changes with tax.

    A line's tax is that of its own rates. What is left over is of the whole: of its discounts, or of
    tax alone, as where a line is only treated otherwise.
    """
    rows = list(rows)
    known = [row.gross_delta for row in rows if row.gross_delta is not None]
    rest = EXACT.subtract(gross_change, added(known))
    if rows and rows[-1].gross_delta is None:
        rows[-1] = replace(rows[-1], gross_delta=rest)
    elif rest.copy_abs() > len(rows) * Decimal(1).scaleb(-minor_digits(currency)):
        rows.append(replace(_in_all(_("Tax on the whole"), Decimal(0)), gross_delta=rest))
    elif rows:  # what rounding leaves goes to the first
        rows[0] = replace(rows[0], gross_delta=EXACT.add(rows[0].gross_delta or Decimal(0), rest))
    parts = apportion([row.gross_delta or Decimal(0) for row in rows], gross_change, currency)
    return tuple(
        replace(row, gross_delta=part) for row, part in zip(rows, parts, strict=True)
    )  # fmt: skip


def _number(quote: Quote, order: Revision) -> int:
    """First issued, first numbered; a further issue of the same variation keeps its number."""
    earlier = Quote.objects.filter(varies=order, revisions__order=1).exclude(pk=quote.pk)
    if first := quote.revisions.order_by("order").first():
        earlier = earlier.filter(revisions__issued_at__lt=first.issued_at)
    return earlier.distinct().count() + 1


def changes(*, old: Offer, new: Offer) -> tuple[Change, ...]:
    """The lines that are not as they were, in the new offer's order; what is gone comes last."""
    before, after = by_key(old), by_key(new)
    rows = [
        _change(before.get(key), after.get(key))
        for key in (*after, *(key for key in before if key not in after))
    ]
    return tuple(row for row in rows if row.net_delta or row.gross_delta or row.before != row.after)


def by_key(offer: Offer) -> dict[str, tuple[str, Line]]:
    """Lines with their places. One added by hand is known by its words: a copy has another key."""
    found: dict[str, tuple[str, Line]] = {}
    parts = [(part.name, part.lines) for part in offer.rooms]
    parts += [(part.title, part.lines) for part in offer.sections()]
    for place, lines in parts:
        for line in lines:
            key = line.key
            if key.startswith("manual|"):
                key = f"manual|{place}|{line.description}"
                key = f"{key}|{sum(each.startswith(key) for each in found)}"
            found[key] = (place, line)
    return found


def _change(old: tuple[str, Line] | None, new: tuple[str, Line] | None) -> Change:
    place, line = new or old  # type: ignore[misc]  # one of them is there
    nothing = Decimal(0)
    return Change(
        what=line.client_name or line.description,
        place=place,
        unit=line.unit,
        before=old[1].quantity if old else None,
        after=new[1].quantity if new else None,
        net_delta=EXACT.subtract(
            new[1].net if new else nothing, old[1].net if old else nothing
        ),
        gross_delta=EXACT.subtract(
            _gross(new[1]) if new else nothing, _gross(old[1]) if old else nothing
        ),
    )  # fmt: skip


def _gross(line: Line) -> Decimal:
    """A line with the tax of its rate, not rounded."""
    return EXACT.multiply(line.net, EXACT.add(1, line.tax_rate or Decimal(0)))
