"""A whole design is read here, in one query, into frozen values.

One statement sees one moment: an edit that lands meanwhile is in the design wholly or not at all.
"""

import uuid
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import is_
from typing import Any

from base.once import Kept, once
from consult.design import (
    ButtonPart,
    CircuitPart,
    Design,
    EnclosurePart,
    FittingPart,
    FixedPart,
    FloorPart,
    GroupPart,
    LevelPart,
    ObjectPart,
    OpeningPart,
    OptionPart,
    PositionPart,
    ProjectPart,
    RadioPart,
    RoomPart,
    ScenePart,
)
from consult.models import (
    Circuit,
    CircuitFitting,
    Enclosure,
    FixedChoice,
    Floor,
    KeypadPosition,
    Opening,
    Option,
    OptionGroup,
    PositionButton,
    Project,
    Room,
    RoomGroup,
    RoomObject,
    Scene,
    SceneLevel,
)
from consult.radio_models import RadioPath
from consult.rows import DesignRows, Row, read_rows


def read_design(project: Project, choice: Iterable[str] | None = None) -> Design:
    """The design of a project with the options of `choice` taken.

    `choice` holds keys of options; None takes those that are in unless the client says otherwise.
    One query, whatever the size.
    """
    return design_of(read_rows(project), choice)


def design_of(rows: DesignRows, choice: Iterable[str] | None = None) -> Design:
    """The design that rows make, in reading order.

    What is made of rows that no act touched is the same object as before.
    """
    table = rows.tables
    options = _options(table[Option], table[OptionGroup])
    taken = frozenset(
        (option.id for option in options if option.is_in)
        if choice is None
        else (str(key) for key in choice)
    )
    homes = _homes(table[Room], table[Floor])
    rooms = _rooms(table[Room], table[RoomObject], table[Opening], homes, taken)
    room_ids = frozenset(room.id for room in rooms)
    circuits = _circuits(table[Circuit], table[CircuitFitting], homes, taken, room_ids)
    circuit_ids = frozenset(circuit.id for circuit in circuits)
    positions = _positions(table[KeypadPosition], table[PositionButton], homes, taken, room_ids)
    position_ids = frozenset(position.id for position in positions)
    made = Design(
        project=_project(rows.project, rows.business),
        floors=_floors(table[Floor]),
        groups=_groups(table[RoomGroup]),
        enclosures=_enclosures(table[Enclosure]),
        rooms=rooms,
        circuits=circuits,
        scenes=_scenes(table[Scene], table[SceneLevel], table[Circuit], circuit_ids),
        positions=positions,
        options=options,
        fixed=_fixed(table[FixedChoice], circuit_ids, position_ids),
        radio=_radio(table[RadioPath], position_ids),
    )
    made.is_from(" ".join([rows.digest, *sorted(taken)]))
    return made


Table = Mapping[uuid.UUID, Row]
# Tables that are kept, each with several choices of options; and rows of all of them.
TABLES_KEPT, PARTS_KEPT = 128, 40_000


def _placed(row: Any) -> tuple[int, str, str]:
    return row.position, row.name, str(row.pk)


Homes = Mapping[uuid.UUID, tuple[int, str | None]]


@once(TABLES_KEPT)
def _homes(rooms: Table, floors: Table) -> Homes:
    """The place of each room in the house, and the key of the enclosure that serves it."""
    placed = sorted(
        rooms.values(), key=lambda row: (floors[row.floor_id].position, row.position, row.number)
    )
    return {
        row.pk: (place, _key(row.enclosure_id or floors[row.floor_id].default_enclosure_id))
        for place, row in enumerate(placed)
    }


def _is_in(part: Any, taken: frozenset[str]) -> bool:
    return part.option is None or part.option in taken


@once(TABLES_KEPT)
def _floors(floors: Table) -> tuple[FloorPart, ...]:
    return tuple(
        FloorPart(id=str(row.pk), name=row.name, code=row.code)
        for row in sorted(floors.values(), key=_placed)
    )


@once(TABLES_KEPT)
def _groups(groups: Table) -> tuple[GroupPart, ...]:
    return tuple(
        GroupPart(id=str(row.pk), name=row.name) for row in sorted(groups.values(), key=_placed)
    )


@once(TABLES_KEPT)
def _enclosures(enclosures: Table) -> tuple[EnclosurePart, ...]:
    return tuple(_enclosure(row) for row in sorted(enclosures.values(), key=_placed))


@once(TABLES_KEPT)
def _options(options: Table, groups: Table) -> tuple[OptionPart, ...]:
    return tuple(
        _option(row, groups[row.group_id]) for row in sorted(options.values(), key=_placed)
    )


def _key(value: uuid.UUID | None) -> str | None:
    return None if value is None else str(value)


