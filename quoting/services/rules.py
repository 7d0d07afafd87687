"""Deeds on the rules of selling, the factors of access, hours as worked, and wording of letters."""

import datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, Stale, deed
from base.models import MailText, Person
from base.outbox import KINDS
from catalogue.kinds import Kind
from catalogue.models import Product, Supplier
from consult.models import Project
from quoting.models import AccessFactor, ActualHours, QuotingRules, SellingRule

SHARELESS_WAYS = (SellingRule.SellBy.LIST, SellingRule.SellBy.NONE)


def _must_be_manager(by: Person) -> None:
    if not by.is_manager:
        raise Refusal(_("Only a manager changes the rules."))


@deed()
def rules_change(*, by: Person, seen_rules: int = 0, **values: Any) -> QuotingRules:
    """Change the one set of rules. `seen_rules`: the version that was shown; 0 for none yet."""
    _must_be_manager(by)
    row = QuotingRules.objects.select_for_update().first() or QuotingRules()
    is_new = row._state.adding
    if not is_new and seen_rules != row.version:
        raise Stale(row)
    for name, value in values.items():
        setattr(row, name, value)
    if not is_new:
        row.version += 1
    row.save()
    return row


@deed()
def factor_set(
    *, by: Person, what: str, factor: Decimal, up_to_m: Decimal | None = None
) -> AccessFactor:
    _must_be_manager(by)
    if (what == "height") != (up_to_m is not None):
        raise Refusal(_("A height belongs to 'ceiling up to', and only there."))
    row, _made = AccessFactor.objects.update_or_create(
        what=what, up_to_m=up_to_m, defaults={"factor": factor}
    )
    return row


@deed(locks="row")
def factor_remove(*, by: Person, row: AccessFactor) -> None:
    _must_be_manager(by)
    row.delete()


@deed()
def selling_rule_set(
    *,
    by: Person,
    scope: str,
    about: str,
    sell_by: str,
    from_day: datetime.date,
    share: Decimal | None = None,
) -> SellingRule:
    """How a product, a kind or a supplier's goods are sold in every quote priced from a day on.

    ``from_day`` is today or later: quotes rest on the rules of past days. ``share`` from 0, below 1
    for a margin; None for the catalogue's sell price and for no rule any more.
    """
    _must_be_manager(by)
    about = about.strip()
    known = {
        "product": lambda: Product.objects.filter(reference=about).exists(),
        "kind": lambda: about in Kind.values,
        "supplier": lambda: Supplier.objects.filter(name=about).exists(),
    }
    if scope not in known or not about or not known[scope]():
        raise Refusal(_("There is no '%(about)s' in the catalogue.") % {"about": about})
    if sell_by not in SellingRule.SellBy.values or ((sell_by in SHARELESS_WAYS) != (share is None)):
        raise Refusal(_("Say the margin or the mark-up; the catalogue's price has none."))
    if share is not None and not (
        share.is_finite() and 0 <= share < (1 if sell_by == "margin" else 10)
    ):
        raise Refusal(_("A margin is from 0 to below 100 %, a mark-up from 0 to 900 %."))
    if from_day < timezone.localdate():
        raise Refusal(
            _("The rules of a past day stay, since quotes rest on them. Choose today or later.")
        )
    then = SellingRule.objects.filter(scope=scope, about=about, from_day__lte=from_day).first()
    none = SellingRule.SellBy.NONE
    if sell_by == none and (then is None or then.sell_by == none):
        raise Refusal(_("There is no rule on '%(about)s' to end.") % {"about": about})
    row, _made = SellingRule.objects.update_or_create(
        scope=scope,
        about=about,
        from_day=from_day,
        defaults={"sell_by": sell_by, "share": share},
    )
    return row


@deed(locks="row")
def selling_rule_remove(*, by: Person, row: SellingRule) -> None:
    """Take back a rule whose day has not come."""
    _must_be_manager(by)
    if row.from_day <= timezone.localdate():
        raise Refusal(
            _("Its day has come, so quotes may rest on it. End it by 'no rule' from a day on.")
        )
    row.delete()


@deed(locks="project")
def hours_add(
    *,
    by: Person,
    project: Project,
    operation: str,
    hours: Decimal,
    day: datetime.date,
    note: str = "",
) -> ActualHours:
    """Hours as they were worked, to stand beside the norm."""
    return ActualHours.objects.create(
        project=project, operation=operation, hours=hours, day=day, note=note, by=by
    )


@deed(locks="row")
def hours_remove(*, by: Person, row: ActualHours) -> None:
    row.delete()


@deed()
def wording_set(*, by: Person, name: str, subject: str, body: str) -> MailText:
    """The business's own wording of a kind of letter."""
    _must_be_manager(by)
    if name not in KINDS:
        raise Refusal(_("There is no such letter."))
    row, _made = MailText.objects.update_or_create(
        name=name, defaults={"subject": subject, "body": body}
    )
    return row


@deed()
def wording_drop(*, by: Person, name: str) -> None:
    """Back to the built-in wording."""
    _must_be_manager(by)
    MailText.objects.filter(name=name).delete()
