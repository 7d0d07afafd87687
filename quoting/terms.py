"""The terms of a quote: how its products are sold, what is taken off, what its labour takes.

Read in four queries into one frozen value; what it answers is pure.
"""

import datetime
from dataclasses import dataclass, field
from decimal import Decimal

from quoting.bill import BillLine
from quoting.labour import ACCESS, ACCESS_ABOVE, FINISHES, Access, LabourTerms
from quoting.models import AccessFactor, Quote, QuoteDiscount, QuotingRules, SellingRule
from quoting.selling import Taste, sell_by_margin, sell_by_markup, to_taste

# What each treatment is taxed at: a class of the catalogue, 0, or None for no tax at all.
TREATMENT_CLASSES = {"standard": "standard", "reduced": "reduced"}
TREATMENTS_AT_NOTHING = {"zero": Decimal(0), "reverse_charge": Decimal(0)}
TREATMENTS_WITHOUT = frozenset({"exempt", "outside"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What applies to every line of one quote."""

    currency: str
    labour: LabourTerms
    sell_by: str = "list"
    sell_share: Decimal | None = None
    own_ways: dict[tuple[str, str], SellingRule] = field(default_factory=dict)
    taste: Taste | None = None
    discounts: dict[tuple[str, str], QuoteDiscount] = field(default_factory=dict)
    rules: QuotingRules = field(default_factory=QuotingRules)

    def unit_price(self, line: BillLine) -> Decimal | None:
        """What one of it sells for: the catalogue's price, or worked out from the cost.

        Labour, allowances and what costs nothing keep their own price. The business's taste is for
        prices of pieces that are worked out; what the catalogue says stands as it was typed.
        """
        way, share = self.way_of(line)
        if not line.product or not line.unit_cost or share is None:
            return line.unit_sell
        if way == "margin":
            found = sell_by_margin(cost=line.unit_cost, margin=share, currency=self.currency)
        elif way == "markup":
            found = sell_by_markup(cost=line.unit_cost, markup=share, currency=self.currency)
        else:
            return line.unit_sell
        if self.taste is None or line.unit != "piece":
            return found
        return to_taste(price=found, taste=self.taste, currency=self.currency)

    def way_of(self, line: BillLine) -> tuple[str, Decimal | None]:
        """How a line is sold: by its product's rule, its kind's, its supplier's, else the quote's."""
        places = ("product", line.reference), ("kind", line.kind), ("supplier", line.supplier)
        for place in places:
            if found := self.own_ways.get(place):
                return found.sell_by, found.share
        return self.sell_by, self.sell_share

    def discount(self, line: BillLine) -> Decimal:
        """The discount of the room, else of the kind, else of the supplier; 0 where there is none."""
        room = line.room if line.section == "room" else None
        kind = line.kind or line.source
        for place in (("room", room or ""), ("kind", kind), ("supplier", line.supplier)):
            if found := self.discounts.get(place):
                return found.share
        return Decimal(0)


def tax_of(treatment: str, taxes: dict[str, Decimal | None]) -> Decimal | None:
    """The rate of a treatment. Raises KeyError where the day has no rate of its class."""
    if treatment in TREATMENTS_WITHOUT:
        return None
    if treatment in TREATMENTS_AT_NOTHING:
        return TREATMENTS_AT_NOTHING[treatment]
    return taxes[TREATMENT_CLASSES[treatment]]


def terms_of(quote: Quote, *, currency: str, day: datetime.date) -> Terms:
    """The terms of a quote with the rules of selling of its pricing day.

    Four queries; fewer for a quote that is not kept.
    """
    rules = QuotingRules.objects.current()
    kept = QuoteDiscount.objects.filter(quote=quote) if not quote._state.adding else ()
    return Terms(
        currency=currency,
        labour=LabourTerms(
            access=access_of(AccessFactor.objects.all(), is_occupied=quote.is_occupied),
            delivery=quote.delivery,
            call_out_hours=rules.call_out_hours,
        ),
        sell_by=quote.sell_by,
        sell_share=quote.sell_share,
        own_ways=SellingRule.objects.on(day),
        taste=_taste(rules),
        discounts={(row.scope, row.about): row for row in kept},
        rules=rules,
    )


def access_of(rows: object, *, is_occupied: bool) -> Access:
    """The factors that the business typed; the usual ones where it typed none of that sort."""
    factors: list[AccessFactor] = list(rows)  # type: ignore[call-overload]
    heights = tuple(sorted((row.up_to_m, row.factor) for row in factors if row.up_to_m is not None))
    by_what = {row.what: row.factor for row in factors if row.up_to_m is None}
    return Access(
        heights=heights or ACCESS,
        above=by_what.get("above", heights[-1][1] if heights else ACCESS_ABOVE),
        occupied=by_what.get("occupied", Decimal(1)) if is_occupied else Decimal(1),
        finishes=tuple((name, by_what.get(name, usual)) for name, usual in FINISHES),
    )


def _taste(rules: QuotingRules) -> Taste | None:
    if rules.taste_step is None:
        return None
    return Taste(step=rules.taste_step, ending=rules.taste_ending, rounding=rules.taste_rounding)