@once(TABLES_KEPT)
def _project(row: Row, business: Any) -> ProjectPart:
    return ProjectPart(
        id=str(row.pk),
        name=row.name,
        nation=row.nation,
        kind_of_work=row.kind_of_work,
        idea=row.idea,
        supply_v=business.supply_v,
        driver_headroom=business.driver_headroom,
        prices_hold_days=business.prices_hold_days,
        wiring_has_earth=row.wiring_has_earth,
        wiring_neutral_at=row.wiring_neutral_at,
        wiring_has_report=row.wiring_has_report,
    )


@once(PARTS_KEPT)
def _enclosure(row: Row) -> EnclosurePart:
    return EnclosurePart(
        id=str(row.pk),
        name=row.name,
        kind=row.kind,
        modules=row.modules,
        dampness=row.dampness,
        protective_device=row.protective_device,
        fed_from=row.fed_from,
        rcd_ma=row.rcd_ma,
        spare_percent=row.spare_percent,
        heat_allowance_w=row.heat_allowance_w,
        has_access=row.has_access,
        is_ventilated=row.is_ventilated,
        is_shielded=row.is_shielded,
        rcd_type=row.rcd_type,
        fault_loop_ohm=row.fault_loop_ohm,
    )


def _option(row: Row, group: Row) -> OptionPart:
    return OptionPart(
        id=str(row.pk),
        group=str(row.group_id),
        group_name=group.name,
        is_one_of=group.is_one_of,
        name=row.name,
        is_in=row.is_in,
        is_by_switches=row.is_by_switches,
    )


@once(TABLES_KEPT)
def _rooms(
    rooms: Table, objects: Table, openings: Table, homes: Homes, taken: frozenset[str]
) -> tuple[RoomPart, ...]:
    within: dict[uuid.UUID, list[ObjectPart]] = defaultdict(list)
    for row in sorted(objects.values(), key=lambda r: (r.kind, r.name, str(r.pk))):
        within[row.room_id].append(_object(row))
    open_to: dict[uuid.UUID, list[OpeningPart]] = defaultdict(list)
    for row in sorted(openings.values(), key=lambda r: str(r.pk)):
        here, there = _opening(row)
        open_to[row.room_id].append(here)
        if there is not None:
            open_to[row.other_id].append(there)
    parts = [
        _room(row, homes[row.pk][1], tuple(open_to.get(row.pk, ())), *within.get(row.pk, ()))
        for row in sorted(rooms.values(), key=lambda row: homes[row.pk][0])
    ]
    return tuple(part for part in parts if _is_in(part, taken))


@once(PARTS_KEPT)
def _object(row: Row) -> ObjectPart:
    return ObjectPart(
        id=str(row.pk),
        kind=row.kind,
        name=row.name,
        x_m=row.x_m,
        y_m=row.y_m,
        z_m=row.z_m,
        width_m=row.width_m,
        depth_m=row.depth_m,
        height_m=row.height_m,
    )


@once(PARTS_KEPT)
def _opening(row: Row) -> tuple[OpeningPart, OpeningPart | None]:
    """An opening as seen from its room, and from the other one where there is one."""

    def seen(other: uuid.UUID | None, wall: str, from_m: Any) -> OpeningPart:
        return OpeningPart(
            id=str(row.pk),
            other=_key(other),
            wall=wall,
            from_m=from_m,
            width_m=row.width_m,
            low_m=row.low_m,
            height_m=row.height_m,
        )

    here = seen(row.other_id, row.wall, row.from_m)
    if row.other_id is None:
        return here, None
    return here, seen(row.room_id, row.other_wall, row.other_from_m)


@once(PARTS_KEPT)
def _room(
    row: Row, enclosure: str | None, openings: tuple[OpeningPart, ...], *objects: ObjectPart
) -> RoomPart:
    return RoomPart(
        id=str(row.pk),
        floor=str(row.floor_id),
        group=str(row.group_id),
        enclosure=enclosure,
        number=row.number,
        name=row.name,
        use=row.use,
        length_m=row.length_m,
        width_m=row.width_m,
        height_m=row.height_m,
        void_mm=row.void_mm,
        dampness=row.dampness,
        above=row.above,
        fire_minutes=row.fire_minutes,
        joists=row.joists,
        joists_along=row.joists_along,
        joist_centres_mm=row.joist_centres_mm,
        joist_first_mm=row.joist_first_mm,
        board_layers=row.board_layers,
        is_way_out=row.is_way_out,
        option=_key(row.option_id),
        objects=objects,
        floor_reflectance=row.floor_reflectance,
        walls_reflectance=row.walls_reflectance,
        ceiling_reflectance=row.ceiling_reflectance,
        eaves_m=row.eaves_m,
        floor_m2=row.floor_m2,
        round_m=row.round_m,
        ceiling_finish=row.ceiling_finish,
        wall_finish=row.wall_finish,
        openings=openings,
    )


