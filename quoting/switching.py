"""Ordinary switches in place of scene control: the other side of the comparison, as lines of a bill.

The counts of plates, boxes and cable are the comparison's (`consult.comparison`); here they become
lines with products and labour, so that the difference to scene control is priced like any other
option. The lights, their cable and their drivers are the same either way. Pure, but for `pieces`.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from consult import words as counted
from consult.comparison import SWITCH_GRADE, Compared, compare
from consult.design import Design, RoomPart
from consult.models import SwitchingPiece
from consult.pieces import House
from consult.planning import PlannedHouse
from engineering.switched_rooms import RoomSwitches
from quoting.bill import SWITCHING, BillLine, Why, line_key, product_line
from quoting.labour import Entry, LabourTerms, fixing

CENTIMETRE = Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Which product stands for each piece of ordinary switching, and what a dimmer carries [W of LED]."""

    products: Mapping[str, str]
    led_w: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Switches:
    """Lines and labour of ordinary switches in a house. ``gaps``: groups that lack a size."""

    lines: tuple[BillLine, ...]
    work: tuple[Entry, ...]
    gaps: tuple[str, ...]


def is_by_switches(design: Design, choice: Iterable[str] | None) -> bool:
    """Whether these options (None: those in unless the client says otherwise) have switches in."""
    taken = None if choice is None else {str(key) for key in choice}
    return any(
        option.is_by_switches and (option.is_in if taken is None else option.id in taken)
        for option in design.options
    )


def pieces() -> Pieces:
    """The products that the business chose for its comparison. One query."""
    rows = list(SwitchingPiece.objects.values_list("code", "product_id", "led_w"))
    return Pieces(
        products={code: str(product) for code, product, _led in rows},
        led_w=next((led for _code, _product, led in rows if led), None),
    )


def without_scenes(house: House) -> House:
    """The house as ordinary switches work it: nobody sets scenes, and no keypad hangs."""
    return replace(house, design=replace(house.design, scenes=(), positions=()))


def nothing_to_control(house: House) -> House:
    """The house for a plan without any control hardware."""
    design = replace(house.design, circuits=(), scenes=(), positions=(), fixed=(), radio=())
    return replace(house, design=design, held=(), previous=())


def both_ways(house: House, plan: PlannedHouse, known: Pieces) -> tuple[Compared, ...]:
    """The comparison; a group that has no position is worked from one by its door."""
    return compare(house, plan, led_w=known.led_w, at_doors=True)


def switches_of(house: House, plan: PlannedHouse, known: Pieces, terms: LabourTerms) -> Switches:
    """The switches of a whole house, group by group; each stands with the first room of its group."""
    compared = both_ways(house, plan, known)
    counted_groups = [(each, each.switches) for each in compared if each.switches is not None]
    return Switches(
        lines=tuple(
            line
            for each, made in counted_groups
            for line in _lines(house, each.rooms[0], made, known, each.group.name)
        ),
        work=tuple(
            entry
            for each, made in counted_groups
            for entry in _work(house, each.rooms[0], made, terms, each.group.name)
        ),
        gaps=tuple(each.group.name for each in compared if each.switches is None),
    )


def _lines(
    house: House, room: RoomPart, made: RoomSwitches, known: Pieces, group: str
) -> Iterator[BillLine]:
    given: dict[str, Any] = {"source": SWITCHING, "section": "control", "room": room.id}
    for code, count in made.items.items():
        product = house.product(known.products.get(code))
        why = (Why(code="switches_of", about=group, quantity=Decimal(count)),)
        place = f"{room.id} {code}"
        if product is None:
            yield BillLine(
                **given,
                key=line_key(SWITCHING, code, place, None),
                description=counted.piece(code),
                quantity=Decimal(count),
                unit="piece",
                unit_cost=None,
                unit_sell=None,
                why=why,
            )
            continue
        yield product_line(
            house,
            product,
            **given,
            key=line_key(SWITCHING, product.id, place, None),
            quantity=Decimal(count),
            why=why,
        )
    cables = [p for p in house.stock.products if p.kind == "cable" and p.unit == "metre"]
    sold = [p for p in cables if p.id in house.prices]
    metres = _metres(made)
    if sold and metres:
        cable = min(sold, key=lambda p: (house.prices[p.id].sell, p.reference))
        yield product_line(
            house,
            cable,
            **given,
            key=line_key(SWITCHING, cable.id, room.id, None),
            quantity=metres,
            why=(Why(code="drops_of", about=group, quantity=metres),),
        )


