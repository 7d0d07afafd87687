"""Ways to serve a circuit: whole on one output, or split by whole pieces into the fewest parts."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from engineering.control_plan import Unserved, Value
from engineering.control_problem import ControlCircuit
from engineering.control_supplies import Feed, feeds
from engineering.control_units import (
    Headroom,
    OutputLimit,
    UnitChoice,
    grains,
    output_limit,
    part_refusal,
)
from engineering.drivers import DriverOption

_MOST_PARTITIONS = 40
_MOST_STEPS = 20_000
_MOST_WAYS = 60

# What stands nearest to working is the reason that helps: later entries are nearer.
_NEARNESS = (
    "no_receiver_for_kind",
    "ip_not_met",
    "edge_not_met",
    "limits_contradictory",
    "limit_not_known",
    "power_factor_not_known",
    "no_supply_for_unit",
    "no_driver",
    "channels_above_unit",
    "too_many_parts",
    "piece_above_unit",
    "piece_above_output",
    "too_many_pieces",
    "below_minimum",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Pieces of a circuit that hang on one output per channel, and how they are fed."""

    circuit: str
    pieces: tuple[int, ...]
    feed: Feed
    outputs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """Parts that must sit in one unit, and the numbers of the unit choices that can hold them."""

    parts: tuple[Part, ...]
    outputs: int
    load: int
    allowed: tuple[int, ...]
    route: str = ""

    @property
    def key(self) -> tuple[int, int, tuple[int, ...], str]:
        """Bundles of equal key are interchangeable."""
        return (self.outputs, self.load, self.allowed, self.route)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to serve a circuit (or circuits kept together): its bundles, its drivers' cost and width."""

    bundles: tuple[Bundle, ...]
    cost_minor: int
    width: float = 0.0

    @property
    def key(self) -> tuple[int, float, tuple[tuple[int, int, tuple[int, ...], str], ...]]:
        """Ways of equal key are interchangeable."""
        return (self.cost_minor, self.width, tuple(sorted(bundle.key for bundle in self.bundles)))

    @property
    def part_count(self) -> int:
        """Parts over all its bundles."""
        return sum(len(bundle.parts) for bundle in self.bundles)

    def for_circuit(self, code: str) -> Way:
        """Return the same way for a circuit that differs in its code alone."""
        # Made field by field: `dataclasses.replace` takes twice as long, and this is done for every circuit.
        return Way(
            bundles=tuple(
                Bundle(
                    parts=tuple(
                        Part(circuit=code, pieces=part.pieces, feed=part.feed, outputs=part.outputs)
                        for part in bundle.parts
                    ),
                    outputs=bundle.outputs,
                    load=bundle.load,
                    allowed=bundle.allowed,
                    route=bundle.route,
                )
                for bundle in self.bundles
            ),
            cost_minor=self.cost_minor,
            width=self.width,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What must be served as one: circuits, the ways to do it, and whether these are all the ways."""

    circuits: tuple[str, ...]
    ways: tuple[Way, ...]
    is_complete: bool = True

    def narrowed(self, usable: frozenset[int]) -> tuple[Way, ...]:
        """Return the ways that stay when only these unit choices may be used."""
        kept = []
        for way in self.ways:
            bundles = tuple(_narrow(bundle, usable) for bundle in way.bundles)
            if all(bundle.allowed for bundle in bundles):
                kept.append(replace(way, bundles=bundles))
        return tuple(kept)


def ways_for(
    *,
    circuit: ControlCircuit,
    choices: Sequence[UnitChoice],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
) -> Task | Unserved:
    """Return the ways to serve one circuit, or why nothing can."""
    lots = _lots(circuit, choices)
    nearest = ""
    for parts in range(_least_parts(circuit, lots), len(circuit.pieces_w) + 1):
        partitions, is_complete = _partitions(circuit.pieces_w, parts, _most_watts(lots))
        found: list[Way] = []
        for partition in partitions:
            ways = _ways_of(circuit, partition, choices, drivers, headroom)
            if isinstance(ways, str):
                nearest = max(nearest, ways, key=_nearness)
            else:
                found += ways
        if found:
            return _task(circuit, found, is_complete)
    return _unserved(circuit, choices, nearest, drivers, headroom)


def _nearness(code: str) -> int:
    return _NEARNESS.index(code) if code in _NEARNESS else -1


def _lots(
    circuit: ControlCircuit, choices: Sequence[UnitChoice]
) -> list[tuple[float, OutputLimit]]:
    """Return for each choice that takes the circuit's kind its most watts in one part, and its limits."""
    lots = []
    for choice in choices:
        limit = output_limit(choice=choice, circuit=circuit)
        if isinstance(limit, OutputLimit):
            share = max(circuit.channel_shares) if circuit.channel_shares else 1 / circuit.channels
            lots.append((min(limit.most / share, choice.capacity_w), limit))
    return lots


def _most_watts(lots: Sequence[tuple[float, OutputLimit]]) -> float:
    return max((most for most, _ in lots), default=0.0)


def _least_parts(circuit: ControlCircuit, lots: Sequence[tuple[float, OutputLimit]]) -> int:
    """Return a number of parts below which no split can work."""
    if not lots:
        return len(circuit.pieces_w) + 1
    by_watts = grains(circuit.load_w) / max(1, grains(_most_watts(lots)))
    most_pieces = [limit.pieces or len(circuit.pieces_w) for _, limit in lots]
    return max(1, math.ceil(by_watts - 1e-9), math.ceil(len(circuit.pieces_w) / max(most_pieces)))


def _partitions(
    pieces_w: Sequence[float], parts: int, most_w: float
) -> tuple[list[tuple[tuple[int, ...], ...]], bool]:
    """Return the ways to part the pieces, evenest first, and whether these are all that differ."""
    if parts == 1:
        return [(tuple(range(len(pieces_w))),)], True
    if len({grains(watts) for watts in pieces_w}) == 1:
        most = grains(most_w) // grains(pieces_w[0])
        counted = list(itertools.islice(_counts(len(pieces_w), parts, most), _MOST_STEPS))
        sizes = sorted(counted, key=lambda counts: (max(counts) - min(counts), counts))
        chosen = [_slices(counts) for counts in sizes[:_MOST_PARTITIONS]]
        return chosen, len(sizes) <= _MOST_PARTITIONS
    return _unequal_partitions(pieces_w, parts, most_w)


def _counts(pieces: int, parts: int, most: int) -> Iterator[tuple[int, ...]]:
    """Yield the ways to write a number as so many whole numbers above 0, the even ones early."""
    if parts == 1:
        if 1 <= pieces <= most:
            yield (pieces,)
        return
    for first in range(math.ceil(pieces / parts), min(most, pieces - parts + 1) + 1):
        for rest in _counts(pieces - first, parts - 1, first):
            yield (first, *rest)


def _slices(counts: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    ends = list(itertools.accumulate(counts, initial=0))
    return tuple(tuple(range(start, end)) for start, end in itertools.pairwise(ends))


def _unequal_partitions(
    pieces_w: Sequence[float], parts: int, most_w: float
) -> tuple[list[tuple[tuple[int, ...], ...]], bool]:
    order = sorted(range(len(pieces_w)), key=lambda place: (-pieces_w[place], place))
    found: dict[tuple[tuple[int, ...], ...], tuple[tuple[int, ...], ...]] = {}
    bins: list[list[int]] = [[] for _ in range(parts)]
    loads = [0] * parts
    steps = 0

    def place_from(depth: int) -> bool:
        nonlocal steps
        steps += 1
        if steps > _MOST_STEPS or len(found) > 4 * _MOST_PARTITIONS:
            return False
        if depth == len(order):
            if all(bins):
                shape = tuple(sorted(tuple(grains(pieces_w[p]) for p in held) for held in bins))
                found.setdefault(shape, tuple(tuple(sorted(held)) for held in bins))
            return True
        piece = order[depth]
        watts = grains(pieces_w[piece])
        tried: set[tuple[int, ...]] = set()
        # The emptiest first, so that even splits are found before the limit.
        for number in sorted(range(parts), key=lambda n: (loads[n], n)):
            content = tuple(grains(pieces_w[p]) for p in bins[number])
            if content in tried or loads[number] + watts > grains(most_w):
                continue
            tried.add(content)
            bins[number].append(piece)
            loads[number] += watts
            done = place_from(depth + 1)
            bins[number].pop()
            loads[number] -= watts
            if not done:
                return False
        return True

    is_complete = place_from(0)

    def unevenness(
        partition: tuple[tuple[int, ...], ...],
    ) -> tuple[int, tuple[tuple[int, ...], ...]]:
        sums = [sum(grains(pieces_w[p]) for p in held) for held in partition]
        return max(sums) - min(sums), partition

    chosen = sorted(found.values(), key=unevenness)
    return chosen[:_MOST_PARTITIONS], is_complete and len(chosen) <= _MOST_PARTITIONS


def _ways_of(
    circuit: ControlCircuit,
    partition: Sequence[tuple[int, ...]],
    choices: Sequence[UnitChoice],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
) -> list[Way] | str:
    """Return the ways to serve one partition, or the code of why there are none."""
    options: list[tuple[Feed, ...]] = []
    for pieces in partition:
        pieces_w = [circuit.pieces_w[place] for place in pieces]
        fed = feeds(circuit=circuit, pieces_w=pieces_w, drivers=drivers, headroom=headroom)
        if not fed:
            return "no_driver"
        options.append(fed)
    ways: list[Way] = []
    nearest = ""
    for chosen in itertools.product(*options):
        parts = tuple(
            Part(circuit=circuit.code, pieces=pieces, feed=feed, outputs=circuit.channels)
            for pieces, feed in zip(partition, chosen, strict=True)
        )
        bundles = bundles_for(circuit=circuit, parts=parts, choices=choices)
        if isinstance(bundles, str):
            nearest = max(nearest, bundles, key=_nearness)
        else:
            cost = sum(feed.cost_minor for feed in chosen)
            width = math.fsum(feed.width for feed in chosen)
            ways.append(Way(bundles=bundles, cost_minor=cost, width=width))
    return ways or nearest


def bundles_for(
    *, circuit: ControlCircuit, parts: Sequence[Part], choices: Sequence[UnitChoice]
) -> tuple[Bundle, ...] | str:
    """Return the parts as bundles with the units that can hold each, or the code of why not.

    All parts of a colour circuit make one bundle, since its outputs sit in one unit.
    """
    singles: list[Bundle] = []
    for part in parts:
        allowed, nearest = [], ""
        for number, choice in enumerate(choices):
            code = part_refusal(
                choice=choice,
                circuit=circuit,
                power_w=part.feed.power_w,
                pieces=len(part.pieces),
            )
            if code:
                nearest = max(nearest, code, key=_nearness)
            else:
                allowed.append(number)
        if not allowed:
            return nearest
        singles.append(
            Bundle(
                parts=(part,),
                outputs=part.outputs,
                load=grains(part.feed.power_w),
                allowed=tuple(allowed),
                route=circuit.route,
            )
        )
    if circuit.channels == 1:
        return tuple(singles)
    whole = merged(bundles=singles, choices=choices)
    return (whole,) if whole else "too_many_parts"


def merged(*, bundles: Sequence[Bundle], choices: Sequence[UnitChoice]) -> Bundle | None:
    """Return the bundles as one that sits in one unit, or None where no unit can hold them all."""
    outputs = sum(bundle.outputs for bundle in bundles)
    load = sum(bundle.load for bundle in bundles)
    allowed = set(bundles[0].allowed).intersection(*(bundle.allowed for bundle in bundles))
    fitting = tuple(
        number
        for number in sorted(allowed)
        if choices[number].receiver.outputs >= outputs
        and grains(choices[number].capacity_w) >= load
    )
    if not fitting:
        return None
    return Bundle(
        parts=tuple(part for bundle in bundles for part in bundle.parts),
        outputs=outputs,
        load=load,
        allowed=fitting,
        route=next((bundle.route for bundle in bundles if bundle.route), ""),
    )


def _narrow(bundle: Bundle, usable: frozenset[int]) -> Bundle:
    kept = tuple(number for number in bundle.allowed if number in usable)
    return replace(bundle, allowed=kept)


def distinct(*, ways: Sequence[Way]) -> tuple[Way, ...]:
    """Return the ways that differ, the cheapest drivers first, else in their order."""
    firsts: dict[object, Way] = {}
    for way in ways:
        firsts.setdefault(way.key, way)
    return tuple(sorted(firsts.values(), key=lambda way: way.cost_minor))


def _task(circuit: ControlCircuit, found: Sequence[Way], is_complete: bool) -> Task:
    differing = distinct(ways=found)
    return Task(
        circuits=(circuit.code,),
        ways=differing[:_MOST_WAYS],
        is_complete=is_complete and len(differing) <= _MOST_WAYS,
    )


def _unserved(
    circuit: ControlCircuit,
    choices: Sequence[UnitChoice],
    nearest: str,
    drivers: Sequence[DriverOption],
    headroom: Headroom,
) -> Unserved:
    """Return why nothing can feed the circuit, by what came nearest."""
    lots = _lots(circuit, choices)
    # With limits but no split to try, a single piece is too heavy for any output.
    code = nearest or ("piece_above_output" if lots else "")
    if not code:
        refusals = (output_limit(choice=choice, circuit=circuit) for choice in choices)
        codes = [refusal for refusal in refusals if isinstance(refusal, str)]
        code = max(codes, key=_nearness, default="no_receiver_for_kind")
    values: dict[str, Value] = {"load_w": circuit.load_w, "load_kind": circuit.load_kind}
    if lots:
        values["most_w"] = _most_watts(lots)
        values["least_w"] = min(limit.least for _, limit in lots)
        values["heaviest_piece_w"] = max(circuit.pieces_w)
    return Unserved(code=circuit.code, reason=code, values=values)
