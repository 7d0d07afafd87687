"""What stands behind an offer, from the same draft: the internal half of an issue."""

import json
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

from django.utils.translation import gettext as _

from consult.held import content_of
from quoting.draft import Draft
from quoting.internal import ChosenGoods, Internal, LineCost, LineOverride
from quoting.models import QuoteApproval
from quoting.offer import Party
from quoting.offering import sha256_of
from quoting.options import Gap
from quoting.packing import pack_of


def internal_of(
    draft: Draft,
    *,
    number: str,
    letter: str,
    approval: QuoteApproval | None = None,
    gap: Gap | None = None,
    introducers: tuple[Party, ...] = (),
    choices: tuple[ChosenGoods, ...] = (),
) -> Internal:
    """The staff's half of an issue: costs, margin, suppliers, what was overruled and why."""
    share = draft.margin_share
    return Internal(
        number=number,
        revision=letter,
        lines=tuple(
            LineCost(
                key=line.key,
                cost=line.unit_cost,
                cost_date=draft.day,
                product=line.bill.reference if line.bill else "",
                supplier=line.bill.supplier if line.bill else "",
                why="; ".join(f"{w.code} {w.about} {w.quantity}" for w in line.why),
            )
            for line in draft.lines
        ),
        cost_total=_money(draft.cost_total),
        margin_total=_money(draft.margin_total),
        commission=draft.commission,
        trade_discount=draft.trade_discount,
        introducers=introducers,
        notes=tuple(_passed_on(draft)),
        margin_share=None if share is None else share.quantize(Decimal("0.0001")),
        overrides=tuple(
            LineOverride(
                key=o.row.key,
                field=o.row.field,
                value=o.row.value,
                derived=o.derived_now,
                reason=o.row.reason,
                by=o.row.by.name if o.row.by else "",
            )
            for line in (*draft.lines, *draft.optional)
            for o in line.overrulings
        ),
        approved_by=approval.by.name if approval else "",
        approval_reason=approval.reason if approval else "",
        option_gap=gap.gap if gap else Decimal(0),
        design_sha256=sha256_of(draft.house.design),
        pack=pack_of(draft.house, draft.planned),
        choices=choices,
        units=json.dumps(content_of(draft.planned.control.units), separators=(",", ":")),
    )


def _passed_on(draft: Draft) -> Iterator[str]:
    """Who gets a commission or a trade discount."""
    if draft.commission:
        yield _("Commission to %(who)s") % {"who": draft.quote.commission_to}
    if draft.trade_discount:
        yield _("Trade discount to %(who)s") % {"who": draft.quote.trade_to}


def _money(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
