"""What stands in a room: a plan from above, a list, and one form to put something there."""

import uuid
from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from consult.derived import read_house
from consult.forms.objects import ObjectForm
from consult.light.problem import room_problem
from consult.light.room_plan import room_plan
from consult.light.targets import read_targets
from consult.models import Opening, Room, RoomObject
from consult.services import house as services
from consult.views.shared import deed_page, press, row_of, typed

FORM_PAGE = require_http_methods(["GET", "HEAD", "POST"])


def here(room: Room) -> str:
    """The page of what stands in a room."""
    return reverse("consult:object_add", args=[room.pk])


def drawn(room: Room) -> dict[str, Any]:
    """The room, its plan from above, all that stands there and what it is open to."""
    house = read_house(room.project)
    part = house.design.room_of[str(room.pk)]
    stated = room_problem(house, part, read_targets().plane_m(part.use))
    return {
        "project": room.project,
        "room": room,
        "plan": room_plan(part, stated),
        "standing": RoomObject.objects.filter(room=room),
        "openings": _openings(room),
    }


def _openings(room: Room) -> list[tuple[Opening, Room | None, str]]:
    """The openings of a room, where they lead, and in which wall of it they are, in words."""
    rows = Opening.objects.filter(Q(room=room) | Q(other=room)).select_related("room", "other")
    return [
        (row, row.other, row.get_wall_display())
        if row.room_id == room.pk
        else (row, row.room, row.get_other_wall_display())
        for row in rows
    ]


@FORM_PAGE
def object_add(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id)
    return deed_page(
        request,
        form=ObjectForm(request.POST or None, room=room),
        deed=services.object_add,
        onward=lambda _done: here(room),
        template="consult/objects.html",
        context=drawn(room),
        said=_("It stands there now."),
        room=room,
    )


@FORM_PAGE
def object_change(request: HttpRequest, object_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, RoomObject, object_id, "room")
    row.room.project = row.project
    form = ObjectForm(request.POST or None, room=row.room, initial=typed(row, ObjectForm))
    return deed_page(
        request,
        form=form,
        deed=services.object_change,
        onward=lambda _done: here(row.room),
        template="consult/objects.html",
        context={**drawn(row.room), "row": row, "version": row.version},
        versioned=True,
        row=row,
    )


@require_POST
def object_remove(request: HttpRequest, object_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, RoomObject, object_id, "room")
    onward = here(row.room)
    return press(request, deed=services.object_remove, onward=onward, row=row)
