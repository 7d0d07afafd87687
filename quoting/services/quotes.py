"""Deeds on a quote's draft, and its issue."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed, lock
from base.models import Business, Person
from catalogue.kinds import Grade
from catalogue.reader import read_stock
from consult.models import Option, Project, Room
from quoting.approving import (
    approval_of,
    digest_of,
    may_approve,
    names_of,
    needing_approval,
    sentence,
)
from quoting.draft import Draft
from quoting.drafting import derived_values, draft_of, with_optional
from quoting.freezing import freeze, next_number
from quoting.models import (
    ManualLine,
    Quote,
    QuoteApproval,
    QuoteDiscount,
    QuoteOverride,
    QuotingRules,
    Revision,
    RevisionEvent,
)
from quoting.offer import TAX_TREATMENTS
from quoting.problems import problem_sentence
from quoting.tasks import make_documents


class QuoteIsIssued(Refusal):
    """An issued quote is what the client was promised: it does not change."""

    def __init__(self) -> None:
        super().__init__(
            _("This quote is issued and cannot be changed. Start a revision, then change that.")
        )


@deed()
def quote_start(*, by: Person, project: Project, title: str = "") -> Quote:
    """A draft of everything in the project, by the business's terms."""
    business = Business.objects.current()
    deposit, later = business.deposit_share, QuotingRules.objects.current().delivery_share
    return Quote.objects.create(
        project=project,
        title=title,
        created_by=by,
        deposit_share=deposit,
        delivery_share=min(later, 1 - deposit),
        validity_days=business.quote_validity_days,
    )


@deed(locks="quote")
def quote_change(*, by: Person, quote: Quote, **values: Any) -> Quote:
    """Change discount, deposit, validity, pricing day or message of a draft."""
    _must_be_open(quote)
    for name, value in values.items():
        setattr(quote, name, value)
    if Decimal(quote.deposit_share) + Decimal(quote.delivery_share) > 1:
        raise Refusal(_("Deposit and delivery are at most 100 % together."))
    quote.version += 1
    quote.save()
    return quote


@deed(locks="quote")
def quote_discard(*, by: Person, quote: Quote) -> None:
    """Remove a draft that was never issued."""
    if quote.revisions.exists():
        raise Refusal(_("This quote was issued once. It can be withdrawn, not discarded."))
    if quote.approvals.exists():
        raise Refusal(_("A manager approved this quote once: it is kept. Close it instead."))
    QuoteOverride.objects.filter(quote=quote).delete()
    QuoteDiscount.objects.filter(quote=quote).delete()
    ManualLine.objects.filter(quote=quote).delete()
    quote.delete()


@deed(locks="quote")
def line_add(*, by: Person, quote: Quote, **values: Any) -> ManualLine:
    _must_be_open(quote)
    _must_fit(quote, values)
    last = ManualLine.objects.filter(quote=quote).aggregate(last=Max("position"))["last"] or 0
    line = ManualLine.objects.create(quote=quote, position=last + 1, **values)
    _touch(quote)
    return line


@deed(locks="quote")
def evening_add(*, by: Person, quote: Quote, hours: Decimal) -> ManualLine:
    """The visit after furnishing to aim the fittings and set the scenes, at the commissioner's rate.

    Refused where the catalogue has no rate of theirs on the pricing day.
    """
    _must_be_open(quote)
    if not (hours.is_finite() and hours > 0):
        raise Refusal(_("Above 0 hours."))
    currency = Business.objects.current().currency
    day = quote.priced_on or timezone.localdate()
    rates = read_stock(product_ids=set(), day=day, currency=currency).rates
    rate = next((each for each in rates if each.grade == Grade.COMMISSIONER), None)
    if rate is None:
        raise Refusal(
            _("The catalogue has no rate of a commissioner on this day. Enter it with the labour.")
        )
    return line_add(
        by=by,
        quote=quote,
        description=_(
            "Evening visit after furnishing: aiming the fittings, setting the scenes (hours)"
        ),
        quantity=hours,
        unit_price=rate.sell,
        unit_cost=rate.cost,
    )


