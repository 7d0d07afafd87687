"""What an order asks for from suppliers and engravers: from its frozen content alone. Pure.

Without a cost: prices of suppliers are asked when it is ordered. Lines without a product (labour,
allowances, what was added by hand) are no goods of a supplier.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.money import EXACT
from quoting.offer import Internal, Line, Offer
from quoting.pack import PackPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class Goods:
    """One product of a supplier, added up over the job."""

    product: str
    name: str
    unit: str
    quantity: Decimal
    is_made_to_order: bool
    is_personalised: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FromSupplier:
    """What one supplier is asked for; ``supplier`` is empty where none is named."""

    supplier: str
    goods: tuple[Goods, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToOrder:
    """The lists of an order. ``open_sums`` are allowances not replaced by a product yet."""

    suppliers: tuple[FromSupplier, ...]
    engraved: tuple[PackPosition, ...]
    open_sums: tuple[str, ...]
    chosen_apart: tuple[str, ...]  # options taken or left out against the offer as it stood


def to_order(*, offer: Offer, internal: Internal, options: Iterable[str]) -> ToOrder:
    """The lists of an order in which ``options`` were chosen.

    An issue keeps the lines of the offer as it stood; of options that the client chose otherwise it
    keeps the price alone. They are named, so that nobody orders by a list that lacks them.
    """
    behind = {line.key: line for line in internal.lines}
    rooms = [room.name for room in offer.rooms]
    sums: dict[str, dict[tuple[str, str], Goods]] = {}
    for line in offer.lines():
        cost = behind.get(line.key)
        if cost is None or not cost.product:
            continue
        goods = sums.setdefault(cost.supplier, {})
        key = (cost.product, line.unit)
        found = Goods(
            product=cost.product,
            name=_named(line, rooms),
            unit=line.unit,
            quantity=line.quantity,
            is_made_to_order=line.is_made_to_order,
            is_personalised=line.is_personalised,
        )
        goods[key] = _added(goods[key], found) if key in goods else found
    taken = set(options)
    positions = internal.pack.positions if internal.pack else ()
    return ToOrder(
        suppliers=tuple(
            FromSupplier(
                supplier=name,
                goods=tuple(sorted(sums[name].values(), key=lambda each: each.product)),
            )
            for name in sorted(sums, key=lambda each: (not each, each))
        ),
        engraved=tuple(each for each in positions if each.is_engraved),
        open_sums=tuple(line.description for line in offer.lines() if line.is_provisional),
        chosen_apart=tuple(
            option.name
            for group in offer.options
            for option in group.options
            if (option.key in taken) != option.is_in_base
        ),
    )


def _added(one: Goods, other: Goods) -> Goods:
    """Both together; what any of them is made for is minded."""
    return replace(
        one,
        quantity=EXACT.add(one.quantity, other.quantity),
        is_made_to_order=one.is_made_to_order or other.is_made_to_order,
        is_personalised=one.is_personalised or other.is_personalised,
    )


def _named(line: Line, rooms: Iterable[str]) -> str:
    """What a product is called, without the room that a line of control hardware says it is for."""
    name = line.client_name or line.description
    return next((name[: -len(f", {room}")] for room in rooms if name.endswith(f", {room}")), name)
