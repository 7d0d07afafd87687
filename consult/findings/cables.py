"""How cables and tape carry their load. Results are to be verified by an electrician."""

from collections.abc import Iterator
from functools import lru_cache

from django.utils.translation import gettext_lazy as _

from consult.findings.registry import NOBODY_BUT_US, Case, Found, Hanging, found, published, rule
from consult.findings.wiring import ASSUMED_MM2, DC_LIMIT_SHARE, device_of, mains_amps
from engineering.cable_capacity import (
    CAPACITY_A,
    Laying,
    Method,
    ambient_factor,
    capacity_source,
    grouping_factor,
)
from engineering.cables import Feed, tape_drop, tape_run_guide_m

# Where nobody has said how a cable is laid, it is taken as over a ceiling under thin insulation:
# common practice, no source.
ASSUMED_METHOD = Method.ABOVE_CEILING_THIN_INSULATION
GUIDE_VOLTS = (12.0, 24.0)
CAPACITY_SOURCES = "; ".join(
    (
        published(capacity_source(method=Method.CLIPPED_DIRECT)),
        "methods 101, 102 and A from memory, not looked up",
        published(ambient_factor(temperature_c=30).source),
        published(grouping_factor(circuits=1).source),
    )
)


@rule(
    "cable-capacity",
    title=_("A cable that carries less than its protective device lets through"),
    severity="stop",
    why=_(
        "%(circuit)s: %(size)s mm², %(laid)s, carries %(capacity)s A after grouping and warmth; %(basis)s of %(needed)s A asks for more."
    ),
    mend=_("%(would_do)s mm² would do; or lay it otherwise, or take a smaller device."),
    source=CAPACITY_SOURCES,
    place="circuit",
)
def cable_capacity(case: Case) -> Iterator[Found]:
    supply_v = float(case.house.design.project.supply_v)
    for circuit in case.house.design.circuits:
        amps = mains_amps(case, circuit, supply_v)
        if circuit.load_kind.startswith("dc-") or amps <= 0:
            continue
        carried = _carried(circuit.cable_laid, circuit.cable_bunched, circuit.cable_ambient_c)
        size = float(circuit.cable_mm2 or ASSUMED_MM2)
        enclosure = case.house.design.enclosure_of.get(circuit.enclosure or "")
        device = device_of(enclosure) if enclosure else None
        needed = max(amps, device.rating_a if device else 0)
        if size not in carried or carried[size] >= needed:
            continue
        fits = [mm2 for mm2 in sorted(carried) if carried[mm2] >= needed]
        yield found(
            "cable-capacity",
            about=circuit.id,
            room=circuit.room,
            # What was assumed is a reason to look, not to stop.
            severity="stop" if circuit.cable_laid and circuit.cable_mm2 else "look",
            circuit=f"{circuit.code} {circuit.name}",
            size=f"{size:g}",
            laid=circuit.cable_laid or "laid-not-said",
            capacity=carried[size],
            basis="the-device" if device and device.rating_a >= amps else "the-load",
            needed=float(needed),
            would_do=f"{fits[0]:g}" if fits else "–",
        )


@lru_cache(maxsize=1024)
def _carried(laid: str, bunched: int | None, ambient_c: int | None) -> dict[float, float]:
    """What each size carries as it is laid [A], by its section [mm²]."""
    laying = Laying(
        method=Method(laid) if laid else ASSUMED_METHOD,
        circuits=bunched or 1,
        temperature_c=30 if ambient_c is None else ambient_c,
    )
    return {mm2: a * laying.factor for mm2, a in CAPACITY_A[laying.method].items()}


@rule(
    "tape-ends",
    title=_("A tape that grows dark towards its end"),
    severity="look",
    why=_(
        "%(product)s on %(circuit)s: a run of %(length)s m, %(ends)s, loses %(drop)s %% at its darkest point; above %(limit)s %% it shows."
    ),
    mend=_("%(mend_code)s"),
    source=f"the drop along a uniform run, from its resistance in the catalogue; limit: {NOBODY_BUT_US}",
    place="circuit",
)
def tape_ends(case: Case) -> Iterator[Found]:
    for h, run_m, watts, volts in _tape_runs(case):
        if h.feed is None or not h.feed.ohm_per_m:
            continue
        ohm = float(h.feed.ohm_per_m)
        one_end, both_ends = (
            tape_drop(
                watts_per_m=watts, length_m=run_m, ohm_per_m=ohm, supply_v=volts, feed=feed
            ).share
            for feed in (Feed.ONE_END, Feed.BOTH_ENDS)
        )
        is_both = h.part.is_fed_both_ends
        drop = both_ends if is_both else one_end
        if drop <= DC_LIMIT_SHARE:
            continue
        would_do = not is_both and both_ends <= DC_LIMIT_SHARE
        yield found(
            "tape-ends",
            about=h.part.id,
            key=h.circuit.id,
            room=h.circuit.room,
            product=h.product.shown_name,
            circuit=h.circuit.code,
            length=run_m,
            ends="from-both-ends" if is_both else "from-one-end",
            drop=drop * 100,
            limit=DC_LIMIT_SHARE * 100,
            mend_code="feed-both-ends" if would_do else "shorten-the-runs",
        )


@rule(
    "tape-run-not-known",
    title=_("A long tape fed from one end, and its drop is not known"),
    severity="note",
    why=_(
        "%(product)s on %(circuit)s: %(length)s m from one end at %(volts)s V; %(usual)s m are usual, and neither its longest run nor its resistance is in the catalogue."
    ),
    mend=_("Ask the maker for its longest run, or feed it from both ends."),
    place="circuit",
)
def tape_run_not_known(case: Case) -> Iterator[Found]:
    for h, run_m, _watts, volts in _tape_runs(case):
        is_known = h.feed is not None and (h.feed.ohm_per_m or h.feed.max_run_m)
        if is_known or h.part.is_fed_both_ends or volts not in GUIDE_VOLTS:
            continue
        usual = tape_run_guide_m(supply_v=volts).value
        if run_m > usual:
            yield found(
                "tape-run-not-known",
                about=h.part.id,
                key=h.circuit.id,
                room=h.circuit.room,
                product=h.product.shown_name,
                circuit=h.circuit.code,
                length=run_m,
                volts=volts,
                usual=usual,
            )


def _tape_runs(case: Case) -> Iterator[tuple[Hanging, float, float, float]]:
    """Each row of tape with the length of one run [m], its watts [W/m] and its volts [V]."""
    for h in case.hanging:
        if h.product.kind != "tape" or h.feed is None or not h.load.pieces_w:
            continue
        if h.part.length_m and h.feed.watts and h.feed.supply_v:
            runs = len(h.load.pieces_w) / max(h.part.pieces, 1)
            run_m = float(h.part.length_m) / runs
            yield h, run_m, float(h.feed.watts), float(h.feed.supply_v)