@deed(locks="line")
def line_change(*, by: Person, line: ManualLine, **values: Any) -> ManualLine:
    _must_be_open(line.quote)
    _must_fit(line.quote, values)
    for name, value in values.items():
        setattr(line, name, value)
    line.version += 1
    line.save()
    _touch(line.quote)
    return line


@deed(locks="line")
def line_remove(*, by: Person, line: ManualLine) -> None:
    _must_be_open(line.quote)
    quote = line.quote
    line.delete()
    _touch(quote)


@deed(locks="quote")
def discount_set(
    *, by: Person, quote: Quote, scope: str, about: str, share: Decimal, reason: str
) -> QuoteDiscount:
    """A discount on all lines of a room, of a kind or of a supplier, with its reason."""
    _must_be_open(quote)
    if not (share.is_finite() and 0 < share <= 1):
        raise Refusal(_("A discount is above 0 and at most 100 %."))
    if not about.strip():
        raise Refusal(_("Say on which room, kind or supplier."))
    row, _made = QuoteDiscount.objects.update_or_create(
        quote=quote,
        scope=scope,
        about=about,
        defaults={"share": share, "reason": reason, "by": by, "at": timezone.now()},
    )
    _touch(quote)
    return row


@deed(locks="row")
def discount_remove(*, by: Person, row: QuoteDiscount) -> None:
    _must_be_open(row.quote)
    quote = row.quote
    row.delete()
    _touch(quote)


@deed(locks="quote")
def override_set(
    *, by: Person, quote: Quote, line_key: str, field: str, value: str, reason: str
) -> QuoteOverride:
    """Overrule one derived value of a line, with a reason; the derived value is kept beside it."""
    _must_be_open(quote)
    draft = with_optional(draft_of(quote))
    every = (*draft.lines, *draft.optional)
    line = next((x.bill for x in every if x.key == line_key and x.bill), None)
    if line is None:
        raise Refusal(_("This line is no longer in the bill. Load the page again."))
    row, _made = QuoteOverride.objects.update_or_create(
        quote=quote,
        key=line_key,
        field=field,
        defaults={
            "value": _checked(field, value),
            "derived_seen": derived_values(line, draft.terms)[field],
            "reason": reason,
            "by": by,
            "at": timezone.now(),
        },
    )
    _touch(quote)
    return row


@deed(locks="row")
def override_clear(*, by: Person, row: QuoteOverride) -> None:
    """Let the design speak again."""
    _must_be_open(row.quote)
    quote = row.quote
    row.delete()
    _touch(quote)


@deed(locks="row")
def override_keep(*, by: Person, row: QuoteOverride, derived_now: str) -> QuoteOverride:
    """Keep an override although the design moved under it; from now on it is compared with this."""
    _must_be_open(row.quote)
    row.derived_seen = derived_now
    row.by, row.at = by, timezone.now()
    row.version += 1
    row.save()
    _touch(row.quote)
    return row


@deed(locks="quote")
def quote_issue(*, by: Person, quote: Quote) -> Revision:
    """Freeze the draft as the next issue, with its number, letter and seal.

    Number and content are written in this transaction; the documents are made after it.
    """
    _must_be_open(quote)
    today = timezone.localdate()
    draft = with_optional(draft_of(quote, day=today))
    if draft.problems:
        raise Refusal(problem_sentence(draft.problems[0]))
    approval = _approved(draft, by)
    if quote.varies is not None:
        lock(Quote(pk=quote.varies.quote_id))  # variations of one order are numbered one by one
    previous = quote.revisions.order_by("-order").first()
    if previous is not None and previous.state(on=today) == "accepted":
        raise Refusal(_("The client accepted this quote. Start a variation for what is to change."))
    number = quote.number or next_number(today)
    order = (previous.order if previous else 0) + 1
    revision = freeze(
        draft, by=by, number=number, order=order, today=today, previous=previous, approval=approval
    )
    RevisionEvent.objects.create(revision=revision, kind="issued", by=by)
    if previous is not None and previous.state(on=today) in {"issued", "expired"}:
        RevisionEvent.objects.create(revision=previous, kind="superseded", by=by)
    Quote.objects.filter(pk=quote.pk).update(number=number, is_open=False, version=F("version") + 1)
    key = str(revision.pk)
    transaction.on_commit(lambda: make_documents.enqueue(key))
    return revision


