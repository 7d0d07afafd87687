"""The openings of a room as its light takes them: where they are in its walls, and what they lead to."""

from dataclasses import dataclass

from django.utils.translation import gettext

from consult.design import OpeningPart, RoomPart
from consult.light.words import joined
from consult.pieces import House
from engineering.wall_opening import WallOpening

# What is left of one that is cut off at a wall's end is none below this [m].
LEAST_M = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenTo:
    """What the page of a room's light says of its openings: names of rooms, each once.

    `through` are those whose place is known, "" for no room of the job; `unplaced` the others.
    """

    through: tuple[str, ...]
    unplaced: tuple[str, ...]

    @property
    def through_words(self) -> str:
        """The names of those whose place is known, as a list is spoken; empty without any."""
        return _words(self.through)

    @property
    def unplaced_words(self) -> str:
        """The names of the others."""
        return _words(self.unplaced)


def _words(names: tuple[str, ...]) -> str:
    return joined([name or gettext("what is no room of this job") for name in names])


def openings_of(room: RoomPart) -> tuple[WallOpening, ...]:
    """Those with a wall and measures, cut off at the walls' ends and the ceiling."""
    found = (placed(each, room) for each in room.openings)
    return tuple(
        sorted((each for each in found if each), key=lambda each: (each.wall, each.from_m))
    )


def placed(each: OpeningPart, room: RoomPart) -> WallOpening | None:
    """An opening in its wall, cut off at its ends and the ceiling; None where its place is not said."""
    if not each.wall or each.from_m is None or not (each.width_m and each.height_m):
        return None
    along = room.length_m if each.wall in ("front", "back") else room.width_m
    start, low = float(each.from_m), float(each.low_m or 0)
    width = min(float(each.width_m), float(along or 0) - start)
    height = min(float(each.height_m), float(room.height_m or 0) - low)
    if width < LEAST_M or height < LEAST_M:
        return None
    return WallOpening(wall=each.wall, from_m=start, width_m=width, low_m=low, height_m=height)


def open_to(house: House, room: RoomPart) -> OpenTo:
    """The rooms that a room is open to, in house order."""
    is_placed = {each.id: placed(each, room) is not None for each in room.openings}

    def names(wanted: bool) -> tuple[str, ...]:
        chosen = [each.other for each in room.openings if is_placed[each.id] is wanted]
        named = [part.name for part in house.design.rooms if part.id in chosen]
        is_elsewhere = any(other not in house.design.room_of for other in chosen)
        return (*named, *([""] if is_elsewhere else []))

    return OpenTo(through=names(True), unplaced=names(False))
