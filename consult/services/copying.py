"""Copying what hangs in one room into another, with its scenes and keypads, in one act."""

import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Max, Q
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.journal import Change, apply, create, update
from consult.models import (
    Circuit,
    CircuitFitting,
    Floor,
    KeypadPosition,
    Opening,
    PositionButton,
    Project,
    Room,
    RoomGroup,
    RoomObject,
    Scene,
    SceneLevel,
)
from consult.services.circuits import circuit_code, over_in
from consult.services.house import next_position

Scaled = Callable[[CircuitFitting], dict[str, Any]]
OF_THE_JOB = {"option_id": None, "enclosure_id": None}  # named in one project only


def as_it_is(_fitting: CircuitFitting) -> dict[str, Any]:
    """A copy as large as what is copied."""
    return {}


@dataclass(kw_only=True)
class Copy:
    """One copy under way: where it goes, what it writes, what became of each old row."""

    target: Room
    group: RoomGroup
    scaled: Scaled = as_it_is
    changes: list[Change] = field(default_factory=list)
    number: int = 0
    circuits: dict[uuid.UUID, Circuit] = field(default_factory=dict)
    fittings: dict[uuid.UUID, CircuitFitting] = field(default_factory=dict)
    scenes: dict[uuid.UUID, Scene] = field(default_factory=dict)
    objects: dict[uuid.UUID, RoomObject] = field(default_factory=dict)


def _twin(row: Any, **values: Any) -> Any:
    """A new row with the fields of another one, but for these."""
    names = [f.attname for f in row._meta.concrete_fields if f.attname not in {"id", "version"}]
    kept = {name: getattr(row, name) for name in names}
    for name in values:
        kept.pop(f"{name}_id", None)
    return type(row)(**{**kept, **values})


def _for_project(row: Any, target: Room) -> dict[str, Any]:
    """What a row may not take along into another project."""
    if row.project_id == target.project_id:
        return {}
    names = {f.attname for f in row._meta.concrete_fields}
    return {name: value for name, value in OF_THE_JOB.items() if name in names}


def copy_circuits(copy: Copy, circuits: Iterable[Circuit], *, room: Room) -> None:
    """Circuits with what hangs on them. Pieces seen through another feed stay the same pieces."""
    place = next_position(Circuit.objects.filter(room=copy.target))
    given = list(circuits)
    for offset, old in enumerate(given):
        copy.number += 1
        new = _twin(
            old,
            project=copy.target.project,
            room=copy.target,
            number=copy.number,
            code=circuit_code(copy.target, copy.number),
            position=place + offset,
            **_for_project(old, copy.target),
        )
        copy.circuits[old.pk] = new
        copy.changes.append(create(new))
    rows = CircuitFitting.objects.filter(circuit__in=given)
    rows = rows.select_related("product", "circuit", "room", "over")
    # A row that shows the pieces of another one comes after that one.
    for old in sorted(rows, key=lambda row: row.same_pieces_as_id is not None):
        _copy_fitting(copy, old, room=room)


def _copy_fitting(copy: Copy, old: CircuitFitting, *, room: Room) -> None:
    same = copy.fittings.get(old.same_pieces_as_id) if old.same_pieces_as_id else None
    is_elsewhere = old.room_id != room.pk and old.project_id == copy.target.project_id
    hangs_in = old.room if is_elsewhere else copy.target
    stays = old.over if hangs_in.pk == old.room_id else None
    new = _twin(
        old,
        project=copy.target.project,
        circuit=copy.circuits[old.circuit_id],
        room=hangs_in,
        same_pieces_as=same,
        over=copy.objects.get(old.over_id, stays) if old.over_id else None,
        **copy.scaled(old),
        **_for_project(old, copy.target),
    )
    copy.fittings[old.pk] = new
    copy.changes.append(create(new))


def copy_scenes(copy: Copy, source: RoomGroup) -> None:
    """Scenes go into those of the same name in the target's group; the others are made."""
    there = {scene.name.casefold(): scene for scene in Scene.objects.filter(group=copy.group)}
    place = next_position(Scene.objects.filter(group=copy.group))
    levels = SceneLevel.objects.filter(scene__group=source, circuit__in=list(copy.circuits))
    by_scene: dict[uuid.UUID, list[SceneLevel]] = {}
    for level in levels:
        by_scene.setdefault(level.scene_id, []).append(level)
    for old in Scene.objects.filter(group=source).order_by("position", "name"):
        new = there.get(old.name.casefold())
        if new is None:
            new = _twin(old, project=copy.target.project, group=copy.group, position=place)
            place += 1
            copy.changes.append(create(new))
        copy.scenes[old.pk] = new
        for level in by_scene.get(old.pk, []):
            twin = _twin(
                level,
                project=copy.target.project,
                scene=new,
                circuit=copy.circuits[level.circuit_id],
            )
            copy.changes.append(create(twin))


def copy_positions(copy: Copy, source: Room) -> None:
    """Keypads with their buttons, which play the scenes of the target's group."""
    used = set(
        KeypadPosition.objects.filter(project=copy.target.project_id).values_list("code", flat=True)
    )
    stem = f"{copy.target.floor.code}{copy.target.number:02d}.K"
    free = (f"{stem}{n}" for n in range(1, 1000) if f"{stem}{n}" not in used)
    for old in KeypadPosition.objects.filter(room=source).prefetch_related("buttons"):
        new = _twin(
            old,
            project=copy.target.project,
            room=copy.target,
            group=copy.group,
            code=next(free),
            **_for_project(old, copy.target),
        )
        copy.changes.append(create(new))
        for button in old.buttons.all():
            copy.changes.append(create(_twin_button(copy, button, new)))


