"""From solved covers to the plan that people read: units, outputs, parts, supplies, reasons."""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from engineering.control_cover import BundleKey, EnclosureCover
from engineering.control_formers import FormerUnits
from engineering.control_held import HeldUnit
from engineering.control_plan import CircuitPart, Output, PowerSupply, Reason, Unit
from engineering.control_problem import ControlCircuit
from engineering.control_supplies import power_supply
from engineering.control_units import (
    Headroom,
    OutputLimit,
    UnitChoice,
    channel_watts,
    output_limit,
)
from engineering.control_ways import Bundle, Part
from engineering.unit_cover import Cover
from engineering.unit_patterns import Pattern


@dataclass(slots=True, kw_only=True)
class Filled:
    """A unit with what it holds: a new one, or a held one with what came to it.

    `former` is the unit of an earlier plan whose number and places it takes over.
    """

    choice: int
    held: HeldUnit | None = None
    bundles: list[Bundle] = field(default_factory=list)
    former: Unit | None = None


def fill_units(
    *,
    cover: EnclosureCover,
    solved: Cover,
    members: Mapping[int, Sequence[HeldUnit]],
    formers: FormerUnits,
) -> tuple[list[Filled], list[str]]:
    """Return the units of a solved cover with their bundles, and the circuits left unserved.

    Circuits take their places in the order of their codes, so that the same input gives the same plan.
    """
    queues, unserved = _queues(cover, solved)
    left = {place: deque(found) for place, found in members.items()}
    made: list[tuple[int, Pattern, Filled]] = []
    for (number, pattern), count in sorted(solved.chosen.items()):
        choice, frame = cover.unit_places[number]
        for _ in range(count):
            held = left[frame].popleft() if frame is not None else None
            made.append((number, pattern, Filled(choice=choice, held=held)))
    fresh = [(pattern, filled) for _, pattern, filled in made if filled.held is None]
    formers.keep(fresh=fresh, queues=queues, keys=cover.keys)
    units: list[Filled] = []
    for number, pattern, filled in made:
        kept = Counter(bundle.key for bundle in filled.bundles)
        for place, pieces in pattern:
            key = cover.keys[place]
            waiting = queues[key]
            # A pattern may hold more than is wanted: the surplus stays spare.
            for _ in range(min(pieces - kept[key], len(waiting))):
                filled.bundles.append(waiting.popleft())
        if filled.bundles or cover.problem.units[number].may_be_empty:
            units.append(filled)
    assert not any(queues.values())
    return units, unserved


def _queues(
    cover: EnclosureCover, solved: Cover
) -> tuple[dict[BundleKey, deque[Bundle]], list[str]]:
    waiting: dict[BundleKey, list[Bundle]] = defaultdict(list)
    unserved: list[str] = []
    for group in cover.groups:
        tasks = deque(group.tasks)
        counts = [solved.sides[column] for column in group.side_columns]
        if not group.side_columns:
            counts = [len(group.tasks)]
        for way, count in enumerate(counts):
            for _ in range(count):
                for bundle in tasks.popleft().ways[way].bundles:
                    waiting[bundle.key].append(bundle)
        unserved += [code for task in tasks for code in task.circuits]
    ordered = {key: sorted(found, key=_codes) for key, found in waiting.items()}
    return defaultdict(deque, {key: deque(found) for key, found in ordered.items()}), unserved


def _codes(bundle: Bundle) -> tuple[tuple[str, tuple[int, ...]], ...]:
    return tuple((part.circuit, part.pieces) for part in bundle.parts)


