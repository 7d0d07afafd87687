"""A quote copied to another project: its terms, discounts and added lines; the design is that one's."""

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.models import Project
from quoting.models import ManualLine, Quote, QuoteDiscount

TERMS = (
    "title", "discount_share", "deposit_share", "delivery_share", "validity_days", "message", "assumptions", "exclusions", "delivery",
    "is_occupied", "sell_by", "sell_share", "is_consumer", "deal_place",
    "commission_share", "commission_to", "trade_share", "trade_to",
)  # fmt: skip


@deed()
def quote_copy(*, by: Person, quote: Quote, project: Project) -> Quote:
    """A new draft. What hangs on a room or a line of the old design is not taken along."""
    if project.is_library:
        raise Refusal(_("A quote is made for a client's project."))
    return copied(by=by, source=Quote.objects.get(pk=quote.pk), project=project)


def copied(*, by: Person, source: Quote, project: Project) -> Quote:
    """The copy itself. Call it inside a deed."""
    made = Quote.objects.create(
        project=project, created_by=by, **{name: getattr(source, name) for name in TERMS}
    )
    is_same = source.project_id == project.pk
    for line in ManualLine.objects.filter(quote=source):
        ManualLine.objects.create(
            quote=made,
            room=line.room if is_same else None,
            option_id=line.option_id if is_same else None,
            description=line.description,
            quantity=line.quantity,
            unit_price=line.unit_price,
            unit_cost=line.unit_cost,
            tax_class=line.tax_class,
            tax_treatment=line.tax_treatment,
            tax_reason=line.tax_reason,
            is_credit=line.is_credit,
            position=line.position,
        )
    for each in QuoteDiscount.objects.filter(quote=source):
        if each.scope != "room" or is_same:
            QuoteDiscount.objects.create(
                quote=made, scope=each.scope, about=each.about, share=each.share,
                reason=each.reason, by=by,
            )  # fmt: skip
    return made
