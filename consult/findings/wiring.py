"""Cables, protective devices, wiring that is kept. Results are to be verified by an electrician."""

import math
from collections import Counter
from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from base.once import once
from consult.design import CircuitPart, EnclosurePart
from consult.findings.registry import NOBODY_BUT_US, Case, Found, found, published, rule
from consult.pieces import CircuitLoad
from engineering.cables import (
    CONDUCTOR_TABLE,
    DROP_LIMIT_TABLE,
    MILLIVOLTS,
    SOLID_OHM_PER_KM,
    VOLTAGE_DROP_TABLE,
    dc_channel_drop,
    dc_size_mm2,
    drop_limit,
    voltage_drop,
)
from engineering.control_problem import CHANNELS
from engineering.existing_wiring import ExistingWiring, NeutralAt, OnKeptWiring, kept_wiring_codes
from engineering.loads import ASSUMED_POWER_FACTOR
from engineering.protection import (
    BREAKER_SOURCE,
    INRUSH_SCALE_SOURCE,
    LEAKAGE_SOURCE,
    Curve,
    Device,
    Leaking,
    drivers_on_device,
    leakage,
)

# Taken where nobody has chosen a conductor, and the limit for extra-low voltage: common practice,
# no source.
ASSUMED_MM2 = 1.5
DC_LIMIT_SHARE = 0.05
WORKING_C = 70.0


@rule(
    "voltage-drop",
    title=_("Voltage drop above the limit for lighting"),
    severity="look",
    why=_(
        "%(circuit)s: %(amps)s A on one cable of %(length)s m and %(size)s mm² drop %(drop)s %% of the supply; the limit is %(limit)s %%."
    ),
    mend=_("%(would_do)s mm² would do. The part of the way to the enclosure comes on top."),
    source=f"{published(VOLTAGE_DROP_TABLE)}; {published(DROP_LIMIT_TABLE)}",
    place="circuit",
)
def voltage_drop_mains(case: Case) -> Iterator[Found]:
    supply_v = float(case.house.design.project.supply_v)
    for circuit in case.house.design.circuits:
        if circuit.load_kind.startswith("dc-") or not circuit.cable_length_m:
            continue
        amps = mains_amps(case, circuit, supply_v)
        length, size = float(circuit.cable_length_m), float(circuit.cable_mm2 or ASSUMED_MM2)
        if amps <= 0 or size not in MILLIVOLTS:
            continue
        limit = drop_limit(length_m=length).value

        def share(mm2: float, amps: float = amps, length: float = length) -> float:
            return voltage_drop(
                current_a=amps, length_m=length, size_mm2=mm2, supply_v=supply_v
            ).share

        if share(size) > limit:
            fits = [mm2 for mm2 in sorted(MILLIVOLTS) if share(mm2) <= limit]
            yield _drop("voltage-drop", circuit, amps, size, share(size), limit, fits)


def mains_amps(case: Case, circuit: CircuitPart, supply_v: float) -> float:
    """The current of a circuit at the mains, with the loss of its drivers [A]."""
    watts, factor = _drawn(case.house.loads[circuit.id])
    if supplies := case.supplies_of(circuit.code):
        watts /= min(
            (
                float(product.driver.efficiency)
                for supply in supplies
                if (product := case.house.by_reference.get(supply.reference)) and product.driver
            ),
            default=1.0,
        )
    return watts / (factor * supply_v)


@once(20_000)
def _drawn(load: CircuitLoad) -> tuple[float, float]:
    """What a circuit draws [W], and its power factor."""
    factors = [float(feed.power_factor) for feed in load.feeds if feed.power_factor]
    return load.watts, min(factors, default=ASSUMED_POWER_FACTOR.value)


def _drop(
    rule_id: str,
    circuit: CircuitPart,
    amps: float,
    size: float,
    share: float,
    limit: float,
    fits: list[float],
) -> Found:
    return found(
        rule_id,
        about=circuit.id,
        room=circuit.room,
        circuit=f"{circuit.code} {circuit.name}",
        amps=amps,
        length=float(circuit.cable_length_m or 0),
        size=f"{size:g}",
        drop=share * 100,
        limit=limit * 100,
        would_do=f"{fits[0]:g}" if fits else "–",
    )


