"""Deeds on an order's payments, and on what is held back until they are in. A payment is never changed: an entry of its own takes it back."""

import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed, lock
from base.models import Outbox, Person
from base.outbox import write
from quoting.models import Acceptance, Link, PackRelease, Payment, Quote, Revision
from quoting.money import amount as whole_amount
from quoting.paying import account_of, order_of
from quoting.releasing import pack_stand
from quoting.services.money_in import must_be_explained, must_have_come, must_stand
from quoting.tasks import make_documents

MOST = Decimal(10) ** 10  # below this: far more than any job, and what the column holds


@deed()
def payment_enter(
    *,
    by: Person,
    revision: Revision,
    amount: Decimal,
    day: datetime.date,
    how: str,
    site: str = "",
) -> Payment:
    """Money that came in for an order, in whole minor units of its currency, above 0.

    For a variation it is kept with the order that it changes. The receipt is made and kept, and
    mailed to the client where a link of theirs has an address.
    """
    _must_be_office(by)
    order = order_of(revision)
    lock(Quote(pk=order.quote_id))
    if not Acceptance.objects.filter(revision=revision).exists():
        raise Refusal(_("Nobody has accepted this issue: money is entered for an order."))
    must_have_come(day=day, how=how)
    made = Payment.objects.create(
        order=order, amount=_checked(amount, order.currency), day=day, how=how.strip(), by=by
    )
    _receipted(made, by, site)
    return made


@deed()
def payment_undo(*, by: Person, payment: Payment, reason: str, site: str = "") -> Payment:
    """Take a payment back by an entry of its own, with the reason. Both stay to be read.

    The client gets a receipt of that as of the payment.
    """
    _must_be_office(by)
    lock(Quote(pk=payment.order.quote_id))
    must_stand(payment)
    must_be_explained(reason)
    made = Payment.objects.create(
        order=payment.order,
        amount=payment.amount,
        day=timezone.localdate(),
        how=reason.strip()[:120],
        undoes=payment,
        by=by,
    )
    _receipted(made, by, site)
    return made


@deed()
def payment_ask(*, by: Person, revision: Revision, site: str = "") -> Outbox:
    """Ask the client by mail for the stage that is open first, such as the deposit."""
    _must_be_office(by)
    order = order_of(revision)
    lock(Quote(pk=order.quote_id))
    account = account_of(order)
    if account is None:
        raise Refusal(_("Nobody has accepted this issue: there is nothing to ask for."))
    if account.open_stage is None:
        raise Refusal(_("Everything is paid: there is nothing to ask for."))
    link = links_of_client(order).first()
    if link is None:
        raise Refusal(_("No link of the client has an e-mail address. Make one that has."))
    ids = {"order": str(order.pk), "link": str(link.pk), "site": site}
    return write(name="payment-due", to=link.email, ids=ids, about=str(order.pk), by=by)


def _receipted(payment: Payment, by: Person, site: str) -> None:
    """Have the receipt made and mailed, in the deed's transaction."""
    key = str(payment.order_id)
    transaction.on_commit(lambda: make_documents.enqueue(key))  # before the letter that carries it
    link = links_of_client(payment.order).first()
    if link is not None:
        ids = {"payment": str(payment.pk), "link": str(link.pk), "site": site}
        write(name="receipt", to=link.email, ids=ids, about=key, by=by)


def links_of_client(order: Revision) -> QuerySet[Link]:
    """The client's links that have an e-mail address; that of the order first, then the newest."""
    rows = Link.objects.filter(
        Q(revision=order) | Q(revision__quote__varies=order), audience=Link.Audience.CLIENT
    ).exclude(email="")
    theirs = Acceptance.objects.filter(revision=order, link=OuterRef("pk"))
    return rows.annotate(has_ordered=Exists(theirs)).order_by("-has_ordered", "-created_at")


@deed()
def pack_release(*, by: Person, revision: Revision, reason: str) -> PackRelease:
    """A manager lets pack and orders go before their stage is paid. Kept with who and why."""
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
