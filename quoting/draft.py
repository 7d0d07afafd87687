"""What a draft is: its lines as priced, its totals and margins, and what keeps it from being issued."""

import datetime
from dataclasses import dataclass
from decimal import Decimal

from base.models import Business
from consult.pieces import House
from consult.planning import PlannedHouse
from quoting.bill import Bill, BillLine, Why
from quoting.grouping import Grouped
from quoting.models import ManualLine, Quote, QuoteOverride
from quoting.money import EXACT, rounded
from quoting.offer import FeeCredit
from quoting.pricing import Priced, PricedAdjustment
from quoting.problems import Problem
from quoting.terms import Terms

GENERAL = "general"


@dataclass(frozen=True, slots=True, kw_only=True)
class Overruling:
    """An override beside what the design says now."""

    row: QuoteOverride
    derived_now: str

    @property
    def is_stale(self) -> bool:
        """The derived value has moved since it was overruled."""
        return self.derived_now != self.row.derived_seen


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftLine:
    """One priced line of a draft."""

    key: str
    section: str
    room: str | None
    description: str
    client_name: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    unit_cost: Decimal | None
    discount: Decimal
    net: Decimal
    tax_rate: Decimal | None
    tax_treatment: str = ""
    tax_reason: str = ""
    bill: BillLine | None = None
    manual: ManualLine | None = None
    overrulings: tuple[Overruling, ...] = ()
    option: str = ""  # of an optional line: which option it comes with, in words

    @property
    def cost(self) -> Decimal | None:
        return None if self.unit_cost is None else self.unit_cost * self.quantity

    @property
    def margin(self) -> Decimal | None:
        return None if self.cost is None else self.net - self.cost

    @property
    def is_credit(self) -> bool:
        return self.manual is not None and self.manual.is_credit

    @property
    def why(self) -> tuple[Why, ...]:
        return self.bill.why if self.bill else ()

    def overruled(self, field: str) -> Overruling | None:
        return next((o for o in self.overrulings if o.row.field == field), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    quote: Quote
    business: Business
    day: datetime.date
    house: House
    planned: PlannedHouse
    bill: Bill
    lines: tuple[DraftLine, ...]
    others: tuple[BillLine, ...]
    orphans: tuple[QuoteOverride, ...]
    priced: Priced
    grouped: Grouped
    problems: tuple[Problem, ...]
    terms: Terms
    fees: tuple[FeeCredit, ...] = ()  # of the design fee credited, last of the allowances
    optional: tuple[DraftLine, ...] = ()  # lines of options not taken; see with_optional

    def in_room(self, room_id: str) -> tuple[DraftLine, ...]:
        return tuple(x for x in self.lines if x.section == "room" and x.room == room_id)

    def in_section(self, section: str) -> tuple[DraftLine, ...]:
        return tuple(line for line in self.lines if line.section == section)

    @property
    def cost_total(self) -> Decimal:
        return sum((line.cost for line in self.lines if line.cost is not None), Decimal(0))

    @property
    def discount_total(self) -> Decimal:
        """What is taken off the whole as a discount: a design fee credited is none."""
        return sum((each.amount for each in self.discounts), Decimal(0))

    @property
    def discounts(self) -> tuple[PricedAdjustment, ...]:
        """The discount in all, by rate."""
        return self.priced.allowances[: len(self.priced.allowances) - len(self.fees)]

    @property
    def fee_net(self) -> Decimal:
        return sum((each.net for each in self.fees), Decimal(0))

    @property
    def worth(self) -> Decimal:
        """What the job brings without tax: the taxable total, and a design fee paid before."""
        return self.priced.taxable_total + self.fee_net

    @property
    def margin_total(self) -> Decimal:
        return self.worth - self.cost_total

    @property
    def commission(self) -> Decimal:
        """What goes to whoever brought the job, of the total without tax."""
        return self._passed_on(self.quote.commission_share)

    @property
    def trade_discount(self) -> Decimal:
        """What a party of the trade gets off, of the total without tax. The offer is at full price."""
        return self._passed_on(self.quote.trade_share)

    def _passed_on(self, share: Decimal) -> Decimal:
        return rounded(EXACT.multiply(self.priced.taxable_total, share), self.business.currency)

    @property
    def margin_left(self) -> Decimal:
        """The margin after commission and trade discount."""
        return self.margin_total - self.commission - self.trade_discount

    @property
    def margin_share(self) -> Decimal | None:
        return (self.margin_total / self.worth) if self.worth else None


def label_of(section: str, room: str | None) -> str:
    """The group a line is summed in: its room, or its section."""
    return room if section == "room" and room else section