@rule(
    "voltage-drop-dc",
    title=_("Voltage drop on an extra-low voltage run"),
    severity="look",
    why=_(
        "%(circuit)s: %(amps)s A on one cable of %(length)s m and %(size)s mm² drop %(drop)s %%; the far end grows darker above %(limit)s %%."
    ),
    mend=_("%(would_do)s mm² would do; or shorten the run, or move the driver nearer."),
    source=f"{published(CONDUCTOR_TABLE)}; limit: {NOBODY_BUT_US}",
    place="circuit",
)
def voltage_drop_dc(case: Case) -> Iterator[Found]:
    for circuit in case.house.design.circuits:
        volts = _dc_volts(case, circuit)
        if volts is None or not circuit.cable_length_m:
            continue
        channels = CHANNELS[circuit.load_kind]
        currents = [case.house.loads[circuit.id].watts / volts / channels] * channels
        length, size = float(circuit.cable_length_m), float(circuit.cable_mm2 or ASSUMED_MM2)
        if not sum(currents) or size not in SOLID_OHM_PER_KM:
            continue
        drop = dc_channel_drop(
            channel_currents_a=currents,
            length_m=length,
            ohm_per_km=SOLID_OHM_PER_KM[size],
            supply_v=volts,
            temperature_c=WORKING_C,
        )
        if drop.share > DC_LIMIT_SHARE:
            fit = dc_size_mm2(
                channel_currents_a=currents,
                length_m=length,
                supply_v=volts,
                limit_share=DC_LIMIT_SHARE,
            )
            fits = [] if fit is None else [fit]
            yield _drop(
                "voltage-drop-dc", circuit, sum(currents), size, drop.share, DC_LIMIT_SHARE, fits
            )


def _dc_volts(case: Case, circuit: CircuitPart) -> float | None:
    if not circuit.load_kind.startswith("dc-"):
        return None
    volts = {float(f.supply_v) for f in case.house.loads[circuit.id].feeds if f.supply_v}
    return volts.pop() if len(volts) == 1 else None


@once(1000)
def device_of(enclosure: EnclosurePart) -> Device | None:
    """The breaker of an enclosure, such as B6; None where none is typed."""
    curve, rating = enclosure.protective_device[:1], enclosure.protective_device[1:]
    if curve not in {each.value for each in Curve} or not rating.isdigit() or not int(rating):
        return None
    return Device(curve=Curve(curve), rating_a=int(rating))


def drivers_in(case: Case, enclosure: str) -> Counter[str]:
    """Drivers of an enclosure's plan by reference."""
    counted: Counter[str] = Counter()
    for plan in case.enclosure_plans:
        if plan.reference == enclosure:
            for supply in case.supplies(plan.units):
                counted[supply.reference] += supply.count
    return counted


@rule(
    "too-many-drivers",
    title=_("More drivers than the protective device starts"),
    severity="stop",
    why=_(
        "%(enclosure)s: %(count)s drivers on %(device)s; together they are %(share)s %% of what it starts (%(basis)s)."
    ),
    mend=_("Split them over two devices, or take another curve or rating."),
    source=f"the maker's figure first; {published(INRUSH_SCALE_SOURCE)}; {published(BREAKER_SOURCE)}",
    place="enclosure",
)
def too_many_drivers(case: Case) -> Iterator[Found]:
    for enclosure in case.house.design.enclosures:
        device = device_of(enclosure)
        drivers = drivers_in(case, enclosure.id)
        if device is None or not drivers:
            continue
        # Different drivers share a device by the sum of the shares that each takes of it.
        shares, bases = 0.0, set()
        for reference, count in drivers.items():
            most, basis = _most(case, reference, device)
            if most is not None:
                shares += count / most if most else math.inf
                bases.add(basis)
        if shares > 1:
            yield found(
                "too-many-drivers",
                about=enclosure.id,
                enclosure=enclosure.name,
                count=sum(drivers.values()),
                device=enclosure.protective_device,
                share=f"{shares * 100:.0f}",
                basis=" ".join(sorted(bases)),
            )


@rule(
    "inrush-not-known",
    title=_("How many drivers the device starts is not known"),
    severity="note",
    why=_(
        "%(enclosure)s: %(drivers)s on %(device)s, and their maker's figure is not in the catalogue."
    ),
    mend=_("Put pieces per protective device into the catalogue, from the maker's sheet."),
    source=published(BREAKER_SOURCE),
    place="enclosure",
)
def inrush_not_known(case: Case) -> Iterator[Found]:
    for enclosure in case.house.design.enclosures:
        device = device_of(enclosure)
        if device is None:
            continue
        drivers = drivers_in(case, enclosure.id)
        unknown = [ref for ref in sorted(drivers) if _most(case, ref, device)[0] is None]
        if unknown:
            names = [case.house.by_reference[ref].shown_name for ref in unknown]
            yield found(
                "inrush-not-known",
                about=enclosure.id,
                enclosure=enclosure.name,
                drivers=", ".join(names),
                device=enclosure.protective_device,
            )


