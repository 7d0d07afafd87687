"""Why a draft cannot be issued yet: found by code, worded for people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from base.models import Business
from consult.pieces import House
from quoting.bill import SWITCHING, Bill, BillLine
from quoting.offer import FeeCredit
from quoting.pricing import Priced
from quoting.terms import TREATMENT_CLASSES

if TYPE_CHECKING:
    from quoting.draft import DraftLine

OUTSIDE = "outside"


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """Why a draft cannot be issued yet: a code and what it is about."""

    code: str
    about: str


def of_lines(
    bill: Bill, lines: Sequence[DraftLine], taxes: dict[str, Decimal | None]
) -> tuple[Problem, ...]:
    found = [
        Problem(code=_unpriced(line), about=line.description)
        for line in bill.without_price()
        if not any(x.key == line.key and x.overruled("unit_price") for x in lines)
    ]
    classes = {_class_of(line) for line in lines} - {""}
    found += [Problem(code="no_tax_rate", about=name) for name in sorted(classes - set(taxes))]
    if not lines:
        found.append(Problem(code="nothing_to_offer", about=""))
    return tuple(found)


def _unpriced(line: BillLine) -> str:
    if line.source == "placeholder":
        return "no_allowance"
    is_open = line.source == SWITCHING and line.product is None
    return "no_switch_product" if is_open else "no_price"


def of_scope(lines: Sequence[DraftLine], business: Business) -> Iterable[Problem]:
    """What is outside the scope of the tax stands alone, on a document without a tax number.

    Source: EN 16931-1, BR-O-02 (no seller's tax number beside such a line), BR-O-11 (no other tax).
    """
    outside = [line for line in lines if line.tax_treatment == OUTSIDE]
    if outside and business.tax_number.strip():
        yield Problem(code="outside_with_tax_number", about=outside[0].description)
    elif outside and len(outside) < len(lines):
        other = next(line for line in lines if line.tax_treatment != OUTSIDE)
        yield Problem(code="outside_with_others", about=other.description)


def of_options(house: House) -> tuple[Problem, ...]:
    taken: dict[str, int] = {}
    for option in house.design.options:
        if option.is_one_of:
            taken[option.group_name] = taken.get(option.group_name, 0) + option.is_in
    return tuple(
        Problem(code="one_of_several", about=name) for name, count in taken.items() if count != 1
    )


def of_fees(
    fees: Sequence[FeeCredit], lines: Sequence[DraftLine], priced: Priced
) -> Iterable[Problem]:
    """A design fee is credited up to what the job comes to, and on a document of its tax."""
    if not fees:
        return
    fee = fees[0]
    if any((line.tax_treatment == OUTSIDE) != (fee.tax_treatment == OUTSIDE) for line in lines):
        yield Problem(code="outside_with_others", about=fee.words)
    if priced.taxable_total < 0 or priced.gross_total < 0:
        yield Problem(code="fee_beyond", about=fee.words)


def _class_of(line: DraftLine) -> str:
    """The class of tax whose rate a line needs; '' where it needs none."""
    if line.tax_treatment:
        return TREATMENT_CLASSES.get(line.tax_treatment, "")
    if line.manual is not None:
        return str(line.manual.tax_class)
    return line.bill.tax_class if line.bill else "standard"


def problem_sentence(problem: Problem) -> str:
    """A problem in words."""
    return {
        "no_price": _("%(about)s has no price on this day. Give it one in the catalogue."),
        "no_allowance": _(
            "%(about)s is a placeholder without an allowance. Give it one on its room's sheet, or "
            "choose a product."
        ),
        "no_switch_product": _(
            "%(about)s: say which product of the catalogue it is, on the comparison with ordinary "
            "switches under 'Which plates and boxes'."
        ),
        "switches_size": _(
            "%(about)s: ordinary switches cannot be counted. Give every room of it its length and "
            "width."
        ),
        "one_of_several": _(
            "Of the options '%(about)s' exactly one must be taken unless the client says otherwise."
        ),
        "no_tax_rate": _("There is no tax rate for the class '%(about)s' on this day."),
        "outside_with_tax_number": _(
            "'%(about)s' is treated as outside the scope of the tax, but the business's tax number "
            "stands on the document: the two exclude one another (EN 16931, BR-O-02). Treat the "
            "line as exempt or at the zero rate, or take it off this quote."
        ),
        "outside_with_others": _(
            "Some lines are treated as outside the scope of the tax, '%(about)s' is not: what is "
            "outside stands on a document of its own (EN 16931, BR-O-11). Treat all lines so, or "
            "none."
        ),
        "fee_beyond": _(
            "The design fee '%(about)s' that is credited is more than this quote comes to. Give the "
            "rest back apart, or let the fee stand without credit."
        ),
        "nothing_to_offer": _("There is nothing to offer yet: the design has no fittings."),
    }[problem.code] % {"about": problem.about}