def _work(
    house: House, room: RoomPart, made: RoomSwitches, terms: LabourTerms, group: str
) -> Iterator[Entry]:
    """The minutes of the comparison, operation by operation, with the room's factors of access."""
    if terms.by("showroom") != "showroom":
        return
    norms = {(n.operation, n.kind, n.per): n.minutes for n in house.stock.norms}

    def norm(operation: str, kind: str, otherwise: Decimal = Decimal(0)) -> Decimal:
        per = "metre" if kind == "cable" else "piece"
        return norms.get((operation, kind, per), otherwise)

    plates = sum(each.pieces for each in made.plates)
    boxes = sum(each.pieces for each in made.boxes)
    plate = norm("second-fix", "switch-plate")
    dimmer = max(norm("second-fix", "dimmer", plate) - plate, Decimal(0))
    gangs = made.one_way + made.two_way + made.intermediate
    for operation, kind, minutes in (
        ("first-fix", "switch-plate", norm("first-fix", "switch-plate") * boxes),
        ("first-fix", "cable", norm("first-fix", "cable") * _metres(made)),
        ("second-fix", "switch-plate", plate * plates + dimmer * made.dimmers),
        ("termination", "switch-plate", norm("termination", "switch-plate") * gangs),
    ):
        if minutes:
            yield from fixing(
                operation=operation,
                grade=SWITCH_GRADE,
                room=room,
                kind=kind,
                minutes=minutes,
                about=_("switches of %(group)s") % {"group": group},
                access=terms.access,
            )


def _metres(made: RoomSwitches) -> Decimal:
    """Cable of drops and strappers, to the centimetre above."""
    metres = Decimal(f"{made.two_core_m + made.three_core_m:.6f}")
    return metres.quantize(CENTIMETRE, rounding=ROUND_CEILING)


def told(compared: Iterable[Compared]) -> tuple[str, str]:
    """What scene control is in this house, and what ordinary switches do not do, for the client."""
    groups = tuple(compared)
    scenes = sum(each.scenes for each in groups)
    keypads = sum(count for each in groups for _name, count in each.keypads)
    gangs = sum(each.switches.gangs for each in groups if each.switches)
    lacking = {lack.code for each in groups if each.switches for lack in each.switches.lacks}
    sentences = {
        "dimming-from-two-places": _(
            "Lights worked from several places dim from one of them only."
        ),
        "dimming": _("Some lights are switched that dim in a scene."),
        "colour": _("The colour of the light cannot be set."),
        "motor": _("Blinds are not worked."),
    }
    return (
        _("%(scenes)s from %(keypads)s.")
        % {
            "scenes": ngettext("%d scene", "%d scenes", scenes) % scenes,
            "keypads": ngettext("%d keypad", "%d keypads", keypads) % keypads,
        },
        " ".join(
            [
                ngettext("%d switch or dimmer", "%d switches and dimmers", gangs) % gangs
                + _(" on the walls, each light set by itself: no scenes, no keypads."),
                *(text for code, text in sentences.items() if code in lacking),
            ]
        ),
    )


def to_look_at(compared: Iterable[Compared]) -> tuple[str, ...]:
    """What a person should look at before switches are offered, for the office."""
    codes: dict[str, list[str]] = {}
    for each in compared:
        if not each.positions:
            codes.setdefault("door", []).append(each.group.name)
        for lack in each.switches.lacks if each.switches else ():
            codes.setdefault(lack.code, []).extend(lack.circuits)
    sentences = {
        "dimmer-overloaded": _(
            "One dimmer carries less than these circuits draw: %(about)s. Say what yours carries "
            "under 'Which plates and boxes', or divide the circuits."
        ),
        "door": _(
            "Without a position, so one switch by the door is counted: %(about)s. Say where else."
        ),
    }
    return tuple(
        text % {"about": ", ".join(codes[code])}
        for code, text in sentences.items()
        if code in codes
    )