def _most(case: Case, reference: str, device: Device) -> tuple[int | None, str]:
    """How many of one driver the device starts, and on what that rests."""
    product = case.house.by_reference.get(reference)
    if product is None or product.driver is None:
        return None, "not-known"
    spec = product.driver
    counts = {
        (Curve(name[0]), int(name[1:])): number
        for name, number in spec.per_device
        if name[:1] in {each.value for each in Curve} and name[1:].isdigit()
    }
    volts = float(case.house.design.project.supply_v)
    full_load_a = float(spec.rating_w) / float(spec.efficiency) / volts
    made = drivers_on_device(device=device, full_load_a=full_load_a, maker_counts=counts)
    return made.count, made.basis


@rule(
    "leakage",
    title=_("Standing leakage on one residual-current device"),
    severity="stop",
    why=_(
        "%(enclosure)s: %(known)s mA known on a %(rated)s mA device, of at most %(limit)s mA; %(unknown)s pieces are not known."
    ),
    mend=_("Share the circuits over more devices, and type the leakage of the pieces not known."),
    source=published(LEAKAGE_SOURCE),
    place="enclosure",
)
def leakage_sum(case: Case) -> Iterator[Found]:
    for enclosure in case.house.design.enclosures:
        if not enclosure.rcd_ma:
            continue
        items = [
            Leaking(
                leakage_ma=float(h.product.fitting.leakage_ma)
                if h.product.fitting and h.product.fitting.leakage_ma is not None
                else None,
                pieces=len(h.load.pieces_w),
            )
            for h in case.hanging
            if h.circuit.enclosure == enclosure.id and not h.part.same_pieces_as
        ]
        total = leakage(items=items, rated_ma=float(enclosure.rcd_ma))
        if total.is_within is not True and items:
            yield found(
                "leakage",
                about=enclosure.id,
                severity="stop" if total.is_within is False else "note",
                enclosure=enclosure.name,
                known=total.known_ma,
                rated=enclosure.rcd_ma,
                limit=total.limit_ma,
                unknown=total.unknown_pieces,
            )


@rule(
    "kept-wiring",
    title=_("Wiring that is kept"),
    severity="look",
    why=_("%(code)s (%(pieces)s)."),
    mend=_(
        "Have an electrician inspect and test what is kept, and say at the project what was found."
    ),
    source="BS 7671 asks that what is kept is safe for what is put on it; not quoted here",
    place="project",
)
def kept_wiring(case: Case) -> Iterator[Found]:
    design = case.house.design
    kept = [circuit for circuit in design.circuits if circuit.is_existing]
    if not kept:
        return
    keys = {circuit.id for circuit in kept}
    class_one = sum(
        len(h.load.pieces_w)
        for h in case.hanging
        if h.circuit.id in keys
        and h.product.fitting is not None
        and h.product.fitting.protection_class == "I"
    )
    project = design.project
    wiring = ExistingWiring(
        has_earth=project.wiring_has_earth,
        neutral_at=NeutralAt(project.wiring_neutral_at or "unknown"),
        has_test_report=project.wiring_has_report,
    )
    codes = kept_wiring_codes(
        wiring=wiring,
        design=OnKeptWiring(class_one=class_one, receivers_at_switch=_at_switch(case)),
    )
    for reason in codes:
        is_stop = reason.code == "class-one-without-earth"
        yield found(
            "kept-wiring",
            about=reason.code,
            key=project.id,
            severity="stop" if is_stop else "look",
            code=reason.code,
            pieces=reason.values.get("pieces", len(kept)),
        )


def _at_switch(case: Case) -> int:
    """Receivers that need a neutral and feed kept circuits."""
    kept = {c.code for c in case.house.design.circuits if c.is_existing}
    count = 0
    for unit in case.plan.control.units:
        product = case.house.by_reference.get(unit.reference)
        spec = product.receiver if product else None
        if spec is not None and spec.needs_neutral and kept & set(unit.circuits):
            count += 1
    return count
