"""The scenes grid: scenes across, circuits down, a level in each cell."""

import json
import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.forms.playing import LevelForm, SceneAddForm, SceneForm
from consult.models import Circuit, Scene
from consult.playing import Cell, grids
from consult.reader import read_design
from consult.services import scenes as services
from consult.views.shared import deed_page, press, project_of, row_of, typed


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


@require_POST
def level_set(request: HttpRequest, scene_id: uuid.UUID, circuit_id: uuid.UUID) -> HttpResponse:
    """One cell: saved as it is typed; refused with what was typed and why."""
    scene = row_of(request, Scene, scene_id)
    circuit = row_of(request, Circuit, circuit_id, "room")
    form = LevelForm(request.POST)
    error = ""
    if form.is_valid():
        try:
            services.level_set(
                by=request.user,
                key=deed_key(request),
                scene=scene,
                circuit=circuit,
                level=form.cleaned_data["level"],
            )
        except Refusal as refusal:
            error = str(refusal)
    else:
        error = str(_("A level is a whole number from 0 to 100."))
    if not request.htmx and not error:
        return redirect(_page(scene.project_id))
    typed_level = request.POST.get("level", "")
    cell = Cell(scene=str(scene.pk), circuit=str(circuit.pk), level=None)
    context = {
        "cell": cell,
        "typed": typed_level,
        "error": error,
        "scene": scene,
        "circuit": circuit,
    }
    response = render(request, "consult/_level.html", context)
    if not error:
        shown = f"{typed_level} %" if typed_level else "–"
        said = f"{scene.name}, {circuit.code}: {shown}"
        response["HX-Trigger"] = json.dumps({"design-changed": True, "say": said})
    return response
