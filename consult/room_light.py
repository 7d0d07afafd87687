"""What the room sheet says of a room's light: the quick answer, and the exact one where it is at hand."""

from dataclasses import dataclass

from consult.design import RoomPart
from consult.light.figures import PlaneFigures, figures, scene_plane
from consult.light.problem import RoomProblem, room_problem
from consult.light.quick import QuickLight, answer
from consult.light.scenes import Level, weights
from consult.light.solving import Solved, at_hand, solved
from consult.light.targets import read_targets
from consult.light.words import JUDGED, lacks
from consult.pieces import House


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLight:
    """The light of a room with all its circuits on. `exact` is None while it is pending."""

    quick: QuickLight
    exact: PlaneFigures | None
    is_pending: bool

    @property
    def average_lx(self) -> float | None:
        """The best answer there is [lx]."""
        return self.exact.average_lx if self.exact else self.quick.average_lx

    @property
    def lumens(self) -> float:
        return self.quick.lumens

    @property
    def lack(self) -> str:
        """Why there is no answer, in a sentence."""
        return lacks(self.quick.lacks) if self.quick.lacks else ""

    @property
    def judged(self) -> tuple[str, str] | None:
        """State and words for how it stands to what is asked for."""
        found = JUDGED.get(self.quick.judgement)
        return (found[0], str(found[1])) if found else None


def full_figures(stated: RoomProblem, light: Solved) -> PlaneFigures:
    """The figures with every circuit at full level."""
    levels = {control.circuit: Level(share=1.0) for control in stated.controls}
    return figures(scene_plane(light, weights(stated.controls, levels)))


def room_light(house: House, room: RoomPart, *, exact: bool = False) -> RoomLight:
    """The light of a room. With `exact` it is worked out now, else only looked up."""
    targets = read_targets()
    stated = room_problem(house, room, targets.plane_m(room.use))
    found: Solved | None = None
    is_refused = stated.problem is None
    if stated.problem is not None:
        try:
            found = solved(stated.problem) if exact else at_hand(stated.problem)
        except ValueError:
            is_refused = True
    return RoomLight(
        quick=answer(house, room, targets, stated),
        exact=full_figures(stated, found) if found else None,
        is_pending=found is None and not is_refused and not exact,
    )
