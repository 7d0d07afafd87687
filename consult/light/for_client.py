"""The pictures that go with an offer: each room in its scenes, a few of each.

They are drawn before the issue, never in it: the issue takes those that are at hand. A picture is
kept under all that it is drawn from, so one of a design that has moved since is never taken.
"""

import math
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from consult.design import RoomPart
from consult.light.pictures import Sketch, sketch
from consult.light.problem import room_problem
from consult.light.scenes import RoomScene, scenes_of, weights
from consult.light.targets import Targets, read_targets
from consult.pieces import House

MOST_OF_A_ROOM = 4
# How long somebody who presses for an issue waits for pictures that are not drawn yet [s].
PATIENCE_S = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPicture:
    """One picture to be shown: of a room, in a scene, under the scene's name."""

    room: str
    name: str
    drawing: Sketch

    def at_hand(self) -> bytes | None:
        """The picture as PNG where it was drawn before."""
        return self.drawing.at_hand()


def wanted(house: House) -> tuple[RoomPicture, ...]:
    """The pictures to be shown: the first of every room, then the second of each, and so on.

    The first of a room is the scene that plays most of its circuits. A room without light, or
    without a scene that lights it, has none. One query.
    """
    targets = read_targets()
    rooms = [tuple(_of_room(house, room, targets)) for room in house.design.rooms]
    return tuple(room[rank] for rank in range(MOST_OF_A_ROOM) for room in rooms if rank < len(room))


def _of_room(house: House, room: RoomPart, targets: Targets) -> Iterator[RoomPicture]:
    stated = room_problem(house, room, targets.plane_m(room.use))
    if stated.problem is None:
        return
    own = {scene.id for scene in house.design.scenes_of(room.group)}
    found = scenes_of(house.design, room, stated.controls, all_on="", all_off="")
    lit = [scene for scene in found if scene.key in own and scene.is_lit]
    # Sorting keeps the order of the house among scenes that play as many circuits.
    first = sorted(lit, key=lambda scene: -_played(scene))[:1]
    rest = [scene for scene in lit if scene not in first]
    for scene in (*first, *rest)[:MOST_OF_A_ROOM]:
        shown = weights(stated.controls, scene.levels)
        drawing = sketch(stated.problem, shown)
        yield RoomPicture(room=room.id, name=scene.name, drawing=drawing)


def _played(scene: RoomScene) -> int:
    return sum(level.share > 0 for level in scene.levels.values())


def draw_missing(
    house: House,
    *,
    patience_s: float | None = PATIENCE_S,
    clock: Callable[[], float] = time.monotonic,
) -> int:
    """Draw what is not at hand until the time is over; returns how many are still to be drawn.

    The one under way is finished: the wait is at most one picture longer than the patience. One that
    cannot be drawn counts as done. Without a limit all are drawn, room by room, which is quicker.
    """
    pictures = list(wanted(house))
    if patience_s is None:
        pictures.sort(key=lambda each: each.room)
    over = clock() + (math.inf if patience_s is None else patience_s)
    left = 0
    for each in pictures:
        if each.at_hand() is not None:
            continue
        if clock() >= over:
            left += 1
            continue
        try:
            each.drawing.png()
        except ValueError:  # refused by the core: the room goes without a picture
            continue
    return left


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """How many of the pictures that go with an issue are drawn."""

    done: int
    of: int

    @property
    def left(self) -> int:
        return self.of - self.done


def ready(house: House) -> Ready:
    """How many pictures are at hand, of all that an issue would take. Reads none of them."""
    pictures = wanted(house)
    return Ready(done=sum(each.drawing.is_at_hand for each in pictures), of=len(pictures))


def drawn(house: House) -> dict[str, list[tuple[str, bytes]]]:
    """Scene name and PNG of every picture at hand, by room."""
    found: dict[str, list[tuple[str, bytes]]] = {}
    for each in wanted(house):
        content = each.at_hand()
        if content is not None:
            found.setdefault(each.room, []).append((each.name, content))
    return found
