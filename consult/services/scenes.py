"""Deeds on scenes and their levels."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from consult.journal import Change, apply, create, delete, update
from consult.models import Circuit, PositionButton, Project, RoomGroup, Scene, SceneLevel
from consult.services.house import moved, next_position


@deed(locks="project")
def scene_add(
    *,
    by: Person,
    project: Project,
    name: str,
    group: RoomGroup | None = None,
    levels: Mapping[Circuit, int] | None = None,
    **values: Any,
) -> Scene:
    """A scene of a room group, or of the whole house; with levels where they are known already."""
    scene = Scene(
        project=project,
        group=group,
        name=name,
        position=next_position(Scene.objects.filter(project=project, group=group)),
        **values,
    )
    changes = [create(scene)]
    for circuit, level in (levels or {}).items():
        _check(scene, circuit, level)
        changes.append(
            create(SceneLevel(project=project, scene=scene, circuit=circuit, level=level))
        )
    apply(project=project, by=by, title="scene_add", about=name, changes=changes)
    return scene


@deed(locks="scene")
def scene_change(*, by: Person, scene: Scene, **values: Any) -> Scene:
    apply(
        project=scene.project,
        by=by,
        title="scene_change",
        about=scene.name,
        changes=[update(scene, **values)],
    )
    return scene


@deed(locks="scene")
def scene_remove(*, by: Person, scene: Scene) -> None:
    """Remove a scene; buttons that played it do nothing until they are given another."""
    buttons = PositionButton.objects.filter(scene=scene)
    changes = [update(button, does="nothing", scene=None) for button in buttons]
    changes += [delete(level) for level in scene.levels.all()] + [delete(scene)]
    apply(project=scene.project, by=by, title="scene_remove", about=scene.name, changes=changes)


@deed(locks="scene")
def scene_move(*, by: Person, scene: Scene, step: int) -> Scene:
    rows = Scene.objects.filter(project=scene.project_id, group=scene.group_id)
    apply(
        project=scene.project,
        by=by,
        title="scene_move",
        about=scene.name,
        changes=moved(list(rows.order_by("position", "name")), scene, step),
    )
    return scene


@deed(locks="scene")
def level_set(
    *, by: Person, scene: Scene, circuit: Circuit, level: int | None
) -> SceneLevel | None:
    """Set the level of one circuit, or with None leave the circuit untouched by the scene."""
    changes = _level_changes(scene, {circuit: level})
    about = f"{scene.name}, {circuit.code}: {'–' if level is None else level}"
    apply(project=scene.project, by=by, title="level_set", about=about, changes=changes)
    return SceneLevel.objects.filter(scene=scene, circuit=circuit).first()


@deed(locks="scene")
def levels_set(*, by: Person, scene: Scene, levels: Mapping[Circuit, int | None]) -> Scene:
    """Set several levels of a scene in one act."""
    apply(
        project=scene.project,
        by=by,
        title="levels_set",
        about=scene.name,
        changes=_level_changes(scene, levels),
    )
    return scene


def _level_changes(scene: Scene, levels: Mapping[Circuit, int | None]) -> list[Change]:
    found = {row.circuit_id: row for row in SceneLevel.objects.filter(scene=scene)}
    changes = []
    for circuit, level in levels.items():
        row = found.get(circuit.pk)
        if level is None:
            if row is not None:
                changes.append(delete(row))
            continue
        _check(scene, circuit, level)
        changes.append(
            update(row, level=level)
            if row is not None
            else create(
                SceneLevel(project_id=scene.project_id, scene=scene, circuit=circuit, level=level)
            )
        )
    return changes


def _check(scene: Scene, circuit: Circuit, level: int) -> None:
    if not 0 <= level <= 100:
        raise Refusal(_("A level is a whole number from 0 to 100."))
    if circuit.project_id != scene.project_id:
        raise Refusal(_("That circuit belongs to another project."))
    if scene.group_id is not None and circuit.room.group_id != scene.group_id:
        raise Refusal(
            _("%(circuit)s is in a room that does not share these scenes.") % {"circuit": circuit}
        )
