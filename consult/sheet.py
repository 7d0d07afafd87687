"""What the room sheet shows, as values: circuits by layer with their loads, and the room's needs."""

from dataclasses import dataclass
from typing import Any

from base.once import once
from catalogue.spec import ProductSpec
from consult.design import CircuitPart, FittingPart, RoomPart
from consult.kinds import Layer
from consult.pieces import CircuitLoad, House, load_of
from consult.planning import PlannedHouse


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingRow:
    part: FittingPart
    product: ProductSpec | None
    room: RoomPart | None  # where it hangs, when that is not this room
    watts: float

    @property
    def name(self) -> str:
        return self.product.shown_name if self.product else self.part.placeholder


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitRow:
    part: CircuitPart
    fittings: tuple[FittingRow, ...]
    load: CircuitLoad

    @property
    def gaps(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(gap.code for gap in self.load.gaps))


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerRows:
    layer: str
    label: str
    circuits: tuple[CircuitRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What a room asks of the house: load, outputs, units that serve it, keypads, unserved."""

    circuits: int
    watts: float
    units: tuple[tuple[str, str, int, int], ...]  # product, enclosure, outputs used here, outputs
    keypads: tuple[tuple[str, str], ...]  # position, product
    unserved: tuple[tuple[str, str], ...]  # code of the circuit, code of the reason
    is_proven: bool


def circuit_row(house: House, circuit: CircuitPart) -> CircuitRow:
    rooms = house.design.room_of
    elsewhere = [
        rooms[part.room] if part.room != circuit.room else None for part in circuit.fittings
    ]
    named = house.named_by(circuit)
    return _circuit_row(circuit, load_of(house, circuit), *named[::2], *elsewhere)


@once(10_000)
def _circuit_row(
    circuit: CircuitPart, load: CircuitLoad, *named: ProductSpec | RoomPart | None
) -> CircuitRow:
    """With the product of each fitting, then the room of each that hangs elsewhere."""
    half = len(circuit.fittings)
    found = zip(circuit.fittings, named[:half], named[half:], load.rows, strict=True)
    return CircuitRow(
        part=circuit,
        load=load,
        fittings=tuple(
            FittingRow(part=part, product=product, room=room, watts=sum(row.pieces_w))  # type: ignore[arg-type]
            for part, product, room, row in found
        ),
    )


def layers(house: House, room_id: str) -> tuple[LayerRows, ...]:
    """The room's circuits, layer by layer; layers without a circuit are left out."""
    rows = [circuit_row(house, circuit) for circuit in house.design.circuits_in(room_id)]
    found = []
    for value, label in Layer.choices:
        here = tuple(row for row in rows if row.part.layer == value)
        if here:
            found.append(LayerRows(layer=value, label=str(label), circuits=here))
    return tuple(found)


def needs(house: House, plan: PlannedHouse, room_id: str) -> Needs:
    design = house.design
    circuits = design.circuits_in(room_id)
    codes = {circuit.code for circuit in circuits}
    units = []
    for enclosure in plan.control.enclosures:
        for unit in enclosure.units:
            used = sum(
                any(part.circuit in codes for part in output.parts) for output in unit.outputs
            )
            if used:
                name = house.by_reference[unit.reference].name
                place = design.enclosure_of[enclosure.reference].name
                units.append((name, place, used, len(unit.outputs)))
    here = {
        position.code: position.name for position in design.positions if position.room == room_id
    }
    return Needs(
        circuits=len(circuits),
        watts=sum(house.loads[circuit.id].watts for circuit in circuits),
        units=tuple(units),
        keypads=tuple(
            (
                here[choice.code],
                house.by_reference[choice.reference].name if choice.reference else "",
            )
            for choice in plan.keypads.choices
            if choice.code in here
        ),
        unserved=tuple(
            (missing.code, missing.reason)
            for missing in plan.control.unserved
            if missing.code in codes
        ),
        is_proven=plan.control.is_proven,
    )


def room_part(house: House, room: Any) -> RoomPart:
    return house.design.room_of[str(room.pk)]
