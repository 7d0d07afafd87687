"""What a ceiling allows: depth, fire evidence, joists, weight."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.design import RoomPart
from consult.findings.places_in_room import grid_points
from consult.findings.registry import Case, Found, Hanging, found, published, rule
from engineering.fire_rating import FIRE_SOURCE, Ceiling, evidence_codes
from engineering.joists import JoistLayout, joist_clashes

LIVED_IN = frozenset({"lived-in", "other-home"})
LEAST_FIRE_MINUTES = 30
# Thickness where nobody has measured it, and weight from which a fixing is asked for: common
# practice, no source.
JOIST_THICKNESS_M = 0.05
HEAVY_KG = 5


def recessed(case: Case) -> Iterator[tuple[Hanging, RoomPart]]:
    for h in case.hanging:
        fitting = h.product.fitting
        if (
            fitting is not None
            and not h.part.same_pieces_as
            and (fitting.recess_depth_mm or fitting.cut_out_mm)
        ):
            yield h, case.room(h.part.room)


@rule(
    "void-too-shallow",
    title=_("The ceiling void is shallower than the fitting"),
    severity="stop",
    why=_(
        "%(product)s on %(circuit)s needs %(needs)s mm; the void of %(room_name)s is %(void)s mm."
    ),
    mend=_("Choose a shallower fitting, lower the ceiling, or surface-mount."),
    source="the fitting's data sheet and the void as typed",
    place="circuit",
)
def void_too_shallow(case: Case) -> Iterator[Found]:
    for h, room in recessed(case):
        needs = h.product.fitting.recess_depth_mm if h.product.fitting else None
        if needs and room.void_mm is not None and room.void_mm < needs:
            yield _shallow(h, room, f"{needs:.0f}")


def _shallow(h: Hanging, room: RoomPart, needs: str) -> Found:
    return found(
        "void-too-shallow",
        about=h.part.id,
        key=h.circuit.id,
        room=room.id,
        product=h.product.shown_name,
        circuit=h.circuit.code,
        needs=needs,
        void=room.void_mm,
        room_name=room.name,
    )


@rule(
    "no-fire-rating",
    title=_("A hole in a fire-resisting ceiling, and no rating on file"),
    severity="stop",
    why=_(
        "%(room_name)s lies under a lived-in floor; %(product)s on %(circuit)s states no fire rating."
    ),
    mend=_("Choose a fire-rated fitting, or keep the ceiling whole with a tested hood."),
    source=published(FIRE_SOURCE),
    place="circuit",
)
def no_fire_rating(case: Case) -> Iterator[Found]:
    for h, room in recessed(case):
        minutes = h.product.fitting.fire_minutes if h.product.fitting else None
        if room.above in LIVED_IN and (minutes or 0) < (room.fire_minutes or 1):
            yield found(
                "no-fire-rating",
                about=h.part.id,
                key=h.circuit.id,
                room=room.id,
                room_name=room.name,
                product=h.product.shown_name,
                circuit=h.circuit.code,
            )


@rule(
    "fire-evidence",
    title=_("Fire evidence for this ceiling is not on file"),
    severity="look",
    why=_(
        "%(product)s in %(room_name)s: %(minutes)s minutes belong to fitting, board and joist "
        "together, and no test of this ceiling is on file (%(ceiling)s)."
    ),
    mend=_("Ask the maker for the test report of this joist, centres and board, and keep it."),
    source=published(FIRE_SOURCE),
    place="room",
)
def fire_evidence(case: Case) -> Iterator[Found]:
    seen = set()
    for h, room in recessed(case):
        minutes = h.product.fitting.fire_minutes if h.product.fitting else None
        needed = room.fire_minutes or LEAST_FIRE_MINUTES
        if room.above not in LIVED_IN or not minutes or (room.id, h.product.id) in seen:
            continue
        seen.add((room.id, h.product.id))
        codes = evidence_codes(needed_minutes=needed, ceiling=_ceiling(room), tests=())
        is_known = all(code.code != "ceiling-not-known" for code in codes)
        yield found(
            "fire-evidence",
            about=f"{room.id}/{h.product.id[:36]}",
            key=room.id,
            room=room.id,
            product=h.product.shown_name,
            room_name=room.name,
            minutes=needed,
            ceiling="ceiling-known" if is_known else "ceiling-not-known",
        )


def _ceiling(room: RoomPart) -> Ceiling:
    return Ceiling(
        joists=room.joists or None,  # type: ignore[arg-type]
        centres_m=room.joist_centres_mm / 1000 if room.joist_centres_mm else None,
        board_layers=room.board_layers,
    )


@rule(
    "above-not-said",
    title=_("Nobody has said what is above a ceiling with holes"),
    severity="note",
    why=_("%(room_name)s has recessed fittings, and what is above it is not said."),
    mend=_("Say at the room what is above it; under a lived-in floor, fire evidence is asked for."),
    place="room",
)
def above_not_said(case: Case) -> Iterator[Found]:
    rooms = {room.id: room for _h, room in recessed(case) if not room.above}
    for room in rooms.values():
        if room.dampness != "outdoor":
            yield found("above-not-said", about=room.id, room=room.id, room_name=room.name)


@rule(
    "joist-clash",
    title=_("A grid of fittings meets a joist"),
    severity="look",
    why=_("%(clashes)s of %(pieces)s holes of %(circuit)s meet a joist, as the joists are typed."),
    mend=_("Move the grid across the joists (by up to %(move)s mm), or find them on site first."),
    source="the joists as typed; before anything is cut they are found on site",
    place="room",
)
def joist_clash(case: Case) -> Iterator[Found]:
    for h, room in recessed(case):
        cut_out = h.product.fitting.cut_out_mm if h.product.fitting else None
        points = grid_points(room, h.part)
        layout = _layout(room)
        if not cut_out or not points or layout is None:
            continue
        clashes = joist_clashes(points_m=points, cut_out_m=float(cut_out) / 1000, layout=layout)
        if clashes:
            moves = [abs(clash.move_m) for clash in clashes if clash.move_m is not None]
            yield found(
                "joist-clash",
                about=h.part.id,
                key=room.id,
                room=room.id,
                circuit=h.circuit.code,
                clashes=len(clashes),
                pieces=len(points),
                move=round(max(moves, default=0.0) * 1000),
            )


def _layout(room: RoomPart) -> JoistLayout | None:
    if not room.joists_along or not room.joist_centres_mm or room.joist_first_mm is None:
        return None
    return JoistLayout(
        runs_along="x" if room.joists_along == "x" else "y",
        first_m=room.joist_first_mm / 1000,
        centres_m=room.joist_centres_mm / 1000,
        thickness_m=JOIST_THICKNESS_M,
    )


@rule(
    "weight-over-fixing",
    title=_("Heavier than its fixing carries"),
    severity="stop",
    why=_("%(product)s on %(circuit)s weighs %(weight)s kg; its fixing carries %(carries)s kg."),
    mend=_("Plan a noggin or a hook into the structure, before the ceiling closes."),
    source="the fitting's data sheet and the fixing as typed",
    place="circuit",
)
def weight_over_fixing(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        weight = h.product.fitting.weight_kg if h.product.fitting else None
        if weight and h.part.fixing_kg is not None and weight > h.part.fixing_kg:
            yield found(
                "weight-over-fixing",
                about=h.part.id,
                key=h.circuit.id,
                room=h.part.room,
                product=h.product.shown_name,
                circuit=h.circuit.code,
                weight=float(weight),
                carries=float(h.part.fixing_kg),
            )


@rule(
    "heavy-without-fixing",
    title=_("A heavy piece, and no fixing said"),
    severity="note",
    why=_(
        "%(product)s on %(circuit)s weighs %(weight)s kg, and what its fixing carries is not said."
    ),
    mend=_("Say what the fixing carries; a noggin or hook belongs to first fix."),
    place="circuit",
)
def heavy_without_fixing(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        weight = h.product.fitting.weight_kg if h.product.fitting else None
        is_counted = not h.part.same_pieces_as
        if weight and weight >= HEAVY_KG and h.part.fixing_kg is None and is_counted:
            yield found(
                "heavy-without-fixing",
                about=h.part.id,
                key=h.circuit.id,
                room=h.part.room,
                product=h.product.shown_name,
                circuit=h.circuit.code,
                weight=float(weight),
            )
