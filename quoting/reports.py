"""How quotes stand: by state with sums, and margin and conversion by month. Read, never stored."""

import datetime
import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Count, Q, Sum

from quoting.models import Acceptance, Quote, Revision
from quoting.money import EXACT

STATES = ("draft", "issued", "accepted", "declined", "expired", "withdrawn")
MONTHS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    state: str
    count: int
    total: Decimal | None
    quotes: tuple[Quote, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """One month: quotes first issued in it, how many of them are accepted, what was earned in it."""

    first_day: datetime.date
    issued: int
    accepted: int
    sold: Decimal
    margin: Decimal

    @property
    def conversion(self) -> Decimal | None:
        if not self.issued:
            return None
        return EXACT.divide(Decimal(self.accepted), Decimal(self.issued))

    @property
    def margin_share(self) -> Decimal | None:
        return EXACT.divide(self.margin, self.sold) if self.sold else None


def columns(found: Any, *, most: int = 20) -> list[Column]:
    """Quotes by state with sums, the newest of each. A constant number of queries."""
    sums = {
        row["state_now"]: row
        for row in found.order_by().values("state_now").annotate(n=Count("pk"), total=Sum("stands_at"))
    }  # fmt: skip
    return [
        Column(
            state=state,
            count=sums[state]["n"] if state in sums else 0,
            total=sums[state]["total"] if state in sums else None,
            quotes=tuple(found.filter(state_now=state)[:most]) if state in sums else (),
        )
        for state in STATES
    ]


def months(*, today: datetime.date, count: int = MONTHS) -> list[Month]:
    """The last months, the latest last. One payload in memory at a time.

    A variation is no quote more to win; what it sold is the difference to what stood before.
    """
    first_days = [_back(today, back) for back in range(count - 1, -1, -1)]
    since = first_days[0]
    issued: dict[tuple[int, int], list[Any]] = {}
    rows = Revision.objects.filter(order=1, issued_at__date__gte=since, quote__varies=None)
    accepted_quotes = set(Acceptance.objects.values_list("revision__quote_id", flat=True))
    for quote_id, at in rows.values_list("quote_id", "issued_at"):
        issued.setdefault((at.year, at.month), []).append(quote_id in accepted_quotes)
    sold: dict[tuple[int, int], list[tuple[Decimal, Decimal]]] = {}
    taken = Acceptance.objects.filter(at__date__gte=since)
    for acceptance in taken.select_related("revision__quote").iterator(chunk_size=20):
        sums = _sums(acceptance)
        if acceptance.revision.quote.varies_id:
            before = _sums(_stood_before(acceptance))
            sums = (sums[0] - before[0], sums[1] - before[1])
        sold.setdefault((acceptance.at.year, acceptance.at.month), []).append(sums)
    found = []
    for day in first_days:
        month = (day.year, day.month)
        sums = sold.get(month, [])
        found.append(
            Month(
                first_day=day,
                issued=len(issued.get(month, [])),
                accepted=sum(issued.get(month, [])),
                sold=sum((each for each, _margin in sums), Decimal(0)),
                margin=sum((margin for _sold, margin in sums), Decimal(0)),
            )
        )
    return found


def _sums(acceptance: Acceptance) -> tuple[Decimal, Decimal]:
    """What an issue sells for without tax, and its margin after commission and trade discount."""
    internal = json.loads(bytes(acceptance.revision.internal))
    margin = Decimal(internal["margin_total"])
    passed_on = (Decimal(internal.get(name, 0)) for name in ("commission", "trade_discount"))
    return Decimal(internal["cost_total"]) + margin, margin - sum(passed_on)


def _stood_before(acceptance: Acceptance) -> Acceptance:
    order = acceptance.revision.quote.varies_id
    rows = Acceptance.objects.filter(Q(revision=order) | Q(revision__quote__varies=order))
    return rows.filter(at__lt=acceptance.at).select_related("revision").latest("at")


def _back(today: datetime.date, months_ago: int) -> datetime.date:
    whole = today.year * 12 + today.month - 1 - months_ago
    return datetime.date(whole // 12, whole % 12 + 1, 1)
