"""The same rooms with ordinary switches: plates, boxes, cable, labour, and what is missing.

Counting rules (two-way, intermediate, gangs to a box) are those of UK wiring texts. Cable lengths are
estimates from the room's size and labour is the business's own norm: both are common practice.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from engineering import refusal
from engineering.dimmers import LedCapacity, box_depth_mm
from engineering.switching import DIMMER_PLATES, SWITCH_PLATES, plates_for

COLOUR_KINDS = frozenset({"dc-tunable", "dc-rgb", "dc-rgbw", "dc-rgb-tunable"})
DIMMABLE_KINDS = frozenset({"phase-dimmed", "dc-white", "analogue-dimmed", "digital-dimmed"})
LOAD_KINDS = COLOUR_KINDS | DIMMABLE_KINDS | {"switched", "motor"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchedCircuit:
    """A circuit as an ordinary switch or dimmer would work it.

    `load_w` [W] with gear; `wants_dimming` whether any scene holds it between off and full.
    """

    code: str
    load_kind: str
    load_w: float
    wants_dimming: bool = False

    def __post_init__(self) -> None:
        refusal.text("code", self.code)
        refusal.not_negative("load_w", self.load_w)
        if self.load_kind not in LOAD_KINDS:
            raise ValueError(
                f"load_kind must be one of {sorted(LOAD_KINDS)}, got {self.load_kind!r}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchPosition:
    """A place on a wall: its code, its point in plan [m] if known, the circuits worked from it."""

    code: str
    circuits: tuple[str, ...]
    point_m: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        refusal.text("code", self.code)
        if len(set(self.circuits)) != len(self.circuits):
            raise ValueError(f"circuits of {self.code} must differ, got {self.circuits!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchedRoom:
    """Size of the room [m], height of its switches [m], and the share of cable added for waste."""

    length_m: float
    width_m: float
    height_m: float
    switch_height_m: float = 1.2
    waste_share: float = 0.10

    def __post_init__(self) -> None:
        for name in ("length_m", "width_m", "height_m", "switch_height_m"):
            refusal.above_zero(name, getattr(self, name))
        refusal.not_negative("waste_share", self.waste_share)
        if self.switch_height_m > self.height_m:
            raise ValueError(
                f"switch_height_m must be at most {self.height_m}, got {self.switch_height_m!r}"
            )

    @property
    def rise_m(self) -> float:
        """From the switch up to the ceiling [m]."""
        return self.height_m - self.switch_height_m

    @property
    def across_m(self) -> float:
        """Way over the ceiling between two points that are not known [m]: half of both sides."""
        return (self.length_m + self.width_m) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourMinutes:
    """The business's own minutes for each piece of conventional work, 0 or more."""

    box: float
    plate: float
    gang: float
    dimmer_gang: float
    cable_m: float

    def __post_init__(self) -> None:
        for name in ("box", "plate", "gang", "dimmer_gang", "cable_m"):
            refusal.not_negative(name, getattr(self, name))


