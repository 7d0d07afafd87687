"""Deeds on an order's payments, and on what is held back until they are in. A payment is never changed: an entry of its own takes it back."""

import datetime
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed, lock
from base.models import Person
from quoting.models import Acceptance, PackRelease, Payment, Quote, Revision
from quoting.money import amount as whole_amount
from quoting.paying import order_of
from quoting.releasing import pack_stand

MOST = Decimal(10) ** 10  # below this: far more than any job, and what the column holds


@deed()
def payment_enter(
    *, by: Person, revision: Revision, amount: Decimal, day: datetime.date, how: str
) -> Payment:
    """Money that came in for an order, in whole minor units of its currency, above 0.

    For a variation it is kept with the order that it changes.
    """
    _must_be_office(by)
    order = order_of(revision)
    lock(Quote(pk=order.quote_id))
    if not Acceptance.objects.filter(revision=revision).exists():
        raise Refusal(_("Nobody has accepted this issue: money is entered for an order."))
    if not how.strip():
        raise Refusal(_("Say how it came, for instance by bank transfer."))
    if day > timezone.localdate():
        raise Refusal(_("This day is still to come: enter the money when it is in."))
    return Payment.objects.create(
        order=order, amount=_checked(amount, order.currency), day=day, how=how.strip(), by=by
    )


@deed()
def payment_undo(*, by: Person, payment: Payment, reason: str) -> Payment:
    """Take a payment back by an entry of its own, with the reason. Both stay to be read."""
    _must_be_office(by)
    lock(Quote(pk=payment.order.quote_id))
    if payment.undoes_id is not None:
        raise Refusal(_("This entry takes another back. Enter the payment anew instead."))
    if Payment.objects.filter(undoes=payment).exists():
        raise Refusal(_("This payment is taken back already."))
    if not reason.strip():
        raise Refusal(_("Say why the payment is taken back."))
    return Payment.objects.create(
        order=payment.order,
        amount=payment.amount,
        day=timezone.localdate(),
        how=reason.strip()[:120],
        undoes=payment,
        by=by,
    )


@deed()
def pack_release(*, by: Person, revision: Revision, reason: str) -> PackRelease:
    """A manager lets the pack of an order go before its stage is paid. Kept with who and why."""
    if not by.is_manager:
        raise Refusal(_("Only a manager lets the pack go before its stage is paid."))
    order = order_of(revision)
    lock(Quote(pk=order.quote_id))
    stand = pack_stand(revision)
    if stand.release is not None:
        raise Refusal(_("The pack was let go already."))
    if not stand.is_held:
        raise Refusal(_("The pack is not held back: there is nothing to let pass."))
    if not reason.strip():
        raise Refusal(_("Say why the pack may go before its stage is paid."))
    return PackRelease.objects.create(order=order, reason=reason.strip()[:300], by=by)


def _must_be_office(by: Person) -> None:
    if not by.keeps_prices:
        raise Refusal(_("Payments are entered by the office or a manager."))


def _checked(amount: Decimal, currency: str) -> Decimal:
    if not (amount.is_finite() and 0 < amount < MOST):
        raise Refusal(_("Give an amount above 0, such as 250.00."))
    try:
        return whole_amount("amount", amount, currency)
    except ValueError as error:
        raise Refusal(
            _("Give the amount in whole coins of %(currency)s, without further decimals.")
            % {"currency": currency}
        ) from error
