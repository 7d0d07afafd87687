"""Bathrooms, wet places and outdoors. Every finding here is a prompt to check, never a clearance."""

from collections.abc import Iterator
from typing import Literal

from django.utils.translation import gettext_lazy as _

from consult.design import ObjectPart, RoomPart
from consult.findings.places_in_room import Point, grid_points, height_of
from consult.findings.registry import Case, Found, Hanging, found, published, rule
from engineering.bathroom import SECTION_701, Zone, strictest, zone
from engineering.bathroom_needs import Product, Supply, check, needed_ip
from engineering.ingress import IP_SOURCE, ip_meets

Fixture = Literal["bath", "tray", "no_tray"]
FIXTURES: dict[str, Fixture] = {"bath": "bath", "tray": "tray", "shower-outlet": "no_tray"}
NOT_AGAINST = frozenset({"rcd-30-ma", "verify-on-site"})
DAMP_NEEDS = {"damp": "IPX1", "outdoor": "IPX4"}


def fixtures(room: RoomPart) -> list[ObjectPart]:
    return [each for each in room.objects if each.kind in FIXTURES]


def zone_at(room: RoomPart, point: Point, height_m: float) -> Zone | None:
    """The strictest zone of the room at a point; None where a bath or shower is not placed."""
    zones = []
    for each in fixtures(room):
        made = _zone_of(each, (*point, height_m))
        if made is None:
            return None
        zones.append(made)
    return strictest(zones=zones) if zones else "outside"


def _zone_of(each: ObjectPart, point: tuple[float, float, float]) -> Zone | None:
    if each.x_m is None or each.y_m is None:
        return None
    kind = FIXTURES[each.kind]
    origin = [float(each.x_m), float(each.y_m)]
    if kind == "no_tray":
        outlet = float(each.z_m) if each.z_m else None
        return zone(kind=kind, origin_m=origin, point_m=point, outlet_height_m=outlet)
    if not each.width_m or not each.depth_m:
        return None
    size = [float(each.width_m), float(each.depth_m)]
    if each.height_m:
        size.append(float(each.height_m))
    if each.z_m is not None:
        origin.append(float(each.z_m))
    return zone(kind=kind, origin_m=origin, size_m=size, point_m=point)


@rule(
    "bath-not-placed",
    title=_("A wet room without its bath or shower placed"),
    severity="look",
    why=_(
        "%(room_name)s is wet, and where its bath or shower stands is not known: no zone can be told."
    ),
    mend=_("Say what stands in the room, with its place and size."),
    source=published(SECTION_701),
    place="room",
)
def bath_not_placed(case: Case) -> Iterator[Found]:
    for room in case.house.design.rooms:
        if room.dampness != "wet" and room.use != "bathroom":
            continue
        here = fixtures(room)
        if not here or any(_zone_of(each, (0.0, 0.0, 0.0)) is None for each in here):
            yield found("bath-not-placed", about=room.id, room=room.id, room_name=room.name)


