"""Whether what hangs on a circuit can be driven as the circuit is."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from catalogue.kinds import DIMMED_KINDS
from consult.findings.bench import steady_by_bench
from consult.findings.registry import Case, Found, found, rule


@rule(
    "load-kinds-mixed",
    title=_("Fittings on one circuit that cannot be driven alike"),
    severity="stop",
    why=_("On %(circuit)s hang %(products)s: no one way of driving suits all of them."),
    mend=_("Put them on circuits of their own, or choose fittings that are driven alike."),
    place="circuit",
)
def load_kinds_mixed(case: Case) -> Iterator[Found]:
    for circuit in case.house.design.circuits:
        here = [h for h in case.hanging_on.get(circuit.code, ()) if h.feed]
        kinds = [set(h.feed.load_kinds) for h in here if h.feed and h.feed.load_kinds]
        if len(kinds) > 1 and not set.intersection(*kinds):
            names = ", ".join(dict.fromkeys(h.product.shown_name for h in here))
            yield found(
                "load-kinds-mixed",
                about=circuit.id,
                room=circuit.room,
                circuit=circuit.code,
                products=names,
            )


@rule(
    "not-dimmable",
    title=_("A dimmed circuit with something that cannot dim"),
    severity="stop",
    why=_("%(circuit)s is %(load_kind)s, and %(product)s can only be switched."),
    mend=_("Choose one that dims, or switch the circuit."),
    place="circuit",
)
def not_dimmable(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        if h.circuit.load_kind not in DIMMED_KINDS or not h.feed or h.product.kind == "outlet":
            continue
        if h.feed.load_kinds and not DIMMED_KINDS & set(h.feed.load_kinds):
            yield found(
                "not-dimmable",
                about=h.part.id,
                key=h.circuit.id,
                room=h.circuit.room,
                circuit=h.circuit.code,
                load_kind=h.circuit.load_kind,
                product=h.product.shown_name,
            )


@rule(
    "wrong-load-kind",
    title=_("A fitting is not made to be driven this way"),
    severity="stop",
    why=_("%(circuit)s is %(load_kind)s; %(product)s is made for another way of driving."),
    mend=_("Change how the circuit is driven, or the fitting."),
    place="circuit",
)
def wrong_load_kind(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        if not h.feed or not h.feed.load_kinds or h.product.kind == "outlet":
            continue
        dims = DIMMED_KINDS & set(h.feed.load_kinds)
        if h.circuit.load_kind in h.feed.load_kinds:
            continue
        if h.circuit.load_kind in DIMMED_KINDS and not dims:
            continue  # said by not-dimmable
        yield found(
            "wrong-load-kind",
            about=h.part.id,
            key=h.circuit.id,
            room=h.circuit.room,
            circuit=h.circuit.code,
            load_kind=h.circuit.load_kind,
            product=h.product.shown_name,
        )


@rule(
    "outlet-on-dimmed",
    title=_("A socket on a dimmed circuit that anything can be plugged into"),
    severity="stop",
    why=_("%(circuit)s is dimmed, and %(product)s is not a round-pin outlet for lamps."),
    mend=_("Use 2 A or 5 A round-pin outlets (BS 546), never 13 A."),
    place="circuit",
)
def outlet_on_dimmed(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        if h.product.kind != "outlet" or h.circuit.load_kind not in DIMMED_KINDS:
            continue
        kinds = h.feed.load_kinds if h.feed else ()
        if h.circuit.load_kind not in kinds:
            yield found(
                "outlet-on-dimmed",
                about=h.part.id,
                key=h.circuit.id,
                room=h.circuit.room,
                circuit=h.circuit.code,
                product=h.product.shown_name,
            )


@rule(
    "motor-on-dimmed",
    title=_("A motor or fan on a dimmed output"),
    severity="stop",
    why=_("%(circuit)s is dimmed, and %(product)s has a motor."),
    mend=_(
        "Give a fan its own switched circuit with a permanent live, run-on and isolator; "
        "a blind its own motor output."
    ),
    place="circuit",
)
def motor_on_dimmed(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        if h.feed and h.feed.load_nature == "motor" and h.circuit.load_kind in DIMMED_KINDS:
            yield found(
                "motor-on-dimmed",
                about=h.part.id,
                key=h.circuit.id,
                room=h.circuit.room,
                circuit=h.circuit.code,
                product=h.product.shown_name,
            )


@rule(
    "motors-on-one-output",
    title=_("More than one blind motor on one output pair"),
    severity="look",
    why=_(
        "%(circuit)s has %(pieces)s motors; one output pair works one, unless its maker allows more."
    ),
    mend=_("Give each motor its own circuit, or ask the maker."),
    place="circuit",
)
def motors_on_one_output(case: Case) -> Iterator[Found]:
    for circuit in case.house.design.circuits:
        pieces = len(case.house.loads[circuit.id].pieces_w)
        if circuit.load_kind == "motor" and pieces > 1:
            yield found(
                "motors-on-one-output",
                about=circuit.id,
                room=circuit.room,
                circuit=circuit.code,
                pieces=pieces,
            )


@rule(
    "level-below-steady",
    title=_("A scene dims lower than the light holds steady"),
    severity="look",
    why=_("In “%(scene)s” %(circuit)s stands at %(level)s %%; it is steady down to %(lowest)s %%."),
    mend=_("Raise the level, set the circuit's low trim, or choose a fitting that dims lower."),
    source="the maker's data sheet, what was tried on the bench, or the trim set at the circuit",
    place="scene",
)
def level_below_steady(case: Case) -> Iterator[Found]:
    design = case.house.design
    steady: dict[str, int] = {}
    tried = steady_by_bench(case)
    for h in case.hanging:
        lowest = h.product.fitting.lowest_level if h.product.fitting else None
        if lowest is not None:
            steady[h.circuit.id] = max(lowest, steady.get(h.circuit.id, 0))
    for scene in design.scenes:
        for level in scene.levels:
            circuit = design.circuit_of[level.circuit]
            known = (steady.get(circuit.id, 0), tried.get(circuit.code, 0), circuit.low_trim or 0)
            lowest = max(known)
            if 0 < level.level < lowest:
                yield found(
                    "level-below-steady",
                    about=f"{scene.id}/{circuit.code}",
                    key=scene.id,
                    room=circuit.room,
                    scene=scene.name,
                    circuit=circuit.code,
                    level=level.level,
                    lowest=lowest,
                )
