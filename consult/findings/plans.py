"""What the control plan could not do."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.findings.registry import Case, Found, found, rule
from consult.planning import route_of


@rule(
    "circuit-gap",
    title=_("Something a circuit needs is not known"),
    severity="look",
    why=_("%(circuit)s: %(gap)s. It is left out of the plan, or counts as nothing in it."),
    mend=_("Complete the circuit."),
    place="circuit",
)
def circuit_gap(case: Case) -> Iterator[Found]:
    owners = {f.id: c for c in case.house.design.circuits for f in c.fittings}
    owners |= {circuit.id: circuit for circuit in case.house.design.circuits}
    seen = set()
    for gap in case.plan.gaps:
        circuit = owners.get(gap.row)
        if circuit is None or (circuit.id, gap.code) in seen:
            continue
        seen.add((circuit.id, gap.code))
        yield found(
            "circuit-gap",
            about=f"{circuit.id}/{gap.code}",
            key=circuit.id,
            room=circuit.room,
            circuit=f"{circuit.code} {circuit.name}",
            gap=gap.code,
        )


@rule(
    "below-minimum",
    title=_("A load below the least that any receiver dims"),
    severity="stop",
    why=_("%(circuit)s draws %(watts)s W, less than any receiver's least load for it."),
    mend=_("Put more on the circuit, or a receiver with a lower least load into the catalogue."),
    source="the receivers' limits in the catalogue",
    place="circuit",
)
def below_minimum(case: Case) -> Iterator[Found]:
    for missing in case.plan.control.unserved:
        circuit = case.circuit_of_code.get(missing.code)
        if circuit is not None and missing.reason == "below_minimum":
            yield found(
                "below-minimum",
                about=circuit.id,
                room=circuit.room,
                circuit=f"{circuit.code} {circuit.name}",
                watts=case.house.loads[circuit.id].watts,
            )


@rule(
    "circuit-unserved",
    title=_("A circuit that nothing feeds"),
    severity="stop",
    why=_("%(circuit)s: %(reason)s."),
    mend=_("See the control plan for what would serve it."),
    source="the receivers' and drivers' data in the catalogue",
    place="plan",
)
def circuit_unserved(case: Case) -> Iterator[Found]:
    for missing in case.plan.control.unserved:
        circuit = case.circuit_of_code.get(missing.code)
        if circuit is not None and missing.reason != "below_minimum":
            yield found(
                "circuit-unserved",
                about=circuit.id,
                key=case.house.design.project.id,
                room=circuit.room,
                circuit=f"{circuit.code} {circuit.name}",
                reason=missing.reason,
            )


@rule(
    "fixed-cannot-hold",
    title=_("A fixed choice that cannot hold"),
    severity="look",
    why=_("What was fixed for %(what)s cannot hold: %(code)s. The plan goes on without it."),
    mend=_("Remove the fixed choice, or change what stands against it."),
    source="the limits of the products in the catalogue",
    place="plan",
)
def fixed_cannot_hold(case: Case) -> Iterator[Found]:
    names = {each.id: each.name for each in case.house.design.enclosures}
    for reason in case.plan.control.broken:
        values = reason.values
        circuits = values.get("circuits") or values.get("circuit") or values.get("enclosure") or ""
        what = ", ".join(map(str, circuits)) if isinstance(circuits, tuple) else str(circuits)
        what = names.get(what, what) or str(values.get("unit", ""))
        key = values.get("receiver", values.get("driver", ""))
        yield found(
            "fixed-cannot-hold",
            about=f"{reason.code}/{what}/{key}"[:80],
            key=case.house.design.project.id,
            what=what,
            code=reason.code,
        )


@rule(
    "route-on-one-unit",
    title=_("A whole way out hangs on one receiver"),
    severity="stop",
    why=_(
        "All circuits of %(route)s hang on one receiver in %(enclosure)s: when it fails, the way out is dark."
    ),
    mend=_("Give the way out a second circuit, or a circuit on another receiver."),
    place="plan",
)
def route_on_one_unit(case: Case) -> Iterator[Found]:
    for plan in case.enclosure_plans:
        for reason in plan.reasons:
            if reason.code == "route_on_one_unit":
                yield _route_found(case, str(reason.values["route"]), plan.reference)


def _route_found(case: Case, route: str, enclosure: str) -> Found:
    design = case.house.design
    group = design.group_of.get(route)
    return found(
        "route-on-one-unit",
        about=route,
        key=design.project.id,
        route=group.name if group else route,
        enclosure=design.enclosure_of[enclosure].name,
    )


@rule(
    "route-on-one-device",
    title=_("A whole way out hangs on one protective device"),
    severity="look",
    why=_(
        "All circuits of %(route)s are fed in %(enclosure)s: one protective device puts the way out in the dark."
    ),
    mend=_("Feed one of its circuits from another place, even where that costs more."),
    place="plan",
)
def route_on_one_device(case: Case) -> Iterator[Found]:
    design = case.house.design
    routes: dict[str, set[str]] = {}
    for circuit in design.circuits:
        route = route_of(case.house, circuit)
        if route and circuit.enclosure and circuit.load_kind != "motor":
            routes.setdefault(route, set()).add(circuit.enclosure)
    for route, enclosures in routes.items():
        if len(enclosures) == 1:
            (enclosure,) = enclosures
            group = design.group_of.get(route)
            yield found(
                "route-on-one-device",
                about=route,
                key=design.project.id,
                route=group.name if group else route,
                enclosure=design.enclosure_of[enclosure].name,
            )


@rule(
    "spare-not-met",
    title=_("Fewer spare outputs than wished"),
    severity="look",
    why=_("%(enclosure)s is %(outputs)s outputs short of what is to be kept spare."),
    mend=_("Make room for another receiver, or keep fewer spare."),
    source="the place's own setting",
    place="enclosure",
)
def spare_not_met(case: Case) -> Iterator[Found]:
    names = case.house.design.enclosure_of
    for plan in case.enclosure_plans:
        for reason in plan.reasons:
            if reason.code == "spare_not_met":
                yield found(
                    "spare-not-met",
                    about=plan.reference,
                    enclosure=names[plan.reference].name,
                    outputs=reason.values["outputs"],
                )
