"""What the page of a project shows at a glance: floors, rooms, how much is in each."""

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from consult.models import Circuit, Floor, KeypadPosition, Project, Room


@dataclass(kw_only=True)
class RoomRow:
    room: Room
    circuits: int
    positions: int


@dataclass(kw_only=True)
class FloorRow:
    floor: Floor
    rooms: list[RoomRow] = field(default_factory=list)


def overview(project: Project) -> list[FloorRow]:
    """Floors with their rooms and counts: four queries, whatever the size."""
    circuits = _counts(Circuit, project)
    positions = _counts(KeypadPosition, project)
    floors = {
        floor.pk: FloorRow(floor=floor)
        for floor in Floor.objects.filter(project=project).select_related("default_enclosure")
    }
    for room in Room.objects.filter(project=project).select_related("group"):
        floors[room.floor_id].rooms.append(
            RoomRow(room=room, circuits=circuits[room.pk], positions=positions[room.pk])
        )
    return list(floors.values())


def _counts(model: Any, project: Project) -> Counter[Any]:
    return Counter(model.objects.filter(project=project).values_list("room_id", flat=True))
