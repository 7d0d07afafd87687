"""Units that are wired already: what stays on them, and the room they have left."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from engineering.control_cover import HeldFrame
from engineering.control_plan import Reason, Unit
from engineering.control_problem import ControlCircuit
from engineering.control_supplies import Feed, feeds
from engineering.control_units import Headroom, UnitChoice, grains, part_refusal
from engineering.control_ways import Part
from engineering.drivers import DriverOption


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldUnit:
    """A wired unit: its number, its unit choice, and by output number the part and channel on it."""

    number: int
    choice: int
    used: Mapping[int, tuple[Part, int]]
    load: int
    routes: Mapping[str, int] = field(default_factory=dict)

    @property
    def circuits(self) -> set[str]:
        """Codes of the circuits it feeds."""
        return {part.circuit for part, _ in self.used.values()}

    @property
    def drivers_width(self) -> float:
        """Width of the drivers after its outputs that stand in the enclosure."""
        return math.fsum(part.feed.width for part, channel in self.used.values() if channel == 1)


@dataclass(slots=True, kw_only=True)
class HeldState:
    """The held units of an enclosure, the circuits they keep, and what could not be kept."""

    units: list[HeldUnit] = field(default_factory=list)
    circuits: set[str] = field(default_factory=set)
    broken: list[Reason] = field(default_factory=list)


def read_held(
    *,
    held: Sequence[Unit],
    circuits: Mapping[str, ControlCircuit],
    choices: Sequence[UnitChoice],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
) -> HeldState:
    """Return what can be kept of the wired units of one enclosure.

    A circuit is kept where the units hold all its pieces as it now is and no limit is broken. Else it is
    named and planned anew; a unit whose product is not on offer is named and left out.
    """
    reader = _Reader(circuits, choices, drivers, headroom)
    return reader.read(sorted(held, key=lambda unit: unit.number))


class _Reader:
    def __init__(
        self,
        circuits: Mapping[str, ControlCircuit],
        choices: Sequence[UnitChoice],
        drivers: Sequence[DriverOption],
        headroom: Headroom,
    ) -> None:
        self.circuits = circuits
        self.choices = choices
        self.drivers = drivers
        self.headroom = headroom
        self.state = HeldState()
        self.parts: dict[tuple[str, tuple[int, ...]], Part] = {}

    def read(self, held: Sequence[Unit]) -> HeldState:
        known: list[tuple[Unit, int]] = []
        numbers: set[int] = set()
        for unit in held:
            choice = self._choice(unit)
            if choice is None or unit.number in numbers or not self._outputs_fit(unit, choice):
                self.state.broken.append(
                    Reason(
                        code="held_unknown_product",
                        values={"unit": unit.number, "receiver": unit.reference},
                    )
                )
                continue
            numbers.add(unit.number)
            known.append((unit, choice))
        dropped = self._changed(known)
        while over := self._overloaded(known, dropped):
            dropped[over] = "held_cannot_hold"
        self._keep(known, dropped)
        return self.state

    def _choice(self, unit: Unit) -> int | None:
        driver = unit.supplies[0].reference if unit.supplies else ""
        volts = unit.supplies[0].volts if unit.supplies else 0.0
        for number, choice in enumerate(self.choices):
            own = choice.driver.reference if choice.driver else ""
            same = choice.receiver.reference == unit.reference and own == driver
            if same and math.isclose(choice.volts, volts):
                return number
        return None

    def _outputs_fit(self, unit: Unit, choice: int) -> bool:
        numbers = [output.number for output in unit.outputs]
        most = self.choices[choice].receiver.outputs
        return len(set(numbers)) == len(numbers) and all(1 <= number <= most for number in numbers)

    def _changed(self, known: Sequence[tuple[Unit, int]]) -> dict[str, str]:
        """Return the circuits that the units do not hold as they now are, each with a code."""
        seats: dict[str, list[tuple[int, int, tuple[int, ...], int]]] = defaultdict(list)
        dropped: dict[str, str] = {}
        for unit, choice in known:
            for output in unit.outputs:
                for part in output.parts[1:]:
                    dropped[part.circuit] = "held_changed"
                for part in output.parts[:1]:
                    seats[part.circuit].append((unit.number, choice, part.pieces, part.channel))
                    supply = part.supplies[0].reference if part.supplies else ""
                    self._part(part.circuit, part.pieces, supply)
        for code, seated in seats.items():
            refusal = self._refusal(code, seated)
            if refusal:
                dropped.setdefault(code, refusal)
        return dropped

    def _part(self, code: str, pieces: tuple[int, ...], supply: str) -> None:
        """Work out how a part is fed, by its own driver where that still can."""
        circuit = self.circuits.get(code)
        if circuit is None or any(not 0 <= place < len(circuit.pieces_w) for place in pieces):
            return
        pieces_w = [circuit.pieces_w[place] for place in pieces]
        own = [driver for driver in self.drivers if driver.reference == supply]
        found: tuple[Feed, ...] = ()
        for offered in (own, self.drivers):
            if pieces_w and not found:
                found = feeds(
                    circuit=circuit, pieces_w=pieces_w, drivers=offered, headroom=self.headroom
                )
        if found:
            self.parts[code, pieces] = Part(
                circuit=code, pieces=pieces, feed=found[0], outputs=circuit.channels
            )

    def _refusal(self, code: str, seated: Sequence[tuple[int, int, tuple[int, ...], int]]) -> str:
        circuit = self.circuits.get(code)
        if circuit is None:
            return "held_gone"
        groups: Counter[tuple[int, int, tuple[int, ...]]] = Counter(seat[:3] for seat in seated)
        places = sorted(place for _, _, pieces in groups for place in pieces)
        channels = {(seat[0], seat[2], seat[3]) for seat in seated}
        is_whole = places == list(range(len(circuit.pieces_w)))
        is_fed = all(n == circuit.channels for n in groups.values()) and len(channels) == len(
            seated
        )
        is_one_unit = circuit.channels == 1 or len({unit for unit, _, _ in groups}) == 1
        if not (is_whole and is_fed and is_one_unit):
            return "held_changed"
        for _, choice, pieces in groups:
            part = self.parts.get((code, pieces))
            if part is None or part_refusal(
                choice=self.choices[choice],
                circuit=circuit,
                power_w=part.feed.power_w,
                pieces=len(pieces),
            ):
                return "held_cannot_hold"
        return ""

    def _overloaded(
        self, known: Sequence[tuple[Unit, int]], dropped: Mapping[str, str]
    ) -> str | None:
        """Return the last circuit of a unit whose load is above what it may carry, or None."""
        for unit, choice in known:
            parts = {
                (part.circuit, part.pieces)
                for output in unit.outputs
                for part in output.parts
                if part.circuit not in dropped
            }
            load = sum(grains(self.parts[part].feed.power_w) for part in parts)
            if load > grains(self.choices[choice].capacity_w):
                return max(parts)[0]
        return None

    def _keep(self, known: Sequence[tuple[Unit, int]], dropped: Mapping[str, str]) -> None:
        for code in sorted(dropped):
            self.state.broken.append(Reason(code=dropped[code], values={"circuit": code}))
        for unit, choice in known:
            used = {
                output.number: (self.parts[part.circuit, part.pieces], part.channel)
                for output in unit.outputs
                for part in output.parts
                if part.circuit not in dropped
            }
            distinct = {(part.circuit, part.pieces): part for part, _ in used.values()}
            held = HeldUnit(
                number=unit.number,
                choice=choice,
                used=used,
                load=sum(grains(part.feed.power_w) for part in distinct.values()),
            )
            self.state.units.append(held)
            self.state.circuits |= held.circuits


def route_caps(
    *, units: Sequence[HeldUnit], circuits: Mapping[str, ControlCircuit], free: Mapping[str, int]
) -> tuple[dict[str, int], list[dict[str, int]]]:
    """Return how many items of each route a new unit, and each held unit, may take.

    `free` counts the tasks of each route that are still to be planned. The circuits of one route never all
    hang on one unit: what is held in two units already is spread.
    """
    new_caps: dict[str, int] = {}
    held_caps: list[dict[str, int]] = [{} for _ in units]
    for route, tasks in free.items():
        holding = [
            place
            for place, unit in enumerate(units)
            if any(circuits[code].route == route for code in unit.circuits)
        ]
        if len(holding) > 1:
            continue
        if holding:
            held_caps[holding[0]][route] = tasks - 1
        elif tasks > 1:
            new_caps[route] = tasks - 1
            for caps in held_caps:
                caps[route] = tasks - 1
    return new_caps, held_caps


def held_frames(
    *,
    units: Sequence[HeldUnit],
    choices: Sequence[UnitChoice],
    caps: Sequence[Mapping[str, int]],
) -> tuple[list[HeldFrame], dict[int, list[HeldUnit]]]:
    """Return the room left in held units, equal ones together, and the units of each frame."""
    groups: dict[tuple[int, int, int, tuple[tuple[str, int], ...]], list[HeldUnit]] = {}
    for unit, cap in zip(units, caps, strict=True):
        choice = choices[unit.choice]
        outputs = choice.receiver.outputs - len(unit.used)
        load = grains(choice.capacity_w) - unit.load
        if outputs > 0 and load > 0:
            groups.setdefault((unit.choice, outputs, load, tuple(sorted(cap.items()))), []).append(
                unit
            )
    frames, members = [], {}
    for place, (key, found) in enumerate(sorted(groups.items(), key=lambda entry: entry[0])):
        choice_number, outputs, load, cap_items = key
        frames.append(
            HeldFrame(
                choice=choice_number,
                outputs=outputs,
                load=load,
                count=len(found),
                route_caps=dict(cap_items),
            )
        )
        members[place] = found
    return frames, members
