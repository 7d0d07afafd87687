"""What the pages of scenes and controls show, as values."""

from dataclasses import dataclass

from consult.design import (
    CircuitPart,
    Design,
    LevelPart,
    PositionPart,
    RoomPart,
    ScenePart,
)
from consult.level_text import Level, write_level
from consult.light.energy import GroupHours, group_hours
from consult.pieces import House
from consult.planning import PlannedHouse
from engineering.keypads import KeypadChoice


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    scene: str
    circuit: str
    level: int | None
    text: str = ""
    is_blind: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class GridRow:
    circuit: CircuitPart
    room: RoomPart
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Scenes across, circuits down, for one room group; `key` is empty for the whole house.

    `hours` are those that its scenes are played a day; None for the whole house.
    """

    key: str
    name: str
    scenes: tuple[ScenePart, ...]
    rows: tuple[GridRow, ...]
    hours: GroupHours | None

    @property
    def has_hours(self) -> bool:
        """Whether any of its scenes has hours."""
        return any(scene.hours_a_day is not None for scene in self.scenes)


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionRow:
    part: PositionPart
    room: RoomPart
    group: str
    choice: KeypadChoice | None
    product: str
    scenes: dict[str, str]


def grids(design: Design) -> tuple[Grid, ...]:
    """The grid of each room group that has circuits, and that of the house where it has scenes."""
    found = [
        _grid(design, group.id, group.name, design.circuits_of(group.id)) for group in design.groups
    ]
    found = [grid for grid in found if grid.rows or grid.scenes]
    if design.scenes_of(None):
        found.append(_grid(design, "", "", design.circuits))
    return tuple(found)


def _grid(design: Design, key: str, name: str, circuits: tuple[CircuitPart, ...]) -> Grid:
    scenes = design.scenes_of(key or None)
    levels = {(s.id, level.circuit): level for s in scenes for level in s.levels}
    return Grid(
        key=key,
        name=name,
        scenes=scenes,
        rows=tuple(
            GridRow(
                circuit=circuit,
                room=design.room_of[circuit.room],
                cells=tuple(cell_of(s.id, circuit, levels.get((s.id, circuit.id))) for s in scenes),
            )
            for circuit in circuits
        ),
        hours=group_hours(design, key) if key else None,
    )


def cell_of(scene: str, circuit: CircuitPart, level: LevelPart | None) -> Cell:
    shown = Level(level.level, level.cct_k, level.colour) if level else None
    return Cell(
        scene=scene,
        circuit=circuit.id,
        level=level.level if level else None,
        text=write_level(shown),
        is_blind=circuit.load_kind == "motor",
    )


def grid_of(design: Design, key: str) -> Grid:
    """The grid of one room group, or of the house where the key is empty."""
    if not key:
        return _grid(design, "", "", design.circuits)
    return _grid(design, key, design.group_of[key].name, design.circuits_of(key))


def position_rows(house: House, plan: PlannedHouse) -> tuple[PositionRow, ...]:
    choices = {choice.code: choice for choice in plan.keypads.choices}
    names = {scene.id: scene.name for scene in house.design.scenes}
    rows = []
    for part in house.design.positions:
        choice = choices.get(part.code)
        found = house.by_reference.get(choice.reference or "") if choice else None
        rows.append(
            PositionRow(
                part=part,
                room=house.design.room_of[part.room],
                group=house.design.group_of[part.group].name,
                choice=choice,
                product=found.name if found else "",
                scenes=names,
            )
        )
    return tuple(rows)
