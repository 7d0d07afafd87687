"""An electrician's pack as it is read: symbols used, scene tables narrow enough for a sheet."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from quoting import words
from quoting.pack import Pack, PackCircuit, PackFitting, PackScenes

SCENES_ACROSS = 10

SYMBOLS: dict[str, Promise] = {
    "luminaire": gettext_lazy("Luminaire"),
    "luminaire-recessed": gettext_lazy("Luminaire, recessed"),
    "luminaire-tape": gettext_lazy("LED tape"),
    "motor": gettext_lazy("Motor"),
    "socket": gettext_lazy("Socket outlet"),
    "receiver": gettext_lazy("Receiver, by radio"),
    "driver": gettext_lazy("Driver"),
    "keypad": gettext_lazy("Keypad"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """The circuits of one room."""

    floor: str
    room: str
    circuits: tuple[PackCircuit, ...]
    load_w: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ByOthers:
    circuit: PackCircuit
    fitting: PackFitting


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPack:
    pack: Pack
    schedules: tuple[Schedule, ...]
    scenes: tuple[PackScenes, ...]
    symbols: tuple[tuple[str, str], ...]
    by_others: tuple[ByOthers, ...]
    open_circuits: tuple[PackCircuit, ...]
    cautions: tuple[str, ...]
    load_w: Decimal
    spare: int
    has_lengths: bool


def shown_pack(pack: Pack) -> ShownPack:
    """The pack as its pages show it."""
    return ShownPack(
        pack=pack,
        schedules=tuple(_schedules(pack)),
        scenes=tuple(part for table in pack.scenes for part in _narrowed(table)),
        symbols=tuple((name, str(SYMBOLS[name])) for name in SYMBOLS if name in _used(pack)),
        by_others=tuple(
            ByOthers(circuit=circuit, fitting=fitting)
            for circuit in pack.circuits
            for fitting in circuit.fittings
            if {fitting.supplied_by, fitting.installed_by, fitting.connected_by} != {"showroom"}
        ),
        open_circuits=tuple(each for each in pack.circuits if each.open_points),
        cautions=cautions(),
        load_w=sum((each.load_w for each in pack.circuits), Decimal(0)),
        spare=sum(each.spare for each in pack.enclosures),
        has_lengths=any(each.cable_length_m is not None for each in pack.circuits),
    )


def cautions() -> tuple[str, ...]:
    """What an electrician is told before anything else."""
    return (
        _(
            "Isolate at the protective device and prove dead before you work. A scene that is off, "
            "or 'all off', is not isolation: outputs stay connected to the supply."
        ),
        *words.cautions(),
        _(
            "A circuit in this pack is what comes on together. It is not a protected final circuit, "
            "and its code says nothing about the board it is fed from."
        ),
    )


def _schedules(pack: Pack) -> Iterator[Schedule]:
    places = dict.fromkeys((circuit.floor, circuit.room) for circuit in pack.circuits)
    for floor, room in places:
        circuits = tuple(c for c in pack.circuits if (c.floor, c.room) == (floor, room))
        load = sum((c.load_w for c in circuits), Decimal(0))
        yield Schedule(floor=floor, room=room, circuits=circuits, load_w=load)


def _narrowed(table: PackScenes) -> Iterator[PackScenes]:
    """The table in parts, each with no more scenes than a sheet is wide."""
    for start in range(0, len(table.scenes), SCENES_ACROSS):
        part = slice(start, start + SCENES_ACROSS)
        yield replace(
            table,
            scenes=table.scenes[part],
            fades_s=table.fades_s[part],
            circuits=tuple(replace(row, levels=row.levels[part]) for row in table.circuits),
        )


def _used(pack: Pack) -> set[str]:
    used = {circuit.symbol for circuit in pack.circuits}
    units = [unit for each in pack.enclosures for unit in each.units]
    has_drivers = any(u.drivers or any(o.drivers for o in u.outputs) for u in units)
    used |= {"receiver"} if units else set()
    used |= {"driver"} if has_drivers else set()
    return used | ({"keypad"} if pack.positions else set())
