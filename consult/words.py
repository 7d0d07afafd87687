"""Codes of the core and of the plan in words, translatable, without money."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

GAPS: Mapping[str, Promise] = {
    "circuit_empty": _("Nothing hangs on it yet"),
    "lamp_not_chosen": _("Its lamp is not chosen"),
    "watts_not_known": _("Its power is not known"),
    "no_enclosure": _("It has no place for a receiver"),
    "currents_mixed": _("Its fittings ask for different currents"),
    "voltages_mixed": _("Its fittings ask for different voltages"),
    "forward_voltage_not_known": _("Its forward voltage is not known"),
    "voltage_not_known": _("Its supply voltage is not known"),
}

REASONS: Mapping[str, Promise] = {
    "no_receiver_for_kind": _("No receiver in the catalogue drives this kind of load"),
    "limit_not_known": _("No receiver states a limit for this kind of load"),
    "limits_contradictory": _("The receivers' limits contradict themselves"),
    "below_minimum": _("It draws less than any receiver's least load"),
    "piece_above_output": _("One piece alone draws more than any output carries"),
    "too_many_parts": _("It is too large for one unit, and a colour circuit must stay in one"),
    "channels_above_unit": _("It needs more outputs than any unit has"),
    "ip_not_met": _("No receiver may be used in so damp a place"),
    "edge_not_met": _("No receiver dims on the edge it needs"),
    "power_factor_not_known": _("Its power factor is not known"),
    "no_driver": _("No driver in the catalogue feeds it"),
    "no_supply_for_unit": _("No driver can feed the unit it needs"),
    "fixed_cannot_hold": _("What was fixed for it cannot hold"),
    "no_room": _("There is no room left where its receiver is kept"),
    "protective_device_full": _("The protective device carries no more"),
    "no_such_enclosure": _("Its place for receivers is gone"),
    "repeated_code": _("Another circuit has its code"),
}


def gap(code: str) -> str:
    return str(GAPS.get(code, code))


def reason(code: str) -> str:
    return str(REASONS.get(code, code))


MENDS: Mapping[str, Promise] = {
    "no_receiver_for_kind": _("Put a receiver for this kind of load into the catalogue."),
    "limit_not_known": _(
        "Type the receiver's limit for this load in the catalogue, from its maker."
    ),
    "limits_contradictory": _("Correct the limits in the catalogue."),
    "below_minimum": _("Put more on the circuit, or join it with another."),
    "piece_above_output": _("Feed the piece in parts, or switch it by a contactor."),
    "too_many_parts": _("Share the length over two circuits of the same scene."),
    "channels_above_unit": _("Put a receiver with more outputs into the catalogue."),
    "ip_not_met": _("Keep the receiver in a dry place, or choose one for damp places."),
    "edge_not_met": _("Choose a receiver with that edge, or another lamp."),
    "power_factor_not_known": _("Type the fitting's power factor, from its maker."),
    "no_driver": _("Put a driver of this voltage or current into the catalogue."),
    "no_supply_for_unit": _("Put a larger driver into the catalogue, or share the load."),
    "fixed_cannot_hold": _("Remove the fixed choice."),
    "no_room": _("Keep some receivers elsewhere, or make the place larger."),
    "protective_device_full": _("Feed some circuits from another place or device."),
    "no_such_enclosure": _("Give the circuit a place for its receiver."),
    "repeated_code": _("Remove one of the two circuits."),
}

BROKEN: Mapping[str, Promise] = {
    "fixed_cannot_hold": _("it cannot hold with the limits of the products"),
    "fixed_unknown": _("what it names is not in the plan"),
    "circuit_unserved": _("nothing feeds the circuit"),
    "held_unknown_product": _("a receiver that is wired is no longer offered"),
    "held_changed": _("the circuit is no longer as it was wired"),
    "held_gone": _("the circuit that was wired is gone"),
    "held_cannot_hold": _("the circuit no longer fits where it was wired"),
}

LOOKS: Mapping[str, Promise] = {
    "too-few-buttons": _("too few buttons"),
    "other-series": _("another series"),
    "other-finish": _("another finish"),
    "box-too-shallow": _("it needs a deeper box"),
    "box-too-narrow": _("it needs a wider box"),
    "no-supply": _("it needs a supply at the wall"),
    "not-engravable": _("it cannot be engraved"),
    "engraving-too-long": _("the engraving is too long for its buttons"),
    "fixed-not-offered": _("the keypad that was fixed is not offered"),
}

# Codes of checks: bathrooms, kept wiring, places of gear, breakers, ceilings.
CHECKS: Mapping[str, Promise] = {
    **BROKEN,
    **LOOKS,
    "ip-not-known": _("its IP code is not known"),
    "ip-too-low": _("its IP code is too low"),
    "zone-0-needs-separated-extra-low-voltage": _("in zone 0 only separated extra-low voltage"),
    "zone-0-voltage-too-high": _("its voltage is too high for zone 0"),
    "switch-in-zone": _("a switch in a zone"),
    "socket-in-zone": _("a socket in a zone"),
    "power-source-in-zone": _("a power source in a zone"),
    "socket-distance-not-known": _("its distance from zone 1 is not known"),
    "socket-too-near": _("a socket nearer to zone 1 than allowed"),
    "keypad-not-placed": _("where it hangs is not said, so no zone can be told"),
    "keypad-in-zone-0": _("it hangs in zone 0"),
    "keypad-in-zone-1": _("it hangs in zone 1"),
    "keypad-in-zone-2": _("it hangs in zone 2"),
    "ceiling-known": _("joists and board are typed"),
    "ceiling-not-known": _("joists, centres or board are not typed"),
    "driver-cut-out": _("through the cut-out of the fitting"),
    "driver-remote": _("in a place of their own"),
    "sealed-in": _("it cannot be reached"),
    "sealed-in-not-known": _("nobody has said whether it can be reached"),
    "not-ventilated": _("it has no air"),
    "not-ventilated-not-known": _("nobody has said whether it has air"),
    "too-warm": _("it grows too warm"),
    "too-warm-not-known": _("what heat it may hold is not known"),
    "range-not-known": _("the keypad's stated range is not in the catalogue"),
    "shielded": _("metal, foil or a mirror is in the way"),
    "beyond-rule": _("farther than what walls and floors leave of its range"),
    "rcd-not-said": _("no residual-current device is typed"),
    "rcd-above-30-ma": _("the residual-current device is rated above 30 mA"),
    "rcd-type-ac": _("type AC, and LEDs, drivers or motors may leak a current with a DC part"),
    "rcd-type-not-said": _("the type of the residual-current device is not said"),
    "from-one-end": _("fed from one end"),
    "from-both-ends": _("fed from both ends"),
    "feed-both-ends": _("Feed it from both ends: it then stays within the limit."),
    "shorten-the-runs": _("Feed it in shorter runs, or choose a tape that loses less."),
    "the-device": _("the protective device"),
    "the-load": _("the load"),
    "laid-not-said": _("laid as nobody has said (taken as above a ceiling, thin insulation)"),
    "maker": _("the maker's figure"),
    "maker-scaled": _("the maker's figure for another device, scaled"),
    "inrush": _("by the inrush"),
    "not-known": _("not known"),
    "class-one-without-earth": _("Fittings of Class I, and no earth at the points"),
    "class-one-without-earth-not-known": _(
        "Fittings of Class I, and nobody has said whether there is an earth"
    ),
    "metal-plate-without-earth": _("Metal plates, and no earth"),
    "metal-plate-without-earth-not-known": _("Metal plates, and an earth is not known"),
    "receiver-without-neutral": _("Receivers that need a neutral, and none at the switch"),
    "receiver-without-neutral-not-known": _(
        "Receivers that need a neutral, and nobody has said where it runs"
    ),
    "no-test-report": _("No test report of the kept circuits was seen"),
    "old-switches-to-link-out": _("Old switches to link out and blank"),
}


def check(code: str) -> str:
    return str(CHECKS.get(code, code))


def mend(code: str) -> str:
    return str(MENDS.get(code, ""))


def broken(code: str) -> str:
    return str(BROKEN.get(code, code))


PIECES: Mapping[str, Promise] = {
    **{
        f"switch-plate-{gangs}": format_lazy(_("Switch plate, {n} gang"), n=gangs)
        for gangs in (1, 2, 3, 4, 6)
    },
    **{
        f"dimmer-plate-{gangs}": format_lazy(_("Dimmer, {n} gang"), n=gangs)
        for gangs in (1, 2, 3, 4)
    },
    "box-1-25": _("Back box, one gang, 25 mm"),
    "box-1-35": _("Back box, one gang, 35 mm"),
    "box-2-25": _("Back box, two gang, 25 mm"),
    "box-2-35": _("Back box, two gang, 35 mm"),
    "intermediate-extra": _("Intermediate switch, on top of a gang"),
}

LACKS: Mapping[str, Promise] = {
    "scenes": _("Scenes: each circuit is set by itself."),
    "dimming-from-two-places": _("Dim from two places: a dimmer stands at one of them only"),
    "dimming": _("Dim circuits that are only switched"),
    "colour": _("Set colour"),
    "motor": _("Work blinds"),
    "dimmer-overloaded": _("Carry the load on one dimmer"),
    "house-off": _("Put everything off with one press."),
    "no-position": _("Work circuits that have no position"),
}


def piece(code: str) -> str:
    return str(PIECES.get(code, code))


def lack(code: str) -> str:
    return str(LACKS.get(code, code))
