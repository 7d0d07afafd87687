"""The bill: everything a design needs, each line with why it is there.

Pure: a house and its plan in, lines out. Three things hold for every line:

* its key is stable: source, product, place, option, operation; the same need next week has the
  same key, so that what a person overruled stays with it;
* its quantity comes from the design (`why` names circuits, positions, enclosures);
* what is needed and what is bought are both there; what is bought beyond the need (the rest of a
  reel, of a pack) is a line of its own, so that a room's price does not depend on its neighbours.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Any, Protocol

from base.content import Content
from catalogue.spec import NormSpec, ProductSpec
from consult.design import CircuitPart, FittingPart
from consult.pieces import House
from consult.planning import PlannedHouse
from quoting.labour import Entry, LabourTerms, labour_lines

ZERO, ONE = Decimal(0), Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Why(Content):
    """A reason for a quantity: a code, what it hangs on (a circuit's code, a name), and how much."""

    code: str
    about: str
    quantity: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class BillLine(Content):
    """One line. `unit_cost` and `unit_sell` are None where the catalogue has no price of the day."""

    key: str
    source: str
    section: str  # room, control, labour or general
    room: str | None = None
    enclosure: str | None = None
    product: str | None = None
    kind: str = ""
    reference: str = ""
    description: str
    client_name: str = ""
    quantity: Decimal
    unit: str
    unit_cost: Decimal | None
    unit_sell: Decimal | None
    supplier: str = ""
    tax_class: str = "standard"
    phase: str = ""
    supplied_by: str = "showroom"
    installed_by: str = "showroom"
    connected_by: str = "showroom"
    option: str | None = None
    operation: str = ""
    grade: str = ""
    picture: str = ""
    circuits: tuple[str, ...] = ()
    is_provisional: bool = False
    is_made_to_order: bool = False
    is_personalised: bool = False
    why: tuple[Why, ...] = ()

    @property
    def is_ours(self) -> bool:
        """Whether the showroom supplies it, so that it is part of the total."""
        return self.supplied_by == "showroom"


class Switched(Protocol):
    """Ordinary switches of a house: their lines, and their labour, already counted."""

    @property
    def lines(self) -> tuple[BillLine, ...]: ...
    @property
    def work(self) -> tuple[Entry, ...]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill(Content):
    """All lines, in reading order: rooms, control hardware, labour, general."""

    lines: tuple[BillLine, ...]

    def without_price(self) -> tuple[BillLine, ...]:
        """Our lines that the catalogue has no price for."""
        return tuple(line for line in self.lines if line.is_ours and line.unit_sell is None)

    def provisional(self) -> tuple[BillLine, ...]:
        return tuple(line for line in self.lines if line.is_provisional)


#: Source of the lines of ordinary switches; their labour is counted with them.
SWITCHING = "switching"
SECTIONS = ("room", "control", "labour", "general")


def make_bill(
    *,
    house: House,
    planned: PlannedHouse,
    terms: LabourTerms | None = None,
    switches: Switched | None = None,
) -> Bill:
    """The bill of a house with its plan. ``terms`` say whose the work is and what it takes.

    With ``switches`` these stand in place of receivers and keypads; drivers are the same either way.
    """
    terms = terms or LabourTerms()
    things = [*_fittings(house), *_cables(house)]
    hardware = _hardware(house, planned)
    if switches is None:
        things += [*hardware, *_keypads(house, planned)]
    else:
        things += [line for line in hardware if line.source != "receiver"]
    things += _parts(house, things)
    things += switches.lines if switches else ()  # their boxes are counted with them
    merged = [_left_to_others(line, terms) for line in _merged(things)]
    rooms = {room.id: order for order, room in enumerate(house.design.rooms)}
    lines = [*merged, *_remainders(house, merged)]
    lines += _labour(house, merged, terms, switches.work if switches else ())
    lines.sort(
        key=lambda line: (
            SECTIONS.index(line.section),
            rooms.get(line.room or "", len(rooms)),
            line.key,
        )
    )
    return Bill(lines=tuple(lines))


def _left_to_others(line: BillLine, terms: LabourTerms) -> BillLine:
    """The line as the whole quote says: what we would fix and connect may be others' to do."""
    return replace(
        line, installed_by=terms.by(line.installed_by), connected_by=terms.by(line.connected_by)
    )


def line_key(source: str, what: str, place: str, option: str | None, operation: str = "") -> str:
    return "|".join([source, what, place, option or "", operation])


def _option(circuit: CircuitPart, fitting: FittingPart) -> str | None:
    return fitting.option or circuit.option


def _priced(house: House, product: ProductSpec) -> dict[str, Any]:
    """What a line takes over from its product."""
    price = house.prices.get(product.id)
    return {
        "product": product.id,
        "kind": product.kind,
        "reference": product.reference,
        "description": product.name,
        "client_name": product.client_name,
        "unit": product.unit,
        "unit_cost": price.cost if price else None,
        "unit_sell": price.sell if price else None,
        "supplier": price.supplier if price else "",
        "tax_class": product.tax_class,
        "phase": product.phase,
        "picture": product.picture,
        "is_made_to_order": product.is_made_to_order,
    }


def product_line(house: House, product: ProductSpec, **values: Any) -> BillLine:
    return BillLine(**{**_priced(house, product), **values})


def _fittings(house: House) -> Iterator[BillLine]:
    for circuit in house.design.circuits:
        for fitting in circuit.fittings:
            if fitting.same_pieces_as:
                continue  # the piece is counted where its first feed is
            product = house.product(fitting.product)
            by: dict[str, Any] = {
                "room": fitting.room,
                "section": "room",
                "supplied_by": fitting.supplied_by,
                "installed_by": fitting.installed_by,
                "connected_by": fitting.connected_by,
                "option": _option(circuit, fitting),
                "circuits": (circuit.code,),
            }
            if product is None:
                yield _placeholder(circuit, fitting, by)
                continue
            quantity = _needed(product, fitting)
            yield product_line(
                house,
                product,
                **by,
                source=product.kind,
                quantity=quantity,
                key=line_key(
                    product.kind,
                    product.id,
                    fitting.room,
                    _option(circuit, fitting),
                    fitting.supplied_by,
                ),
                why=(Why(code="on_circuit", about=circuit.code, quantity=quantity),),
            )
            yield from _lamps(house, circuit, fitting, product, by)


def _needed(product: ProductSpec, fitting: FittingPart) -> Decimal:
    """Pieces, or metres cut at the step of the tape with the share that is lost in cutting."""
    if product.unit != "metre" or fitting.length_m is None:
        return Decimal(fitting.pieces)
    each = fitting.length_m
    if product.cut_step_m:
        each = (each / product.cut_step_m).to_integral_value(ROUND_CEILING) * product.cut_step_m
    metres = each * fitting.pieces * (ONE + product.waste_share)
    return metres.quantize(Decimal("0.01"), rounding=ROUND_CEILING)


def _placeholder(circuit: CircuitPart, fitting: FittingPart, by: dict[str, Any]) -> BillLine:
    return BillLine(
        **by,
        source="placeholder",
        kind="fitting",
        key=line_key("placeholder", fitting.id, fitting.room, _option(circuit, fitting)),
        description=fitting.placeholder,
        quantity=Decimal(fitting.pieces),
        unit="piece",
        unit_cost=None,
        unit_sell=fitting.allowance if fitting.allowance is not None else None,
        is_provisional=True,
        why=(Why(code="allowance", about=circuit.code, quantity=Decimal(fitting.pieces)),),
    )


def _lamps(
    house: House,
    circuit: CircuitPart,
    fitting: FittingPart,
    product: ProductSpec,
    by: dict[str, Any],
) -> Iterator[BillLine]:
    lamp = house.product(fitting.lamp)
    if lamp is None:
        return
    count = max(product.fitting.lamp_count if product.fitting else 1, 1)
    quantity = Decimal(fitting.pieces * count)
    yield product_line(
        house,
        lamp,
        **by,
        source="lamp",
        quantity=quantity,
        key=line_key("lamp", lamp.id, fitting.room, _option(circuit, fitting), fitting.supplied_by),
        why=(Why(code="in_fitting", about=circuit.code, quantity=quantity),),
    )


def _cables(house: House) -> Iterator[BillLine]:
    """Cable by the lengths typed at the circuits, of the cheapest cable in the catalogue."""
    sold = [
        p
        for p in house.stock.products
        if p.kind == "cable" and p.unit == "metre" and p.id in house.prices
    ]
    if not sold:
        return
    cable = min(sold, key=lambda p: (house.prices[p.id].sell, p.reference))
    for circuit in house.design.circuits:
        if not circuit.cable_length_m or circuit.is_existing:
            continue
        quantity = circuit.cable_length_m.quantize(Decimal("0.01"), rounding=ROUND_CEILING)
        yield product_line(
            house,
            cable,
            source="cable",
            section="room",
            room=circuit.room,
            quantity=quantity,
            key=line_key("cable", cable.id, circuit.room, circuit.option),
            option=circuit.option,
            circuits=(circuit.code,),
            why=(Why(code="cable_of", about=circuit.code, quantity=quantity),),
        )


def _hardware(house: House, planned: PlannedHouse) -> Iterator[BillLine]:
    """Receivers and drivers of the plan. Control hardware is a section of its own."""
    for enclosure in planned.control.enclosures:
        for unit in enclosure.units:
            yield from _one(
                house, unit.reference, "receiver", enclosure.reference, 1, unit.circuits
            )
            for supply in unit.supplies:
                yield from _one(
                    house,
                    supply.reference,
                    "driver",
                    enclosure.reference,
                    supply.count,
                    unit.circuits,
                )
            for output in unit.outputs:
                for part in output.parts:
                    for supply in part.supplies:
                        yield from _one(
                            house,
                            supply.reference,
                            "driver",
                            enclosure.reference,
                            supply.count,
                            (part.circuit,),
                        )


def _one(
    house: House, reference: str, source: str, enclosure: str, count: int, circuits: tuple[str, ...]
) -> Iterator[BillLine]:
    product = house.by_reference[reference]
    yield product_line(
        house,
        product,
        source=source,
        section="control",
        enclosure=enclosure,
        key=line_key(source, product.id, enclosure, None),
        quantity=Decimal(count),
        circuits=circuits,
        why=tuple(Why(code="feeds", about=code, quantity=ONE) for code in circuits),
    )


def _keypads(house: House, planned: PlannedHouse) -> Iterator[BillLine]:
    positions = {position.code: position for position in house.design.positions}
    for choice in planned.keypads.choices:
        position = positions[choice.code]
        if choice.reference is None:
            continue
        product = house.by_reference[choice.reference]
        why = (Why(code="at_position", about=position.code, quantity=ONE),)
        yield product_line(
            house,
            product,
            source="keypad",
            section="control",
            room=position.room,
            quantity=ONE,
            key=line_key("keypad", product.id, position.room, position.option),
            option=position.option,
            why=why,
        )
        engraving = house.product(product.keypad.engraving_product if product.keypad else None)
        if position.is_engraved and engraving is not None:
            yield product_line(
                house,
                engraving,
                source="engraving",
                section="control",
                room=position.room,
                key=line_key("engraving", engraving.id, position.room, position.option),
                quantity=ONE,
                option=position.option,
                is_personalised=True,
                why=why,
            )


def _parts(house: House, lines: Iterable[BillLine]) -> list[BillLine]:
    """What products need with them: end caps, boxes, clips; and what those need in turn."""
    found: list[BillLine] = []
    waiting = list(lines)
    for _depth in range(3):
        made = [part for line in waiting for part in _parts_of(house, line)]
        if not made:
            break
        found += made
        waiting = made
    return found


def _parts_of(house: House, line: BillLine) -> Iterator[BillLine]:
    product = house.product(line.product)
    if product is None:
        return
    runs = _runs(house, line)
    counts = {
        "piece": runs if product.unit == "metre" else line.quantity,
        "metre": line.quantity if product.unit == "metre" else ZERO,
        "run": runs,
        "circuit": Decimal(len(line.circuits)),
        "end": runs * 2,
    }
    for part in product.parts:
        other = house.product(part.product)
        if other is None or not counts[part.per]:
            continue
        quantity = counts[part.per] * part.quantity
        if other.unit == "piece":
            quantity = quantity.to_integral_value(ROUND_CEILING)
        yield product_line(
            house,
            other,
            source="part",
            section=line.section,
            room=line.room,
            enclosure=line.enclosure,
            quantity=quantity,
            option=line.option,
            circuits=line.circuits,
            supplied_by=line.supplied_by,
            installed_by=line.installed_by,
            connected_by=line.connected_by,
            key=line_key(
                "part", other.id, line.room or line.enclosure or "", line.option, line.supplied_by
            ),
            why=(Why(code="needed_by", about=product.name, quantity=quantity),),
        )


def _runs(house: House, line: BillLine) -> Decimal:
    """Separately fed runs of what is sold by the metre on this line's circuits; else pieces."""
    total = 0
    for circuit in house.design.circuits:
        if circuit.code not in line.circuits:
            continue
        load = house.loads[circuit.id]
        for fitting, row in zip(circuit.fittings, load.rows, strict=True):
            if fitting.product == line.product and fitting.room == line.room:
                total += len(row.pieces_w) or fitting.pieces
    return Decimal(total) if total else line.quantity


def _merged(lines: Iterable[BillLine]) -> list[BillLine]:
    """Lines of one key become one, with all their reasons."""
    found: dict[str, BillLine] = {}
    for line in lines:
        known = found.get(line.key)
        if known is None:
            found[line.key] = line
            continue
        found[line.key] = replace(
            known,
            quantity=known.quantity + line.quantity,
            circuits=tuple(dict.fromkeys((*known.circuits, *line.circuits))),
            why=_added((*known.why, *line.why)),
        )
    return list(found.values())


def _added(reasons: Iterable[Why]) -> tuple[Why, ...]:
    sums: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for why in reasons:
        sums[why.code, why.about] += why.quantity
    return tuple(Why(code=c, about=a, quantity=q) for (c, a), q in sums.items())


def _remainders(house: House, lines: Iterable[BillLine]) -> Iterator[BillLine]:
    """What is bought beyond the need, because it comes in reels, lengths, packs and multiples."""
    needed: dict[str, Decimal] = defaultdict(Decimal)
    for line in lines:
        if line.product and line.is_ours:
            needed[line.product] += line.quantity
    for key in sorted(needed):
        product = house.products[key]
        step = bought_step(product)
        bought = (needed[key] / step).to_integral_value(ROUND_CEILING) * step
        rest = bought - needed[key]
        if rest > 0:
            yield product_line(
                house,
                product,
                source="remainder",
                section="general",
                quantity=rest,
                key=line_key("remainder", product.id, "", None),
                why=(
                    Why(code="needed_in_all", about=product.name, quantity=needed[key]),
                    Why(code="bought_in_all", about=product.name, quantity=bought),
                ),
            )


def bought_step(product: ProductSpec) -> Decimal:
    """The least amount by which more of it can be bought, in its own unit."""
    step = Decimal(product.pack_size * product.order_multiple)
    if product.unit == "metre":
        return step * (product.sold_length_m or Decimal("0.01"))
    return step


def _labour(
    house: House, lines: Iterable[BillLine], terms: LabourTerms, more: Iterable[Entry]
) -> Iterator[BillLine]:
    rates = {rate.grade: rate for rate in house.stock.rates}
    by_norm = [_as_work(line) for line in lines if line.source != SWITCHING]
    for work in labour_lines(house=house, lines=by_norm, terms=terms, more=more):
        rate = rates.get(work.grade)
        hours = (work.minutes / 60).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
        if not hours:
            continue
        yield BillLine(
            key=line_key("labour", work.grade, work.room or "", None, work.operation),
            source="labour",
            section="labour",
            room=work.room,
            description=work.operation,
            quantity=hours,
            unit="hour",
            unit_cost=rate.cost if rate else None,
            unit_sell=rate.sell if rate else None,
            operation=work.operation,
            grade=work.grade,
            why=tuple(
                Why(code=code, about=about, quantity=minutes) for code, about, minutes in work.why
            ),
        )


def _as_work(line: BillLine) -> tuple[str, str | None, Decimal, str, str, str, str]:
    return (
        line.kind,
        line.room,
        line.quantity,
        line.unit,
        line.installed_by,
        line.connected_by,
        line.description,
    )


__all__ = [
    "Bill",
    "BillLine",
    "NormSpec",
    "Why",
    "bought_step",
    "line_key",
    "make_bill",
    "product_line",
]
