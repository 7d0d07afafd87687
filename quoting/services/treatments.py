"""The deed that treats many lines of a draft alike for tax, with the evidence held."""

from collections.abc import Callable

from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from quoting.draft import DraftLine
from quoting.drafting import derived_values, draft_of, with_optional
from quoting.models import ManualLine, Quote, QuoteOverride
from quoting.offer import TAX_TREATMENTS
from quoting.services.quotes import QuoteIsIssued

#: Which lines are meant, by name.
PARTS: dict[str, Callable[[DraftLine], bool]] = {
    "all": lambda _line: True,
    "goods": lambda line: line.section != "labour",
    "labour": lambda line: line.section == "labour",
}
FIELD = QuoteOverride.Field.TAX_TREATMENT


@deed(locks="quote")
def treatment_set(*, by: Person, quote: Quote, part: str, treatment: str, reason: str = "") -> int:
    """Treat all lines of a part alike, those of options and those added by hand with them.

    ``part``: all, goods or labour. ``treatment`` empty: as the catalogue has it again; else with the
    evidence held. Returns how many lines that were. A line that comes later is asked about.
    """
    if not quote.is_open:
        raise QuoteIsIssued
    if part not in PARTS or treatment not in TAX_TREATMENTS:
        raise Refusal(_("Choose one of the tax treatments."))
    reason = reason.strip()
    if treatment and not reason:
        raise Refusal(_("Say on what evidence it is treated so."))
    draft = with_optional(draft_of(quote))
    lines = [line for line in (*draft.lines, *draft.optional) if PARTS[part](line)]
    derived = {
        line.key: derived_values(line.bill, draft.terms)[FIELD] for line in lines if line.bill
    }
    old = QuoteOverride.objects.filter(quote=quote, field=FIELD, key__in=derived)
    old.delete()
    if treatment:
        QuoteOverride.objects.bulk_create(
            QuoteOverride(
                quote=quote, key=key, field=FIELD, value=treatment, derived_seen=was,
                reason=reason, by=by, at=timezone.now(),
            )
            for key, was in derived.items()
        )  # fmt: skip
    ManualLine.objects.filter(pk__in=[line.manual.pk for line in lines if line.manual]).update(
        tax_treatment=treatment, tax_reason=reason if treatment else "", version=F("version") + 1
    )
    Quote.objects.filter(pk=quote.pk).update(version=F("version") + 1)
    return len(lines)
