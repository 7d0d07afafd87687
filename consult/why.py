"""Why the plan is as it is, in words: codes and values of the core become sentences here.

No sentence here holds money. Sentences with money are made for staff in the view that opens them.
"""

from collections.abc import Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from consult import words
from consult.findings.registry import text
from consult.pieces import House
from engineering.control_plan import EnclosurePlan, PowerSupply, Reason, Unit
from engineering.keypads import KeypadChoice


def unit_sentences(unit: Unit) -> list[str]:
    """Why a receiver is there: what it takes, and what bound the choice."""
    return [sentence for reason in unit.reasons if (sentence := _unit(reason))]


def _unit(reason: Reason) -> str:
    values = reason.values
    match reason.code:
        case "unit_serves":
            return _("%(outputs)s, up to %(max)s W in all: takes %(circuits)s.") % {
                "outputs": ngettext("%(n)s output", "%(n)s outputs", int(str(values["outputs"])))
                % {"n": values["outputs"]},
                "max": text(values["max_w"]),
                "circuits": _with_watts(values),
            }
        case "unit_spare":
            return _("It feeds nothing yet: it was fixed, or is kept spare.")
        case "unit_held":
            return _("It is wired already, so it stays.")
        case "colour_in_one_unit":
            return _("All colours of %(circuits)s sit in it: they fade together.") % {
                "circuits": _list(values["circuits"])
            }
        case "unit_voltage":
            return _("It is fed with %(volts)s V DC by the driver before it.") % {
                "volts": text(values["volts"])
            }
    return ""


def _with_watts(values: Mapping[str, object]) -> str:
    codes, watts = values["circuits"], values["watts"]
    if not isinstance(codes, tuple) or not isinstance(watts, tuple):
        return ""
    pairs = zip(codes, watts, strict=True)
    return ", ".join(f"{code} ({text(float(each))} W)" for code, each in pairs)


def _list(codes: object) -> str:
    return ", ".join(map(str, codes)) if isinstance(codes, tuple) else str(codes)


def supply_sentence(supply: PowerSupply) -> str:
    """Why a driver is large enough."""
    for reason in supply.reasons:
        if reason.code == "rating_covers_load":
            return _(
                "%(load)s W on %(rating)s W, of which %(usable)s W are used with headroom."
            ) % {
                "load": text(reason.values["load_w"]),
                "rating": text(reason.values["rating_w"]),
                "usable": text(reason.values["usable_w"]),
            }
    return ""


def enclosure_sentences(house: House, plan: EnclosurePlan) -> list[str]:
    """What the plan of a place could not keep to."""
    found = []
    for reason in plan.reasons:
        if reason.code == "spare_not_met":
            found.append(
                _("%(n)s outputs short of what is to be kept spare.")
                % {"n": reason.values["outputs"]}
            )
        if reason.code == "route_on_one_unit":
            group = house.design.group_of.get(str(reason.values["route"]))
            found.append(
                _("All of the way out %(route)s hangs on U%(unit)s.")
                % {"route": group.name if group else "", "unit": reason.values["unit"]}
            )
    return found


def keypad_sentences(house: House, choice: KeypadChoice) -> list[str]:
    """Why a keypad was chosen for a position, or none."""
    return [_keypad(reason) for reason in choice.why] + [
        _offer(house, reason) for reason in choice.offers
    ]


def _keypad(reason: Reason) -> str:
    values = reason.values
    match reason.code:
        case "cheapest-that-fits":
            return _(
                "The cheapest of %(fitting)s that fit: %(needed)s of %(buttons)s buttons used."
            ) % {
                "fitting": values["fitting"],
                "needed": values["buttons_needed"],
                "buttons": values["buttons"],
            }
        case "only-one-that-fits":
            return _("The only one that fits: %(needed)s of %(buttons)s buttons used.") % {
                "needed": values["buttons_needed"],
                "buttons": values["buttons"],
            }
        case "fixed":
            return _("Fixed by hand: %(needed)s of %(buttons)s buttons used.") % {
                "needed": values["buttons_needed"],
                "buttons": values["buttons"],
            }
        case "fixed-not-offered":
            return _("The keypad that was fixed is not offered.")
        case "fixed-does-not-fit":
            against = str(values.get("against", "")).split()
            return _("The keypad that was fixed does not fit: %(against)s.") % {
                "against": ", ".join(str(words.LOOKS.get(each, each)) for each in against)
            }
    return _("None of %(tried)s keypads fits %(scenes)s scenes here.") % {
        "tried": values.get("tried", 0),
        "scenes": values.get("scenes", 0),
    }


def _offer(house: House, reason: Reason) -> str:
    def name(key: str) -> str:
        product = house.by_reference.get(str(reason.values.get(key, "")))
        return product.shown_name if product else ""

    match reason.code:
        case "two-keypads":
            return _("Two keypads would do: %(first)s and %(second)s.") % {
                "first": name("first"),
                "second": name("second"),
            }
        case "larger-one":
            ways = str(reason.values.get("gives_way", "")).split()
            given = ", ".join(str(words.LOOKS.get(each, each)) for each in ways)
            return _("A larger one: %(keypad)s, if this may give way: %(given)s.") % {
                "keypad": name("reference"),
                "given": given or "–",
            }
        case "fewer-scenes":
            return _("%(scenes)s scenes instead would fit %(keypad)s.") % {
                "scenes": reason.values["scenes"],
                "keypad": name("reference"),
            }
    return ""


def look_sentence(house: House, reason: Reason) -> str:
    """Why the house has this series and finish of keypads."""
    match reason.code:
        case "cheapest-look":
            return _("The cheapest of %(looks)s looks that serve every position.") % {
                "looks": reason.values["looks"]
            }
        case "fewest-unserved":
            return _("Of %(looks)s looks the one that leaves the fewest positions bare.") % {
                "looks": reason.values["looks"]
            }
        case "look-not-sold":
            return _("Nothing is sold in the series and finish that were fixed.")
    return _("The only look there is, or the one that was fixed.")
