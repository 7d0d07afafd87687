"""What a variation changes while it is still a draft, and what of the order may be sent back."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.draft import Draft
from quoting.issued import read_offer
from quoting.models import Quote
from quoting.money import EXACT
from quoting.offer import Line, Offer, Variation
from quoting.offering import offer_of
from quoting.varying import by_key, variation_of, what_stands

_NEW = "–"  # a draft has no number and no letter yet


@dataclass(frozen=True, slots=True, kw_only=True)
class SentBack:
    """Goods of the order that the draft has fewer of. ``unit_net``: what each was ordered for."""

    key: str
    name: str
    place: str
    quantity: Decimal
    unit: str
    unit_net: Decimal
    tax_rate: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A kind of labour as it was ordered: its price by the hour."""

    key: str
    name: str
    unit_net: Decimal
    tax_rate: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Varied:
    """What a draft changes of the order as it stands."""

    offer: Offer
    variation: Variation
    sent_back: tuple[SentBack, ...]
    work: tuple[Work, ...]


def varied(draft: Draft) -> Varied | None:
    """What a draft changes of the order that it varies; None where it varies none."""
    order = draft.quote.varies
    stands = what_stands(order) if order else None
    if stands is None:
        return None
    offer = offer_of(
        draft, number=_NEW, letter=_NEW, issued=draft.day, valid_until=draft.day
    )  # fmt: skip
    old = read_offer(stands.revision)
    return Varied(
        offer=replace(offer, stages=()),
        variation=variation_of(draft.quote, offer),
        sent_back=tuple(_sent_back(old, offer)),
        work=tuple(_work(old)),
    )


def standing_offer(quote: Quote) -> Offer | None:
    """The offer of the order that a quote varies, as it stands."""
    stands = what_stands(quote.varies) if quote.varies else None
    return read_offer(stands.revision) if stands else None


def _sent_back(old: Offer, new: Offer) -> Iterator[SentBack]:
    after = by_key(new)
    for key, (place, line) in by_key(old).items():
        if _is_labour(line) or line.quantity <= 0:
            continue
        left = after[key][1].quantity if key in after else Decimal(0)
        if left < line.quantity:
            yield SentBack(
                key=key,
                name=line.client_name or line.description,
                place=place,
                quantity=EXACT.subtract(line.quantity, left),
                unit=line.unit,
                unit_net=EXACT.divide(line.net, line.quantity),
                tax_rate=line.tax_rate,
            )


def _work(old: Offer) -> Iterator[Work]:
    """Each kind of labour once, by its words and its price."""
    seen = set()
    for key, (_place, line) in by_key(old).items():
        name = line.description.partition(",")[0]
        if _is_labour(line) and line.unit == "hour" and (name, line.unit_price) not in seen:
            seen.add((name, line.unit_price))
            yield Work(key=key, name=name, unit_net=line.unit_price, tax_rate=line.tax_rate)


def _is_labour(line: Line) -> bool:
    return line.key.startswith("labour|")
