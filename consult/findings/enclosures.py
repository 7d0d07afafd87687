"""Where receivers and drivers live: heat, access, air, radio."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.findings.registry import Case, Found, found, rule
from engineering.control_plan import EnclosurePlan
from engineering.mounting import GearPlace, gear_place_codes

SEVERITY = {"sealed-in": "stop", "too-warm": "stop", "not-ventilated": "look"}


def losses_w(case: Case, plan: EnclosurePlan) -> float:
    """What the drivers of an enclosure turn into heat [W]; the receivers' own is not known."""
    total = 0.0
    for supply in case.supplies(plan.units):
        product = case.house.by_reference.get(supply.reference)
        if product is not None and product.driver is not None:
            total += supply.load_w * (1 / float(product.driver.efficiency) - 1)
    return total


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
        codes = [reason.code for reason in gear_place_codes(place=place)]
        unknown = [code for code in codes if code.endswith("-not-known")]
        known = [code for code in codes if code not in unknown]
        for code in [*known, " ".join(unknown)]:
            if code:
                yield found(
                    "gear-place",
                    about=f"{part.id}/{code.split()[0]}",
                    key=part.id,
                    severity=SEVERITY.get(code, "note"),
                    enclosure=part.name,
                    codes=code,
                    losses=losses,
                )


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
