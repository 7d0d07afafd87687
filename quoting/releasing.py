"""Whether pack and orders of an issue may go out: at once, or against the first stage paid.

The rule is the business's own (`QuotingRules.pack_goes`). A manager lets a pack go before, with a
reason, for an order and all that varies it.
"""

from dataclasses import dataclass
from decimal import Decimal

from quoting.models import PackRelease, QuotingRules, Revision
from quoting.paying import account_of, order_of


@dataclass(frozen=True, slots=True, kw_only=True)
class PackStand:
    """How a pack stands. ``stage`` and ``open`` are empty while nobody has ordered."""

    asks: bool
    is_held: bool
    stage: str = ""
    open: Decimal | None = None
    release: PackRelease | None = None


def pack_stand(revision: Revision) -> PackStand:
    """How the pack of an issue stands by the business's rule, payments and a manager's release.

    An order whose offer asked for no stage before the whole is released by the order itself.
    """
    order = order_of(revision)
    release = PackRelease.objects.filter(order=order).select_related("by").first()
    if QuotingRules.objects.current().pack_goes == QuotingRules.PackGoes.AT_ONCE:
        return PackStand(asks=False, is_held=False, release=release)
    account = account_of(order)
    if account is None:
        return PackStand(asks=True, is_held=release is None, release=release)
    first = account.stages[0]
    # What is due on delivery cannot be waited for: without the goods ordered there is none.
    is_later = any(stage.kind == "delivery" for stage in account.offer.stages[:1])
    is_due = len(account.stages) > 1 and first.open > 0 and not is_later
    return PackStand(
        asks=True,
        is_held=is_due and release is None,
        stage=first.name,
        open=first.open if is_due else Decimal(0),
        release=release,
    )
