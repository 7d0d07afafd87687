"""What an order comes to, what of it is paid, and what is open: by stage, to the smallest coin.

What came in pays the stages in their order. The stages are those of the acceptance that made the
order; what accepted variations change is due with the last stage, or lowers the last ones first.
No stage is below 0.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from quoting.choice_shown import chosen
from quoting.issued import read_offer
from quoting.models import Acceptance, Payment, Revision
from quoting.money import EXACT, added, total
from quoting.offer import Offer
from quoting.varying import what_stands

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaidStage:
    """A stage of payment with what is due, what came in for it and what is open."""

    name: str
    when: str
    due: Decimal
    received: Decimal

    @property
    def open(self) -> Decimal:
        return EXACT.subtract(self.due, self.received)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A payment as it stands in the account. ``signed`` is below 0 where it takes one back."""

    payment: Payment
    number: int
    signed: Decimal
    running: Decimal
    is_undone: bool

    @property
    def has_receipt(self) -> bool:
        """Whether its receipt is made and kept already."""
        return getattr(self.payment, "receipt", None) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """An order's account. ``received`` is the sum of stages received and ``over``."""

    order: Revision
    offer: Offer
    ordered: Decimal
    changed: Decimal  # what accepted variations change
    stages: tuple[PaidStage, ...]
    entries: tuple[Entry, ...]
    received: Decimal
    over: Decimal

    @property
    def due(self) -> Decimal:
        return EXACT.add(self.ordered, self.changed)

    @property
    def open(self) -> Decimal:
        return added(stage.open for stage in self.stages)

    @property
    def open_stage(self) -> PaidStage | None:
        """The stage that is to be paid next."""
        return next((stage for stage in self.stages if stage.open > 0), None)


def order_of(revision: Revision) -> Revision:
    """The issue that an account is kept with: of a variation, the order that it changes."""
    return revision.quote.varies or revision


def account_of(order: Revision, *, until: datetime.datetime | None = None) -> Account | None:
    """The account of an order, as it stood at a moment; None while nobody has accepted it.

    ``order`` is the issue that was accepted first (`order_of`).
    """
    first = Acceptance.objects.filter(revision=order).first()
    if first is None:
        return None
    stands = what_stands(order, until=until) or first
    offer = read_offer(order)
    entries = tuple(_entries(order, until))
    received = total((each.signed for each in entries), order.currency)
    changed = total([stands.gross_total, first.gross_total.copy_negate()], order.currency)
    ordered = total([first.gross_total], order.currency)
    parts = [
        (stage.name, stage.due, amount) for stage, amount in chosen(offer, first.options).stages
    ]
    if not parts:
        parts = [(_("In all"), _("as agreed"), max(EXACT.add(ordered, changed), NOTHING))]
    else:
        dues = changed_dues([due for _name, _when, due in parts], changed)
        parts = [(name, when, due) for (name, when, _due), due in zip(parts, dues, strict=True)]
    paid, over = spread([due for _name, _when, due in parts], received)
    return Account(
        order=order,
        offer=offer,
        ordered=ordered,
        changed=changed,
        stages=tuple(
            PaidStage(name=name, when=when, due=due, received=part)
            for (name, when, due), part in zip(parts, paid, strict=True)
        ),
        entries=entries,
        received=received,
        over=over,
    )


def changed_dues(dues: Sequence[Decimal], change: Decimal) -> tuple[Decimal, ...]:
    """What is due by stage after a change: more with the last one, less from the last ones first.

    No stage falls below 0; what is taken off beyond all of them changes nothing more.

    >>> changed_dues([Decimal(40), Decimal(60)], Decimal(-70))
    (Decimal('30'), Decimal('0'))
    """
    found = list(dues)
    for index in reversed(range(len(found))):
        moved = max(change, found[index].copy_negate())
        found[index] = EXACT.add(found[index], moved)
        change = EXACT.subtract(change, moved)
    return tuple(found)


def spread(dues: Sequence[Decimal], received: Decimal) -> tuple[tuple[Decimal, ...], Decimal]:
    """What came in, on the stages in their order, and what is over.

    >>> spread([Decimal(40), Decimal(60)], Decimal(50))
    ((Decimal('40'), Decimal('10')), Decimal('0'))
    """
    paid = []
    for due in dues:
        part = min(due, received)
        paid.append(part)
        received = EXACT.subtract(received, part)
    return tuple(paid), received


def _entries(order: Revision, until: datetime.datetime | None) -> Iterable[Entry]:
    rows = Payment.objects.filter(order=order).select_related(
        "by", "undoes", "undone_by", "receipt"
    )
    running = NOTHING
    for number, row in enumerate(rows.order_by("at", "pk"), start=1):
        if until is not None and row.at > until:
            return
        signed = row.amount if row.undoes_id is None else row.amount.copy_negate()
        signed = total([signed], order.currency)
        running = total([running, signed], order.currency)
        yield Entry(
            payment=row,
            number=number,
            signed=signed,
            running=running,
            is_undone=_is_undone(row, until),
        )


def _is_undone(row: Payment, until: datetime.datetime | None) -> bool:
    counter = getattr(row, "undone_by", None)
    return counter is not None and (until is None or counter.at <= until)