@rule(
    "bathroom-zone",
    title=_("Bathroom: check this fitting in its zone"),
    severity="stop",
    why=_("%(product)s on %(circuit)s in %(room_name)s may lie in zone %(zone)s: %(prompts)s."),
    mend=_("Choose a fitting for the zone or move it. A prompt to check, never a clearance."),
    source=published(SECTION_701),
    place="circuit",
)
def bathroom_zone(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        room = case.room(h.part.room)
        if not fixtures(room) or h.product.kind not in {"fitting", "tape", "outlet"}:
            continue
        where, is_placed = _strictest_place(room, h)
        if where is None:
            continue
        prompts = check(
            zone=where,
            product=Product.SOCKET if h.product.kind == "outlet" else Product.LUMINAIRE,
            supply=Supply.SEPARATED_DC if _volts(h) else Supply.MAINS,
            supply_v=_volts(h) or float(case.house.design.project.supply_v),
            ip=_ip(h),
        )
        against = [each.code for each in prompts if each.code not in NOT_AGAINST]
        if not against:
            continue
        yield found(
            "bathroom-zone",
            about=h.part.id,
            key=h.circuit.id,
            room=room.id,
            severity="stop" if is_placed else "look",
            product=h.product.shown_name,
            circuit=h.circuit.code,
            room_name=room.name,
            zone=where,
            prompts=" ".join(against),
        )


def _volts(h: Hanging) -> float | None:
    volts = h.feed.supply_v if h.feed else None
    return float(volts) if volts and volts <= 50 else None


def _ip(h: Hanging) -> str | None:
    code = h.product.fitting.ip_code if h.product.fitting else ""
    return f"IP{code}" if code else None


def _strictest_place(room: RoomPart, h: Hanging) -> tuple[Zone | None, bool]:
    """The strictest zone in which pieces hang, and whether their places are known.

    Where they are not, the strictest zone that reaches their height is asked about.
    """
    height = height_of(room, h.part)
    points = grid_points(room, h.part)
    if height is None:
        return "1", False
    if points:
        zones = [zone_at(room, point, height) for point in points]
        known = [each for each in zones if each is not None]
        return (strictest(zones=known) if known else None), True
    # Not placed: straight over each bath or outlet, at the height it hangs.
    over = [
        _zone_of(each, (float(each.x_m) + 0.01, float(each.y_m) + 0.01, height))
        for each in fixtures(room)
        if each.x_m is not None and each.y_m is not None
    ]
    known = [each for each in over if each is not None]
    return (strictest(zones=known) if known else None), False


@rule(
    "keypad-in-zone",
    title=_("Bathroom: check where this keypad hangs"),
    severity="stop",
    why=_("%(position)s in %(room_name)s: %(zone_words)s."),
    mend=_(
        "Say where it hangs, or hang it outside the room and say so. A prompt to check, never a clearance."
    ),
    source=published(SECTION_701),
    place="position",
)
def keypad_in_zone(case: Case) -> Iterator[Found]:
    for position in case.house.design.positions:
        room = case.room(position.room)
        if not fixtures(room) or position.is_outside:
            continue
        if position.x_m is None or position.y_m is None:
            yield found(
                "keypad-in-zone",
                about=position.id,
                room=room.id,
                severity="look",
                position=f"{position.code} {position.name}",
                room_name=room.name,
                zone_words="keypad-not-placed",
            )
            continue
        point = (float(position.x_m), float(position.y_m))
        where = zone_at(room, point, position.height_mm / 1000)
        if where is not None and where != "outside":
            yield found(
                "keypad-in-zone",
                about=position.id,
                room=room.id,
                position=f"{position.code} {position.name}",
                room_name=room.name,
                zone_words=f"keypad-in-zone-{where}",
            )


@rule(
    "ip-for-place",
    title=_("Not made for a damp place or for outdoors"),
    severity="stop",
    why=_("%(product)s on %(circuit)s has IP%(ip)s; %(room_name)s asks for %(needs)s."),
    mend=_("Choose a fitting with that protection."),
    source=published(IP_SOURCE) + "; the code asked for is common practice, no source",
    place="circuit",
)
def ip_for_place(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        room = case.room(h.part.room)
        needs = DAMP_NEEDS.get(room.dampness) or (
            DAMP_NEEDS["outdoor"] if room.use == "outdoor" else None
        )
        if room.dampness == "wet" and not fixtures(room):
            needs = needed_ip(zone="2")
        code = _ip(h)
        if needs is None or code is None or h.product.kind == "blind":
            continue
        if not ip_meets(code=code, needs=needs):
            yield found(
                "ip-for-place",
                about=h.part.id,
                key=h.circuit.id,
                room=room.id,
                product=h.product.shown_name,
                circuit=h.circuit.code,
                ip=code.removeprefix("IP"),
                room_name=room.name,
                needs=needs,
            )