@once(TABLES_KEPT)
def _placed_circuits(circuits: Table, homes: Homes) -> tuple[tuple[Row, str | None], ...]:
    """In reading order, each with the enclosure of its room."""
    placed = sorted(
        circuits.values(), key=lambda row: (homes[row.room_id][0], row.position, row.number)
    )
    return tuple((row, homes[row.room_id][1]) for row in placed)


class _Last:
    """What was hung when the circuits were made last, and the circuits of it."""

    of: tuple[Table, Sequence[CircuitPart]] | None = None


_last: Kept[_Last] = Kept(TABLES_KEPT)


@once(TABLES_KEPT)
def _circuits(
    circuits: Table,
    hung: Table,
    homes: Homes,
    taken: frozenset[str],
    room_ids: frozenset[str],
) -> tuple[CircuitPart, ...]:
    placed = _placed_circuits(circuits, homes)
    last = _last.get((circuits, homes, taken, room_ids), _Last)
    before, parts = last.of or ({}, ())
    touched = {row.circuit_id for _key, row in before.items() ^ hung.items()} if parts else None
    fittings = _hung_on(hung, touched, taken, room_ids)
    parts = [
        parts[place]
        if touched is not None and row.pk not in touched
        else _hung_circuit(row, enclosure, fittings.get(row.pk, []))
        for place, (row, enclosure) in enumerate(placed)
    ]
    last.of = (hung, parts)
    return tuple(part for part in parts if part.room in room_ids and _is_in(part, taken))


def _hung_on(
    hung: Table,
    circuits: set[uuid.UUID] | None,
    taken: frozenset[str],
    room_ids: frozenset[str],
) -> Mapping[uuid.UUID, list[FittingPart]]:
    """Fittings by circuit, in order; those of some circuits, or of all."""
    rows = [row for row in hung.values() if circuits is None or row.circuit_id in circuits]
    rows.sort(key=lambda row: (row.position, str(row.pk)))
    found: dict[uuid.UUID, list[FittingPart]] = defaultdict(list)
    for row in rows:
        part = row.made or _made(row, _fitting)
        if (part.option is None or part.option in taken) and part.room in room_ids:
            found[row.circuit_id].append(part)
    return found


def _hung_circuit(row: Row, of_room: str | None, fittings: Sequence[FittingPart]) -> CircuitPart:
    """The same object as before where nothing of it changed."""
    enclosure = of_room if row.enclosure_id is None else _key(row.enclosure_id)
    made: CircuitPart | None = row.made
    if made is None or made.enclosure != enclosure or not _same(made.fittings, fittings):
        made = row.made = _circuit(row, enclosure, *fittings)
    return made


def _made(row: Row, make: Callable[[Row], Any]) -> Any:
    row.made = make(row)
    return row.made


def _same(one: Sequence[Any], other: Sequence[Any]) -> bool:
    """Whether both hold the same objects."""
    return len(one) == len(other) and all(map(is_, one, other))


def _circuit(row: Row, enclosure: str | None, *fittings: FittingPart) -> CircuitPart:
    return CircuitPart(
        id=str(row.pk),
        room=str(row.room_id),
        enclosure=enclosure,
        code=row.code,
        name=row.name,
        layer=row.layer,
        load_kind=row.load_kind,
        cable_length_m=row.cable_length_m,
        cable_mm2=row.cable_mm2,
        low_trim=row.low_trim,
        high_trim=row.high_trim,
        after_power_cut=row.after_power_cut,
        is_existing=row.is_existing,
        option=_key(row.option_id),
        fittings=fittings,
        cable_laid=row.cable_laid,
        cable_bunched=row.cable_bunched,
        cable_ambient_c=row.cable_ambient_c,
        driver_place=row.driver_place,
        driver_has_access=row.driver_has_access,
        driver_is_ventilated=row.driver_is_ventilated,
    )


def _fitting(row: Row) -> FittingPart:
    return FittingPart(
        id=str(row.pk),
        room=str(row.room_id),
        product=_key(row.product_id),
        feed=_key(row.feed_id),
        same_pieces_as=_key(row.same_pieces_as_id),
        lamp=_key(row.lamp_id),
        placeholder=row.placeholder,
        allowance=row.allowance,
        placeholder_w=row.placeholder_w,
        placeholder_lm=row.placeholder_lm,
        lamp_cap=row.lamp_cap,
        pieces=row.pieces,
        length_m=row.length_m,
        supplied_by=row.supplied_by,
        installed_by=row.installed_by,
        connected_by=row.connected_by,
        arrangement=row.arrangement,
        mounting_height_m=row.mounting_height_m,
        fixing_kg=row.fixing_kg,
        option=_key(row.option_id),
        wall=row.wall,
        offset_m=row.offset_m,
        tilt_deg=row.tilt_deg,
        is_fed_both_ends=row.is_fed_both_ends,
        over=_key(row.over_id),
    )


