"""Pages of floors, rooms, room groups and enclosures."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from consult.forms.house import EnclosureForm, FloorForm, GroupForm, RoomForm
from consult.models import Enclosure, Floor, Project, Room, RoomGroup
from consult.services import house as services
from consult.views.shared import deed_page, press, project_of, row_of, typed

FORM_PAGE = require_http_methods(["GET", "HEAD", "POST"])


def _page(
    request: HttpRequest,
    *,
    project: Project,
    title: str,
    back: str,
    form: forms.Form,
    deed: Callable[..., Any],
    given: dict[str, Any],
    row: Any = None,
    remove: str = "",
) -> HttpResponse:
    """One form of the house. `given` are the deed's own rows; `row` the one that is changed."""
    context = {
        "project": project,
        "title": title,
        "back": back,
        "version": row.version if row is not None else None,
        "remove": reverse(remove, args=[row.pk]) if remove else "",
    }
    return deed_page(
        request,
        form=form,
        deed=deed,
        onward=lambda _done: back,
        template="consult/house_form.html",
        context=context,
        versioned=row is not None,
        **given,
    )


def _places(project: Project) -> str:
    return reverse("consult:places", args=[project.pk])


# --- floors -------------------------------------------------------------------------------------
@FORM_PAGE
def floor_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return _page(
        request,
        project=project,
        title=_("A new floor"),
        back=project.get_absolute_url(),
        form=FloorForm(request.POST or None, project=project),
        deed=services.floor_add,
        given={"project": project},
    )


@FORM_PAGE
def floor_change(request: HttpRequest, floor_id: uuid.UUID) -> HttpResponse:
    floor = row_of(request, Floor, floor_id)
    return _page(
        request,
        project=floor.project,
        title=floor.name,
        back=floor.project.get_absolute_url(),
        form=FloorForm(
            request.POST or None, project=floor.project, initial=typed(floor, FloorForm)
        ),
        deed=services.floor_change,
        given={"floor": floor},
        row=floor,
        remove="consult:floor_remove",
    )


@require_POST
def floor_remove(request: HttpRequest, floor_id: uuid.UUID) -> HttpResponse:
    floor = row_of(request, Floor, floor_id)
    onward = floor.project.get_absolute_url()
    return press(
        request, deed=services.floor_remove, onward=onward, floor=floor, said=_("Floor removed.")
    )


# --- rooms --------------------------------------------------------------------------------------
@FORM_PAGE
def room_add(request: HttpRequest, floor_id: uuid.UUID) -> HttpResponse:
    floor = row_of(request, Floor, floor_id)
    return deed_page(
        request,
        form=RoomForm(request.POST or None, project=floor.project),
        deed=services.room_add,
        onward=Room.get_absolute_url,
        template="consult/house_form.html",
        context={
            "project": floor.project,
            "title": _("A new room on %(floor)s") % {"floor": floor},
            "back": floor.project.get_absolute_url(),
        },
        floor=floor,
    )


@FORM_PAGE
def room_change(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id)
    form = RoomForm(request.POST or None, project=room.project, initial=typed(room, RoomForm))
    form.fields["group"].required = True
    return _page(
        request,
        project=room.project,
        title=room.name,
        back=room.get_absolute_url(),
        form=form,
        deed=services.room_change,
        given={"room": room},
        row=room,
        remove="consult:room_remove",
    )


@require_POST
def room_remove(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id)
    onward, said = room.project.get_absolute_url(), _("%(room)s is removed.") % {"room": room}
    return press(request, deed=services.room_remove, onward=onward, room=room, said=said)


@require_POST
def room_move(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id)
    step = -1 if request.POST.get("step") == "up" else 1
    onward = room.project.get_absolute_url()
    return press(request, deed=services.room_move, onward=onward, room=room, step=step)


# --- room groups and enclosures -----------------------------------------------------------------
@require_safe
def places(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """Which rooms share scenes, and where receivers are kept."""
    project = project_of(request, project_id)
    context = {
        "project": project,
        "groups": RoomGroup.objects.filter(project=project).prefetch_related("rooms"),
        "enclosures": Enclosure.objects.filter(project=project),
    }
    return render(request, "consult/places.html", context)


@FORM_PAGE
def group_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return _page(
        request,
        project=project,
        title=_("A new room group"),
        back=_places(project),
        form=GroupForm(request.POST or None),
        deed=services.group_add,
        given={"project": project},
    )


@FORM_PAGE
def group_change(request: HttpRequest, group_id: uuid.UUID) -> HttpResponse:
    group = row_of(request, RoomGroup, group_id)
    return _page(
        request,
        project=group.project,
        title=group.name,
        back=_places(group.project),
        form=GroupForm(request.POST or None, initial=typed(group, GroupForm)),
        deed=services.group_change,
        given={"group": group},
        row=group,
        remove="consult:group_remove",
    )


@require_POST
def group_remove(request: HttpRequest, group_id: uuid.UUID) -> HttpResponse:
    group = row_of(request, RoomGroup, group_id)
    return press(request, deed=services.group_remove, onward=_places(group.project), group=group)


@FORM_PAGE
def enclosure_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return _page(
        request,
        project=project,
        title=_("A new place for receivers"),
        back=_places(project),
        form=EnclosureForm(request.POST or None),
        deed=services.enclosure_add,
        given={"project": project},
    )


@FORM_PAGE
def enclosure_change(request: HttpRequest, enclosure_id: uuid.UUID) -> HttpResponse:
    enclosure = row_of(request, Enclosure, enclosure_id)
    return _page(
        request,
        project=enclosure.project,
        title=enclosure.name,
        back=_places(enclosure.project),
        form=EnclosureForm(request.POST or None, initial=typed(enclosure, EnclosureForm)),
        deed=services.enclosure_change,
        given={"enclosure": enclosure},
        row=enclosure,
        remove="consult:enclosure_remove",
    )


@require_POST
def enclosure_remove(request: HttpRequest, enclosure_id: uuid.UUID) -> HttpResponse:
    enclosure = row_of(request, Enclosure, enclosure_id)
    return press(
        request,
        deed=services.enclosure_remove,
        onward=_places(enclosure.project),
        enclosure=enclosure,
    )
