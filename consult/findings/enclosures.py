"""Where receivers and drivers live: heat, access, air, radio."""

import math
from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.findings.registry import Case, Found, found, rule
from engineering.control_plan import EnclosurePlan, PowerSupply
from engineering.mounting import GearPlace, gear_place_codes

SEVERITY = {"sealed-in": "stop", "too-warm": "stop", "not-ventilated": "look"}


def losses_w(case: Case, plan: EnclosurePlan) -> float:
    """What the drivers in an enclosure turn into heat [W]; the receivers' own is not known.

    Drivers that stand elsewhere give it off there.
    """
    own = math.fsum(_loss_w(case, supply) for unit in plan.units for supply in unit.supplies)
    return own + math.fsum(
        losses
        for circuit, losses in _losses_after(case, plan).items()
        if not case.circuit_of_code[circuit].driver_place
    )


def _loss_w(case: Case, supply: PowerSupply) -> float:
    product = case.house.by_reference.get(supply.reference)
    if product is None or product.driver is None:
        return 0.0
    return supply.load_w * (1 / float(product.driver.efficiency) - 1)


def _losses_after(case: Case, plan: EnclosurePlan) -> dict[str, float]:
    """Heat of the drivers after outputs, by the code of their circuit [W]."""
    losses: dict[str, float] = {}
    for unit in plan.units:
        for output in unit.outputs:
            for part in output.parts:
                for supply in part.supplies:
                    given = _loss_w(case, supply)
                    losses[part.circuit] = losses.get(part.circuit, 0.0) + given
    return losses


@rule(
    "driver-place",
    title=_("Where the drivers of a circuit stand"),
    severity="note",
    why=_("%(circuit)s: %(codes)s. Its drivers, %(stand)s, give off %(losses)s W."),
    mend=_("Say at the circuit whether they can be reached and have air; or move them."),
    place="circuit",
)
def driver_place(case: Case) -> Iterator[Found]:
    for plan in case.enclosure_plans:
        for code, losses in _losses_after(case, plan).items():
            circuit = case.circuit_of_code[code]
            if not circuit.driver_place:
                continue
            place = GearPlace(
                losses_w=losses,
                allowance_w=None,
                has_access=circuit.driver_has_access,
                is_ventilated=circuit.driver_is_ventilated,
            )
            # What heat a void may hold nobody can say: it is asked for places that are typed only.
            codes = [reason.code for reason in gear_place_codes(place=place)]
            for each in _together([c for c in codes if not c.startswith("too-warm")]):
                yield found(
                    "driver-place",
                    about=f"{circuit.id}/{each.split()[0]}",
                    key=circuit.id,
                    room=circuit.room,
                    severity=SEVERITY.get(each, "note"),
                    circuit=f"{circuit.code} {circuit.name}",
                    codes=each,
                    stand=f"driver-{circuit.driver_place}",
                    losses=losses,
                )


@rule(
    "gear-place",
    title=_("Where drivers are kept"),
    severity="note",
    why=_("%(enclosure)s: %(codes)s. Its drivers give off %(losses)s W."),
    mend=_(
        "Say at the place whether it can be reached, has air, and what heat it may hold; or move the drivers."
    ),
    place="enclosure",
)
def gear_place(case: Case) -> Iterator[Found]:
    for plan in case.enclosure_plans:
        part = case.house.design.enclosure_of[plan.reference]
        losses = losses_w(case, plan)
        place = GearPlace(
            losses_w=losses,
            allowance_w=float(part.heat_allowance_w) if part.heat_allowance_w else None,
            has_access=part.has_access,
            is_ventilated=part.is_ventilated,
        )
        for code in _together([reason.code for reason in gear_place_codes(place=place)]):
            yield found(
                "gear-place",
                about=f"{part.id}/{code.split()[0]}",
                key=part.id,
                severity=SEVERITY.get(code, "note"),
                enclosure=part.name,
                codes=code,
                losses=losses,
            )


def _together(codes: list[str]) -> list[str]:
    """Each code by itself, but all that is not known in one."""
    unknown = [code for code in codes if code.endswith("-not-known")]
    known = [code for code in codes if code not in unknown]
    return [code for code in (*known, " ".join(unknown)) if code]


@rule(
    "radio-shielded",
    title=_("Radio: prove on site before first fix"),
    severity="look",
    why=_("%(enclosure)s has metal or foil round it: no rule says that a keypad reaches it."),
    mend=_("Try it on site with the real keypad before first fix, or move the receivers."),
    place="enclosure",
)
def radio_shielded(case: Case) -> Iterator[Found]:
    for plan in case.enclosure_plans:
        part = case.house.design.enclosure_of[plan.reference]
        if part.is_shielded and plan.units:
            yield found("radio-shielded", about=part.id, enclosure=part.name)
