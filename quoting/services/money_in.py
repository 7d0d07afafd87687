"""What must hold of any money that is entered as received, or taken back."""

import datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal
from quoting.models import FeePayment, Payment


def must_have_come(*, day: datetime.date, how: str) -> None:
    """Raises Refusal where it is not said how it came, or the day is still to come."""
    if not how.strip():
        raise Refusal(_("Say how it came, for instance by bank transfer."))
    if day > timezone.localdate():
        raise Refusal(_("This day is still to come: enter the money when it is in."))


def must_stand(payment: Payment | FeePayment) -> None:
    """Raises Refusal where it takes another entry back, or is taken back itself."""
    if payment.undoes_id is not None:
        raise Refusal(_("This entry takes another back. Enter the payment anew instead."))
    if type(payment)._base_manager.filter(undoes=payment.pk).exists():
        raise Refusal(_("This payment is taken back already."))


def must_be_explained(reason: str) -> None:
    """Raises Refusal where nobody says why a payment is taken back."""
    if not reason.strip():
        raise Refusal(_("Say why the payment is taken back."))
