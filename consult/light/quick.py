"""How much light a room gets, while talking: the lumen method with the room's own utilisation.

Utilisation comes from the exchange of light of the same box, for each kind of fitting at its height;
maintenance is what the trade takes for homes. An estimate, and the page says so.
"""

import math
from dataclasses import dataclass

from base.once import once
from consult.derived import kept
from consult.design import RoomPart
from consult.light.energy import RoomEnergy, burning, room_energy
from consult.light.laws import Law, Upwards
from consult.light.problem import Hung, LightProblem, RoomProblem, room_problem
from consult.light.targets import Target, Targets
from consult.pieces import House
from consult.room_size import area_m2, box_m2
from engineering.box import BoxRoom
from engineering.maintenance import HOME
from engineering.utilisation import utilisation_by_exchange

LEVEL_Z = 0.05
SPACING_TO_HEIGHT = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickLight:
    """The answer for a room: light [lm], maintained average [lx], efficacy [lm/W], energy of a year.

    `lacks` is the code of what the average cannot be worked out without.
    """

    lumens: float
    watts: float
    average_lx: float | None
    efficacy_lm_w: float | None
    energy: RoomEnergy
    target: Target | None
    plane_m: float
    lacks: str

    @property
    def share(self) -> float | None:
        """Of the least that is asked for."""
        if self.average_lx is None or self.target is None:
            return None
        return self.average_lx / self.target.low_lx

    @property
    def judgement(self) -> str:
        """ "low", "within" or "above" what is asked for; nothing where nothing is."""
        if self.average_lx is None or self.target is None:
            return ""
        if self.average_lx < self.target.low_lx * 0.9:
            return "low"
        return "within" if self.average_lx <= self.target.high_lx * 1.5 else "above"


def quick_light(house: House, room: RoomPart, targets: Targets) -> QuickLight:
    """The light of all circuits of a room at full level."""
    plane_m = targets.plane_m(room.use)
    stated = room_problem(house, room, plane_m)
    return answer(house, room, targets, stated)


def answer(house: House, room: RoomPart, targets: Targets, stated: RoomProblem) -> QuickLight:
    """As `quick_light`, for a problem that is stated already."""
    lumens, watts = _sums(house, room)
    average = _average(stated.problem) / floor_share(room) if stated.problem else None
    return QuickLight(
        lumens=lumens,
        watts=watts,
        average_lx=average,
        efficacy_lm_w=lumens / watts if watts > 0 and lumens > 0 else None,
        energy=room_energy(house, room),
        target=targets.of(room.use),
        plane_m=targets.plane_m(room.use),
        lacks=stated.lacks,
    )


def floor_share(room: RoomPart) -> float:
    """The floor as typed over that of the room's box, 0 to 1; 1 where none is typed.

    The lumen method spreads what reaches the plane over the floor there is; utilisation stays the box's.
    """
    box, floor = box_m2(room), area_m2(room)
    return min(1.0, float(floor / box)) if box and floor else 1.0


def _sums(house: House, room: RoomPart) -> tuple[float, float]:
    lumens = watts = 0.0
    for each in burning(house, room):
        lumens += each.lumens
        watts += each.watts
    return lumens, watts


@once(4000)
def _average(problem: LightProblem) -> float:
    """The maintained average [lx] on the plane by utilisation of each kind of fitting."""
    useful: dict[tuple[float, bool, float, tuple[str, str] | None], float] = {}
    for channel in _played(problem):
        for hung in channel:
            key = _kind(hung)
            useful[key] = useful.get(key, 0.0) + hung.law.flux_lm
    flux = math.fsum(
        lumens * utilisation(problem.room, problem.plane_m, *key) for key, lumens in useful.items()
    )
    return flux * HOME.value / problem.room.floor_m2


def _played(problem: LightProblem) -> list[tuple[Hung, ...]]:
    """The pieces at full level: of two whites that are tuned, one alone."""
    return [each.hung for each in problem.channels if not each.key.endswith(".cool")]


def _kind(hung: Hung) -> tuple[float, bool, float, tuple[str, str] | None]:
    place = hung.placement
    height = place.position_m[2]
    return round(height, 2), place.aim[2] > LEVEL_Z, hung.law.beam_deg, hung.law.file


def utilisation(
    room: BoxRoom,
    plane_m: float,
    height_m: float,
    is_up: bool,
    beam_deg: float,
    file: tuple[str, str] | None,
) -> float:
    """The share of a kind of fitting's light that reaches the plane; kept for the same room."""
    values = (room, plane_m, height_m, is_up, beam_deg, file)
    return kept("utilisation", values, lambda: _utilisation(*values))


def _utilisation(
    room: BoxRoom,
    plane_m: float,
    height_m: float,
    is_up: bool,
    beam_deg: float,
    file: tuple[str, str] | None,
) -> float:
    if height_m <= plane_m + 0.05:
        return 0.0  # below the plane: what it gives comes back from ceiling and walls only
    law = Law(flux_lm=1000.0, beam_deg=beam_deg, file=file).intensity()
    return utilisation_by_exchange(
        room=room,
        intensity_cd=Upwards(law=law) if is_up else law,
        flux_lm=1000.0,
        mounting_height_m=min(height_m, room.height_m),
        plane_height_m=plane_m,
        spacing_to_height=SPACING_TO_HEIGHT,
    )