def _level(row: Row) -> LevelPart:
    return LevelPart(
        circuit=str(row.circuit_id), level=row.level, cct_k=row.cct_k, colour=row.colour
    )


@once(TABLES_KEPT)
def _scenes(
    scenes: Table, played: Table, circuits: Table, circuit_ids: frozenset[str]
) -> tuple[ScenePart, ...]:
    levels: dict[uuid.UUID, list[LevelPart]] = defaultdict(list)
    for row in sorted(played.values(), key=lambda r: circuits[r.circuit_id].code):
        part = row.made or _made(row, _level)
        if part.circuit in circuit_ids:
            levels[row.scene_id].append(part)
    return tuple(
        _scene(row, *levels.get(row.pk, ())) for row in sorted(scenes.values(), key=_placed)
    )


@once(PARTS_KEPT)
def _scene(row: Row, *levels: LevelPart) -> ScenePart:
    return ScenePart(
        id=str(row.pk),
        group=_key(row.group_id),
        name=row.name,
        words=row.words,
        fade_s=row.fade_s,
        levels=levels,
        hours_a_day=row.hours_a_day,
    )


@once(TABLES_KEPT)
def _positions(
    positions: Table,
    pressed: Table,
    homes: Homes,
    taken: frozenset[str],
    room_ids: frozenset[str],
) -> tuple[PositionPart, ...]:
    buttons: dict[uuid.UUID, list[ButtonPart]] = defaultdict(list)
    for row in sorted(pressed.values(), key=lambda r: r.number):
        buttons[row.keypad_position_id].append(_button(row))
    parts = [
        _position(row, *buttons.get(row.pk, ()))
        for row in sorted(
            positions.values(), key=lambda r: (homes[r.room_id][0], r.position, r.code)
        )
    ]
    return tuple(part for part in parts if part.room in room_ids and _is_in(part, taken))


@once(PARTS_KEPT)
def _button(row: Row) -> ButtonPart:
    return ButtonPart(
        number=row.number, does=row.does, scene=_key(row.scene_id), engraving=row.engraving
    )


@once(PARTS_KEPT)
def _position(row: Row, *buttons: ButtonPart) -> PositionPart:
    return PositionPart(
        id=str(row.pk),
        room=str(row.room_id),
        group=str(row.group_id),
        code=row.code,
        name=row.name,
        product=_key(row.product_id),
        is_engraved=row.is_engraved,
        height_mm=row.height_mm,
        x_m=row.x_m,
        y_m=row.y_m,
        back_box_mm=row.back_box_mm,
        back_box_gangs=row.back_box_gangs,
        option=_key(row.option_id),
        buttons=buttons,
        is_outside=row.is_outside,
    )


@once(TABLES_KEPT)
def _fixed(
    choices: Table, circuit_ids: frozenset[str], position_ids: frozenset[str]
) -> tuple[FixedPart, ...]:
    """Fixed choices about what is part of this design; those about an option not taken are left out."""
    parts = []
    for row in sorted(choices.values(), key=lambda r: (r.kind, str(r.pk))):
        part = FixedPart(
            id=str(row.pk),
            kind=row.kind,
            circuit=_key(row.circuit_id),
            other_circuit=_key(row.other_circuit_id),
            position=_key(row.keypad_position_id),
            enclosure=_key(row.enclosure_id),
            product=_key(row.product_id),
            count=row.count,
            series=row.series,
            finish=row.finish,
            reason=row.reason,
        )
        circuits = {key for key in (part.circuit, part.other_circuit) if key}
        if circuits <= circuit_ids and (part.position is None or part.position in position_ids):
            parts.append(part)
    return tuple(parts)


@once(TABLES_KEPT)
def _radio(paths: Table, position_ids: frozenset[str]) -> tuple[RadioPart, ...]:
    parts = [
        RadioPart(
            position=str(row.keypad_position_id),
            enclosure=str(row.enclosure_id),
            distance_m=row.distance_m,
            light_walls=row.light_walls,
            masonry_walls=row.masonry_walls,
            timber_floors=row.timber_floors,
            concrete_floors=row.concrete_floors,
            has_metal_box=row.has_metal_box,
            has_foil_board=row.has_foil_board,
            has_mirror=row.has_mirror,
            has_steel=row.has_steel,
        )
        for row in sorted(paths.values(), key=lambda row: str(row.pk))
    ]
    return tuple(part for part in parts if part.position in position_ids)
