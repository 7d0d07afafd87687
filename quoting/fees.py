"""Design fees: how one stands, and what of it an offer credits.

A fee is its own sale: it is taxed by itself, when it comes in. Credited on an order it is taken off
as an allowance of the fee's own rate, so that the order is taxed on what remains and the fee is
taxed once (decision 0012).
"""

import datetime
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from catalogue.reader import read_stock
from consult.models import Project
from quoting.issued import read_offer
from quoting.models import Acceptance, DesignFee, FeePayment, Quote, Revision
from quoting.money import EXACT, rounded, total
from quoting.offer import FeeCredit
from quoting.terms import tax_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """A fee with its tax. ``rate`` None: no tax at all."""

    net: Decimal
    rate: Decimal | None
    tax: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeStand:
    """How the fee of a project stands. ``paid`` is the payment that counts; None while open."""

    fee: DesignFee
    entries: tuple[FeePayment, ...]
    paid: FeePayment | None
    order: str  # the issue that was ordered and credits it; empty while there is none

    @property
    def waits(self) -> bool:
        """Whether it is to be credited and is not paid yet."""
        return self.fee.is_credited and self.paid is None


def reckoned(fee: DesignFee, *, currency: str, day: datetime.date) -> Reckoned:
    """The fee with the tax of a day. Raises KeyError where the day has no rate for it."""
    stock = read_stock(product_ids=set(), day=day, currency=currency)
    rate = tax_of(fee.tax_treatment, {each.tax_class: each.share for each in stock.taxes})
    net = rounded(fee.net, currency)
    tax = rounded(EXACT.multiply(net, rate or Decimal(0)), currency)
    return Reckoned(net=net, rate=rate, tax=tax, gross=total([net, tax], currency))


def fee_stand(project: Project) -> FeeStand | None:
    """How the design fee of a project stands; None where it asks for none."""
    fee = DesignFee.objects.filter(project=project).first()
    if fee is None:
        return None
    entries = tuple(fee.payments.select_related("by", "undoes", "undone_by", "receipt"))
    order = next((str(each) for each in crediting(project)), "")
    return FeeStand(fee=fee, entries=entries, paid=standing(entries), order=order)


def standing(entries: tuple[FeePayment, ...]) -> FeePayment | None:
    """The payment that was not taken back."""
    undone = {each.undoes_id for each in entries if each.undoes_id}
    return next((e for e in entries if e.undoes_id is None and e.pk not in undone), None)


def crediting(project: Project) -> tuple[Revision, ...]:
    """The orders of a project whose offer credits a design fee, the first of them first.

    What varies an order is part of it.
    """
    rows = Acceptance.objects.filter(
        Q(revision__quote__varies=None), revision__quote__project=project
    ).select_related("revision")
    issues = (each.revision for each in rows.order_by("at"))
    return tuple(each for each in issues if read_offer(each).design_fee is not None)


def credit_for(quote: Quote) -> FeeCredit | None:
    """What an offer of this quote credits: what was agreed and is paid, once in a project.

    A variation keeps the credit of the order that it changes, and takes no other.
    """
    if quote.varies is not None:
        return read_offer(quote.varies).design_fee
    fee = DesignFee.objects.filter(project=quote.project_id, is_credited=True).first()
    if fee is None:
        return None
    paid = standing(tuple(fee.payments.all()))
    if paid is None or any(each.quote_id != quote.pk for each in crediting(quote.project)):
        return None
    return FeeCredit(
        payment=str(paid.pk),
        words=paid.words,
        reason=_("Design fee paid on %(day)s, credited")
        % {"day": date_format(paid.day, "j F Y")},
        net=rounded(paid.net, paid.currency),
        tax_rate=paid.tax_rate,
        tax_treatment=paid.tax_treatment,
        gross=total([paid.net, paid.tax], paid.currency),
        paid_on=paid.day,
    )  # fmt: skip


def cannot_credit(revision: Revision) -> str:
    """Why the credit of an offer no longer holds, as a sentence; empty where it does."""
    credit = read_offer(revision).design_fee
    if credit is None or revision.quote.varies_id is not None:
        return ""
    undone = FeePayment.objects.filter(undoes=credit.payment).exists()
    if undone:
        return _(
            "This offer takes off a design fee whose payment was taken back since. Ask the showroom "
            "for a new offer."
        )
    if crediting(revision.quote.project):
        return _(
            "The design fee that this offer takes off was credited on another order already. Ask the "
            "showroom for a new offer."
        )
    return ""
