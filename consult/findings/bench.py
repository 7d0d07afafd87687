"""Lamps, fittings and drivers on the receivers that feed them, as they were tried on the bench."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext_lazy as _

from base.once import once
from catalogue.spec import BenchSpec, ProductSpec
from consult.findings.registry import Case, Found, found, rule
from engineering.control_plan import CircuitPart, Unit

# Ways of dimming in which the driver in or after the fitting has to get on with the receiver.
TRIED_KINDS = frozenset({"phase-dimmed", "analogue-dimmed", "digital-dimmed"})
EDGES = frozenset({"leading", "trailing"})
ON_THE_BENCH = "what was tried on the bench, kept in the catalogue"


@dataclass(slots=True, kw_only=True)
class Pair:
    """A product on a receiver: the circuits on which they meet, and the most pieces on one output."""

    load: ProductSpec
    receiver: ProductSpec
    edge: str
    pieces: int = 0
    circuits: dict[str, str] = field(default_factory=dict)  # code to room

    @property
    def names(self) -> dict[str, object]:
        return {
            "load": self.load.shown_name,
            "receiver": self.receiver.shown_name,
            "circuits": ", ".join(self.circuits),
        }


@once(8)
def pairs_of(case: Case) -> list[Pair]:
    """Every pair of the plan that dims, in the order of the plan."""
    pairs: dict[tuple[str, str, str], Pair] = {}
    for unit, part in _dimmed_parts(case):
        receiver = case.house.by_reference.get(unit.reference)
        circuit = case.circuit_of_code[part.circuit]
        for load, edge, pieces in _loads(case, part):
            if receiver is None:
                continue
            made = Pair(load=load, receiver=receiver, edge=edge)
            pair = pairs.setdefault((load.id, receiver.id, edge), made)
            pair.pieces = max(pair.pieces, pieces)
            pair.circuits[circuit.code] = circuit.room
    return list(pairs.values())


def _dimmed_parts(case: Case) -> Iterator[tuple[Unit, CircuitPart]]:
    for unit in case.plan.control.units:
        for output in unit.outputs:
            for part in output.parts:
                if case.circuit_of_code[part.circuit].load_kind in TRIED_KINDS:
                    yield unit, part


def _loads(case: Case, part: CircuitPart) -> Iterator[tuple[ProductSpec, str, int]]:
    """What the receiver dims on one output: the drivers after it, else lamps and fittings."""
    for supply in part.supplies:
        driver = case.house.by_reference.get(supply.reference)
        if driver is not None:
            yield driver, "", supply.count
    if part.supplies:
        return
    before = 0  # pieces of a circuit are numbered through its rows
    for h in case.hanging_on.get(part.circuit, ()):
        number = len(h.load.pieces_w)
        pieces = sum(before <= piece < before + number for piece in part.pieces)
        before += number
        lamp = case.house.product(h.part.lamp)
        edge = h.feed.edge if h.feed and h.feed.edge in EDGES else ""
        if pieces and h.product.kind != "outlet":
            lamps = h.product.fitting.lamp_count if lamp and h.product.fitting else 1
            yield lamp or h.product, edge, pieces * max(lamps, 1)


def tries_of(case: Case, pair: Pair) -> list[BenchSpec]:
    """What was tried of a pair, the newest first; a try without an edge holds for either."""
    return [
        each
        for each in case.house.stock.bench
        if (each.load, each.receiver) == (pair.load.id, pair.receiver.id)
        and (each.edge not in EDGES or not pair.edge or each.edge == pair.edge)
    ]


def _found(rule_id: str, pair: Pair, **values: object) -> Found:
    return found(
        rule_id,
        about=f"{pair.load.reference}/{pair.receiver.reference}/{pair.edge}"[:80],
        key=f"{pair.load.id}/{pair.receiver.id}",
        room=next(iter(pair.circuits.values())),
        **pair.names,
        **values,
    )


@rule(
    "pair-untried",
    title=_("Not tried together: bench-test with samples before the order"),
    severity="note",
    why=_(
        "%(load)s on %(receiver)s (%(circuits)s): nobody here has tried how low and how steadily they dim."
    ),
    mend=_(
        "Try a sample on the bench, with as many pieces as hang on one output, and keep what you saw."
    ),
    source=ON_THE_BENCH,
    place="bench",
)
def pair_untried(case: Case) -> Iterator[Found]:
    for pair in pairs_of(case):
        if not tries_of(case, pair):
            yield _found("pair-untried", pair)


@rule(
    "pair-flickers",
    title=_("Flickers together"),
    severity="stop",
    why=_("%(load)s on %(receiver)s (%(circuits)s) flickered when they were tried on %(day)s."),
    mend=_("Choose another lamp, driver or receiver, or try them again and keep what you saw."),
    source=ON_THE_BENCH,
    place="bench",
)
def pair_flickers(case: Case) -> Iterator[Found]:
    for pair in pairs_of(case):
        tries = tries_of(case, pair)
        if tries and tries[0].flicker == "seen":
            yield _found("pair-flickers", pair, day=tries[0].tried_on.isoformat())


@rule(
    "pair-pieces",
    title=_("More on one output than were tried together"),
    severity="look",
    why=_(
        "%(load)s on %(receiver)s (%(circuits)s): %(pieces)s on one output, tried with %(tried)s."
    ),
    mend=_("Try them with as many, or share them over two circuits."),
    source=ON_THE_BENCH,
    place="bench",
)
def pair_pieces(case: Case) -> Iterator[Found]:
    for pair in pairs_of(case):
        tried = max((each.pieces for each in tries_of(case, pair)), default=None)
        if tried is not None and pair.pieces > tried:
            yield _found("pair-pieces", pair, pieces=pair.pieces, tried=tried)


def steady_by_bench(case: Case) -> dict[str, int]:
    """The lowest steady level [%] of circuits whose pairs were tried, by code."""
    steady: dict[str, int] = {}
    for pair in pairs_of(case):
        known = [t.lowest_level for t in tries_of(case, pair) if t.lowest_level is not None]
        if known:
            for code in pair.circuits:
                steady[code] = max(known[0], steady.get(code, 0))
    return steady
