"""The scenes grid: scenes across, circuits down, a level in each cell."""

import json
import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from catalogue.kinds import LoadKind
from consult.forms.playing import LevelForm, SceneAddForm, SceneCopyForm, SceneForm
from consult.level_text import Level, LevelRefused, read_level, write_level
from consult.models import Circuit, KeypadPosition, Project, Scene
from consult.playing import Cell, grid_of, grids
from consult.reader import read_design
from consult.services import keypads
from consult.services import scenes as services
from consult.views.shared import deed_page, press, project_of, row_of, typed
from consult.views.sheet import key_of

WHITE_KINDS = frozenset({LoadKind.DC_TUNABLE, LoadKind.DC_RGB_TUNABLE})
COLOURED_KINDS = frozenset({LoadKind.DC_RGB, LoadKind.DC_RGBW, LoadKind.DC_RGB_TUNABLE})
SAID = {
    "level": gettext_lazy("A level is a whole number from 0 to 100."),
    "cct": gettext_lazy("A colour temperature lies between 1000K and 10000K."),
    "not_white": gettext_lazy("The white of this circuit cannot be tuned: give a level alone."),
    "not_coloured": gettext_lazy("This circuit has no colours: give a level alone."),
}


@require_safe
def scenes(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    context = {
        "project": project,
        "grids": grids(read_design(project)),
        "form": SceneAddForm(project=project),
    }
    return render(request, "consult/scenes.html", context)


def _page(project_id: uuid.UUID) -> str:
    return reverse("consult:scenes", args=[project_id])


@require_POST
def scene_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return deed_page(
        request,
        form=SceneAddForm(request.POST, project=project),
        deed=services.scene_add,
        onward=lambda _done: _page(project.pk),
        template="consult/scenes.html",
        context={"project": project, "grids": grids(read_design(project))},
        project=project,
    )


@require_http_methods(["GET", "HEAD", "POST"])
def scene_change(request: HttpRequest, scene_id: uuid.UUID) -> HttpResponse:
    scene = row_of(request, Scene, scene_id)
    return deed_page(
        request,
        form=SceneForm(request.POST or None, initial=typed(scene, SceneForm)),
        deed=services.scene_change,
        onward=lambda _done: _page(scene.project_id),
        template="consult/house_form.html",
        context={
            "project": scene.project,
            "title": scene.name,
            "back": _page(scene.project_id),
            "version": scene.version,
            "remove": reverse("consult:scene_remove", args=[scene.pk]),
        },
        versioned=True,
        scene=scene,
    )


@require_POST
def scene_remove(request: HttpRequest, scene_id: uuid.UUID) -> HttpResponse:
    scene = row_of(request, Scene, scene_id)
    onward, said = _page(scene.project_id), _("%(scene)s is removed.") % {"scene": scene}
    return press(request, deed=services.scene_remove, onward=onward, said=said, scene=scene)


@require_POST
def scene_move(request: HttpRequest, scene_id: uuid.UUID) -> HttpResponse:
    scene = row_of(request, Scene, scene_id)
    step = -1 if request.POST.get("step") == "up" else 1
    onward = _page(scene.project_id)
    return press(request, deed=services.scene_move, onward=onward, scene=scene, step=step)


@require_safe
def grid_region(request: HttpRequest, project_id: uuid.UUID, group: str) -> HttpResponse:
    """The grid of a room group, or of the house."""
    project = project_of(request, project_id)
    return _grid(request, project, "" if group == "house" else group)


def _grid(request: HttpRequest, project: Project, key: str, said: str = "") -> HttpResponse:
    design = read_design(project)
    if key and key not in design.group_of:
        raise Http404
    grid = grid_of(design, key)
    response = render(request, "consult/_grid.html", {"grid": grid, "project": project})
    if said:
        response["HX-Trigger"] = json.dumps({"design-changed": True, "say": said})
    return response


def _written(request: HttpRequest, circuit: Circuit) -> Level | None:
    """What was typed into a cell. Raises Refusal with a sentence."""
    kind = circuit.load_kind
    try:
        return read_level(
            request.POST.get("level", "")[:60],
            white=kind in WHITE_KINDS,
            coloured=kind in COLOURED_KINDS,
        )
    except LevelRefused as refused:
        raise Refusal(SAID[refused.code]) from refused


@require_POST
def level_set(request: HttpRequest, scene_id: uuid.UUID, circuit_id: uuid.UUID) -> HttpResponse:
    """One cell: saved as it is typed; refused with what was typed and why."""
    scene = row_of(request, Scene, scene_id)
    circuit = row_of(request, Circuit, circuit_id, "room")
    text, error, level = request.POST.get("level", "")[:60], "", None
    try:
        level = _written(request, circuit)
        given = level or Level(0)
        services.level_set(
            by=request.user,
            key=deed_key(request),
            scene=scene,
            circuit=circuit,
            level=level.level if level else None,
            cct_k=given.cct_k,
            colour=given.colour,
        )
    except Refusal as refusal:
        error = str(refusal)
    else:
        text = write_level(level)
    if not request.htmx and not error:
        return redirect(_page(scene.project_id))
    cell = Cell(
        scene=str(scene.pk),
        circuit=str(circuit.pk),
        level=level.level if level else None,
        text=text,
        is_blind=circuit.load_kind == LoadKind.MOTOR,
    )
    context = {"cell": cell, "error": error, "where": f"{circuit.code}, {scene.name}"}
    response = render(request, "consult/_level.html", context)
    if not error:
        said = f"{scene.name}, {circuit.code}: {text or '–'}"
        response["HX-Trigger"] = json.dumps({"design-changed": True, "say": said})
    return response


# --- a whole scene, a whole circuit -----------------------------------------------------------------
@require_safe
def scene_tools(request: HttpRequest, scene_id: uuid.UUID) -> HttpResponse:
    """What is done to a scene as a whole."""
    scene = row_of(request, Scene, scene_id, "group")
    return scene_tools_again(request, scene)


@require_safe
def circuit_tools(request: HttpRequest, circuit_id: uuid.UUID, group: str) -> HttpResponse:
    """One level for a circuit in all scenes of a grid."""
    circuit = row_of(request, Circuit, circuit_id, "room")
    return render(request, "consult/_circuit_tools.html", {"circuit": circuit, "group": group})


def _key_of(scene: Scene) -> str:
    return str(scene.group_id or "")


def _stopped(request: HttpRequest, why: str) -> HttpResponse:
    """The tools stay as they are; why nothing was done is said and shown."""
    response = render(request, "consult/_grid_stopped.html", {"why": why})
    response["HX-Retarget"], response["HX-Reswap"] = "#grid-stopped", "innerHTML"
    return response


@require_POST
def scene_fill(request: HttpRequest, scene_id: uuid.UUID) -> HttpResponse:
    """One level for every light of the scene's rooms; blinds stay."""
    scene = row_of(request, Scene, scene_id)
    form = LevelForm(request.POST)
    if not form.is_valid():
        return _stopped(request, SAID["level"])
    circuits = Circuit.objects.filter(project=scene.project_id).exclude(load_kind=LoadKind.MOTOR)
    if scene.group_id:
        circuits = circuits.filter(room__group=scene.group_id)
    levels = dict.fromkeys(circuits.select_related("room"), form.cleaned_data["level"])
    try:
        services.levels_set(by=request.user, key=deed_key(request), scene=scene, levels=levels)
    except Refusal as refusal:
        return _stopped(request, str(refusal))
    said = _("%(scene)s is filled.") % {"scene": scene}
    return _grid(request, scene.project, _key_of(scene), said)


@require_POST
def row_fill(request: HttpRequest, circuit_id: uuid.UUID, group: str) -> HttpResponse:
    """One level for a circuit in every scene of the grid."""
    circuit = row_of(request, Circuit, circuit_id, "room")
    form = LevelForm(request.POST)
    if not form.is_valid():
        return _stopped(request, SAID["level"])
    key = "" if group == "house" else str(circuit.room.group_id)
    scenes = list(Scene.objects.filter(project=circuit.project_id, group=key or None))
    try:
        services.row_fill(
            by=request.user,
            key=deed_key(request),
            circuit=circuit,
            scenes=scenes,
            **form.cleaned_data,
        )
    except Refusal as refusal:
        return _stopped(request, str(refusal))
    said = _("%(circuit)s is filled.") % {"circuit": circuit}
    return _grid(request, circuit.project, key, said)


@require_POST
def scene_copy(request: HttpRequest, scene_id: uuid.UUID) -> HttpResponse:
    """The scene once more, lower by a share where one is given."""
    scene = row_of(request, Scene, scene_id)
    form = SceneCopyForm(request.POST)
    if not form.is_valid():
        return _stopped(request, _("Give the copy a name, and how much lower: 0 to 99 percent."))
    try:
        made = services.scene_copy(
            by=request.user, key=deed_key(request), scene=scene, **form.cleaned_data
        )
    except Refusal as refusal:
        return _stopped(request, str(refusal))
    said = _("%(scene)s is there.") % {"scene": made}
    return _grid(request, scene.project, _key_of(scene), said)


@require_POST
def scene_on_button(request: HttpRequest, scene_id: uuid.UUID) -> HttpResponse:
    """Put the scene on the next free button of a keypad."""
    scene = row_of(request, Scene, scene_id)
    position = get_object_or_404(
        KeypadPosition, pk=key_of(request.POST.get("position")), project=scene.project_id
    )
    try:
        button = keypads.button_next(
            by=request.user, key=deed_key(request), row=position, scene=scene
        )
    except Refusal as refusal:
        return _stopped(request, str(refusal))
    response = scene_tools_again(request, scene)
    said = _("%(scene)s is on button %(n)s of %(place)s.") % {
        "scene": scene, "n": button.number, "place": position,
    }  # fmt: skip
    response["HX-Trigger"] = json.dumps({"design-changed": True, "say": said})
    return response


def scene_tools_again(request: HttpRequest, scene: Scene) -> HttpResponse:
    places = KeypadPosition.objects.filter(project=scene.project_id)
    if scene.group_id:
        places = places.filter(group=scene.group_id)
    context = {"scene": scene, "positions": places.select_related("room")}
    return render(request, "consult/_scene_tools.html", context)
