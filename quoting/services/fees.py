"""Deeds on the design fee of a project: agreed, asked for, received part by part, taken back."""

import datetime
from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, Stale, deed, lock
from base.models import Business, Outbox, Person
from base.outbox import write
from consult.models import Project
from quoting.fees import FeePart, FeeStand, fee_stand, parts_of, reckoned
from quoting.models import DesignFee, FeePayment
from quoting.money import amount as whole_amount
from quoting.services.money_in import must_be_explained, must_have_come, must_stand
from quoting.services.payments import MOST
from quoting.tasks import make_fee_receipt


@deed()
def fee_set(
    *,
    by: Person,
    project: Project,
    words: str,
    net: Decimal,
    tax_treatment: str,
    is_credited: bool,
    agreed_in: str = "",
    parts: Sequence[tuple[Decimal, str]] = (),
    seen_fee: int = 0,
) -> DesignFee:
    """What the design fee of a project is, and whether it is credited on order.

    ``net`` without tax, above 0, in whole minor units. ``parts``: the shares in which it is asked
    for and when, each once, adding up to 1; none for one sum. ``seen_fee``: the version that was
    shown; 0 for none yet. Refused once any of it is paid: the receipt says what it was.
    """
    _must_be_office(by)
    lock(project)
    if project.is_library:
        raise Refusal(_("A design fee is asked for a client's project."))
    stand = _stand(project)
    row = stand.fee if stand else DesignFee(project=project)
    if stand and seen_fee != row.version:
        raise Stale(row)
    if stand and stand.paid:
        raise Refusal(_("The design fee is paid and stays as its receipt says."))
    if is_credited and not agreed_in.strip():
        raise Refusal(_("Say where it was agreed that the fee is credited."))
    row.words, row.net = words.strip(), _checked(net)
    row.parts = [[str(share), when.strip()] for share, when in parts]
    _must_make_parts(row)
    row.tax_treatment, row.is_credited = tax_treatment, is_credited
    row.agreed_in, row.by = agreed_in.strip(), by
    row.version += 1 if stand else 0
    row.save()
    return row


@deed(locks="fee")
def fee_remove(*, by: Person, fee: DesignFee) -> None:
    """No fee after all. One that money was entered for is kept."""
    _must_be_office(by)
    if fee.payments.exists():
        raise Refusal(_("Money was entered for this fee once: it is kept with its receipts."))
    fee.delete()


@deed(locks="fee")
def fee_receive(
    *, by: Person, fee: DesignFee, day: datetime.date, how: str, site: str = ""
) -> FeePayment:
    """The fee came in, or the part that is next, with the tax of that day. Its receipt is made,
    kept and mailed.
    """
    _must_be_office(by)
    part = _must_be_open(_stand(fee.project))
    must_have_come(day=day, how=how)
    currency = Business.objects.current().currency
    try:
        due = reckoned(fee, part.net, currency=currency, day=day)
    except KeyError as error:
        raise Refusal(_("There is no tax rate for this treatment on that day.")) from error
    made = FeePayment.objects.create(
        fee=fee,
        part=part.index,
        words=part.words,
        currency=currency,
        net=due.net,
        tax_treatment=fee.tax_treatment,
        tax_rate=due.rate,
        tax=due.tax,
        day=day,
        how=how.strip()[:120],
        by=by,
    )
    _receipted(made, by, site)
    return made


@deed()
def fee_undo(*, by: Person, payment: FeePayment, reason: str, site: str = "") -> FeePayment:
    """Take the payment of a fee back by an entry of its own, with the reason. Both stay."""
    _must_be_office(by)
    lock(payment.fee.project)
    must_stand(payment)
    stand = _stand(payment.fee.project)
    if stand and stand.order:
        raise Refusal(
            _("Order %(order)s takes this fee off. Change the order by a variation instead.")
            % {"order": stand.order}
        )
    must_be_explained(reason)
    made = FeePayment.objects.create(
        fee=payment.fee,
        part=payment.part,
        words=payment.words,
        currency=payment.currency,
        net=payment.net,
        tax_treatment=payment.tax_treatment,
        tax_rate=payment.tax_rate,
        tax=payment.tax,
        day=timezone.localdate(),
        how=reason.strip()[:120],
        undoes=payment,
        by=by,
    )
    _receipted(made, by, site)
    return made


@deed(locks="fee")
def fee_ask(*, by: Person, fee: DesignFee, site: str = "") -> Outbox:
    """Ask the client by mail for the fee, or for the part of it that is next."""
    _must_be_office(by)
    part = _must_be_open(_stand(fee.project))
    client = fee.project.client
    if client is None or not client.email:
        raise Refusal(_("The client has no e-mail address. Enter one with the client first."))
    ids = {"fee": str(fee.pk), "part": str(part.index), "site": site}
    return write(name="fee-due", to=client.email, ids=ids, about=str(fee.pk), by=by)


def _stand(project: Project) -> FeeStand | None:
    return fee_stand(project, currency=Business.objects.current().currency)


def _must_be_open(stand: FeeStand | None) -> FeePart:
    """The part that is to be paid next."""
    if stand and stand.order:
        raise Refusal(
            _(
                "Order %(order)s takes off what was paid of this fee. The rest is no longer asked for."
            )
            % {"order": stand.order}
        )
    if stand is None or stand.next_part is None:
        raise Refusal(_("The design fee is paid already."))
    return stand.next_part


def _must_make_parts(row: DesignFee) -> None:
    """Parts are told apart by when they are asked for, and make the whole fee."""
    if not row.parts:
        return
    shares = [Decimal(share) for share, _when in row.parts]
    whens = [when for _share, when in row.parts]
    if sum(shares) != 1 or not all(0 < each <= 1 for each in shares):
        raise Refusal(_("The parts of the fee must make 100 % together, each above 0."))
    if len(whens) != len(set(whens)) or not all(whens):
        raise Refusal(_("Say of each part when it is asked for, each in words of its own."))
    currency = Business.objects.current().currency
    if not all(net > 0 for _when, net in parts_of(row, currency=currency)):
        raise Refusal(_("The fee is too small for these parts."))


def _receipted(payment: FeePayment, by: Person, site: str) -> None:
    """Have the receipt made and mailed, in the deed's transaction."""
    key = str(payment.pk)
    transaction.on_commit(lambda: make_fee_receipt.enqueue(key))  # before the letter
    client = payment.fee.project.client
    if client is not None and client.email:
        ids = {"payment": key, "site": site}
        write(name="fee-receipt", to=client.email, ids=ids, about=str(payment.fee_id), by=by)


def _must_be_office(by: Person) -> None:
    if not by.keeps_prices:
        raise Refusal(_("The design fee is kept by the office or a manager."))


def _checked(net: Decimal) -> Decimal:
    currency = Business.objects.current().currency
    if not (net.is_finite() and 0 < net < MOST):
        raise Refusal(_("Give an amount above 0, such as 250.00."))
    try:
        return whole_amount("net", net, currency)
    except ValueError as error:
        raise Refusal(
            _("Give the amount in whole coins of %(currency)s, without further decimals.")
            % {"currency": currency}
        ) from error
