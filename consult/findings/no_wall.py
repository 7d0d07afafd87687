"""Fittings and keypads that hang where an opening leaves no wall to hang them on."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from consult.design import FittingPart, OpeningPart, RoomPart
from consult.findings.registry import NOBODY_BUT_US, Case, Found, found, rule
from consult.light.openings import placed
from consult.light.placing import placements
from consult.light.problem import Lacks, as_hung, box_of
from consult.pieces import FittingLoad, House
from engineering.arrangement import Placement
from engineering.box import BoxRoom
from engineering.wall_opening import WallOpening

# What is fixed no further than this off a wall hangs on it: common practice, no source.
ON_WALL_M = 0.25
# What is as near to the ceiling or the floor can be fixed there.
BESIDE_M = 0.15
# A run may reach this far into an opening, as a profile does over an architrave.
LAP_M = 0.05
KEYPAD_MM = 1000

Gap = tuple[OpeningPart, WallOpening]


def gaps_of(room: RoomPart) -> tuple[Gap, ...]:
    """The openings of a room whose place is said."""
    return tuple((each, gap) for each in room.openings if (gap := placed(each, room)) is not None)


def opened(room: RoomPart) -> tuple[BoxRoom, tuple[Gap, ...]] | None:
    """A room with its openings; None where it has none, or lacks its size."""
    gaps = gaps_of(room)
    if not gaps:
        return None
    try:
        return box_of(room), gaps
    except Lacks:
        return None


def is_in(gap: WallOpening, space: BoxRoom, place: Placement) -> bool:
    """Tell whether a piece would be fixed on its wall just where that is open."""
    ends = (place.position_m, place.end_m or place.position_m)
    deep, along = (1, 0) if gap.wall in ("front", "back") else (0, 1)
    size = space.size_m[deep]
    off = [end[deep] if gap.wall in ("front", "left") else size - end[deep] for end in ends]
    if max(off) > ON_WALL_M:
        return False
    height = (ends[0][2] + ends[1][2]) / 2
    if not BESIDE_M <= height <= space.height_m - BESIDE_M:
        return False
    if not gap.low_m <= height <= gap.low_m + gap.height_m:
        return False
    low, high = sorted(end[along] for end in ends)
    least = LAP_M if place.end_m is not None else 0.0
    return min(high, gap.from_m + gap.width_m) - max(low, gap.from_m) >= least


def _hanging(house: House, room: RoomPart) -> Iterator[tuple[str, str, FittingPart, FittingLoad]]:
    """Every row of fittings in a room with its load, and its circuit's key and name.

    Other feeds of pieces that hang there already are left out.
    """
    for circuit in house.hanging_in[room.id]:
        for part, load in zip(circuit.fittings, house.loads[circuit.id].rows, strict=True):
            if part.room == room.id and part.same_pieces_as is None:
                yield circuit.id, f"{circuit.code} {circuit.name}", part, load


def _where(case: Case, gap: Gap) -> dict[str, str]:
    """An opening as it is told."""
    row, opening = gap
    other = case.house.design.room_of.get(row.other or "")
    return {
        "opens_to": other.name if other else "",
        "wall_side": opening.wall,
        "start": f"{opening.from_m:.2f}",
        "end": f"{opening.from_m + opening.width_m:.2f}",
        "low": f"{opening.low_m:.2f}",
        "top": f"{opening.low_m + opening.height_m:.2f}",
    }


@rule(
    "fitting-in-opening",
    title=_("A fitting on a wall that is not there"),
    severity="look",
    why=_(
        "%(circuit)s: %(count)s of %(pieces)s × %(fitting)s would hang in the opening to %(opens_to)s. "
        "The %(wall_side)s is open there from %(start)s to %(end)s m along it and from %(low)s to "
        "%(top)s m up, so there is nothing to fix to."
    ),
    mend=_(
        "Hang the row on another wall or higher than %(top)s m, choose a number that leaves the opening "
        "free, or correct where the opening is."
    ),
    source=NOBODY_BUT_US,
    place="circuit",
)
def fitting_in_opening(case: Case) -> Iterator[Found]:
    for room in case.house.design.rooms:
        if not (box := opened(room)):
            continue
        space, gaps = box
        for circuit, named, part, load in _hanging(case.house, room):
            try:
                _law, _look, hanging = as_hung(case.house, part, load)
                places = placements(space, room, hanging)
            except ValueError:
                continue
            for gap in gaps:
                if count := sum(is_in(gap[1], space, place) for place in places):
                    product = case.house.product(part.product)
                    yield found(
                        "fitting-in-opening",
                        about=part.id,
                        key=circuit,
                        room=room.id,
                        circuit=named,
                        fitting=product.name if product else part.placeholder,
                        count=count,
                        pieces=part.pieces,
                        **_where(case, gap),
                    )


@rule(
    "keypad-in-opening",
    title=_("A keypad on a wall that is not there"),
    severity="look",
    why=_(
        "%(position)s would hang in the opening to %(opens_to)s. The %(wall_side)s is open there from "
        "%(start)s to %(end)s m along it and from %(low)s to %(top)s m up, so there is nothing to fix to."
    ),
    mend=_("Move the keypad beside the opening, or correct where the opening is."),
    source=NOBODY_BUT_US,
    place="position",
)
def keypad_in_opening(case: Case) -> Iterator[Found]:
    for position in case.house.design.positions:
        if position.x_m is None or position.y_m is None or position.is_outside:
            continue
        room = case.room(position.room)
        if not (box := opened(room)):
            continue
        space, gaps = box
        at = (float(position.x_m), float(position.y_m), position.height_mm / KEYPAD_MM)
        for gap in gaps:
            if is_in(gap[1], space, Placement(position_m=at)):
                yield found(
                    "keypad-in-opening",
                    about=position.id,
                    room=room.id,
                    position=f"{position.code} {position.name}",
                    **_where(case, gap),
                )
