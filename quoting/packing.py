"""From a house and its plan to the electrician's pack (`quoting.pack`). Pure.

A product is named as clients name it, never by reference.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from quoting.pack import (
    Pack,
    PackButton,
    PackCircuit,
    PackDriver,
    PackEnclosure,
    PackFeed,
    PackFitting,
    PackLevels,
    PackOutput,
    PackPosition,
    PackScenes,
    PackUnit,
)

if TYPE_CHECKING:
    from consult.design import CircuitPart, Design, EnclosurePart, FittingPart, PositionPart
    from consult.pieces import House
    from consult.planning import PlannedHouse
    from engineering.control import EnclosurePlan, Output, PowerSupply, Unit

_TENTH = Decimal("0.1")


def pack_of(house: House, planned: PlannedHouse) -> Pack:
    """The pack of a design and its control plan, in reading order."""
    design = house.design
    feeds = _feeds(house, planned)
    return Pack(
        supply_v=design.project.supply_v,
        circuits=tuple(_circuit(house, planned, feeds, each) for each in design.circuits),
        enclosures=tuple(_enclosures(house, planned)),
        positions=tuple(_position(house, planned, each) for each in design.positions),
        scenes=tuple(_scene_tables(design)),
    )


def watts(value: float) -> Decimal:
    """Watts to a tenth, half up.

    >>> watts(57.649999)
    Decimal('57.6')
    """
    return Decimal(str(value)).quantize(_TENTH, rounding=ROUND_HALF_UP)


# --- circuits -----------------------------------------------------------------------------------
def _circuit(
    house: House, planned: PlannedHouse, feeds: dict[str, list[PackFeed]], circuit: CircuitPart
) -> PackCircuit:
    design = house.design
    room = design.room_of[circuit.room]
    load = house.loads[circuit.id]
    return PackCircuit(
        code=circuit.code,
        floor=design.floor_of[room.floor].name,
        room=room.name,
        name=circuit.name,
        layer=circuit.layer,
        load_kind=circuit.load_kind,
        pieces=len(load.pieces_w),
        load_w=watts(load.watts),
        fittings=tuple(_fitting(house, each) for each in circuit.fittings),
        feeds=tuple(feeds.get(circuit.code, ())),
        open_points=tuple(dict.fromkeys(_open_points(planned, circuit))),
        cable_length_m=circuit.cable_length_m,
        is_existing=circuit.is_existing,
    )


def _open_points(planned: PlannedHouse, circuit: CircuitPart) -> Iterator[str]:
    rows = {circuit.id, *(fitting.id for fitting in circuit.fittings)}
    yield from (gap.code for gap in planned.gaps if gap.row in rows)
    yield from (each.reason for each in planned.control.unserved if each.code == circuit.code)


def _fitting(house: House, fitting: FittingPart) -> PackFitting:
    product, lamp = house.product(fitting.product), house.product(fitting.lamp)
    return PackFitting(
        name=product.shown_name if product else fitting.placeholder,
        room=house.design.room_of[fitting.room].name,
        pieces=fitting.pieces,
        length_m=fitting.length_m,
        lamp=lamp.shown_name if lamp else "",
        symbol=_symbol(house, fitting),
        ip_code=product.fitting.ip_code if product and product.fitting else "",
        height_m=fitting.mounting_height_m,
        supplied_by=fitting.supplied_by,
        installed_by=fitting.installed_by,
        connected_by=fitting.connected_by,
    )


def _symbol(house: House, fitting: FittingPart) -> str:
    product = house.product(fitting.product)
    if product is None:
        return "luminaire"
    if product.kind == "fitting":
        spec = product.fitting
        is_recessed = spec is not None and (spec.cut_out_mm or spec.recess_depth_mm)
        return "luminaire-recessed" if is_recessed else "luminaire"
    return {"tape": "luminaire-tape", "blind": "motor", "outlet": "socket"}.get(
        product.kind, "luminaire"
    )


def _drivers(
    house: House, supplies: Iterable[PowerSupply], *, is_before_unit: bool = False
) -> tuple[PackDriver, ...]:
    return tuple(
        PackDriver(
            name=house.by_reference[each.reference].shown_name,
            count=each.count,
            load_w=watts(each.load_w),
            is_before_unit=is_before_unit,
        )
        for each in supplies
    )


def _feeds(house: House, planned: PlannedHouse) -> dict[str, list[PackFeed]]:
    names = {each.id: each.name for each in house.design.enclosures}
    found: dict[str, list[PackFeed]] = {}
    for unit in planned.control.units:
        for output in unit.outputs:
            for part in output.parts:
                found.setdefault(part.circuit, []).append(
                    PackFeed(
                        enclosure=names[unit.enclosure],
                        unit=f"U{unit.number}",
                        output=output.number,
                        channel=part.channel,
                        pieces=len(part.pieces),
                        load_w=watts(part.power_w),
                        drivers=(
                            *_drivers(house, unit.supplies, is_before_unit=True),
                            *_drivers(house, part.supplies),
                        ),
                    )
                )
    return found


# --- enclosures ---------------------------------------------------------------------------------
def _enclosures(house: House, planned: PlannedHouse) -> Iterator[PackEnclosure]:
    plans = {each.reference: each for each in planned.control.enclosures}
    for part in house.design.enclosures:
        plan = plans.get(part.id)
        if plan is not None and plan.units:
            yield _enclosure(house, part, plan)


def _enclosure(house: House, part: EnclosurePart, plan: EnclosurePlan) -> PackEnclosure:
    units = tuple(_unit(house, unit) for unit in plan.units)
    return PackEnclosure(
        name=part.name,
        kind=part.kind,
        dampness=part.dampness,
        protective_device=part.protective_device,
        modules=part.modules,
        modules_used=sum(unit.modules for unit in units),
        load_w=watts(plan.load_w),
        spare=plan.spare_outputs,
        units=units,
    )


def _unit(house: House, unit: Unit) -> PackUnit:
    product = house.by_reference[unit.reference]
    spec = product.receiver
    return PackUnit(
        label=f"U{unit.number}",
        name=product.shown_name,
        modules=spec.modules if spec else 0,
        needs_neutral=spec.needs_neutral if spec else True,
        load_w=watts(unit.load_w),
        max_w=watts(unit.max_w) if unit.max_w else None,
        spare=unit.spare_outputs,
        outputs=tuple(_output(house, each) for each in unit.outputs),
        drivers=_drivers(house, unit.supplies, is_before_unit=True),
    )


def _output(house: House, output: Output) -> PackOutput:
    limit = watts(output.max_w) if output.max_w else None
    if not output.parts:
        return PackOutput(number=output.number, max_w=limit)
    part = output.parts[0]
    circuit = next(each for each in house.design.circuits if each.code == part.circuit)
    return PackOutput(
        number=output.number,
        circuit=part.circuit,
        name=circuit.name,
        room=house.design.room_of[circuit.room].name,
        channel=part.channel,
        pieces=len(part.pieces),
        load_w=watts(output.power_w),
        max_w=limit,
        drivers=_drivers(house, part.supplies),
    )


# --- positions and scenes -----------------------------------------------------------------------
def engraved_positions(house: House, planned: PlannedHouse) -> tuple[PackPosition, ...]:
    """The positions whose plates are engraved."""
    found = (each for each in house.design.positions if each.is_engraved)
    return tuple(_position(house, planned, each) for each in found)


def _position(house: House, planned: PlannedHouse, part: PositionPart) -> PackPosition:
    design = house.design
    chosen = {choice.code: choice.reference for choice in planned.keypads.choices}
    product = house.by_reference.get(chosen.get(part.code) or "")
    spec = product.keypad if product else None
    names = {scene.id: scene.name for scene in design.scenes}
    return PackPosition(
        code=part.code,
        name=part.name,
        room=design.room_of[part.room].name,
        group=design.group_of[part.group].name,
        keypad=product.shown_name if product else "",
        finish=product.finish if product else "",
        height_mm=part.height_mm,
        gangs=spec.gangs if spec else None,
        box_mm=spec.back_box_mm if spec else None,
        is_battery=spec.is_battery if spec else False,
        is_engraved=part.is_engraved,
        buttons=tuple(
            PackButton(
                number=button.number,
                does=button.does,
                scene=names.get(button.scene or "", ""),
                engraving=button.engraving,
            )
            for button in part.buttons
        ),
    )


def _scene_tables(design: Design) -> Iterator[PackScenes]:
    for group in design.groups:
        rooms = tuple(room.name for room in design.rooms if room.group == group.id)
        yield from _scene_table(design, group.id, group.name, rooms, design.circuits_of(group.id))
    yield from _scene_table(design, None, "", (), design.circuits)


def _scene_table(
    design: Design,
    key: str | None,
    name: str,
    rooms: tuple[str, ...],
    circuits: tuple[CircuitPart, ...],
) -> Iterator[PackScenes]:
    scenes = design.scenes_of(key)
    if not scenes:
        return
    levels = {(s.id, level.circuit): level.level for s in scenes for level in s.levels}
    yield PackScenes(
        group=name,
        rooms=rooms,
        scenes=tuple(scene.name for scene in scenes),
        fades_s=tuple(scene.fade_s for scene in scenes),
        circuits=tuple(
            PackLevels(
                code=circuit.code,
                name=circuit.name,
                room=design.room_of[circuit.room].name,
                levels=tuple(levels.get((scene.id, circuit.id)) for scene in scenes),
            )
            for circuit in circuits
        ),
    )