@deed(locks="quote")
def quote_revise(*, by: Person, quote: Quote) -> Quote:
    """Open an issued quote for its next revision. The last issue stands until the next is made."""
    if quote.is_open:
        raise Refusal(_("This quote is open already."))
    latest = quote.revisions.order_by("-order").first()
    if latest is not None and latest.state(on=timezone.localdate()) == "accepted":
        raise Refusal(_("The client accepted this quote. Start a variation for what is to change."))
    quote.is_open = True
    quote.version += 1
    quote.save()
    return quote


@deed(locks="quote")
def quote_withdraw(*, by: Person, quote: Quote, note: str = "") -> Revision:
    """Take the newest issue back, so that it can no longer be accepted."""
    latest = quote.revisions.order_by("-order").first()
    if latest is None:
        raise Refusal(_("This quote was not issued yet: there is nothing to withdraw."))
    state = latest.state(on=timezone.localdate())
    if state not in {"issued", "expired"}:
        raise Refusal(_("This issue is %(state)s and cannot be withdrawn.") % {"state": state})
    RevisionEvent.objects.create(revision=latest, kind="withdrawn", by=by, note=note)
    return latest


def _approved(draft: Draft, by: Person) -> QuoteApproval | None:
    """The approval that lets the draft go out, None where it needs none. Refused without one."""
    approval = approval_of(draft)
    beyond = needing_approval(draft, role=by.role)
    if beyond and approval is None:
        names = names_of(draft)
        raise Refusal(
            _("%(why)s A manager can let it pass, with a reason.")
            % {"why": sentence(beyond[0], names)}
        )
    return approval if beyond else None


@deed(locks="quote")
def quote_approve(*, by: Person, quote: Quote, reason: str, shown: str) -> QuoteApproval:
    """Let a draft pass as it stands although it goes beyond a limit. ``shown``: its digest then."""
    _must_be_open(quote)
    if not may_approve(by):
        raise Refusal(_("Only a manager can let this pass."))
    if not reason.strip():
        raise Refusal(_("Say why it may pass."))
    draft = with_optional(draft_of(quote, day=timezone.localdate()))
    if digest_of(draft) != shown:
        raise Refusal(_("The quote has moved since it was shown. Look at it again."))
    beyond = needing_approval(draft, role="")
    return QuoteApproval.objects.create(
        quote=quote,
        by=by,
        reason=reason.strip(),
        findings_sha256=shown,
        findings=[{"code": each.code, "key": each.key} for each in beyond],
    )


def _must_be_open(quote: Quote) -> None:
    if not quote.is_open:
        raise QuoteIsIssued


def _must_fit(quote: Quote, values: dict[str, Any]) -> None:
    room: Room | None = values.get("room")
    if room is not None and room.project_id != quote.project_id:
        raise Refusal(_("That room belongs to another project."))
    option: Option | None = values.get("option")
    if option is not None and option.project_id != quote.project_id:
        raise Refusal(_("That option belongs to another project."))
    if values.get("tax_treatment") and not values.get("tax_reason", "").strip():
        raise Refusal(_("Say on what evidence it is treated so."))
    quantity = values.get("quantity")
    if quantity is not None and (quantity == 0 or (quantity < 0) != bool(values.get("is_credit"))):
        raise Refusal(_("A quantity is above 0; below 0 only on a credit."))


def _touch(quote: Quote) -> None:
    Quote.objects.filter(pk=quote.pk).update(version=F("version") + 1)


def _checked(field: str, value: str) -> str:
    if field == "description":
        if not value.strip():
            raise Refusal(_("Say what the line is."))
        return value.strip()
    if field == "tax_treatment":
        if value not in TAX_TREATMENTS or not value:
            raise Refusal(_("Choose one of the tax treatments."))
        return value
    try:
        number = Decimal(value)
    except InvalidOperation as error:
        raise Refusal(_("Give a number, such as 2.5.")) from error
    if not number.is_finite() or number < 0 or number >= Decimal(10) ** 9:
        raise Refusal(_("Give a number of 0 or more, below a thousand million."))
    if field == "discount" and number > 1:
        raise Refusal(_("A discount is at most 100 %."))
    return str(number)