class Assembler:
    """Builds the units of one enclosure."""

    def __init__(
        self,
        *,
        enclosure: str,
        circuits: Mapping[str, ControlCircuit],
        choices: Sequence[UnitChoice],
        headroom: Headroom,
    ) -> None:
        self.enclosure = enclosure
        self.circuits = circuits
        self.choices = choices
        self.headroom = headroom

    def units(self, filled: Sequence[Filled], held: Sequence[HeldUnit]) -> tuple[Unit, ...]:
        """Return all units by number: held ones keep theirs, new ones take the free ones in order."""
        joined = {id(one.held): one.bundles for one in filled if one.held is not None}
        built = [
            self._unit(
                unit.number,
                Filled(choice=unit.choice, held=unit, bundles=joined.get(id(unit), [])),
            )
            for unit in held
        ]
        taken = {unit.number for unit in held}
        kept = [one for one in filled if one.former is not None]
        for one in kept:
            assert one.former is not None
            taken.add(one.former.number)
            built.append(self._unit(one.former.number, one))
        number = 0
        fresh = [one for one in filled if one.held is None and one.former is None]
        for one in sorted(fresh, key=self._reading_order):
            number += 1
            while number in taken:
                number += 1
            built.append(self._unit(number, one))
        return tuple(sorted(built, key=lambda unit: unit.number))

    def _reading_order(self, one: Filled) -> tuple[object, ...]:
        codes = sorted(code for bundle in one.bundles for code in _codes(bundle))
        return (not codes, codes, self.choices[one.choice].order)

    def _unit(self, number: int, filled: Filled) -> Unit:
        choice, held = self.choices[filled.choice], filled.held
        used: dict[int, tuple[Part, int]] = dict(held.used) if held else {}
        parts = [part for bundle in filled.bundles for part in bundle.parts]
        wanted = [
            (part, channel)
            for part in sorted(parts, key=lambda part: (part.circuit, part.pieces))
            for channel in range(1, part.outputs + 1)
        ]
        if filled.former is not None:
            wanted = _seated(wanted, filled.former, choice.receiver.outputs, used)
        free = iter([n for n in range(1, choice.receiver.outputs + 1) if n not in used])
        for seat in wanted:
            used[next(free)] = seat
        outputs = tuple(
            self._output(choice, place, used.get(place))
            for place in range(1, choice.receiver.outputs + 1)
        )
        load_w = sum(output.power_w for output in outputs)
        return Unit(
            enclosure=self.enclosure,
            number=number,
            reference=choice.receiver.reference,
            outputs=outputs,
            supplies=self._before(choice, load_w),
            max_w=choice.capacity_w,
            cost_minor=choice.cost_minor,
            is_held=held is not None,
            reasons=self._reasons(choice, outputs, held),
        )

    def _before(self, choice: UnitChoice, load_w: float) -> tuple[PowerSupply, ...]:
        if choice.driver is None:
            return ()
        return (
            power_supply(
                driver=choice.driver,
                count=1,
                load_w=load_w,
                fullest_w=load_w,
                headroom=self.headroom,
            ),
        )

    def _output(self, choice: UnitChoice, number: int, used: tuple[Part, int] | None) -> Output:
        if used is None:
            return Output(number=number)
        part, channel = used
        circuit = self.circuits[part.circuit]
        watts = channel_watts(circuit=circuit, power_w=part.feed.power_w)
        limit = output_limit(choice=choice, circuit=circuit)
        assert isinstance(limit, OutputLimit)
        placed = CircuitPart(
            circuit=part.circuit,
            pieces=part.pieces,
            power_w=watts[channel - 1],
            channel=channel,
            supplies=part.feed.supplies if channel == 1 else (),
        )
        return Output(number=number, parts=(placed,), min_w=limit.least, max_w=limit.most)

    def _reasons(
        self, choice: UnitChoice, outputs: Sequence[Output], held: HeldUnit | None
    ) -> tuple[Reason, ...]:
        parts = [part for output in outputs for part in output.parts]
        codes = tuple(dict.fromkeys(part.circuit for part in parts))
        by_circuit = tuple(sum(p.power_w for p in parts if p.circuit == code) for code in codes)
        reasons = [
            Reason(
                code="unit_serves" if codes else "unit_spare",
                values={
                    "outputs": choice.receiver.outputs,
                    "spare": sum(output.is_spare for output in outputs),
                    "max_w": choice.capacity_w,
                    "circuits": codes,
                    "watts": by_circuit,
                },
            )
        ]
        if held is not None:
            reasons.append(Reason(code="unit_held"))
        colours = tuple(code for code in codes if self.circuits[code].channels > 1)
        if colours:
            reasons.append(Reason(code="colour_in_one_unit", values={"circuits": colours}))
        if choice.volts:
            reasons.append(Reason(code="unit_voltage", values={"volts": choice.volts}))
        return tuple(reasons)


def _seated(
    wanted: Sequence[tuple[Part, int]],
    former: Unit,
    outputs: int,
    used: dict[int, tuple[Part, int]],
) -> list[tuple[Part, int]]:
    """Seat what kept its place in the former unit; return what is still to be seated."""
    seats = {
        (part.circuit, part.pieces, part.channel): output.number
        for output in former.outputs
        for part in output.parts[:1]
    }
    left = []
    for part, channel in wanted:
        place = seats.get((part.circuit, part.pieces, channel), 0)
        if 1 <= place <= outputs and place not in used:
            used[place] = (part, channel)
        else:
            left.append((part, channel))
    return left


def supplies_cost(*, units: Sequence[Unit]) -> int:
    """Return what the drivers after the outputs cost, in whole minor units."""
    return sum(
        supply.cost_minor
        for unit in units
        for output in unit.outputs
        for part in output.parts
        for supply in part.supplies
    )
