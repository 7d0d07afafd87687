"""Whether keypads are likely to reach the receivers they command. Beyond the rule it is proven on site."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.design import PositionPart, RadioPart
from consult.findings.registry import Case, Found, found, rule
from engineering.radio import Obstacle, RadioPath, radio_codes

PROVE = "prove-on-site"


def radio_pairs(case: Case) -> Iterator[tuple[PositionPart, str]]:
    """Each position with each enclosure whose units feed circuits of its rooms."""
    design = case.house.design
    fed_from: dict[str, set[str]] = {}  # enclosures by room group
    for enclosure in case.enclosure_plans:
        for unit in enclosure.units:
            for code in unit.circuits:
                circuit = case.circuit_of_code.get(code)
                if circuit is not None:
                    group = design.room_of[circuit.room].group
                    fed_from.setdefault(group, set()).add(unit.enclosure)
    for position in design.positions:
        for place in design.enclosures:
            if place.id in fed_from.get(position.group, ()):
                yield position, place.id


def _range_m(case: Case, position: PositionPart) -> float | None:
    """The stated range of the keypad that the plan puts there."""
    chosen = {choice.code: choice.reference for choice in case.plan.keypads.choices}
    product = case.house.by_reference.get(chosen.get(position.code) or "")
    stated = product.keypad.radio_range_m if product and product.keypad else None
    return float(stated) if stated else None


def _path(part: RadioPart, range_m: float | None) -> RadioPath:
    return RadioPath(
        distance_m=float(part.distance_m),
        range_m=range_m,
        obstacles={
            Obstacle.LIGHT_WALL: part.light_walls,
            Obstacle.MASONRY: part.masonry_walls,
            Obstacle.TIMBER_FLOOR: part.timber_floors,
            Obstacle.CONCRETE_FLOOR: part.concrete_floors,
            Obstacle.METAL_BOX: int(part.has_metal_box),
            Obstacle.FOIL_BOARD: int(part.has_foil_board),
            Obstacle.MIRROR: int(part.has_mirror),
            Obstacle.STEEL: int(part.has_steel),
        },
    )


@rule(
    "radio-path",
    title=_("Radio: prove this way on site before first fix"),
    severity="look",
    why=_("%(position)s to %(enclosure)s, %(distance)s m: %(codes)s."),
    mend=_(
        "Try it on site with the real keypad, move the receivers nearer, or plan a repeater between."
    ),
    place="position",
)
def radio_path(case: Case) -> Iterator[Found]:
    design = case.house.design
    typed = {(part.position, part.enclosure): part for part in design.radio}
    for position, enclosure in radio_pairs(case):
        part = typed.get((position.id, enclosure))
        if part is None:
            continue
        reasons = radio_codes(path=_path(part, _range_m(case, position)))
        codes = [reason.code for reason in reasons if reason.code != PROVE]
        if codes != ["within-rule"]:
            yield found(
                "radio-path",
                about=f"{position.id}/{enclosure}",
                key=position.id,
                room=position.room,
                position=f"{position.code} {position.name}",
                enclosure=design.enclosure_of[enclosure].name,
                distance=float(part.distance_m),
                codes=" ".join(codes),
            )


@rule(
    "radio-not-said",
    title=_("Radio: how far keypads are from their receivers is not said"),
    severity="note",
    why=_("%(enclosure)s is commanded from %(positions)s, and nobody has said what lies between."),
    mend=_(
        "Say it at each position: distance, walls, metal. Beyond the rule it is proven on site."
    ),
    place="controls",
)
def radio_not_said(case: Case) -> Iterator[Found]:
    design = case.house.design
    typed = {(part.position, part.enclosure) for part in design.radio}
    missing: dict[str, list[str]] = {}
    for position, enclosure in radio_pairs(case):
        if (position.id, enclosure) not in typed:
            missing.setdefault(enclosure, []).append(position.code)
    for enclosure, positions in missing.items():
        yield found(
            "radio-not-said",
            about=enclosure,
            key=design.project.id,
            enclosure=design.enclosure_of[enclosure].name,
            positions=", ".join(positions),
        )
