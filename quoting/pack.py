"""What an electrician wires from, frozen with the issue: circuits, units, positions, scenes; no money.

Frozen content; `quoting.packing` makes it of a house and its plan. Codes stay codes ('phase-dimmed', 'no_driver'):
they are worded where they are shown. A product is named as clients name it, never by reference.
Loads are in watts, to a tenth; lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from base.content import Content

FORMAT = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class PackFitting(Content):
    """Pieces of one thing on a circuit. ``symbol`` names a drawing of static/icons/symbols.svg."""

    name: str
    room: str
    pieces: int
    length_m: Decimal | None = None
    lamp: str = ""
    symbol: str = ""
    ip_code: str = ""
    height_m: Decimal | None = None
    supplied_by: str = "showroom"
    installed_by: str = "showroom"
    connected_by: str = "showroom"


@dataclass(frozen=True, slots=True, kw_only=True)
class PackDriver(Content):
    """Drivers of one product at one place, and what they carry together [W].

    ``is_before_unit``: they feed a whole unit, not one output, and stand with each of its circuits.
    """

    name: str
    count: int
    load_w: Decimal
    is_before_unit: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PackFeed(Content):
    """One output that feeds a circuit, or a part of it."""

    enclosure: str
    unit: str
    output: int
    channel: int
    pieces: int
    load_w: Decimal
    drivers: tuple[PackDriver, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PackCircuit(Content):
    """A row of the circuit schedule. ``open_points`` are codes of what keeps it from being planned."""

    code: str
    floor: str
    room: str
    name: str
    layer: str
    load_kind: str
    pieces: int
    load_w: Decimal
    fittings: tuple[PackFitting, ...] = ()
    feeds: tuple[PackFeed, ...] = ()
    open_points: tuple[str, ...] = ()
    cable_length_m: Decimal | None = None
    is_existing: bool = False

    @property
    def symbol(self) -> str:
        """The symbol of what hangs on it first; none while nothing does."""
        return self.fittings[0].symbol if self.fittings else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackOutput(Content):
    """An output of a unit; without a circuit it is spare."""

    number: int
    circuit: str = ""
    name: str = ""
    room: str = ""
    channel: int = 1
    pieces: int = 0
    load_w: Decimal = Decimal(0)
    max_w: Decimal | None = None
    drivers: tuple[PackDriver, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PackUnit(Content):
    """A receiver. ``label`` is U and its number within the enclosure."""

    label: str
    name: str
    modules: int
    needs_neutral: bool
    load_w: Decimal
    max_w: Decimal | None
    spare: int
    outputs: tuple[PackOutput, ...]
    drivers: tuple[PackDriver, ...] = ()  # before the unit, over several outputs


@dataclass(frozen=True, slots=True, kw_only=True)
class PackEnclosure(Content):
    """Where receivers are kept. ``modules`` None: its capacity is not known."""

    name: str
    kind: str
    dampness: str
    protective_device: str
    modules: int | None
    modules_used: int
    load_w: Decimal
    spare: int
    units: tuple[PackUnit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackButton(Content):
    """A button: ``does`` is scene, all-on, all-off or nothing."""

    number: int
    does: str
    scene: str = ""
    engraving: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackPosition(Content):
    """A place where a keypad hangs. ``keypad`` is empty where none is chosen or fits."""

    code: str
    name: str
    room: str
    group: str
    keypad: str
    finish: str
    height_mm: int
    gangs: int | None
    box_mm: int | None
    is_battery: bool
    is_engraved: bool
    buttons: tuple[PackButton, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackLevels(Content):
    """A circuit through the scenes of its table, in the table's order; None: left as it was."""

    code: str
    name: str
    room: str
    levels: tuple[int | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackScenes(Content):
    """The scenes of a group of rooms; ``group`` empty: of the whole house."""

    group: str
    rooms: tuple[str, ...]
    scenes: tuple[str, ...]
    fades_s: tuple[Decimal, ...]
    circuits: tuple[PackLevels, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack(Content):
    """All that an electrician's pack says."""

    format: int = FORMAT
    supply_v: int
    circuits: tuple[PackCircuit, ...]
    enclosures: tuple[PackEnclosure, ...]
    positions: tuple[PackPosition, ...]
    scenes: tuple[PackScenes, ...]
