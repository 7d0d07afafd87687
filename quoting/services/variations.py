"""Deeds on changes of an order after it was accepted."""

from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed, lock
from base.models import Business, Person
from catalogue.reader import read_stock
from consult.journal import apply, update
from consult.models import Option, Project
from quoting.models import Acceptance, ManualLine, Quote, QuoteOverride, Revision
from quoting.money import EXACT
from quoting.offer import Line, Offer
from quoting.services.copies import copied
from quoting.services.quotes import QuoteIsIssued, line_add
from quoting.varied_draft import standing_offer
from quoting.varying import by_key, what_stands


@deed()
def variation_start(*, by: Person, revision: Revision) -> Quote:
    """A draft that changes an order. It begins with all that was ordered, the chosen options in."""
    lock(Quote(pk=revision.quote_id))
    order = revision.quote.varies or revision
    stands = what_stands(order)
    if stands is None:
        raise Refusal(_("Nobody has accepted this issue: start a revision of it instead."))
    _take_what_was_chosen(by, revision.quote.project, stands)
    source = stands.revision.quote
    made = copied(by=by, source=source, project=source.project)
    made.varies = order
    # What was ordered keeps the prices it was ordered at; what comes with the change is priced alike.
    made.priced_on = source.priced_on or timezone.localdate(stands.revision.issued_at)
    made.save(update_fields=["varies", "priced_on"])
    for row in QuoteOverride.objects.filter(quote=source):
        row.pk = None
        row._state.adding = True
        row.quote = made
        row.save()
    return made


@deed(locks="quote")
def restocking_add(
    *, by: Person, quote: Quote, of: str, quantity: Decimal, share: Decimal
) -> ManualLine:
    """A line for goods of the order that go back: a share, above 0 to 1, of what each was ordered for.

    ``of`` is the key of a line of the order; ``quantity`` above 0, at most what was ordered.
    """
    offer = _standing(quote)
    _place, line = by_key(offer).get(of, ("", None))
    if line is None:
        raise Refusal(_("This is not part of the order. Load the page again."))
    if not (quantity.is_finite() and 0 < quantity <= line.quantity):
        raise Refusal(
            _("Above 0, and at most the %(n)s that were ordered.") % {"n": _figure(line.quantity)}
        )
    if not (share.is_finite() and 0 < share <= 1):
        raise Refusal(_("What is kept of its price is above 0 and at most 100 %."))
    each = EXACT.multiply(share, EXACT.divide(line.net, line.quantity))
    told = {"name": line.client_name or line.description, "share": _figure(share * 100)}
    words = _("Restocking of what goes back: %(name)s, %(share)s %% of its price") % told
    return _line(by, quote, words, quantity, each, line)


@deed(locks="quote")
def in_vain_add(*, by: Person, quote: Quote, of: str, hours: Decimal) -> ManualLine:
    """A line for labour that was done in vain, at the price by the hour of the order."""
    offer = _standing(quote)
    _place, line = by_key(offer).get(of, ("", None))
    if line is None or line.unit != "hour":
        raise Refusal(_("This is not part of the order. Load the page again."))
    if not (hours.is_finite() and hours > 0):
        raise Refusal(_("Above 0 hours."))
    told = {"name": line.description.partition(",")[0], "hours": _figure(hours)}
    words = _("Labour in vain: %(name)s, %(hours)s h") % told
    return _line(by, quote, words, hours, line.unit_price, line)


def _standing(quote: Quote) -> Offer:
    if not quote.is_open:
        raise QuoteIsIssued
    offer = standing_offer(quote)
    if offer is None:
        raise Refusal(_("This quote changes no order."))
    return offer


def _line(
    by: Person, quote: Quote, words: str, quantity: Decimal, each: Decimal, of: Line
) -> ManualLine:
    """A line of the whole job, taxed as what it is about."""
    return line_add(
        by=by,
        quote=quote,
        room=None,
        description=words[:300],
        quantity=quantity,
        unit_price=each.quantize(Decimal("0.0001")),
        tax_class=_class_of(quote, of),
        tax_treatment=of.tax_treatment,
        tax_reason=of.tax_reason,
    )


def _class_of(quote: Quote, of: Line) -> str:
    """The class of tax whose rate the line of the order had; the standard one where none has it."""
    currency = Business.objects.current().currency
    day = quote.priced_on or timezone.localdate()
    stock = read_stock(product_ids=set(), day=day, currency=currency)
    found = [each.tax_class for each in stock.taxes if each.share == of.tax_rate]
    return "standard" if "standard" in found or not found else found[0]


def _figure(number: Decimal) -> str:
    return f"{number.normalize():f}"


def _take_what_was_chosen(by: Person, project: Project, stands: Acceptance) -> None:
    """The design takes the options that were ordered, so that only what changes is a change."""
    chosen = set(stands.options)
    changes = [
        update(option, is_in=str(option.pk) in chosen)
        for option in Option.objects.filter(project=project)
        if option.is_in != (str(option.pk) in chosen)
    ]
    if changes:
        lock(project)
        apply(
            project=project, by=by, title="option_take", about=str(stands.revision), changes=changes
        )
