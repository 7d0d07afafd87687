"""Deeds on keypad positions and what their buttons do."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.journal import apply, create, delete, update
from consult.models import KeypadPosition, PositionButton, Room, RoomGroup, Scene
from consult.services.house import moved, next_position

MOST_BUTTONS = 40


@deed(locks="room")
def position_add(
    *, by: Person, room: Room, name: str, group: RoomGroup | None = None, **values: Any
) -> KeypadPosition:
    """A keypad position in a room; it plays the scenes of the room's group unless said."""
    codes = set(
        KeypadPosition.objects.filter(project=room.project_id).values_list("code", flat=True)
    )
    stem, number = f"{room.floor.code}{room.number:02d}.K", 1
    while f"{stem}{number}" in codes:
        number += 1
    row = KeypadPosition(
        project_id=room.project_id,
        room=room,
        group=group or room.group,
        code=f"{stem}{number}",
        name=name,
        position=next_position(KeypadPosition.objects.filter(room=room)),
        **values,
    )
    apply(project=room.project, by=by, title="position_add", about=str(row), changes=[create(row)])
    return row


@deed(locks="row")
def position_change(*, by: Person, row: KeypadPosition, **values: Any) -> KeypadPosition:
    apply(
        project=row.project,
        by=by,
        title="position_change",
        about=str(row),
        changes=[update(row, **values)],
    )
    return row


@deed(locks="row", removes=True)
def position_remove(*, by: Person, row: KeypadPosition) -> None:
    held = [*row.fixed_choices.all(), *row.radio_paths.all(), *row.buttons.all(), row]
    changes = [delete(each) for each in held]
    apply(project=row.project, by=by, title="position_remove", about=str(row), changes=changes)


@deed(locks="row")
def position_move(*, by: Person, row: KeypadPosition, step: int) -> KeypadPosition:
    rows = list(KeypadPosition.objects.filter(room=row.room_id).order_by("position", "code"))
    apply(
        project=row.project,
        by=by,
        title="position_move",
        about=str(row),
        changes=moved(rows, row, step),
    )
    return row


@deed(locks="row")
def button_set(
    *,
    by: Person,
    row: KeypadPosition,
    number: int,
    does: str,
    scene: Scene | None = None,
    engraving: str = "",
) -> PositionButton:
    """Say what one button of a position does. A button not yet there is made."""
    _check(row, does, scene)
    found: PositionButton | None = PositionButton.objects.filter(
        keypad_position=row, number=number
    ).first()
    values = {"does": does, "scene": scene if does == "scene" else None, "engraving": engraving}
    if found is None:
        found = PositionButton(
            project_id=row.project_id, keypad_position=row, number=number, **values
        )
        change = create(found)
    else:
        change = update(found, **values)
    apply(
        project=row.project, by=by, title="button_set", about=f"{row}: {number}", changes=[change]
    )
    return found


@deed(locks="row")
def button_next(*, by: Person, row: KeypadPosition, scene: Scene) -> PositionButton:
    """Put a scene on the first button after those in use. One that plays it already is kept."""
    used = PositionButton.objects.filter(keypad_position=row).order_by("number")
    buttons: list[PositionButton] = list(used)
    for button in buttons:
        if button.scene_id == scene.pk:
            return button
    idle = next((button.number for button in buttons if button.does == "nothing"), None)
    number = idle or (buttons[-1].number if buttons else 0) + 1
    if number > MOST_BUTTONS:
        raise Refusal(_("This keypad has no button left."))
    made: PositionButton = button_set(by=by, row=row, number=number, does="scene", scene=scene)
    return made


@deed(locks="row")
def buttons_fill(*, by: Person, row: KeypadPosition, scenes: Sequence[Scene]) -> KeypadPosition:
    """Give the buttons these scenes in order, then 'all off', in place of what they did."""
    for scene in scenes:
        _check(row, "scene", scene)
    wanted: list[dict[str, Any]] = [
        {"does": "scene", "scene": scene, "engraving": scene.name[:40]} for scene in scenes
    ]
    wanted.append({"does": "all-off", "scene": None, "engraving": _("Off")})
    found = {button.number: button for button in row.buttons.all()}
    changes = []
    for number, values in enumerate(wanted, start=1):
        if button := found.pop(number, None):
            changes.append(update(button, **values))
            continue
        button = PositionButton(
            project_id=row.project_id, keypad_position=row, number=number, **values
        )
        changes.append(create(button))
    changes += [delete(button) for button in found.values()]
    apply(project=row.project, by=by, title="buttons_fill", about=str(row), changes=changes)
    return row


@deed(locks="row")
def button_remove(*, by: Person, row: KeypadPosition, number: int) -> None:
    changes = [delete(button) for button in row.buttons.filter(number=number)]
    apply(
        project=row.project, by=by, title="button_remove", about=f"{row}: {number}", changes=changes
    )


def _check(row: KeypadPosition, does: str, scene: Scene | None) -> None:
    if does == "scene" and scene is None:
        raise Refusal(_("Choose the scene that the button plays."))
    if scene is not None and scene.project_id != row.project_id:
        raise Refusal(_("That scene belongs to another project."))