ReasonCode = Literal[
    "scenes",
    "dimming-from-two-places",
    "dimming",
    "colour",
    "motor",
    "dimmer-overloaded",
    "house-off",
    "no-position",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """Something that the conventional wiring does not do: a code and the circuits it concerns."""

    code: ReasonCode
    circuits: tuple[str, ...] = ()


PlateKind = Literal["dimmer", "switch"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plates:
    """Equal plates at one position."""

    position: str
    kind: PlateKind
    gangs: int
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Boxes:
    """Equal back boxes: how many box widths each takes, and how deep [mm] it is."""

    widths: int
    depth_mm: int
    pieces: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSwitches:
    """Conventional switching of one room group.

    `plates` and `boxes` count pieces; cable in m with waste: `two_core_m` drops, `three_core_m`
    strappers; `minutes` of labour; `lacks` what it cannot do.
    """

    one_way: int
    two_way: int
    intermediate: int
    dimmers: int
    plates: tuple[Plates, ...]
    boxes: tuple[Boxes, ...]
    two_core_m: float
    three_core_m: float
    minutes: float
    lacks: tuple[Lack, ...]

    @property
    def gangs(self) -> int:
        """All gangs at all positions, dimmers with them."""
        return self.one_way + self.two_way + self.intermediate + self.dimmers

    @property
    def items(self) -> Mapping[str, int]:
        """Pieces to price, by a code of ours such as 'dimmer-plate-2' or 'box-1-35'."""
        found: Counter[str] = Counter()
        for plate in self.plates:
            found[f"{plate.kind}-plate-{plate.gangs}"] += plate.pieces
        for box in self.boxes:
            found[f"box-{box.widths}-{box.depth_mm}"] += box.pieces
        if self.intermediate:
            found["intermediate-extra"] = self.intermediate
        return dict(found)


@dataclass(slots=True, kw_only=True)
class _Count:
    """Running counts while a room is worked through."""

    one_way: int = 0
    two_way: int = 0
    intermediate: int = 0
    dimmers: int = 0
    two_core_m: float = 0.0
    three_core_m: float = 0.0
    switch_gangs: Counter[str] = field(default_factory=Counter)
    dimmer_gangs: Counter[str] = field(default_factory=Counter)


def switch_room(
    *,
    circuits: Sequence[SwitchedCircuit],
    positions: Sequence[SwitchPosition],
    room: SwitchedRoom,
    dimmer: LedCapacity,
    minutes: LabourMinutes,
    scenes: int = 0,
) -> RoomSwitches:
    """Return the conventional switching of a room group, and what it cannot do.

    Parameters: circuits, each code once; positions, each code once; room; dimmer, what one dimmer
    gang carries; minutes, the business's norms; scenes, 0 or more, that the design has.
    Notes: a dimmed circuit has its dimmer at its first position and two-way or intermediate switches
    at the others, so it dims from one place. Dimmers stand on plates apart from switches. Colour and
    motor circuits are left out and named: no light switch works them. A switch drop runs from the
    middle of the ceiling to the first position, a strapper from each position to the next.
    Raises: ValueError where a position names a circuit that is not there, or codes come twice.

    >>> room = SwitchedRoom(length_m=4, width_m=3, height_m=2.4)
    >>> from engineering.dimmers import led_capacity
    >>> made = switch_room(
    ...     circuits=[SwitchedCircuit(code="A", load_kind="switched", load_w=40)],
    ...     positions=[SwitchPosition(code="door", circuits=("A",))], room=room,
    ...     dimmer=led_capacity(rating_w=400),
    ...     minutes=LabourMinutes(box=20, plate=5, gang=5, dimmer_gang=8, cable_m=3))
    >>> made.one_way, made.boxes[0].depth_mm, round(made.two_core_m, 2)
    (1, 25, 5.17)
    """
    refusal.count("scenes", scenes, at_least=0)
    _check_codes(circuits, positions)
    count = _Count()
    for circuit in circuits:
        places = [each for each in positions if circuit.code in each.circuits]
        if places and _is_worked(circuit):
            _add_circuit(count, circuit, places, room)
    plates = _plates(count)
    boxes = _boxes(plates)
    return RoomSwitches(
        one_way=count.one_way,
        two_way=count.two_way,
        intermediate=count.intermediate,
        dimmers=count.dimmers,
        plates=plates,
        boxes=boxes,
        two_core_m=count.two_core_m,
        three_core_m=count.three_core_m,
        minutes=_minutes(count, plates=plates, boxes=boxes, minutes=minutes),
        lacks=_lacks(circuits, positions, dimmer=dimmer, scenes=scenes),
    )


def _check_codes(circuits: Sequence[SwitchedCircuit], positions: Sequence[SwitchPosition]) -> None:
    for name, codes in (
        ("circuits", [each.code for each in circuits]),
        ("positions", [each.code for each in positions]),
    ):
        if len(set(codes)) != len(codes):
            raise ValueError(f"codes of {name} must differ, got {codes!r}")
    known = {each.code for each in circuits}
    for position in positions:
        strange = set(position.circuits) - known
        if strange:
            raise ValueError(
                f"{position.code} names circuits that are not there: {sorted(strange)}"
            )


def _is_worked(circuit: SwitchedCircuit) -> bool:
    return circuit.load_kind not in COLOUR_KINDS and circuit.load_kind != "motor"


def _is_dimmed(circuit: SwitchedCircuit) -> bool:
    return circuit.wants_dimming and circuit.load_kind in DIMMABLE_KINDS


def _add_circuit(
    count: _Count, circuit: SwitchedCircuit, places: list[SwitchPosition], room: SwitchedRoom
) -> None:
    first, *others = places
    with_waste = 1 + room.waste_share
    if _is_dimmed(circuit):
        count.dimmers += 1
        count.dimmer_gangs[first.code] += 1
        # The dimmer is itself the first of the two changeover ends.
        count.two_way += 1 if others else 0
    else:
        count.one_way += 0 if others else 1
        count.two_way += 2 if others else 0
        count.switch_gangs[first.code] += 1
    count.intermediate += max(len(places) - 2, 0)
    for other in others:
        count.switch_gangs[other.code] += 1
    middle = (room.length_m / 2, room.width_m / 2)
    count.two_core_m += (_over_m(first.point_m, middle, room) + room.rise_m) * with_waste
    for start, end in zip(places, others, strict=False):
        way_m = _over_m(start.point_m, end.point_m, room) + 2 * room.rise_m
        count.three_core_m += way_m * with_waste


def _over_m(
    start: tuple[float, float] | None, end: tuple[float, float] | None, room: SwitchedRoom
) -> float:
    """Return the way over the ceiling, square to the walls as cable runs."""
    if start is None or end is None:
        return room.across_m
    return abs(start[0] - end[0]) + abs(start[1] - end[1])


def _plates(count: _Count) -> tuple[Plates, ...]:
    found: Counter[tuple[str, PlateKind, int]] = Counter()
    for position, gangs in count.switch_gangs.items():
        for size in plates_for(gangs=gangs, sold=SWITCH_PLATES):
            found[(position, "switch", size)] += 1
    for position, gangs in count.dimmer_gangs.items():
        for size in plates_for(gangs=gangs, sold=DIMMER_PLATES):
            found[(position, "dimmer", size)] += 1
    return tuple(
        Plates(position=position, kind=kind, gangs=gangs, pieces=pieces)
        for (position, kind, gangs), pieces in sorted(found.items())
    )


def _boxes(plates: Sequence[Plates]) -> tuple[Boxes, ...]:
    found: Counter[tuple[int, int]] = Counter()
    for plate in plates:
        is_dimmer = plate.kind == "dimmer"
        widths = (DIMMER_PLATES if is_dimmer else SWITCH_PLATES)[plate.gangs]
        found[(widths, box_depth_mm(is_dimmer=is_dimmer))] += plate.pieces
    return tuple(
        Boxes(widths=widths, depth_mm=depth_mm, pieces=pieces)
        for (widths, depth_mm), pieces in sorted(found.items())
    )


def _minutes(
    count: _Count,
    *,
    plates: Sequence[Plates],
    boxes: Sequence[Boxes],
    minutes: LabourMinutes,
) -> float:
    return (
        minutes.box * sum(box.pieces for box in boxes)
        + minutes.plate * sum(plate.pieces for plate in plates)
        + minutes.gang * (count.one_way + count.two_way + count.intermediate)
        + minutes.dimmer_gang * count.dimmers
        + minutes.cable_m * (count.two_core_m + count.three_core_m)
    )


def _lacks(
    circuits: Sequence[SwitchedCircuit],
    positions: Sequence[SwitchPosition],
    *,
    dimmer: LedCapacity,
    scenes: int,
) -> tuple[Lack, ...]:
    seen = Counter(code for position in positions for code in position.circuits)
    dimmed = [each for each in circuits if _is_dimmed(each)]
    wanted: list[tuple[ReasonCode, list[SwitchedCircuit]]] = [
        ("dimming-from-two-places", [each for each in dimmed if seen[each.code] > 1]),
        (
            "dimming",
            [
                each
                for each in circuits
                if each.wants_dimming and _is_worked(each) and not _is_dimmed(each)
            ],
        ),
        ("dimmer-overloaded", [each for each in dimmed if each.load_w > dimmer.led_w]),
        ("colour", [each for each in circuits if each.load_kind in COLOUR_KINDS]),
        ("motor", [each for each in circuits if each.load_kind == "motor"]),
        ("no-position", [each for each in circuits if _is_worked(each) and not seen[each.code]]),
    ]
    lacks = [
        Lack(code=code, circuits=tuple(each.code for each in found))
        for code, found in wanted
        if found
    ]
    if scenes:
        lacks.insert(0, Lack(code="scenes"))
    if len(circuits) > 1:
        lacks.append(Lack(code="house-off"))
    return tuple(lacks)
