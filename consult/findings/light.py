"""The light of rooms: too dark for its use, uneven, spots too far apart, washes off their walls.

Too dark is said by the lumen method. Evenness needs the exact light, which is kept, so that an edit
pays for its own room at most.
"""

import math
from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from base.once import once
from consult.design import RoomPart
from consult.findings.places_in_room import grid_points, height_of
from consult.findings.registry import NOBODY_BUT_US, Case, Found, Hanging, found, rule
from consult.light.problem import Lacks, LightProblem, RoomProblem, box_of, room_problem
from consult.light.quick import answer, floor_share
from consult.light.solving import solved
from consult.light.targets import Target, Targets
from consult.room_light import full_figures
from consult.room_size import area_m2

DARK_SHARE = 0.9
# No room of a home uses less of its light than this, maintenance included, unless it is very dark.
PLAINLY_USEFUL = 0.2
LEAST_UNIFORMITY = 0.4
EVEN_USES = frozenset({"kitchen", "study", "workshop", "utility"})
# A pool must reach its neighbour's: spacing over height above the plane, by the beam.
MOST_SPACING = 1.5
NARROW_DEG = 90.0
# A wash stands a quarter to a half of the room's height off its wall.
WASH_TILT_DEG = range(5, 61)
WASH_FROM, WASH_TO = 0.2, 0.5


def _stated(case: Case, room: RoomPart, targets: Targets) -> RoomProblem:
    return room_problem(case.house, room, targets.plane_m(room.use))


@rule(
    "room-too-dark",
    title=_("Too dark for its use"),
    severity="look",
    why=_(
        "%(name)s gets about %(lux)s lx with everything on; its use asks for %(wanted)s (%(by)s)."
    ),
    mend=_("Hang more light, or lighter surfaces; or change what the use asks for."),
    source="the level by its own source, named above; the estimate by the lumen method",
    place="room",
)
def room_too_dark(case: Case) -> Iterator[Found]:
    for room in case.house.design.rooms:
        target = case.targets.of(room.use)
        if target is None or target.use in ("outdoor", "other"):
            continue
        average = _average(case, room)
        if average is not None and average < target.low_lx * DARK_SHARE:
            yield _dark(room, target, average)


def _average(case: Case, room: RoomPart) -> float | None:
    """The average [lx]; None where there is none, or where it is plainly enough to save the work."""
    target, targets = case.targets.of(room.use), case.targets
    stated = _stated(case, room, targets)
    if stated.problem is None or target is None:
        return None
    lumens = _lumens(stated.problem)
    floor_m2 = stated.problem.room.floor_m2 * floor_share(room)
    if lumens * PLAINLY_USEFUL / floor_m2 > target.low_lx:
        return None
    return answer(case.house, room, targets, stated).average_lx


@once(4000)
def _lumens(problem: LightProblem) -> float:
    return math.fsum(hung.law.flux_lm for each in problem.channels for hung in each.hung)


def _dark(room: RoomPart, target: Target, average: float) -> Found:
    return found(
        "room-too-dark",
        about=room.id,
        room=room.id,
        lux=f"{average:.0f}",
        wanted=f"{target.low_lx:.0f}–{target.high_lx:.0f} lx",
        by=target.source,
        name=room.name,
    )


@rule(
    "room-uneven",
    title=_("Uneven light where work is done"),
    severity="note",
    why=_(
        "In %(name)s the darkest place gets %(share)s of the average; work asks for 0.4 or more."
    ),
    mend=_("Spread the fittings, or light the dark part."),
    source="EN 12464-1, as reprinted in the SLL Code for Lighting, 2012 (as public texts quote it)",
    place="room",
)
def room_uneven(case: Case) -> Iterator[Found]:
    """By the exact light: the lumen method knows no places."""
    for room in case.house.design.rooms:
        if room.use not in EVEN_USES:
            continue
        stated = _stated(case, room, case.targets)
        if stated.problem is None:
            continue
        try:
            shown = full_figures(stated, solved(stated.problem))
        except ValueError:
            continue  # the core refuses the room; its page says why
        if shown.average_lx > 0 and shown.uniformity < LEAST_UNIFORMITY:
            share = f"{shown.uniformity:.2f}"
            yield found("room-uneven", about=room.id, room=room.id, name=room.name, share=share)


