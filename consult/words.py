"""Codes of the core and of the plan in words, translatable, without money."""

from collections.abc import Mapping

from django.utils.functional import Promise
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