def _twin_button(copy: Copy, button: PositionButton, position: KeypadPosition) -> PositionButton:
    scene = copy.scenes.get(button.scene_id) if button.scene_id else None
    does = "nothing" if button.scene_id and scene is None else button.does
    twin: PositionButton = _twin(
        button, project=position.project, keypad_position=position, scene=scene, does=does
    )
    return twin


def copy_objects(copy: Copy, source: Room) -> None:
    """What stands in a room; before what hangs over it."""
    for old in RoomObject.objects.filter(room=source):
        new = copy.objects[old.pk] = _twin(old, project=copy.target.project, room=copy.target)
        copy.changes.append(create(new))


def copy_openings(copy: Copy, source: Room) -> None:
    """The openings of a room as it sees them. In the same job a copy is open to the same rooms.

    Where in their walls is not known: the opening that was copied is there.
    """
    is_here = source.project_id == copy.target.project_id
    for old in Opening.objects.filter(Q(room=source) | Q(other=source)):
        is_first = old.room_id == source.pk
        other = old.other_id if is_first else old.room_id
        new = Opening(
            project=copy.target.project,
            room=copy.target,
            other_id=other if is_here else None,
            wall=old.wall if is_first else old.other_wall,
            from_m=old.from_m if is_first else old.other_from_m,
            width_m=old.width_m,
            low_m=old.low_m,
            height_m=old.height_m,
        )
        copy.changes.append(create(new))


def new_room(source: Room, floor: Floor, name: str) -> tuple[Room, RoomGroup, list[Change]]:
    """A room like another one, empty still, with a group of its own."""
    project = floor.project
    number = floor.last_room_number + 1
    Floor.objects.filter(pk=floor.pk).update(last_room_number=number)
    groups = RoomGroup.objects.filter(project=project)
    group = RoomGroup(project=project, name=name, position=next_position(groups))
    room = _twin(
        source,
        project=project,
        floor=floor,
        group=group,
        number=number,
        name=name,
        position=next_position(Room.objects.filter(floor=floor)),
        last_circuit_number=0,
        **(OF_THE_JOB if source.project_id != project.pk else {}),
    )
    return room, group, [create(group), create(room)]


def fill(copy: Copy, source: Room) -> None:
    """Everything of a room but its walls."""
    circuits = Circuit.objects.filter(room=source).order_by("position", "number")
    copy_circuits(copy, circuits, room=source)
    copy_scenes(copy, source.group)
    copy_positions(copy, source)


def name_for_copy(room: Room, project: Project) -> str:
    """The room's name with the next number that is free: Bedroom, Bedroom 2, Bedroom 3."""
    names = set(Room.objects.filter(project=project).values_list("name", flat=True))
    if room.name not in names:
        return room.name
    stem = room.name.rstrip("0123456789 ") or room.name
    return next(f"{stem[:70]} {n}" for n in range(2, 1000) if f"{stem[:70]} {n}" not in names)


@deed(locks="floor")
def room_copy(
    *, by: Person, floor: Floor, room: Room, name: str = "", title: str = "room_copy"
) -> Room:
    """A room with all that is in it, once more, on a floor of this or of another project."""
    made, group, changes = new_room(room, floor, name or name_for_copy(room, floor.project))
    copy = Copy(target=made, group=group, changes=changes)
    copy_objects(copy, room)
    copy_openings(copy, room)
    fill(copy, room)
    apply(project=floor.project, by=by, title=title, about=made.name, changes=copy.changes)
    Room.objects.filter(pk=made.pk).update(last_circuit_number=copy.number)
    return made


@deed(locks="room")
def circuit_copy(*, by: Person, room: Room, circuit: Circuit) -> Circuit:
    """A circuit with what hangs on it, once more, in a room of the same project."""
    if circuit.project_id != room.project_id:
        raise Refusal(_("That circuit belongs to another project."))
    copy = Copy(target=room, group=room.group, number=room.last_circuit_number)
    copy_circuits(copy, [circuit], room=circuit.room)
    if room.group_id == circuit.room.group_id:
        _same_levels(copy, circuit)
    Room.objects.filter(pk=room.pk).update(last_circuit_number=copy.number)
    made = copy.circuits[circuit.pk]
    apply(project=room.project, by=by, title="circuit_copy", about=str(made), changes=copy.changes)
    return made


def _same_levels(copy: Copy, circuit: Circuit) -> None:
    """In the same group the copy plays in the same scenes."""
    for level in SceneLevel.objects.filter(circuit=circuit, scene__group=copy.group):
        twin = _twin(level, circuit=copy.circuits[circuit.pk])
        copy.changes.append(create(twin))


@deed(locks="fitting")
def fitting_to_room(*, by: Person, fitting: CircuitFitting, room: Room) -> CircuitFitting:
    """Let a fitting hang in another room; its circuit stays."""
    if room.project_id != fitting.project_id:
        raise Refusal(_("That room belongs to another project."))
    apply(
        project=fitting.project,
        by=by,
        title="fitting_to_room",
        about=room.name,
        changes=[update(fitting, room=room, over=over_in(room.pk, fitting.over))],
    )
    return fitting


def last_number(room: Room) -> int:
    """The highest number a circuit of the room ever had."""
    found = Circuit.objects.filter(room=room).aggregate(last=Max("number"))["last"]
    return max(room.last_circuit_number, found or 0)
