"""What the app asks about tax, line by line. It never decides: the business does, and records why.

The rules asked about are those of value added tax in the United Kingdom as read in secondary public
pages: a reduced rate for conversions is for supply and fix, not for supply only; a reverse charge is
for business customers in the construction scheme.
"""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quoting.draft import Draft, DraftLine

REDUCED = "reduced"
REVERSE_CHARGE = "reverse_charge"


def tax_questions(draft: Draft) -> Iterator[str]:
    """Sentences to look at before the issue; none where nothing asks for one."""
    lines = draft.lines
    reduced = [line for line in lines if _class_of(line) == REDUCED]
    reverse = [line for line in lines if line.tax_treatment == REVERSE_CHARGE]
    bare = [line for line in reduced if not line.tax_reason]
    if bare:
        yield ngettext(
            "'%(name)s' is taxed at the reduced rate, and no evidence is recorded for it.",
            "%(n)d lines are taxed at the reduced rate, such as '%(name)s', and no evidence is "
            "recorded for them.",
            len(bare),
        ) % {"n": len(bare), "name": bare[0].description}
    if reduced and draft.quote.delivery == "supply_only":
        yield _(
            "The reduced rate stands on a quote for supply only: as a rule it is for supply and fix "
            "alone. Does it apply?"
        )
    if reverse and draft.quote.is_consumer:
        yield _(
            "Lines are treated as reverse charge, and the client is a consumer: as a rule it is for "
            "business customers in the construction scheme alone. Does it apply?"
        )
    if reverse and len(reverse) < len(lines):
        other = next(line for line in lines if line.tax_treatment != REVERSE_CHARGE)
        yield _(
            "Some lines are treated as reverse charge, '%(name)s' is not. Is that meant?"
        ) % {"name": other.description}  # fmt: skip


def _class_of(line: DraftLine) -> str:
    """How a line is treated, by hand or by its class in the catalogue."""
    if line.tax_treatment:
        return line.tax_treatment
    if line.manual is not None:
        return line.manual.tax_class
    return line.bill.tax_class if line.bill else ""
