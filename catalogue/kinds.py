"""The kinds of things that are sold, and the ways a circuit may be driven. No database here."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Kind(models.TextChoices):
    FITTING = "fitting", _("Fitting")
    LAMP = "lamp", _("Lamp")
    TAPE = "tape", _("LED tape")
    PROFILE = "profile", _("Profile")
    DRIVER = "driver", _("Driver")
    RECEIVER = "receiver", _("Receiver")
    KEYPAD = "keypad", _("Keypad")
    SENSOR = "sensor", _("Sensor")
    HUB = "hub", _("Hub or clock")
    REPEATER = "repeater", _("Repeater")
    REMOTE = "remote", _("Hand-held remote")
    SWITCH_PLATE = "switch-plate", _("Switch plate")
    DIMMER = "dimmer", _("Dimmer")
    OUTLET = "outlet", _("Socket outlet")
    BLIND = "blind", _("Blind motor")
    CABLE = "cable", _("Cable")
    ACCESSORY = "accessory", _("Accessory")
    SERVICE = "service", _("Service")


# Kinds that give light or move on a circuit, so that they have feeds.
FED_KINDS = frozenset({Kind.FITTING, Kind.LAMP, Kind.TAPE, Kind.BLIND, Kind.OUTLET})


class LoadKind(models.TextChoices):
    SWITCHED = "switched", _("Switched")
    PHASE_DIMMED = "phase-dimmed", _("Phase dimmed")
    DC_WHITE = "dc-white", _("Low voltage, one white")
    DC_TUNABLE = "dc-tunable", _("Low voltage, tunable white")
    DC_RGB = "dc-rgb", _("Low voltage, RGB")
    DC_RGBW = "dc-rgbw", _("Low voltage, RGBW")
    DC_RGB_TUNABLE = "dc-rgb-tunable", _("Low voltage, RGB and tunable white")
    ANALOGUE_DIMMED = "analogue-dimmed", _("Analogue dimmed, 1–10 V")
    DIGITAL_DIMMED = "digital-dimmed", _("Digitally dimmed, IEC 62386")
    MOTOR = "motor", _("Motor")


# Outputs of a receiver that one circuit of this kind takes.
CHANNELS: dict[str, int] = {
    LoadKind.DC_TUNABLE: 2,
    LoadKind.DC_RGB: 3,
    LoadKind.DC_RGBW: 4,
    LoadKind.DC_RGB_TUNABLE: 5,
}
DIMMED_KINDS = frozenset(set(LoadKind.values) - {LoadKind.SWITCHED, LoadKind.MOTOR})
LOW_VOLTAGE_KINDS = frozenset(
    {
        LoadKind.DC_WHITE,
        LoadKind.DC_TUNABLE,
        LoadKind.DC_RGB,
        LoadKind.DC_RGBW,
        LoadKind.DC_RGB_TUNABLE,
    }
)


class LoadNature(models.TextChoices):
    LED = "led", _("LED")
    RESISTIVE = "resistive", _("resistive")
    WOUND = "wound", _("wound transformer")
    MOTOR = "motor", _("motor")


class Edge(models.TextChoices):
    LEADING = "leading", _("leading edge")
    TRAILING = "trailing", _("trailing edge")
    EITHER = "either", _("either edge")


class DimmingCurve(models.TextChoices):
    """How light follows the level of the control: `engineering.dimming_curve` has the laws."""

    LINEAR = "", _("in step with the level")
    LOGARITHMIC = "logarithmic", _("logarithmic, as in IEC 62386-102")


class Flicker(models.TextChoices):
    """What was seen when two products were tried together."""

    NONE = "none", _("none seen")
    BELOW = "below", _("only below that level")
    SEEN = "seen", _("flickers")


class Phase(models.TextChoices):
    FIRST_FIX = "first-fix", _("First fix")
    SECOND_FIX = "second-fix", _("Second fix")
    FINISH = "finish", _("Finishing")


class Unit(models.TextChoices):
    PIECE = "piece", _("each")
    METRE = "metre", _("metre")


class TaxClass(models.TextChoices):
    STANDARD = "standard", _("Standard")
    REDUCED = "reduced", _("Reduced")
    ZERO = "zero", _("Zero")
    EXEMPT = "exempt", _("Exempt")


class Operation(models.TextChoices):
    FIRST_FIX = "first-fix", _("First fix")
    SECOND_FIX = "second-fix", _("Second fix")
    TERMINATION = "termination", _("Termination and test")
    PROGRAMMING = "programming", _("Programming scenes")
    TRAVEL = "travel", _("Travel")


class Grade(models.TextChoices):
    ELECTRICIAN = "electrician", _("Electrician")
    MATE = "mate", _("Mate")
    COMMISSIONER = "commissioner", _("Commissioner")
