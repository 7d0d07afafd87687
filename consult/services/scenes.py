"""Deeds on scenes and their levels."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from catalogue.kinds import LoadKind
from consult.journal import Change, apply, create, delete, update
from consult.level_text import lower
from consult.models import Circuit, PositionButton, Project, RoomGroup, Scene, SceneLevel
from consult.numbering import numbered
from consult.services.house import moved, next_position
from consult.together import read_together


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


@deed(locks="scene", holds=numbered)
def scene_change(*, by: Person, scene: Scene, **values: Any) -> Scene:
    apply(
        project=scene.project,
        by=by,
        title="scene_change",
        about=scene.name,
        changes=[update(scene, **values)],
    )
    return scene


@deed(locks="scene", holds=numbered, removes=True)
def scene_remove(*, by: Person, scene: Scene) -> None:
    """Remove a scene; buttons that played it do nothing until they are given another."""
    buttons, levels = read_together(
        PositionButton.objects.filter(scene=scene), SceneLevel.objects.filter(scene=scene)
    )
    changes = [update(button, does="nothing", scene=None) for button in buttons]
    changes += [delete(row) for row in [*levels, scene]]
    apply(project=scene.project, by=by, title="scene_remove", about=scene.name, changes=changes)


@deed(locks="scene", holds=numbered)
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


@deed(locks="scene", holds=numbered)
def level_set(
    *,
    by: Person,
    scene: Scene,
    circuit: Circuit,
    level: int | None,
    cct_k: int | None = None,
    colour: str = "",
) -> SceneLevel | None:
    """Set the level of one circuit, or with None leave the circuit untouched by the scene."""
    row = SceneLevel.objects.filter(scene=scene, circuit=circuit).first()
    changes = _level_change(scene, circuit, row, level=level, cct_k=cct_k, colour=colour)
    about = f"{scene.name}, {circuit.code}: {'–' if level is None else level}"
    apply(project=scene.project, by=by, title="level_set", about=about, changes=changes)
    if level is None:
        return None
    return row or SceneLevel(pk=changes[0].id, scene=scene, circuit=circuit, level=level)


@deed(locks="scene", holds=numbered)
def levels_set(*, by: Person, scene: Scene, levels: Mapping[Circuit, int | None]) -> Scene:
    """Set several levels of a scene in one act; colours stay."""
    found = {row.circuit_id: row for row in SceneLevel.objects.filter(scene=scene)}
    changes = [
        change
        for circuit, level in levels.items()
        for change in _level_change(scene, circuit, found.get(circuit.pk), level=level)
    ]
    apply(project=scene.project, by=by, title="levels_set", about=scene.name, changes=changes)
    return scene


@deed(locks="scene", holds=numbered)
def play_keep(*, by: Person, scene: Scene, played: Mapping[str, dict[str, Any]]) -> Scene:
    """Keep levels with their white or colour, by circuit, in one act.

    A circuit that the scene leaves alone and that is dark stays left alone.
    """
    found = {row.circuit_id: row for row in SceneLevel.objects.filter(scene=scene)}
    circuits = Circuit.objects.filter(pk__in=list(played)).select_related("room")
    changes = [
        change
        for circuit in circuits
        if circuit.pk in found or played[str(circuit.pk)]["level"]
        for change in _level_change(
            scene, circuit, found.get(circuit.pk), **_said(found, circuit, played)
        )
    ]
    apply(project=scene.project, by=by, title="levels_set", about=scene.name, changes=changes)
    return scene


def _said(
    found: Mapping[Any, SceneLevel], circuit: Circuit, played: Mapping[str, dict[str, Any]]
) -> dict[str, Any]:
    """What is set of a circuit; one that is dark keeps the white or colour it had."""
    values, row = dict(played[str(circuit.pk)]), found.get(circuit.pk)
    if values["level"] == 0 and row is not None:
        values["cct_k"], values["colour"] = row.cct_k, row.colour
    return values


@deed(locks="circuit", holds=numbered)
def row_fill(
    *, by: Person, circuit: Circuit, scenes: Sequence[Scene], level: int | None
) -> Circuit:
    """Set one level for a circuit in several scenes, in one act."""
    rows = SceneLevel.objects.filter(circuit=circuit, scene__in=scenes)
    found = {row.scene_id: row for row in rows}
    changes = [
        change
        for scene in scenes
        for change in _level_change(scene, circuit, found.get(scene.pk), level=level)
    ]
    apply(project=circuit.project, by=by, title="row_fill", about=str(circuit), changes=changes)
    return circuit


@deed(locks="scene", holds=numbered)
def scene_copy(*, by: Person, scene: Scene, name: str, percent_lower: int = 0) -> Scene:
    """A scene once more under another name; its light lower by a share, blinds as they were."""
    if not 0 <= percent_lower <= 99:
        raise Refusal(_("Lower by 0 to 99 percent."))
    rows = Scene.objects.filter(project=scene.project_id, group=scene.group_id)
    made = Scene(
        project=scene.project,
        group_id=scene.group_id,
        name=name,
        words=scene.words if not percent_lower else "",
        fade_s=scene.fade_s,
        hours_a_day=scene.hours_a_day,
        position=next_position(rows),
    )
    changes = [create(made)]
    for row in SceneLevel.objects.filter(scene=scene).select_related("circuit"):
        is_blind = row.circuit.load_kind == LoadKind.MOTOR
        level = row.level if is_blind else lower(row.level, percent_lower)
        twin = SceneLevel(
            project=scene.project, scene=made, circuit=row.circuit, level=level,
            cct_k=row.cct_k, colour=row.colour,
        )  # fmt: skip
        changes.append(create(twin))
    apply(project=scene.project, by=by, title="scene_copy", about=name, changes=changes)
    return made


def _level_change(
    scene: Scene, circuit: Circuit, row: SceneLevel | None, *, level: int | None, **colours: Any
) -> list[Change]:
    if level is None:
        return [delete(row)] if row is not None else []
    _check(scene, circuit, level)
    if row is not None:
        return [update(row, level=level, **colours)]
    made = SceneLevel(
        project_id=scene.project_id, scene=scene, circuit=circuit, level=level, **colours
    )
    return [create(made)]


def _check(scene: Scene, circuit: Circuit, level: int) -> None:
    if not 0 <= level <= 100:
        raise Refusal(_("A level is a whole number from 0 to 100."))
    if circuit.project_id != scene.project_id:
        raise Refusal(_("That circuit belongs to another project."))
    if scene.group_id is not None and circuit.room.group_id != scene.group_id:
        raise Refusal(
            _("%(circuit)s is in a room that does not share these scenes.") % {"circuit": circuit}
        )
