"""The same rooms with ordinary switches, beside the control plan: honest where those cost less.

Counted alike on both sides: what controls the light, its labour and, for switches, the drops and
strappers. The cable to the lights, the fittings and their drivers are the same either way and stand
on neither.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from catalogue.spec import ProductSpec
from consult.design import GroupPart, PositionPart, RoomPart
from consult.pieces import House
from consult.planning import PlannedHouse, minor
from engineering.control_plan import PowerSupply, Unit
from engineering.dimmers import LedCapacity, led_capacity
from engineering.switched_rooms import (
    LabourMinutes,
    RoomSwitches,
    SwitchedCircuit,
    SwitchedRoom,
    SwitchPosition,
    switch_room,
)
from engineering.switching_cost import SideBySide, side_by_side

# A usual rotary dimmer where no LED rating is typed: common practice, no source.
USUAL_DIMMER_W = 400.0
SWITCH_GRADE = "electrician"
FALLBACK_HEIGHT_M = 2.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One room group both ways. `switches` None where a size or a position is missing: `gap` says which."""

    group: GroupPart
    rooms: tuple[RoomPart, ...]
    circuits: int
    positions: tuple[PositionPart, ...]
    scenes: int
    switches: RoomSwitches | None
    dimmer: LedCapacity
    outputs: int
    units: int
    keypads: tuple[tuple[str, int], ...]
    drivers: int
    minutes: float  # labour of scene control, as of the switches

    @property
    def gap(self) -> str:
        if self.switches is not None:
            return ""
        return "size" if self.positions else "position"


def compare(
    house: House, plan: PlannedHouse, *, led_w: float | None = None, at_doors: bool = False
) -> tuple[Compared, ...]:
    """Every room group that has circuits, both ways.

    With ``at_doors`` a group without any position is worked from one by its door.
    """
    return tuple(
        _group(house, plan, group, led_w, at_doors)
        for group in house.design.groups
        if house.design.circuits_of(group.id)
    )


def _group(
    house: House, plan: PlannedHouse, group: GroupPart, led_w: float | None, at_doors: bool
) -> Compared:
    design = house.design
    rooms = tuple(room for room in design.rooms if room.group == group.id)
    positions = tuple(p for p in design.positions if p.group == group.id)
    dimmer = led_capacity(rating_w=USUAL_DIMMER_W, led_rating_w=led_w)
    codes = {circuit.code for circuit in design.circuits_of(group.id)}
    shares = _shares(plan, codes)
    return Compared(
        group=group,
        rooms=rooms,
        circuits=len(codes),
        positions=positions,
        scenes=len(design.scenes_of(group.id)),
        switches=_switches(house, group, rooms, positions, dimmer, at_doors),
        dimmer=dimmer,
        outputs=sum(used for _unit, used, _of in shares),
        units=len(shares),
        keypads=tuple(Counter(each.name for each in _keypads(house, plan, positions)).items()),
        drivers=sum(supply.count for supply in _supplies(shares, codes)),
        minutes=_control_minutes(house, plan, group, positions, shares),
    )


def _supplies(shares: list[tuple[Unit, int, int]], codes: set[str]) -> Iterator[PowerSupply]:
    """Drivers that serve these circuits."""
    for unit, _ours, _used in shares:
        yield from unit.supplies
        for output in unit.outputs:
            for part in output.parts:
                if part.circuit in codes:
                    yield from part.supplies


def _control_minutes(
    house: House,
    plan: PlannedHouse,
    group: GroupPart,
    positions: tuple[PositionPart, ...],
    shares: list[tuple[Unit, int, int]],
) -> float:
    """Labour of keypads, receivers by their share and programming, by the norms [min]."""
    total = math.fsum(_piece_minutes(house, each) for each in _keypads(house, plan, positions))
    for unit, ours, used in shares:
        total += ours / used * _piece_minutes(house, house.by_reference[unit.reference])
    counts = _programmed(len(house.design.scenes_of(group.id)), positions)
    return total + math.fsum(
        float(norm.minutes) * counts[norm.per] for norm in house.stock.norms if norm.per in counts
    )


def _programmed(scenes: int, positions: tuple[PositionPart, ...]) -> dict[str, int]:
    """What is programmed, by what its norms are per."""
    return {"scene": scenes, "button": sum(len(position.buttons) for position in positions)}


def _piece_minutes(house: House, product: ProductSpec) -> float:
    return math.fsum(
        float(norm.minutes)
        for norm in house.stock.norms
        if norm.kind == product.kind and norm.per == "piece"
    )


def _switches(
    house: House,
    group: GroupPart,
    rooms: tuple[RoomPart, ...],
    positions: tuple[PositionPart, ...],
    dimmer: LedCapacity,
    at_doors: bool,
) -> RoomSwitches | None:
    room = _as_one(rooms)
    if room is None or not (positions or at_doors):
        return None
    design = house.design
    dimmed = {
        level.circuit for scene in design.scenes for level in scene.levels if 0 < level.level < 100
    }
    circuits = [
        SwitchedCircuit(
            code=circuit.code,
            load_kind=circuit.load_kind,
            load_w=house.loads[circuit.id].watts,
            wants_dimming=circuit.id in dimmed,
        )
        for circuit in design.circuits_of(group.id)
    ]
    codes = tuple(each.code for each in circuits)
    places = [
        SwitchPosition(
            code=position.code,
            circuits=codes,
            point_m=(float(position.x_m), float(position.y_m))
            if position.x_m is not None and position.y_m is not None and len(rooms) == 1
            else None,
        )
        for position in positions
    ] or [SwitchPosition(code="door", circuits=codes)]
    return switch_room(
        circuits=circuits,
        positions=places,
        room=room,
        dimmer=dimmer,
        minutes=minutes_of(house),
        scenes=len(design.scenes_of(group.id)),
    )