@rule(
    "spots-too-far-apart",
    title=_("Spots too far apart for their height"),
    severity="look",
    why=_(
        "%(circuit)s: %(spacing)s m from one to the next, and pools %(pool)s m wide on the plane."
    ),
    mend=_("Hang more of them, or fittings with a wider beam."),
    source=NOBODY_BUT_US,
    place="circuit",
)
def spots_too_far_apart(case: Case) -> Iterator[Found]:
    for hanging in case.hanging:
        room = case.room(hanging.part.room)
        seen = _spacing(hanging, room, case.targets.plane_m(room.use))
        if seen is not None and seen[0] > seen[1] * MOST_SPACING:
            yield found(
                "spots-too-far-apart",
                about=hanging.part.id,
                key=hanging.circuit.id,
                room=room.id,
                circuit=f"{hanging.circuit.code} {hanging.circuit.name}",
                spacing=f"{seen[0]:.1f}",
                pool=f"{seen[1]:.1f}",
            )


def _spacing(hanging: Hanging, room: RoomPart, plane_m: float) -> tuple[float, float] | None:
    """Spacing of a grid of ambient spots and the width of their pools [m]."""
    beam = hanging.feed.beam_deg if hanging.feed else None
    if hanging.circuit.layer != "ambient" or beam is None or not 0 < float(beam) <= NARROW_DEG:
        return None
    points, height = grid_points(room, hanging.part), height_of(room, hanging.part)
    if len(points) < 2 or height is None or height <= plane_m:
        return None
    gaps = [min(math.dist(one, other) for other in points if other != one) for one in points]
    return max(gaps), 2 * (height - plane_m) * math.tan(math.radians(float(beam)) / 2)


@rule(
    "wash-off-its-wall",
    title=_("A wash at the wrong distance from its wall"),
    severity="note",
    why=_(
        "%(circuit)s: tilted to a wall %(offset)s m away in a room %(height)s m high; an even wash "
        "stands %(least)s to %(most)s m off, and about 0.1 m off gives scallops."
    ),
    mend=_("Move the row, or leave it where scallops are wanted."),
    source=NOBODY_BUT_US,
    place="circuit",
)
def wash_off_its_wall(case: Case) -> Iterator[Found]:
    for hanging in case.hanging:
        part, room = hanging.part, case.room(hanging.part.room)
        if part.tilt_deg not in WASH_TILT_DEG or part.arrangement != "along-wall":
            continue
        if part.offset_m is None or not room.height_m or hanging.product.unit == "metre":
            continue
        height, offset = float(room.height_m), float(part.offset_m)
        top = float(part.mounting_height_m) if part.mounting_height_m else height
        if top < height * 0.8 or WASH_FROM * height <= offset <= WASH_TO * height:
            continue
        yield found(
            "wash-off-its-wall",
            about=part.id,
            key=hanging.circuit.id,
            room=room.id,
            circuit=f"{hanging.circuit.code} {hanging.circuit.name}",
            offset=f"{offset:.2f}",
            height=f"{height:.1f}",
            least=f"{WASH_FROM * height:.1f}",
            most=f"{WASH_TO * height:.1f}",
        )


@rule(
    "light-not-workable",
    title=_("More pieces than the room can hold"),
    severity="look",
    why=_("%(name)s: %(pieces)s pieces hang in %(area)s m², so its light is not worked out."),
    mend=_("Look at the number of pieces."),
    place="room",
)
def light_not_workable(case: Case) -> Iterator[Found]:
    for room in case.house.design.rooms:
        try:
            box_of(room)
        except Lacks:
            continue
        stated = _stated(case, room, case.targets)
        if stated.lacks == "too_many":
            pieces = sum(h.part.pieces for h in case.hanging if h.part.room == room.id)
            area = f"{area_m2(room):.1f}"
            yield found(
                "light-not-workable",
                about=room.id,
                room=room.id,
                name=room.name,
                pieces=pieces,
                area=area,
            )
