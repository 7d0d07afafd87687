"""Design fees: how one stands, and what of it an offer credits.

A fee is its own sale, asked for in one sum or in parts: each part is taxed by itself, when it comes
in. Credited on an order, what came in is taken off as allowances of their own rate, so that the
order is taxed on what remains and the fee is taxed once (decision 0012).
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from catalogue.reader import read_stock
from consult.models import Project
from quoting.issued import read_offer
from quoting.models import Acceptance, DesignFee, FeePayment, Quote, Revision
from quoting.money import EXACT, added, rounded, share_out, total
from quoting.offer import FeeCredit
from quoting.terms import tax_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """A part of a fee with its tax. ``rate`` None: no tax at all."""

    net: Decimal
    rate: Decimal | None
    tax: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class FeePart:
    """A part of a fee as it stands. ``when`` is empty where the fee is one sum."""

    index: int
    when: str
    net: Decimal
    words: str
    paid: FeePayment | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeStand:
    """How the fee of a project stands: part by part, and every entry."""

    fee: DesignFee
    parts: tuple[FeePart, ...]
    entries: tuple[FeePayment, ...]
    order: str  # the issue that was ordered and credits it; empty while there is none

    @property
    def paid(self) -> tuple[FeePayment, ...]:
        """The payments that count."""
        return tuple(each.paid for each in self.parts if each.paid)

    @property
    def paid_net(self) -> Decimal:
        return added(each.net for each in self.paid)

    @property
    def paid_gross(self) -> Decimal:
        return added(each.gross for each in self.paid)

    @property
    def next_part(self) -> FeePart | None:
        """The part that is to be paid next; None once all are, or once an order takes the fee off."""
        if self.order:
            return None
        return next((each for each in self.parts if each.paid is None), None)

    @property
    def waits(self) -> bool:
        """Whether it is to be credited and is not paid whole yet."""
        return self.fee.is_credited and self.next_part is not None


def parts_of(fee: DesignFee, *, currency: str) -> tuple[tuple[str, Decimal], ...]:
    """When each part of a fee is asked for, and its net; they add up to the fee exactly."""
    net = rounded(fee.net, currency)
    if not fee.parts:
        return (("", net),)
    nets = share_out(net, [Decimal(share) for share, _when in fee.parts], currency)
    return tuple((when, each) for (_share, when), each in zip(fee.parts, nets, strict=True))


def reckoned(fee: DesignFee, net: Decimal, *, currency: str, day: datetime.date) -> Reckoned:
    """A net of a fee with the tax of a day. Raises KeyError where the day has no rate for it."""
    stock = read_stock(product_ids=set(), day=day, currency=currency)
    rate = tax_of(fee.tax_treatment, {each.tax_class: each.share for each in stock.taxes})
    tax = rounded(EXACT.multiply(net, rate or Decimal(0)), currency)
    return Reckoned(net=net, rate=rate, tax=tax, gross=total([net, tax], currency))


def fee_stand(project: Project, *, currency: str) -> FeeStand | None:
    """How the design fee of a project stands; None where it asks for none."""
    fee = DesignFee.objects.filter(project=project).first()
    if fee is None:
        return None
    entries = tuple(fee.payments.select_related("by", "undoes", "undone_by", "receipt"))
    paid = {each.part: each for each in standing(entries)}
    order = next((str(each) for each in crediting(project)), "")
    parts = tuple(
        FeePart(
            index=index,
            when=when,
            net=net,
            words=f"{fee.words}, {when}" if when else fee.words,
            paid=paid.get(index),
        )
        for index, (when, net) in enumerate(parts_of(fee, currency=currency))
    )
    return FeeStand(fee=fee, parts=parts, entries=entries, order=order)


def standing(entries: Iterable[FeePayment]) -> tuple[FeePayment, ...]:
    """The payments that were not taken back, in the order of their parts."""
    kept = list(entries)
    undone = {each.undoes_id for each in kept if each.undoes_id}
    counts = [each for each in kept if each.undoes_id is None and each.pk not in undone]
    return tuple(sorted(counts, key=lambda each: each.part))


def crediting(project: Project) -> tuple[Revision, ...]:
    """The orders of a project whose offer credits a design fee, the first of them first.

    What varies an order is part of it.
    """
    rows = Acceptance.objects.filter(
        Q(revision__quote__varies=None), revision__quote__project=project
    ).select_related("revision")
    issues = (each.revision for each in rows.order_by("at"))
    return tuple(each for each in issues if read_offer(each).design_fee is not None)


def credits_for(quote: Quote) -> tuple[FeeCredit, ...]:
    """What an offer of this quote credits: what was agreed and is paid, once in a project.

    A variation keeps the credit of the order that it changes, and takes no other.
    """
    if quote.varies is not None:
        return read_offer(quote.varies).fees()
    paid = _credited(quote.project_id)
    if not paid or any(each.quote_id != quote.pk for each in crediting(quote.project)):
        return ()
    return tuple(_credit(each) for each in paid)


def _credited(project_id: object) -> Sequence[FeePayment]:
    """What came in for a fee that is agreed to be credited."""
    fee = DesignFee.objects.filter(project=project_id, is_credited=True).first()
    return standing(fee.payments.all()) if fee else ()


def _credit(paid: FeePayment) -> FeeCredit:
    told = {"day": date_format(paid.day, "j F Y"), "words": paid.words}
    in_parts = bool(paid.fee.parts)
    return FeeCredit(
        payment=str(paid.pk),
        words=paid.words,
        reason=(
            _("%(words)s: paid on %(day)s, credited") % told
            if in_parts
            else _("Design fee paid on %(day)s, credited") % told
        ),
        net=rounded(paid.net, paid.currency),
        tax_rate=paid.tax_rate,
        tax_treatment=paid.tax_treatment,
        gross=total([paid.net, paid.tax], paid.currency),
        paid_on=paid.day,
    )


def cannot_credit(revision: Revision) -> str:
    """Why the credit of an offer no longer holds, as a sentence; empty where it does."""
    offered = {each.payment for each in read_offer(revision).fees()}
    if not offered or revision.quote.varies_id is not None:
        return ""
    if FeePayment.objects.filter(undoes__in=offered).exists():
        return _(
            "This offer takes off a design fee whose payment was taken back since. Ask the showroom "
            "for a new offer."
        )
    if crediting(revision.quote.project):
        return _(
            "The design fee that this offer takes off was credited on another order already. Ask the "
            "showroom for a new offer."
        )
    if {str(each.pk) for each in _credited(revision.quote.project_id)} - offered:
        return _(
            "More of the design fee was paid since, which this offer does not take off yet. Ask the "
            "showroom for a new offer."
        )
    return ""
