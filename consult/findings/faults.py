"""What clears a fault: the earth-fault loop, the residual-current device. Prompts for an electrician."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.design import EnclosurePart
from consult.findings.registry import Case, Found, found, published, rule
from consult.findings.wiring import ASSUMED_MM2, device_of
from engineering.protection import (
    FAULT_LOOP_SOURCE,
    HOT_FAULT_SHARE,
    LEAKAGE_SOURCE,
    R1_R2_OHM_PER_KM,
    RESISTANCE_SOURCE,
    greatest_fault_loop_ohm,
    longest_by_fault_loop_m,
    residual_type_codes,
)

PROTECTIVE_MM2 = dict(R1_R2_OHM_PER_KM.keys())  # of twin and earth, by its line conductor
MOST_RESIDUAL_MA = 30
# Loads whose current has no DC part: filaments and wound transformers, from memory, not looked up.
NO_DC_PART = frozenset({"resistive", "wound"})


def _ohm(value: float) -> str:
    return f"{value:.2f}"


@rule(
    "fault-loop",
    title=_("Earth-fault loop too high for the protective device"),
    severity="look",
    why=_(
        "%(what)s: on %(device)s the loop measured cold may be %(measured)s Ω; %(here)s Ω where it is fed leave %(most)s m of %(size)s mm², and %(length)s m are planned."
    ),
    mend=_(
        "Take a larger protective conductor, a shorter way or another device. The electrician measures the loop at the far end; whether a residual-current device may clear it is theirs to say."
    ),
    source=f"{published(FAULT_LOOP_SOURCE)}, and 80 % of it cold; {published(RESISTANCE_SOURCE)}",
    place="enclosure",
)
def fault_loop(case: Case) -> Iterator[Found]:
    volts = float(case.house.design.project.supply_v)
    for enclosure in case.house.design.enclosures:
        device, here = device_of(enclosure), enclosure.fault_loop_ohm
        if device is None or here is None:
            continue
        measured = HOT_FAULT_SHARE * greatest_fault_loop_ohm(device=device, nominal_v=volts).value
        for circuit in case.house.design.circuits:
            size = float(circuit.cable_mm2 or ASSUMED_MM2)
            protective = PROTECTIVE_MM2.get(size)
            is_mains = not circuit.load_kind.startswith("dc-")
            if circuit.enclosure != enclosure.id or not is_mains or protective is None:
                continue
            most = longest_by_fault_loop_m(
                device=device,
                external_ohm=float(here),
                line_mm2=size,
                protective_mm2=protective,
                nominal_v=volts,
            )
            length = float(circuit.cable_length_m or 0)
            if length > most or not most:
                yield found(
                    "fault-loop",
                    about=circuit.id,
                    key=enclosure.id,
                    room=circuit.room,
                    what=f"{circuit.code} {circuit.name}",
                    device=enclosure.protective_device,
                    measured=_ohm(measured),
                    here=_ohm(float(here)),
                    most=f"{most:.0f}",
                    size=f"{size:g}",
                    length=length,
                )


@rule(
    "fault-loop-not-known",
    title=_("The earth-fault loop is not known"),
    severity="note",
    why=_(
        "%(enclosure)s: %(device)s trips in time up to a loop of %(greatest)s Ω, measured cold up to %(measured)s Ω; nobody has typed what it is."
    ),
    mend=_("Ask the electrician to measure it, and type it at the place."),
    source=f"{published(FAULT_LOOP_SOURCE)}, and 80 % of it cold",
    place="enclosure",
)
def fault_loop_not_known(case: Case) -> Iterator[Found]:
    volts = float(case.house.design.project.supply_v)
    for enclosure in _in_use(case):
        device = device_of(enclosure)
        if device is None or enclosure.fault_loop_ohm is not None:
            continue
        greatest = greatest_fault_loop_ohm(device=device, nominal_v=volts).value
        yield found(
            "fault-loop-not-known",
            about=enclosure.id,
            enclosure=enclosure.name,
            device=enclosure.protective_device,
            greatest=_ohm(greatest),
            measured=_ohm(HOT_FAULT_SHARE * greatest),
        )


def _in_use(case: Case) -> Iterator[EnclosurePart]:
    used = {circuit.enclosure for circuit in case.house.design.circuits}
    return (each for each in case.house.design.enclosures if each.id in used)


@rule(
    "residual-current",
    title=_("Residual-current protection to be settled"),
    severity="look",
    why=_("%(enclosure)s: %(code)s."),
    mend=_(
        "In a home 30 mA stand before all luminaire circuits; type AC only where no load has a DC part. The electrician settles it: type it at the place."
    ),
    source=published(LEAKAGE_SOURCE),
    place="enclosure",
)
def residual_current(case: Case) -> Iterator[Found]:
    for enclosure in _in_use(case):
        for code, severity in _residual_codes(case, enclosure):
            yield found(
                "residual-current",
                about=f"{enclosure.id}/{code}",
                key=enclosure.id,
                severity=severity,
                enclosure=enclosure.name,
                code=code,
            )


def _residual_codes(case: Case, enclosure: EnclosurePart) -> Iterator[tuple[str, str]]:
    if enclosure.rcd_ma is None:
        yield "rcd-not-said", "look"
        return
    if enclosure.rcd_ma > MOST_RESIDUAL_MA:
        yield "rcd-above-30-ma", "look"
    codes = residual_type_codes(has_dc_part=_has_dc_part(case, enclosure))
    if "rcd-type-not-known" in codes:
        if enclosure.rcd_type == "AC":
            yield "rcd-type-ac", "stop"
        elif not enclosure.rcd_type:
            yield "rcd-type-not-said", "note"


def _has_dc_part(case: Case, enclosure: EnclosurePart) -> bool | None:
    """Whether loads may leak a current with a DC part: None where nobody can tell, as of LEDs."""
    natures = {
        feed.load_nature
        for circuit in case.house.design.circuits
        if circuit.enclosure == enclosure.id
        for feed in case.house.loads[circuit.id].feeds
    }
    return False if natures <= NO_DC_PART else None
