"""What must hold of a product, in the trade's words. No database here.

Shape (numbers, lengths of text) is checked by the forms, what rules out itself by constraints of the
database; here stands what a person in the trade would object to.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from catalogue.kinds import (
    CHANNELS,
    DIMMED_KINDS,
    FED_KINDS,
    LOW_VOLTAGE_KINDS,
    Kind,
    LoadKind,
    LoadNature,
    Unit,
)
from catalogue.sheet import ProductSheet, Values

LENGTH_KINDS = frozenset({Kind.TAPE, Kind.PROFILE, Kind.CABLE})
DRIVER_DIMMING = (LoadKind.PHASE_DIMMED, LoadKind.ANALOGUE_DIMMED, LoadKind.DIGITAL_DIMMED)
TUNABLE_KINDS = frozenset({LoadKind.DC_TUNABLE, LoadKind.DC_RGB_TUNABLE})
MOST_LM_PER_W = 300
"""No white source gives as much; a figure above it is a slip. From memory, not looked up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One objection: in which block, which row of it, at which field, and the sentence.

    `block` is "basics", "technical", "feeds", "limits" or "parts"; an empty field means the whole.
    """

    block: str
    field: str
    sentence: str
    row: int | None = None


def problems(sheet: ProductSheet) -> list[Problem]:
    """Everything that does not hold of the sheet, in the order of the form."""
    found = list(_basics(sheet))
    if sheet.kind in FED_KINDS:
        found += _fitting(sheet)
        for row, feed in enumerate(sheet.feeds):
            found += _feed(feed, row=row, kind=sheet.kind)
    elif sheet.kind == Kind.DRIVER:
        found += _driver(sheet.technical or {})
    elif sheet.kind == Kind.RECEIVER:
        found += _receiver(sheet)
    elif sheet.kind == Kind.KEYPAD:
        found += _keypad(sheet.technical or {})
    return found + list(_parts(sheet))


def _basics(sheet: ProductSheet) -> Iterator[Problem]:
    basics = sheet.basics
    sold, step = basics.get("sold_length_m"), basics.get("cut_step_m")
    if sheet.kind in LENGTH_KINDS and basics.get("unit") == Unit.PIECE and not sold:
        yield Problem(
            block="basics",
            field="sold_length_m",
            sentence=_("What is sold each needs the length of a piece, in metres."),
        )
    if sold and step and step > sold:
        yield Problem(
            block="basics",
            field="cut_step_m",
            sentence=_("The cut step is longer than the piece: swap them or correct one."),
        )


def _fitting(sheet: ProductSheet) -> Iterator[Problem]:
    technical = sheet.technical or {}
    cap, lamps = technical.get("lamp_cap"), technical.get("lamp_count")
    if sheet.kind == Kind.LAMP and not cap:
        sentence = _("A lamp needs its cap, such as E27.")
        yield Problem(block="technical", field="lamp_cap", sentence=sentence)
    if sheet.kind == Kind.FITTING and lamps and not cap:
        sentence = _("Name the cap of the lamps it takes, such as E27.")
        yield Problem(block="technical", field="lamp_cap", sentence=sentence)
    if sheet.kind == Kind.FITTING and cap and not lamps:
        sentence = _("Say how many lamps it takes.")
        yield Problem(block="technical", field="lamp_count", sentence=sentence)
    if not sheet.feeds:
        sentence = _("Say how it may be driven: it needs at least one feed.")
        yield Problem(block="feeds", field="", sentence=sentence)


def _feed(feed: Values, *, row: int, kind: str) -> Iterator[Problem]:
    for field, sentence in [*_feed_driving(feed), *_feed_light(feed), *_feed_supply(feed, kind)]:
        yield Problem(block="feeds", row=row, field=field, sentence=sentence)


def _feed_driving(feed: Values) -> Iterator[tuple[str, str]]:
    ways = set(feed.get("load_kinds") or ())
    is_motor = feed.get("load_nature") == LoadNature.MOTOR
    if feed.get("is_dimmable") and not ways & DIMMED_KINDS:
        yield "load_kinds", _("A dimmable fitting needs at least one way of dimming.")
    elif not ways:
        yield "load_kinds", _("Say how it may be driven: choose at least one way.")
    if feed.get("edge") and LoadKind.PHASE_DIMMED not in ways:
        yield (
            "edge",
            _("An edge belongs to phase dimming: choose that way too, or leave the edge empty."),
        )
    if LoadKind.MOTOR in ways and not is_motor:
        yield "load_nature", _("What is driven as a motor is a motor: choose that load nature.")
    if is_motor and ways & DIMMED_KINDS:
        yield "load_kinds", _("A motor is never dimmed: take the ways of dimming away.")


def _feed_light(feed: Values) -> Iterator[tuple[str, str]]:
    source, leaves, watts = feed.get("source_lm"), feed.get("luminaire_lm"), feed.get("watts")
    cct, cct_to = feed.get("cct_k"), feed.get("cct_to_k")
    most = max(source or 0, leaves or 0)
    if source and leaves and leaves > source:
        yield "luminaire_lm", _("More light leaves the fitting than its source gives: check both.")
    if watts and most > watts * MOST_LM_PER_W:
        yield "watts", _("So much light from so few watts is not to be had: check both figures.")
    if cct and cct_to and cct_to <= cct:
        yield "cct_to_k", _("The colour temperature runs from the lower to the higher figure.")
    is_tunable = set(feed.get("load_kinds") or ()) & TUNABLE_KINDS
    if is_tunable and not (cct and cct_to):
        yield "cct_to_k", _("Tunable white needs both ends of its colour temperature.")


def _feed_supply(feed: Values, kind: str) -> Iterator[tuple[str, str]]:
    volts, current = feed.get("supply_v"), feed.get("current_ma")
    ways = set(feed.get("load_kinds") or ())
    if volts and current:
        yield (
            "supply_v",
            _("It is fed with a constant voltage or a constant current: fill in one of them."),
        )
    if ways & LOW_VOLTAGE_KINDS and not volts:
        yield "supply_v", _("What is fed at low voltage needs its voltage, such as 24 V.")
    if feed.get("driver_place") == "apart" and not (volts or current):
        yield "supply_v", _("A driver ordered apart is chosen by voltage or current: fill in one.")
    if current and not feed.get("forward_v") and feed.get("driver_place") == "apart":
        yield "forward_v", _("Its forward voltage is needed to choose a constant-current driver.")
    if kind == Kind.TAPE and feed.get("watts") is None:
        yield "watts", _("A tape needs its watts per metre, so that a driver can be chosen.")


def _driver(driver: Values) -> Iterator[Problem]:
    for field, sentence in _driver_objections(driver):
        yield Problem(block="technical", field=field, sentence=sentence)


def _driver_objections(driver: Values) -> Iterator[tuple[str, str]]:
    volts, current = driver.get("supply_v"), driver.get("current_ma")
    from_v, to_v = driver.get("forward_from_v"), driver.get("forward_to_v")
    rating, least = driver.get("rating_w"), driver.get("min_load_w")
    if bool(volts) == bool(current):
        yield (
            "supply_v",
            _(
                "A driver gives either a constant voltage or a constant current: "
                "fill in one of them."
            ),
        )
    if current and not to_v:
        yield "forward_to_v", _("A constant-current driver needs its highest forward voltage.")
    if from_v and to_v and from_v > to_v:
        yield "forward_from_v", _("The lower forward voltage is above the higher: swap them.")
    if rating is not None and rating <= 0:
        yield "rating_w", _("The rating is above 0 W.")
    if least and rating and least > rating:
        yield "min_load_w", _("The least load is above the rating: correct one of them.")


def _receiver(sheet: ProductSheet) -> Iterator[Problem]:
    technical = sheet.technical or {}
    kinds = {limit.get("load_kind") for limit in sheet.limits}
    if kinds & LOW_VOLTAGE_KINDS and not technical.get("supply_v"):
        yield Problem(
            block="technical",
            field="supply_v",
            sentence=_("A unit with low-voltage outputs is fed by a driver: give its voltage."),
        )
    if not sheet.limits:
        yield Problem(
            block="limits",
            field="",
            sentence=_("Say what an output may carry: it needs at least one limit."),
        )
    seen: set[tuple[object, object]] = set()
    for row, limit in enumerate(sheet.limits):
        key = (limit.get("load_kind"), limit.get("load_nature"))
        for field, sentence in _limit(limit, technical, is_repeated=key in seen):
            yield Problem(block="limits", row=row, field=field, sentence=sentence)
        seen.add(key)


def _limit(limit: Values, technical: Values, *, is_repeated: bool) -> Iterator[tuple[str, str]]:
    least, most = limit.get("min_w") or Decimal(0), limit.get("max_w")
    outputs, unit_max = technical.get("outputs"), technical.get("unit_max_w")
    kind = str(limit.get("load_kind"))
    if is_repeated:
        yield "load_kind", _("This load kind and nature stands here twice: keep one.")
    if most is not None and least > most:
        yield "min_w", _("The least load is above the most: swap them or correct one.")
    if most is not None and unit_max and most > unit_max:
        yield "max_w", _("One output cannot carry more than the whole unit.")
    if outputs and CHANNELS.get(kind, 1) > outputs:
        sentence = _("Such a circuit takes %(channels)s outputs; this unit has %(outputs)s.")
        yield "load_kind", sentence % {"channels": CHANNELS[kind], "outputs": outputs}
    if kind == LoadKind.MOTOR and limit.get("load_nature") != LoadNature.MOTOR:
        yield "load_nature", _("What is driven as a motor is a motor: choose that load nature.")
    if limit.get("edge") and kind != LoadKind.PHASE_DIMMED:
        yield "edge", _("An edge belongs to phase dimming only: leave it empty here.")


def _keypad(keypad: Values) -> Iterator[Problem]:
    engraving = keypad.get("engraving_product")
    if engraving is not None and engraving.kind != Kind.SERVICE:
        yield Problem(
            block="technical",
            field="engraving_product",
            sentence=_("Engraving is ordered as a service: choose a product of that kind."),
        )


def _parts(sheet: ProductSheet) -> Iterator[Problem]:
    seen: set[tuple[object, object]] = set()
    for row, part in enumerate(sheet.parts):
        needed = part["part"]
        key = (needed.pk, part.get("per"))
        if needed.reference == sheet.basics.get("reference"):
            sentence = _("A product is no part of itself.")
            yield Problem(block="parts", row=row, field="part", sentence=sentence)
        if key in seen:
            sentence = _("This part stands here twice for the same measure: add the quantities.")
            yield Problem(block="parts", row=row, field="part", sentence=sentence)
        if part.get("quantity") is not None and part["quantity"] <= 0:
            sentence = _("The quantity is above 0.")
            yield Problem(block="parts", row=row, field="quantity", sentence=sentence)
        seen.add(key)
