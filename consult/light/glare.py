"""How much a room's lights dazzle somebody who sits in it: the unified glare rating, where data allow.

It is told only where every light that hangs in the room has a photometric file that says how large
its flat opening is: without that, nobody knows its luminance.
"""

from dataclasses import dataclass

from django.core.cache import caches

from catalogue.photometric import read_kept
from consult.derived import KEPT_S
from consult.light.problem import Channel, Hung, LightProblem, RoomProblem
from consult.light.solving import key_of
from consult.light.words import WALLS
from engineering.direct_light import Source
from engineering.glare import SEATED_EYE_M, BrightLamp, seated_glare

FLAT = frozenset({"rectangle", "disc", "ellipse"})
# From the wall somebody sits at, to the way he looks.
LOOKS = {"front": "back", "right": "left", "back": "front", "left": "right"}
OFF_WALL_M = 0.4
# Raised when the same room would be rated otherwise.
RATING = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Glare:
    """The worst rating of four seated views with everything on, and the wall it is seen from."""

    rating: float
    wall: str

    @property
    def wall_words(self) -> str:
        return str(WALLS[self.wall])


def glare_of(stated: RoomProblem) -> Glare | None:
    """The glare of a room with everything on; None where its lights do not allow a rating."""
    problem = stated.problem
    if problem is None or not _allows(stated, problem.channels):
        return None
    key = f"glare-{RATING}-{key_of(problem)}"
    kept: tuple[float, str] | str | None = caches["drawn"].get(key, "unknown")
    if isinstance(kept, str):
        kept = _worst(problem)
        caches["drawn"].set(key, kept, KEPT_S)
    return Glare(rating=kept[0], wall=kept[1]) if kept else None


def _allows(stated: RoomProblem, channels: tuple[Channel, ...]) -> bool:
    """Whether the luminance of every light is known; of several whites in one piece it is not."""
    plain = all(control.kind == "plain" for control in stated.controls)
    return plain and all(_opening_m2(hung) > 0 for each in channels for hung in each.hung)


def _opening_m2(hung: Hung) -> float:
    """The flat opening of a piece [m²]; 0 where it is not known, or not flat."""
    if hung.law.file is None or hung.placement.end_m is not None:
        return 0.0
    opening = read_kept(*hung.law.file).opening
    return opening.area_m2 if opening.shape in FLAT else 0.0


def _worst(problem: LightProblem) -> tuple[float, str] | None:
    lamps = [
        BrightLamp(
            source=Source(
                position_m=hung.placement.position_m,
                intensity_cd=hung.law.intensity(),
                flux_lm=hung.law.flux_lm,
                aim=hung.placement.aim,
                turn_deg=hung.placement.turn_deg,
            ),
            opening_m2=_opening_m2(hung),
        )
        for each in problem.channels
        for hung in each.hung
    ]
    found = []
    for wall, look in LOOKS.items():
        rating = _rated(problem, lamps, wall, look)
        if rating is not None:
            found.append((round(rating, 1), wall))
    return max(found) if found else None


def _rated(problem: LightProblem, lamps: list[BrightLamp], wall: str, look: str) -> float | None:
    """The rating of an eye that sits in the middle of a wall; None where the room is too low or refused."""
    length, width, height = problem.room.size_m
    eye = {
        "front": (length / 2, min(OFF_WALL_M, width / 2), SEATED_EYE_M),
        "back": (length / 2, max(width - OFF_WALL_M, width / 2), SEATED_EYE_M),
        "left": (min(OFF_WALL_M, length / 2), width / 2, SEATED_EYE_M),
        "right": (max(length - OFF_WALL_M, length / 2), width / 2, SEATED_EYE_M),
    }[wall]
    if height <= SEATED_EYE_M:
        return None
    try:
        return seated_glare(room=problem.room, lamps=lamps, eye_m=eye, look=look)
    except ValueError:  # refused by the core: the room's page says why
        return None
