"""What the light of a room takes in a year: by the hours of its scenes, or by those of layers."""

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from consult.design import CircuitPart, Design, RoomPart, ScenePart
from consult.pieces import House
from engineering.energy import PlayedLoad, SceneHours, annual_kwh, scene_hours, scenes_kwh

# Hours a day by layer and the share of the power they burn at: common practice, no source.
HOURS_A_DAY = {"ambient": 4.0, "task": 2.0, "accent": 3.0, "decorative": 4.0, "night": 8.0}
DIMMED_SHARE = 0.6
DAY_H = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Burning:
    """A row of fittings as it burns: its circuit, light [lm], power [W] at full level."""

    circuit: CircuitPart
    lumens: float
    watts: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupHours:
    """The scenes that play in a room group and have hours, and their hours a day in all [h].

    `without` counts the group's own scenes that nobody gave hours.
    """

    scenes: tuple[ScenePart, ...]
    hours_a_day: Decimal
    without: int

    @property
    def is_over_a_day(self) -> bool:
        """Whether they would be played for longer than a day lasts: one plays at a time."""
        return self.hours_a_day > DAY_H

    @property
    def counts(self) -> bool:
        """Whether the energy of a year can go by them."""
        return bool(self.scenes) and not self.is_over_a_day


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomEnergy:
    """The energy of a room's light in a year [kWh], and what it goes by.

    `uses` are the powers of which it is made, each with its hours a day. `hours` are those of the
    room's own group.
    """

    kwh_a_year: float
    uses: tuple[SceneHours, ...]
    goes_by: Literal["scenes", "layers", "both"]
    hours: GroupHours


def burning(house: House, room: RoomPart) -> list[Burning]:
    """All that shines in a room."""
    found = []
    for circuit in house.hanging_in[room.id]:
        if circuit.load_kind == "motor":
            continue
        loads = house.loads[circuit.id].rows
        found += [
            Burning(
                circuit=circuit,
                lumens=row.piece_lm * len(row.pieces_w),
                watts=math.fsum(row.pieces_w),
            )
            for fitting, row in zip(circuit.fittings, loads, strict=True)
            if fitting.room == room.id and row.piece_lm > 0
        ]
    return found


def group_hours(design: Design, group: str) -> GroupHours:
    """The hours that a group's scenes are played, those of the house that set its lights included.

    Scenes of the house alone make a group go by scenes only where one of them lights something in it.
    """
    own = design.scenes_of(group)
    said = [scene for scene in own if scene.hours_a_day is not None]
    of_house = [scene for scene in design.scenes_of(None) if scene.hours_a_day is not None]
    if of_house:
        here = {c.id for c in design.circuits_of(group) if c.load_kind != "motor"}
        levels = {
            scene.id: [level.level for level in scene.levels if level.circuit in here]
            for scene in of_house
        }
        if said or any(any(found) for found in levels.values()):
            said += [scene for scene in of_house if levels[scene.id]]
    return GroupHours(
        scenes=tuple(said),
        hours_a_day=sum((scene.hours_a_day or Decimal(0) for scene in said), Decimal(0)),
        without=sum(scene.hours_a_day is None for scene in own),
    )


def room_energy(house: House, room: RoomPart) -> RoomEnergy:
    """The energy of a room: each row of fittings by the scenes of its circuit's group, where they count."""
    design = house.design
    by_group: dict[str, list[Burning]] = {}
    for each in burning(house, room):
        group = design.room_of[each.circuit.room].group
        by_group.setdefault(group, []).append(each)
    uses: list[SceneHours] = []
    kwh, ways = 0.0, set[bool]()
    for group, rows in by_group.items():
        hours = group_hours(design, group)
        if hours.counts:
            played = [_played(scene, rows) for scene in hours.scenes]
            kwh += scenes_kwh(scenes=played)
        else:
            played = [_by_layer(row) for row in rows]
            kwh += math.fsum(annual_kwh(watts=u.watts, hours_a_day=u.hours_a_day) for u in played)
        uses += played
        ways.add(hours.counts)
    return RoomEnergy(
        kwh_a_year=kwh,
        uses=tuple(uses),
        goes_by="both" if len(ways) == 2 else "scenes" if True in ways else "layers",
        hours=group_hours(design, room.group),
    )


def _played(scene: ScenePart, rows: list[Burning]) -> SceneHours:
    """A scene over some rows. What it leaves as it is counts as off."""
    levels = {level.circuit: level.level for level in scene.levels}
    return scene_hours(
        loads=[
            PlayedLoad(watts=row.watts, share=_share(row.circuit, levels.get(row.circuit.id, 0)))
            for row in rows
        ],
        hours_a_day=float(scene.hours_a_day or 0),
    )


def _share(circuit: CircuitPart, level: int) -> float:
    """The share of the power at a level: in step with it; what is only switched is on or off."""
    if circuit.load_kind == "switched":
        return 1.0 if level else 0.0
    return level / 100


def _by_layer(row: Burning) -> SceneHours:
    share = 1.0 if row.circuit.load_kind == "switched" else DIMMED_SHARE
    return scene_hours(
        loads=[PlayedLoad(watts=row.watts, share=share)],
        hours_a_day=HOURS_A_DAY.get(row.circuit.layer, 4.0),
    )
