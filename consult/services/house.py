"""Deeds on floors, rooms, what stands in them, room groups and enclosures."""

import uuid
from collections.abc import Sequence
from itertools import chain
from typing import Any

from django.db.models import Max, Q
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.deeds import Gone, Refusal, deed
from base.models import Person
from consult.journal import Change, apply, create, delete, update
from consult.models import (
    Circuit,
    CircuitFitting,
    Enclosure,
    FixedChoice,
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
from consult.numbering import numbered
from consult.radio_models import RadioPath
from consult.services.brief import removal_of_notes
from consult.together import read_beside, read_together

HELD = (
    gettext_lazy("A circuit of another room has fittings in this room. Move those fittings first."),
    gettext_lazy("A keypad in another room plays these scenes. Remove that keypad first."),
    gettext_lazy("A button elsewhere plays one of these scenes. Change that button first."),
)


def next_position(rows: Any) -> int:
    """The place after the last of these rows."""
    return int(rows.aggregate(last=Max("position"))["last"] or 0) + 1


@deed(locks="project")
def floor_add(
    *,
    by: Person,
    project: Project,
    name: str,
    code: str,
    default_enclosure: Enclosure | None = None,
) -> Floor:
    if Floor.objects.filter(project=project, code__iexact=code).exists():
        raise Refusal(_("Another floor has the code %(code)s. Choose another.") % {"code": code})
    enclosure = default_enclosure or Enclosure.objects.filter(project=project).first()
    floor = Floor(
        project=project,
        name=name,
        code=code.upper(),
        default_enclosure=enclosure,
        position=next_position(Floor.objects.filter(project=project)),
    )
    apply(project=project, by=by, title="floor_add", about=name, changes=[create(floor)])
    return floor


@deed(locks="floor")
def floor_change(*, by: Person, floor: Floor, **values: Any) -> Floor:
    """Codes given to rooms and circuits already keep the floor's old code."""
    code = values.get("code", floor.code)
    others = Floor.objects.filter(project_id=floor.project_id, code__iexact=code).exclude(
        pk=floor.pk
    )
    if others.exists():
        raise Refusal(_("Another floor has the code %(code)s. Choose another.") % {"code": code})
    project = floor.project
    apply(
        project=project,
        by=by,
        title="floor_change",
        about=floor.name,
        changes=[update(floor, **values)],
    )
    return floor


@deed(locks="floor", removes=True)
def floor_remove(*, by: Person, floor: Floor) -> None:
    if floor.rooms.exists():
        raise Refusal(_("This floor has rooms. Move or remove them first."))
    apply(
        project=floor.project,
        by=by,
        title="floor_remove",
        about=floor.name,
        changes=[delete(floor)],
    )


@deed(locks="floor")
def room_add(
    *, by: Person, floor: Floor, name: str, group: RoomGroup | None = None, **values: Any
) -> Room:
    """A room with its number on the floor; without a group it gets one of its own."""
    project = floor.project
    number = floor.last_room_number + 1
    Floor.objects.filter(pk=floor.pk).update(last_room_number=number)
    changes: list[Change] = []
    if group is None:
        group = RoomGroup(
            project=project,
            name=name,
            position=next_position(RoomGroup.objects.filter(project=project)),
        )
        changes.append(create(group))
    room = Room(
        project=project,
        floor=floor,
        group=group,
        number=number,
        name=name,
        position=next_position(Room.objects.filter(floor=floor)),
        **values,
    )
    apply(project=project, by=by, title="room_add", about=name, changes=[*changes, create(room)])
    return room


@deed(locks="room")
def room_change(*, by: Person, room: Room, **values: Any) -> Room:
    """Change a room; a group that no room is in any more goes with it when it has nothing left."""
    project, left = room.project, room.group
    changes = [update(room, **values)]
    if room.group_id != left.pk and _is_empty_but_for(left, room):
        changes += [delete(left)]
    apply(project=project, by=by, title="room_change", about=room.name, changes=changes)
    return room


def _is_empty_but_for(group: RoomGroup, room: Room) -> bool:
    return not (
        Room.objects.filter(group=group).exclude(pk=room.pk).exists()
        or Scene.objects.filter(group=group).exists()
        or KeypadPosition.objects.filter(group=group).exists()
    )


@deed(removes=True)
def room_remove(*, by: Person, room: Room) -> None:
    """Remove a room with all that hangs in it. Undo brings all of it back."""
    project = numbered(room.project)
    found, amiss = read_beside(_in_room(room), _holding(room))
    if project is None or not found[-1]:
        raise Gone
    if amiss:
        raise Refusal(str(HELD[amiss[0]]))
    fixed, levels, fittings, *others, groups, rooms = found
    changes = removal_in_order(fixed, levels, fittings)
    changes += [delete(row) for row in chain(*others)]
    changes += removal_of_notes(list(room.notes.all()))
    changes += [delete(row) for row in [*rooms, *groups]]
    apply(project=project, by=by, title="room_remove", about=rooms[0].name, changes=changes)


def _groups_of_none_but(room: Room) -> Any:
    """The group of a room, where no other room is in it: its scenes go with the room."""
    elsewhere = Room.objects.filter(project=room.project_id).exclude(pk=room.pk)
    return RoomGroup.objects.filter(rooms=room).exclude(pk__in=elsewhere.values("group"))


def _in_room(room: Room) -> list[Any]:
    """What goes with a room, notes apart; the group, where it goes as well, and the room."""
    groups = _groups_of_none_but(room)
    of_fixed = Q(circuit__room=room) | Q(other_circuit__room=room) | Q(keypad_position__room=room)
    return [
        FixedChoice.objects.filter(of_fixed),
        SceneLevel.objects.filter(Q(circuit__room=room) | Q(scene__group__in=groups)),
        CircuitFitting.objects.filter(circuit__room=room),
        Circuit.objects.filter(room=room),
        PositionButton.objects.filter(keypad_position__room=room),
        RadioPath.objects.filter(keypad_position__room=room),
        KeypadPosition.objects.filter(room=room),
        RoomObject.objects.filter(room=room),
        Opening.objects.filter(Q(room=room) | Q(other=room)),
        Scene.objects.filter(group__in=groups),
        groups,
        Room.objects.filter(pk=room.pk),
    ]


def _holding(room: Room) -> list[Any]:
    """What elsewhere holds on to a room, each beside the sentence of `HELD` that says so."""
    groups = _groups_of_none_but(room)
    return [
        CircuitFitting.objects.filter(room=room).exclude(circuit__room=room),
        KeypadPosition.objects.filter(group__in=groups).exclude(room=room),
        PositionButton.objects.filter(scene__group__in=groups).exclude(keypad_position__room=room),
    ]


def hanging_on(circuits: Sequence[uuid.UUID]) -> list[Any]:
    """What hangs on circuits: fixed choices, levels, fittings; and the circuits themselves."""
    return [
        FixedChoice.objects.filter(Q(circuit__in=circuits) | Q(other_circuit__in=circuits)),
        SceneLevel.objects.filter(circuit__in=circuits),
        CircuitFitting.objects.filter(circuit__in=circuits),
        Circuit.objects.filter(pk__in=circuits),
    ]


def removal_in_order(fixed: Any, levels: Any, fittings: Any) -> list[Change]:
    """A row seen through another feed goes before the row whose pieces it shows."""
    ordered = sorted(fittings, key=lambda row: row.same_pieces_as_id is None)
    return [delete(row) for row in [*fixed, *levels, *ordered]]


def removal_of_group(group: RoomGroup) -> list[Change]:
    """A group without rooms, its scenes and their levels with it."""
    if KeypadPosition.objects.filter(group=group).exists():
        raise Refusal(str(HELD[1]))
    if PositionButton.objects.filter(scene__group=group).exists():
        raise Refusal(str(HELD[2]))
    rows = read_together(
        SceneLevel.objects.filter(scene__group=group), Scene.objects.filter(group=group)
    )
    return [delete(row) for row in [*rows[0], *rows[1], group]]


@deed(locks="room")
def room_move(*, by: Person, room: Room, step: int) -> Room:
    """Move a room up (-1) or down (1) among the rooms of its floor."""
    rows = list(Room.objects.filter(floor=room.floor_id).order_by("position", "number"))
    apply(
        project=room.project,
        by=by,
        title="room_move",
        about=room.name,
        changes=moved(rows, room, step),
    )
    return room


def moved(rows: list[Any], row: Any, step: int) -> list[Change]:
    """Changes that put `row` a step up or down among `rows`, numbered from 1."""
    place = next(index for index, each in enumerate(rows) if each.pk == row.pk)
    target = min(max(place + step, 0), len(rows) - 1)
    rows.insert(target, rows.pop(place))
    return [update(each, position=index) for index, each in enumerate(rows, start=1)]


@deed(locks="room")
def object_add(*, by: Person, room: Room, kind: str, **values: Any) -> RoomObject:
    row = RoomObject(project_id=room.project_id, room=room, kind=kind, **values)
    apply(project=room.project, by=by, title="object_add", about=str(row), changes=[create(row)])
    return row


@deed(locks="row")
def object_change(*, by: Person, row: RoomObject, **values: Any) -> RoomObject:
    apply(
        project=row.project,
        by=by,
        title="object_change",
        about=str(row),
        changes=[update(row, **values)],
    )
    return row


@deed(locks="row", removes=True)
def object_remove(*, by: Person, row: RoomObject) -> None:
    """Take an object out. What was to hang over it then hangs over what stands freest."""
    freed = [update(fitting, over=None) for fitting in row.hung_over.all()]
    apply(
        project=row.project,
        by=by,
        title="object_remove",
        about=str(row),
        changes=[*freed, delete(row)],
    )


@deed(locks="project")
def group_add(*, by: Person, project: Project, name: str) -> RoomGroup:
    group = RoomGroup(
        project=project,
        name=name,
        position=next_position(RoomGroup.objects.filter(project=project)),
    )
    apply(project=project, by=by, title="group_add", about=name, changes=[create(group)])
    return group


@deed(locks="group")
def group_change(*, by: Person, group: RoomGroup, **values: Any) -> RoomGroup:
    apply(
        project=group.project,
        by=by,
        title="group_change",
        about=group.name,
        changes=[update(group, **values)],
    )
    return group


@deed(locks="group", removes=True)
def group_remove(*, by: Person, group: RoomGroup) -> None:
    if group.rooms.exists():
        raise Refusal(_("Rooms share scenes here. Give those rooms another group first."))
    changes = removal_of_group(group)
    apply(project=group.project, by=by, title="group_remove", about=group.name, changes=changes)


@deed(locks="project")
def enclosure_add(*, by: Person, project: Project, name: str, **values: Any) -> Enclosure:
    enclosure = Enclosure(
        project=project,
        name=name,
        position=next_position(Enclosure.objects.filter(project=project)),
        **values,
    )
    apply(project=project, by=by, title="enclosure_add", about=name, changes=[create(enclosure)])
    return enclosure


@deed(locks="enclosure")
def enclosure_change(*, by: Person, enclosure: Enclosure, **values: Any) -> Enclosure:
    apply(
        project=enclosure.project,
        by=by,
        title="enclosure_change",
        about=enclosure.name,
        changes=[update(enclosure, **values)],
    )
    return enclosure


@deed(locks="enclosure", removes=True)
def enclosure_remove(*, by: Person, enclosure: Enclosure) -> None:
    used = (
        Floor.objects.filter(default_enclosure=enclosure).exists()
        or Room.objects.filter(enclosure=enclosure).exists()
        or Circuit.objects.filter(enclosure=enclosure).exists()
    )
    if used:
        raise Refusal(
            _(
                "Floors, rooms or circuits have their receivers here. Give those another place first."
            )
        )
    apply(
        project=enclosure.project,
        by=by,
        title="enclosure_remove",
        about=enclosure.name,
        changes=[
            *(delete(row) for row in enclosure.fixed_choices.all()),
            *(delete(row) for row in enclosure.radio_paths.all()),
            delete(enclosure),
        ],
    )
