"""Scenes and what plays them: nothing forgotten, and a way to put all of it off."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.design import PositionPart
from consult.findings.registry import Case, Found, found, rule
from consult.light.energy import group_hours


@rule(
    "circuit-in-no-scene",
    title=_("A circuit that no scene touches"),
    severity="look",
    why=_("No scene sets %(circuit)s: only 'all on' and 'all off' reach it."),
    mend=_("Give it a level in the scenes of its rooms."),
    place="scenes",
)
def circuit_in_no_scene(case: Case) -> Iterator[Found]:
    design = case.house.design
    touched = {level.circuit for scene in design.scenes for level in scene.levels}
    for circuit in design.circuits:
        if circuit.id not in touched and circuit.load_kind != "motor" and circuit.fittings:
            yield found(
                "circuit-in-no-scene",
                about=circuit.id,
                key=design.project.id,
                room=circuit.room,
                circuit=f"{circuit.code} {circuit.name}",
            )


@rule(
    "scene-with-nothing",
    title=_("A scene in which nothing is lit"),
    severity="look",
    why=_("“%(scene)s” lights no circuit."),
    mend=_("Set its levels, or remove it: 'all off' is always there."),
    place="scene",
)
def scene_with_nothing(case: Case) -> Iterator[Found]:
    for scene in case.house.design.scenes:
        if not any(level.level for level in scene.levels):
            yield found("scene-with-nothing", about=scene.id, scene=scene.name)


@rule(
    "scenes-over-a-day",
    title=_("Scenes that last longer than a day"),
    severity="look",
    why=_(
        "The scenes that play in %(group)s, those of the whole house included, have %(hours)s hours"
        " a day in all. One scene plays at a time, and a day has 24; until then its energy of a"
        " year goes by layers."
    ),
    mend=_("Lower the hours of its scenes."),
    place="scenes",
)
def scenes_over_a_day(case: Case) -> Iterator[Found]:
    design = case.house.design
    for group in design.groups:
        hours = group_hours(design, group.id)
        if hours.is_over_a_day:
            circuits = design.circuits_of(group.id)
            yield found(
                "scenes-over-a-day",
                about=group.id,
                key=design.project.id,
                room=circuits[0].room if circuits else None,
                group=group.name,
                hours=f"{hours.hours_a_day.normalize():f}",
            )


@rule(
    "group-without-position",
    title=_("Rooms without a keypad"),
    severity="look",
    why=_("%(group)s has %(circuits)s circuits and no keypad that plays its scenes."),
    mend=_("Add a position where a hand reaches for light."),
    place="controls",
)
def group_without_position(case: Case) -> Iterator[Found]:
    design = case.house.design
    for group in design.groups:
        circuits = design.circuits_of(group.id)
        if circuits and not any(p.group == group.id for p in design.positions):
            yield found(
                "group-without-position",
                about=group.id,
                key=design.project.id,
                room=circuits[0].room,
                group=group.name,
                circuits=len(circuits),
            )


@rule(
    "no-all-off",
    title=_("No 'all off' within reach"),
    severity="look",
    why=_("No keypad of %(group)s puts everything off."),
    mend=_("Give one of its keypads an 'all off' button."),
    place="controls",
)
def no_all_off(case: Case) -> Iterator[Found]:
    design = case.house.design
    for group in design.groups:
        here = [p for p in design.positions if p.group == group.id]
        if here and design.circuits_of(group.id) and not any(_offers_off(case, p) for p in here):
            yield found(
                "no-all-off",
                about=group.id,
                key=design.project.id,
                room=here[0].room,
                group=group.name,
            )


def _offers_off(case: Case, position: PositionPart) -> bool:
    if not position.buttons or any(button.does == "all-off" for button in position.buttons):
        return True
    chosen = {choice.code: choice.reference for choice in case.plan.keypads.choices}
    product = case.house.by_reference.get(chosen.get(position.code) or "")
    return bool(product and product.keypad and product.keypad.has_off)


@rule(
    "after-power-cut-not-said",
    title=_("What a way out does after a power cut"),
    severity="look",
    why=_(
        "%(circuit)s lights a stair or way out, and nobody has said what it does after a power cut."
    ),
    mend=_("Say so at the circuit; it must be lit without a keypad battery or a hub."),
    place="circuit",
)
def after_power_cut_not_said(case: Case) -> Iterator[Found]:
    for circuit in case.house.design.circuits:
        room = case.room(circuit.room)
        is_route = room.use == "stair" or room.is_way_out
        if is_route and not circuit.after_power_cut and circuit.load_kind != "motor":
            yield found(
                "after-power-cut-not-said",
                about=circuit.id,
                room=circuit.room,
                circuit=f"{circuit.code} {circuit.name}",
            )