def _as_one(rooms: tuple[RoomPart, ...]) -> SwitchedRoom | None:
    """The rooms of a group as one, side by side along their length; None where a size is missing."""
    sized = [room for room in rooms if room.length_m and room.width_m]
    if not sized or len(sized) < len(rooms):
        return None
    heights = [float(room.height_m) for room in sized if room.height_m]
    return SwitchedRoom(
        length_m=sum(float(room.length_m or 0) for room in sized),
        width_m=max(float(room.width_m or 0) for room in sized),
        height_m=max(heights, default=FALLBACK_HEIGHT_M),
    )


def minutes_of(house: House) -> LabourMinutes:
    """The business's own norms in the terms of switches; what has no norm takes no time."""
    norms = {(n.operation, n.kind, n.per): float(n.minutes) for n in house.stock.norms}
    plate = norms.get(("second-fix", "switch-plate", "piece"), 0.0)
    dimmer = norms.get(("second-fix", "dimmer", "piece"), plate)
    return LabourMinutes(
        box=norms.get(("first-fix", "switch-plate", "piece"), 0.0),
        plate=plate,
        gang=norms.get(("termination", "switch-plate", "piece"), 0.0),
        dimmer_gang=max(dimmer - plate, 0.0),
        cable_m=norms.get(("first-fix", "cable", "metre"), 0.0),
    )


def _shares(plan: PlannedHouse, codes: set[str]) -> list[tuple[Unit, int, int]]:
    """Units that serve these circuits, outputs used by them, and outputs used in all."""
    found = []
    for unit in plan.control.units:
        used = [output for output in unit.outputs if output.parts]
        ours = sum(output.parts[0].circuit in codes for output in used)
        if ours:
            found.append((unit, ours, len(used)))
    return found


def _keypads(
    house: House, plan: PlannedHouse, positions: tuple[PositionPart, ...]
) -> list[ProductSpec]:
    codes = {position.code for position in positions}
    return [
        house.by_reference[choice.reference]
        for choice in plan.keypads.choices
        if choice.code in codes and choice.reference
    ]


# --- sell prices, for staff ---------------------------------------------------------------------
def costs(
    house: House, plan: PlannedHouse, compared: Compared, prices_minor: Mapping[str, int]
) -> SideBySide | None:
    """What both ways sell for, before tax; None where the rooms have no size."""
    if compared.switches is None:
        return None
    made = compared.switches
    cable = min(
        (
            house.prices[p.id].sell
            for p in house.stock.products
            if p.kind == "cable" and p.unit == "metre" and p.id in house.prices
        ),
        default=Decimal(0),
    )
    metres = Decimal(str(made.two_core_m + made.three_core_m))
    labour = Decimal(str(made.minutes)) / 60 * _rate(house, SWITCH_GRADE)
    return side_by_side(
        items=made.items,
        prices_minor=prices_minor,
        labour_and_cable_minor=_minor(house, cable * metres + labour),
        planned_minor=_minor(house, _planned(house, plan, compared)),
    )


def _planned(house: House, plan: PlannedHouse, compared: Compared) -> Decimal:
    """Keypads of the group, its share of receivers by outputs, and their labour."""
    codes = {circuit.code for circuit in house.design.circuits_of(compared.group.id)}
    total = Decimal(0)
    for unit, ours, used in _shares(plan, codes):
        share = Decimal(ours) / Decimal(used)
        total += share * _piece(house, house.by_reference[unit.reference])
    for product in _keypads(house, plan, compared.positions):
        total += _piece(house, product)
    return total + _programming(house, compared)


def _piece(house: House, product: ProductSpec) -> Decimal:
    """One piece of hardware with the labour of fitting it, as sold."""
    price = house.prices.get(product.id)
    labour = sum(
        (
            norm.minutes / 60 * _rate(house, norm.grade)
            for norm in house.stock.norms
            if norm.kind == product.kind and norm.per == "piece"
        ),
        Decimal(0),
    )
    return (price.sell if price else Decimal(0)) + labour


def _programming(house: House, compared: Compared) -> Decimal:
    counts = _programmed(compared.scenes, compared.positions)
    return sum(
        (
            norm.minutes / 60 * counts[norm.per] * _rate(house, norm.grade)
            for norm in house.stock.norms
            if norm.per in counts
        ),
        Decimal(0),
    )


def _rate(house: House, grade: str) -> Decimal:
    return next((rate.sell for rate in house.stock.rates if rate.grade == grade), Decimal(0))


def _minor(house: House, amount: Decimal) -> int:
    return minor(amount.quantize(Decimal("0.0001"), ROUND_HALF_UP), house.stock.currency)
