"""A whole design as frozen values: what is where, what comes on together, how it is played.

No Django, no money. A design accepts gaps (a room without a height): what a calculation cannot do
without is asked for where the calculation is prepared, and a gap there is a finding, not a crash.
Keys are texts of the rows' UUIDs. The codec is `Content`: `design.to_content()` and
`Design.from_content(...)`; `FORMAT` is raised when an entry changes its meaning or goes.
"""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from base.content import Content

FORMAT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ProjectPart(Content):
    id: str
    name: str
    nation: str
    kind_of_work: str
    idea: str
    supply_v: int
    driver_headroom: Decimal
    prices_hold_days: int
    wiring_has_earth: bool | None
    wiring_neutral_at: str
    wiring_has_report: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorPart(Content):
    id: str
    name: str
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPart(Content):
    id: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectPart(Content):
    id: str
    kind: str
    name: str
    x_m: Decimal | None
    y_m: Decimal | None
    z_m: Decimal | None
    width_m: Decimal | None
    depth_m: Decimal | None
    height_m: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningPart(Content):
    """An opening as seen from one of its rooms; `other` None where it leads to no room of the job.

    `wall` is empty, and a measure None, where nobody said.
    """

    id: str
    other: str | None
    wall: str
    from_m: Decimal | None
    width_m: Decimal | None
    low_m: Decimal | None
    height_m: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPart(Content):
    id: str
    floor: str
    group: str
    enclosure: str | None
    number: int
    name: str
    use: str
    length_m: Decimal | None
    width_m: Decimal | None
    height_m: Decimal | None
    void_mm: int | None
    dampness: str
    above: str
    fire_minutes: int | None
    joists: str
    joists_along: str
    joist_centres_mm: int | None
    joist_first_mm: int | None
    board_layers: int | None
    is_way_out: bool
    option: str | None
    objects: tuple[ObjectPart, ...]
    floor_reflectance: Decimal | None = None
    walls_reflectance: Decimal | None = None
    ceiling_reflectance: Decimal | None = None
    eaves_m: Decimal | None = None
    floor_m2: Decimal | None = None  # typed where the room is no rectangle, as is the way round
    round_m: Decimal | None = None
    ceiling_finish: str = ""
    wall_finish: str = ""
    openings: tuple[OpeningPart, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EnclosurePart(Content):
    id: str
    name: str
    kind: str
    modules: int | None
    dampness: str
    protective_device: str
    fed_from: str
    rcd_ma: int | None
    spare_percent: int
    heat_allowance_w: Decimal | None
    has_access: bool | None
    is_ventilated: bool | None
    is_shielded: bool
    rcd_type: str = ""
    fault_loop_ohm: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingPart(Content):
    """Pieces of a product, or a placeholder, on a circuit.

    `same_pieces_as` names the row whose pieces these are, seen through another feed: they count
    in loads and light, not again in quantity.
    """

    id: str
    room: str
    product: str | None
    feed: str | None
    same_pieces_as: str | None
    lamp: str | None
    placeholder: str
    allowance: Decimal | None
    placeholder_w: Decimal | None
    placeholder_lm: Decimal | None
    lamp_cap: str
    pieces: int
    length_m: Decimal | None
    supplied_by: str
    installed_by: str
    connected_by: str
    arrangement: str
    mounting_height_m: Decimal | None
    fixing_kg: Decimal | None
    option: str | None
    wall: str = ""
    offset_m: Decimal | None = None
    tilt_deg: int | None = None
    is_fed_both_ends: bool = False
    over: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitPart(Content):
    id: str
    room: str
    enclosure: str | None
    code: str
    name: str
    layer: str
    load_kind: str
    cable_length_m: Decimal | None
    cable_mm2: Decimal | None
    low_trim: int | None
    high_trim: int | None
    after_power_cut: str
    is_existing: bool
    option: str | None
    fittings: tuple[FittingPart, ...]
    cable_laid: str = ""
    cable_bunched: int | None = None
    cable_ambient_c: int | None = None
    driver_place: str = ""
    driver_has_access: bool | None = None
    driver_is_ventilated: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelPart(Content):
    """The level of a circuit; of a blind its place, 0 closed and 100 open. Colour where it has one."""

    circuit: str
    level: int
    cct_k: int | None = None
    colour: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenePart(Content):
    """A scene of a room group; `group` None means the whole house."""

    id: str
    group: str | None
    name: str
    words: str
    fade_s: Decimal
    levels: tuple[LevelPart, ...]
    hours_a_day: Decimal | None = None  # on an average day; None where nobody said


@dataclass(frozen=True, slots=True, kw_only=True)
class ButtonPart(Content):
    number: int
    does: str
    scene: str | None
    engraving: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionPart(Content):
    id: str
    room: str
    group: str
    code: str
    name: str
    product: str | None
    is_engraved: bool
    height_mm: int
    x_m: Decimal | None
    y_m: Decimal | None
    back_box_mm: int | None
    back_box_gangs: int | None
    option: str | None
    buttons: tuple[ButtonPart, ...]
    is_outside: bool = False  # by the door of its room, on the other side


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedPart(Content):
    """A choice of the plan that somebody overruled; what is not of its kind is None or empty."""

    id: str
    kind: str
    circuit: str | None
    other_circuit: str | None
    position: str | None
    enclosure: str | None
    product: str | None
    count: int | None
    series: str
    finish: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RadioPart(Content):
    """What lies between a keypad position and an enclosure, by their keys."""

    position: str
    enclosure: str
    distance_m: Decimal
    light_walls: int
    masonry_walls: int
    timber_floors: int
    concrete_floors: int
    has_metal_box: bool
    has_foil_board: bool
    has_mirror: bool
    has_steel: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionPart(Content):
    id: str
    group: str
    group_name: str
    is_one_of: bool
    name: str
    is_in: bool
    is_by_switches: bool = False  # then no control hardware, keypad or scene is part of it


@dataclass(frozen=True, kw_only=True)  # no slots: the look-ups below are kept once made
class Design(Content):
    """All of a project's design for one choice of options, in reading order."""

    format: int = FORMAT
    project: ProjectPart
    floors: tuple[FloorPart, ...]
    groups: tuple[GroupPart, ...]
    enclosures: tuple[EnclosurePart, ...]
    rooms: tuple[RoomPart, ...]
    circuits: tuple[CircuitPart, ...]
    scenes: tuple[ScenePart, ...]
    positions: tuple[PositionPart, ...]
    options: tuple[OptionPart, ...]
    fixed: tuple[FixedPart, ...] = ()
    radio: tuple[RadioPart, ...] = ()

    def is_from(self, text: str) -> None:
        """Say what the whole design was made from, so that its digest need not look at all of it."""
        self.__dict__["digest"] = hashlib.sha256(text.encode()).hexdigest()

    @cached_property
    def digest(self) -> str:
        """SHA-256 of what the design was made from, or of its content: other designs have others."""
        content = json.dumps(self.to_content(), sort_keys=True, default=str)
        return hashlib.sha256(content.encode()).hexdigest()

    @cached_property
    def room_of(self) -> dict[str, RoomPart]:
        return {room.id: room for room in self.rooms}

    @cached_property
    def floor_of(self) -> dict[str, FloorPart]:
        return {floor.id: floor for floor in self.floors}

    @cached_property
    def group_of(self) -> dict[str, GroupPart]:
        return {group.id: group for group in self.groups}

    @cached_property
    def circuit_of(self) -> dict[str, CircuitPart]:
        return {circuit.id: circuit for circuit in self.circuits}

    @cached_property
    def enclosure_of(self) -> dict[str, EnclosurePart]:
        return {enclosure.id: enclosure for enclosure in self.enclosures}

    def circuits_in(self, room_id: str) -> tuple[CircuitPart, ...]:
        return self._circuits_by_room.get(room_id, ())

    def scenes_of(self, group_id: str | None) -> tuple[ScenePart, ...]:
        return self._scenes_by_group.get(group_id, ())

    def circuits_of(self, group_id: str) -> tuple[CircuitPart, ...]:
        """Circuits of the rooms that share scenes in this group."""
        return self._circuits_by_group.get(group_id, ())

    @cached_property
    def _circuits_by_room(self) -> dict[str, tuple[CircuitPart, ...]]:
        return _grouped((circuit.room, circuit) for circuit in self.circuits)

    @cached_property
    def _circuits_by_group(self) -> dict[str, tuple[CircuitPart, ...]]:
        rooms = self.room_of
        return _grouped(
            (rooms[circuit.room].group, circuit)
            for circuit in self.circuits
            if circuit.room in rooms
        )

    @cached_property
    def _scenes_by_group(self) -> dict[str | None, tuple[ScenePart, ...]]:
        return _grouped((scene.group, scene) for scene in self.scenes)

    def product_ids(self) -> frozenset[str]:
        """Keys of every product the design names."""
        fittings = [f for circuit in self.circuits for f in circuit.fittings]
        named = [f.product for f in fittings] + [f.lamp for f in fittings]
        named += [position.product for position in self.positions]
        named += [fixed.product for fixed in self.fixed]
        return frozenset(key for key in named if key)


def _grouped[K, V](pairs: Iterable[tuple[K, V]]) -> dict[K, tuple[V, ...]]:
    """Values by key, each in the order that they come."""
    found: dict[K, list[V]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return {key: tuple(values) for key, values in found.items()}
