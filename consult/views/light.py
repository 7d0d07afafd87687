"""The light of a room: its page with scenes, its picture, its map, and the bytes for the browser."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import condition, require_POST, require_safe

from consult.derived import read_house
from consult.forms.light import LevelsForm
from consult.light import page, pictures
from consult.light.beams import beams_of
from consult.light.glare import glare_of
from consult.light.pictures import VIEWS
from consult.light.solving import key_of, solved
from consult.models import Room, Scene
from consult.room_light import room_light
from consult.services.scenes import play_keep
from consult.views.shared import press, project_of, row_of


def _room(request: HttpRequest, room_id: uuid.UUID) -> Room:
    room: Room = row_of(request, Room, room_id, "project__client", "floor", "group")
    return room


def _shown(request: HttpRequest, room_id: uuid.UUID) -> page.RoomPage:
    row = _room(request, room_id)
    asked = {name: request.GET.get(name, "") for name in ("scene", "other", "view")}
    return page.room_page(read_house(row.project), str(row.pk), **asked)


@require_safe
def room(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """The page: scenes to choose, the room's picture, sliders, the light map, two scenes compared."""
    row = _room(request, room_id)
    house = read_house(row.project)
    asked = {name: request.GET.get(name, "") for name in ("scene", "other", "view")}
    shown = page.room_page(house, str(row.pk), **asked)
    context = {
        "room": row,
        "project": row.project,
        "rooms": house.design.rooms,
        "shown": shown,
        "figures": shown.figures,
        "beams": beams_of(shown.stated),
        "glare": glare_of(shown.stated),
        "leaving_percent": shown.leaving_percent if shown.open_to.through else None,
    }
    return render(request, "consult/light.html", context)


@require_safe
def exact(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """The room sheet's region, with the exact light."""
    row = _room(request, room_id)
    house = read_house(row.project)
    light = room_light(house, house.design.room_of[str(row.pk)], exact=True)
    return render(request, "consult/_light.html", {"room": row, "light": light})


@require_POST
def keep(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """The levels as the sliders stand, kept in a scene of the room's group."""
    row = _room(request, room_id)
    house = read_house(row.project)
    shown = page.room_page(house, str(row.pk))
    form = LevelsForm(request.POST, controls=shown.stated.controls)
    onward = reverse("consult:room_light", args=[row.pk])
    if not form.is_valid():
        messages.error(request, form.problem())
        return redirect(onward)
    scene = row_of(request, Scene, form.cleaned_data["scene"])
    view = request.POST.get("view", "")
    return press(
        request,
        deed=play_keep,
        onward=f"{onward}?scene={scene.pk}" + (f"&view={view}" if view in VIEWS else ""),
        said=_("Kept in %(scene)s. It can be taken back.") % {"scene": scene.name},
        scene=scene,
        played=form.levels(),
    )


def _edition(request: HttpRequest, room_id: uuid.UUID) -> str | None:
    shown = _shown(request, room_id)
    problem = shown.stated.problem
    if problem is None:
        return None
    return f'"{key_of(problem)}"'


@require_safe
@condition(etag_func=_edition)
def basis(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """The room's light by circuit, packed for the browser; at most 30 kB."""
    shown = _shown(request, room_id)
    if shown.stated.problem is None:
        raise Http404
    return _sent(lambda: solved(shown.stated.problem).data, "application/octet-stream")


@require_safe
def picture(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    shown = _shown(request, room_id)
    if shown.scene is None:
        raise Http404
    drawn = lambda: pictures.room_png(shown.stated, shown.scene, view=shown.view)  # noqa: E731
    return _sent(drawn, "image/png")


@require_safe
def light_map(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    shown = _shown(request, room_id)
    if shown.scene is None:
        raise Http404
    return _sent(lambda: pictures.map_png(shown.stated, shown.scene, shown.part), "image/png")


def _sent(make: Any, media_type: str) -> HttpResponse:
    """What was made, or no such page where the room's light is refused."""
    try:
        content = make()
    except ValueError as error:
        raise Http404 from error
    response = HttpResponse(content, content_type=media_type)
    response["Cache-Control"] = "private, no-cache"
    return response


@require_safe
def sheet(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """The main rooms of a project in every scene, on one page."""
    project = project_of(request, project_id)
    rooms = page.main_rooms(read_house(project))
    return render(request, "consult/light_sheet.html", {"project": project, "rooms": rooms})
