"""Lines of the bill as each part of a design asks for them: fittings, cables, hardware, keypads.

Pure. What one circuit, one enclosure's plan or one position asks for is worked out once, and again
only where it changed.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from functools import partial
from typing import Any

from base.content import Content
from base.once import Kept
from catalogue.spec import ProductSpec
from consult.design import CircuitPart, FittingPart, PositionPart
from consult.pieces import House
from consult.planning import PlannedHouse
from engineering.control_plan import EnclosurePlan

ZERO, ONE = Decimal(0), Decimal(1)
PARTS_OF_PARTS = 3  # how deep parts may need parts


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


@dataclass(frozen=True, slots=True)
class Asked:
    """Lines, and what their products need with them, and what that needs in turn."""

    lines: tuple[BillLine, ...]
    parts: tuple[tuple[BillLine, ...], ...]


_asked: Kept[Asked] = Kept(20_000)


def lines_asked(
    house: House, planned: PlannedHouse, *, has_controls: bool = True
) -> list[BillLine]:
    """Every line that a house and its plan ask for, in the order of the design, parts after them.

    Without controls, receivers and keypads and what they need are left out; drivers are not.
    """
    asked = list(_all_asked(house, planned, has_controls))
    lines = [line for each in asked for line in each.lines]
    for depth in range(PARTS_OF_PARTS):
        lines += [line for each in asked for line in each.parts[depth]]
    return lines


def _all_asked(house: House, planned: PlannedHouse, has_controls: bool) -> Iterator[Asked]:
    stock = house.stock
    for circuit in house.design.circuits:
        yield _once(house, ("fittings", stock, circuit), partial(_fittings, house, circuit))
    if (cable := _cable_sold(house)) is not None:
        for circuit in house.design.circuits:
            if circuit.cable_length_m:
                make = partial(_cable, house, cable, circuit)
                yield _once(house, ("cable", stock, circuit), make)
    for enclosure in planned.control.enclosures:
        make = partial(_hardware, house, enclosure, has_controls)
        yield _once(house, ("hardware", stock, enclosure, has_controls), make)
    if not has_controls:
        return
    positions = {position.code: position for position in house.design.positions}
    for choice in planned.keypads.choices:
        if choice.reference is not None:
            position = positions[choice.code]
            make = partial(_keypad, house, position, choice.reference)
            yield _once(house, ("keypad", stock, position, choice.reference), make)


def _once(house: House, inputs: tuple[Any, ...], make: Callable[[], Iterable[BillLine]]) -> Asked:
    return _asked.get(inputs, lambda: _with_parts(house, tuple(make())))


def _with_parts(house: House, lines: tuple[BillLine, ...]) -> Asked:
    parts: list[tuple[BillLine, ...]] = []
    waiting = lines
    for _depth in range(PARTS_OF_PARTS):
        waiting = tuple(part for line in waiting for part in _parts_of(house, line))
        parts.append(waiting)
    return Asked(lines=lines, parts=tuple(parts))


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


def _fittings(house: House, circuit: CircuitPart) -> Iterator[BillLine]:
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


def _cable_sold(house: House) -> ProductSpec | None:
    """The cheapest cable in the catalogue."""
    sold = [
        p
        for p in house.stock.products
        if p.kind == "cable" and p.unit == "metre" and p.id in house.prices
    ]
    return min(sold, key=lambda p: (house.prices[p.id].sell, p.reference), default=None)


def _cable(house: House, cable: ProductSpec, circuit: CircuitPart) -> Iterator[BillLine]:
    """Cable by the length typed at the circuit."""
    if not circuit.cable_length_m or circuit.is_existing:
        return
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


def _hardware(house: House, enclosure: EnclosurePlan, has_controls: bool) -> Iterator[BillLine]:
    """Receivers and drivers of an enclosure. Control hardware is a section of its own."""
    for unit in enclosure.units:
        if has_controls:
            yield from _one(
                house, unit.reference, "receiver", enclosure.reference, 1, unit.circuits
            )
        supplies = [(supply, unit.circuits) for supply in unit.supplies]
        supplies += [
            (supply, (part.circuit,))
            for output in unit.outputs
            for part in output.parts
            for supply in part.supplies
        ]
        for supply, circuits in supplies:
            yield from _one(
                house, supply.reference, "driver", enclosure.reference, supply.count, circuits
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


def _keypad(house: House, position: PositionPart, reference: str) -> Iterator[BillLine]:
    product = house.by_reference[reference]
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
    for code in line.circuits:
        circuit = house.circuit_of_code.get(code)
        if circuit is None:
            continue
        load = house.loads[circuit.id]
        for fitting, row in zip(circuit.fittings, load.rows, strict=True):
            if fitting.product == line.product and fitting.room == line.room:
                total += len(row.pieces_w) or fitting.pieces
    return Decimal(total) if total else line.quantity
