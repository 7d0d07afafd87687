"""What hangs on a circuit, piece by piece, from design and stock. No Django here.

A piece is what cannot be divided: a fitting, or a run of tape no longer than its feed allows.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from base.once import once
from catalogue.spec import FeedSpec, PriceSpec, ProductSpec, Stock
from consult.design import CircuitPart, Design, FittingPart
from engineering.control_plan import Unit

# Kinds that draw power themselves; a profile, a socket or a bracket does not.
DRAWS_POWER = frozenset({"fitting", "lamp", "tape", "blind", "sensor"})


@dataclass(frozen=True, kw_only=True)  # no slots: the look-ups are kept once made
class House:
    """A design with the stock it draws on."""

    design: Design
    stock: Stock
    held: tuple[Unit, ...] = ()  # what is wired already, after acceptance
    previous: tuple[Unit, ...] = ()  # of the last issue, before acceptance: kept among equals

    @cached_property
    def products(self) -> dict[str, ProductSpec]:
        return {product.id: product for product in self.stock.products}

    @cached_property
    def by_reference(self) -> dict[str, ProductSpec]:
        return {product.reference: product for product in self.stock.products}

    @cached_property
    def prices(self) -> dict[str, PriceSpec]:
        return {price.product: price for price in self.stock.prices}

    def product(self, key: str | None) -> ProductSpec | None:
        return self.products.get(key) if key else None

    @cached_property
    def _named(self) -> "dict[str, tuple[ProductSpec | None, ...]]":
        return {}

    def named_by(self, circuit: CircuitPart) -> "tuple[ProductSpec | None, ...]":
        """The product and the lamp of each row of a circuit, in order: all that its load hangs on."""
        found = self._named.get(circuit.id)
        if found is None:
            found = tuple(
                self.product(key) for part in circuit.fittings for key in (part.product, part.lamp)
            )
            self._named[circuit.id] = found
        return found

    @cached_property
    def loads(self) -> "dict[str, CircuitLoad]":
        """The load of every circuit, by the circuit's key."""
        return {circuit.id: load_of(self, circuit) for circuit in self.design.circuits}

    @cached_property
    def circuit_of_code(self) -> "dict[str, CircuitPart]":
        return {circuit.code: circuit for circuit in self.design.circuits}

    @cached_property
    def hanging_in(self) -> "dict[str, list[CircuitPart]]":
        """The circuits of which anything hangs in a room, in reading order, by the room's key."""
        found: dict[str, list[CircuitPart]] = {room.id: [] for room in self.design.rooms}
        for circuit in self.design.circuits:
            for room in {fitting.room for fitting in circuit.fittings}:
                found[room].append(circuit)
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Something a calculation needs and does not have: a code, and the row it is about."""

    code: str
    row: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingLoad:
    """The pieces of one row: watts of each [W], light of each [lm], and the feed they are fed by."""

    fitting: str
    pieces_w: tuple[float, ...]
    piece_lm: float
    feed: FeedSpec | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitLoad:
    circuit: str
    rows: tuple[FittingLoad, ...]
    gaps: tuple[Gap, ...]

    @property
    def pieces_w(self) -> tuple[float, ...]:
        return tuple(watts for row in self.rows for watts in row.pieces_w)

    @property
    def watts(self) -> float:
        """Connected watts of the circuit [W]."""
        return math.fsum(self.pieces_w)

    @property
    def lumens(self) -> float:
        """Light that leaves the fittings [lm]."""
        return math.fsum(row.piece_lm * len(row.pieces_w) for row in self.rows)

    @property
    def feeds(self) -> tuple[FeedSpec, ...]:
        return tuple(row.feed for row in self.rows if row.feed is not None)


def load_of(house: House, circuit: CircuitPart) -> CircuitLoad:
    """The load of one circuit. What is not known is a gap and counts as nothing."""
    return _load_of(circuit, *house.named_by(circuit))


@once(40_000)
def _load_of(circuit: CircuitPart, *named: ProductSpec | None) -> CircuitLoad:
    rows, gaps = [], []
    for fitting, product, lamp in zip(circuit.fittings, named[::2], named[1::2], strict=True):
        row, gap = _row(fitting, product, lamp)
        rows.append(row)
        gaps += [Gap(code=code, row=fitting.id) for code in gap]
    if not circuit.fittings:
        gaps.append(Gap(code="circuit_empty", row=circuit.id))
    return CircuitLoad(circuit=circuit.id, rows=tuple(rows), gaps=tuple(gaps))


def _row(
    fitting: FittingPart, product: ProductSpec | None, lamp: ProductSpec | None
) -> tuple[FittingLoad, list[str]]:
    if product is None:
        return _placeholder(fitting)
    feed = product.feed(fitting.feed)
    lamps = product.fitting.lamp_count if product.fitting else 0
    source = lamp.feed(None) if lamp is not None else feed
    gaps = []
    if lamp is None and lamps and (feed is None or feed.watts is None):
        gaps.append("lamp_not_chosen")
    if product.kind not in DRAWS_POWER and lamp is None:
        gaps, watts, lumens = [], 0.0, 0.0  # a socket: what is plugged in is a row of its own
    elif source is None or source.watts is None:
        gaps += [] if gaps else ["watts_not_known"]
        watts = lumens = 0.0
    else:
        count = max(lamps, 1) if lamp is not None else 1
        watts = float(source.watts) * count
        lumens = float(source.luminaire_lm or source.source_lm or 0) * count
    runs = _runs(product, feed, fitting)
    pieces = tuple(watts * run for _piece in range(fitting.pieces) for run in runs)
    mean = lumens * (sum(runs) / len(runs))
    known = pieces if watts > 0 else ()
    return (
        FittingLoad(fitting=fitting.id, pieces_w=known, piece_lm=mean if known else 0.0, feed=feed),
        gaps,
    )


def _placeholder(fitting: FittingPart) -> tuple[FittingLoad, list[str]]:
    watts = float(fitting.placeholder_w or 0)
    return (
        FittingLoad(
            fitting=fitting.id,
            pieces_w=(watts,) * fitting.pieces if watts else (),
            piece_lm=float(fitting.placeholder_lm or 0),
            feed=None,
        ),
        [] if watts else ["watts_not_known"],
    )


def _runs(product: ProductSpec, feed: FeedSpec | None, fitting: FittingPart) -> tuple[float, ...]:
    """How each piece divides: 1 for a piece, metres of each run for what is sold by the metre.

    Runs are equal, as few as the longest run from one feed allows.
    """
    if product.unit != "metre" or not fitting.length_m:
        return (1.0,)
    length = fitting.length_m
    longest = feed.max_run_m if feed is not None and feed.max_run_m else length
    count = max(1, math.ceil(length / longest))
    return (float(length / count),) * count


def total_watts(loads: Iterable[CircuitLoad]) -> Decimal:
    """Connected watts of several circuits, to a tenth."""
    return Decimal(math.fsum(load.watts for load in loads)).quantize(Decimal("0.1"))
