"""What an order asks for from suppliers and engravers: from its frozen content alone. Pure.

Without a cost: prices of suppliers are asked when it is ordered. Lines without a product (labour,
allowances, what was added by hand) are no goods of a supplier.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.internal import ChosenGoods, GoodsChange, Internal
from quoting.money import EXACT
from quoting.offer import Line, Offer
from quoting.options import ONE, base_choice
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


#: How the lists follow what the client chose: there was nothing to follow; the choice was worked out at
#: issue; what each option changes is added up; an issue of before keeps no more than the offer.
AS_OFFERED, AS_CHOSEN, ADDED_UP, NOT_KEPT = "as_offered", "as_chosen", "added_up", "not_kept"

type GoodsKey = tuple[str, str, str]  # supplier, product, unit


@dataclass(frozen=True, slots=True, kw_only=True)
class ToOrder:
    """The lists of an order. ``open_sums`` are allowances not replaced by a product yet."""

    suppliers: tuple[FromSupplier, ...]
    engraved: tuple[PackPosition, ...]
    open_sums: tuple[str, ...]
    chosen_apart: tuple[str, ...]  # options taken or left out against the offer as it stood
    follows: str = AS_OFFERED


def to_order(*, offer: Offer, internal: Internal, options: Iterable[str]) -> ToOrder:
    """The lists of an order in which ``options`` were chosen.

    The lines are those of the offer as it stood, with what the choice changes of them: as it was
    worked out at issue, or added up option by option where the options were too many for that.
    """
    taken = frozenset(options)
    follows, changes = _changes(offer, internal, taken)
    goods = added_up(_offered(offer, internal))
    for change in changes:
        for each in change.goods:
            _change(goods, each)
    by_supplier: dict[str, list[Goods]] = {}
    for (supplier, *_rest), found in goods.items():
        if found.quantity > 0:
            by_supplier.setdefault(supplier, []).append(found)
    return ToOrder(
        suppliers=tuple(
            FromSupplier(
                supplier=name,
                goods=tuple(sorted(by_supplier[name], key=lambda each: each.product)),
            )
            for name in sorted(by_supplier, key=lambda each: (not each, each))
        ),
        engraved=_engraved(internal, changes),
        open_sums=_open_sums(offer, changes),
        chosen_apart=tuple(
            option.name
            for group in offer.options
            for option in group.options
            if (option.key in taken) != option.is_in_base
        ),
        follows=follows,
    )


def added_up(lines: Iterable[tuple[str, Goods]]) -> dict[GoodsKey, Goods]:
    """Goods with their suppliers, each product once."""
    found: dict[GoodsKey, Goods] = {}
    for supplier, goods in lines:
        key = (supplier, goods.product, goods.unit)
        found[key] = _added(found[key], goods) if key in found else goods
    return found


def _offered(offer: Offer, internal: Internal) -> Iterator[tuple[str, Goods]]:
    behind = {line.key: line for line in internal.lines}
    rooms = [room.name for room in offer.rooms]
    for line in offer.lines():
        cost = behind.get(line.key)
        if cost is None or not cost.product:
            continue
        yield (
            cost.supplier,
            Goods(
                product=cost.product,
                name=_named(line, rooms),
                unit=line.unit,
                quantity=line.quantity,
                is_made_to_order=line.is_made_to_order,
                is_personalised=line.is_personalised,
            ),
        )


def _changes(
    offer: Offer, internal: Internal, taken: frozenset[str]
) -> tuple[str, tuple[ChosenGoods, ...]]:
    base = base_choice(groups=offer.options)
    if taken == base:
        return AS_OFFERED, ()
    known = {frozenset(each.options): each for each in internal.choices}
    if taken in known:
        return AS_CHOSEN, (known[taken],)
    single = []
    for group in offer.options:
        keys = frozenset(option.key for option in group.options)
        moved = taken & keys - base if group.choice == ONE else (taken ^ base) & keys
        single += [base - keys | {key} if group.choice == ONE else base ^ {key} for key in moved]
    if all(choice in known for choice in single):
        return ADDED_UP, tuple(known[choice] for choice in single)
    return NOT_KEPT, ()


def _change(goods: dict[GoodsKey, Goods], change: GoodsChange) -> None:
    key = (change.supplier, change.product, change.unit)
    more = Goods(
        product=change.product,
        name=change.name,
        unit=change.unit,
        quantity=change.quantity,
        is_made_to_order=change.is_made_to_order,
        is_personalised=change.is_personalised,
    )
    goods[key] = _added(goods[key], more) if key in goods else more


def _engraved(internal: Internal, changes: Iterable[ChosenGoods]) -> tuple[PackPosition, ...]:
    positions = internal.pack.positions if internal.pack else ()
    found = {each.code: each for each in positions if each.is_engraved}
    for change in changes:
        for code in change.not_engraved:
            found.pop(code, None)
        found |= {each.code: each for each in change.engraved}
    return tuple(found.values())


def _open_sums(offer: Offer, changes: Iterable[ChosenGoods]) -> tuple[str, ...]:
    found = Counter(line.description for line in offer.lines() if line.is_provisional)
    for change in changes:
        found += Counter(change.open_sums)
        found -= Counter(change.settled_sums)
    return tuple(found.elements())


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
