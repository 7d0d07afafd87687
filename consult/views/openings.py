"""What a room is open to: one form beside the room's plan from above."""

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from consult.forms.openings import OpeningForm
from consult.models import Opening, Room
from consult.services import openings as services
from consult.views.objects import drawn, here
from consult.views.shared import deed_page, press, row_of, typed

FORM_PAGE = require_http_methods(["GET", "HEAD", "POST"])


def _context(room: Room, **more: Any) -> dict[str, Any]:
    return {**drawn(room), "is_opening": True, **more}


@FORM_PAGE
def opening_add(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id)
    return deed_page(
        request,
        form=OpeningForm(request.POST or None, room=room),
        deed=services.opening_add,
        onward=lambda _done: here(room),
        template="consult/openings.html",
        context=_context(room),
        said=_("The room is open there now."),
        room=room,
    )


@FORM_PAGE
def opening_change(request: HttpRequest, opening_id: uuid.UUID) -> HttpResponse:
    row = _row(request, opening_id)
    form = OpeningForm(request.POST or None, room=row.room, initial=typed(row, OpeningForm))
    return deed_page(
        request,
        form=form,
        deed=services.opening_change,
        onward=lambda _done: here(row.room),
        template="consult/openings.html",
        context=_context(row.room, row=row, version=row.version),
        versioned=True,
        row=row,
    )


@require_POST
def opening_remove(request: HttpRequest, opening_id: uuid.UUID) -> HttpResponse:
    row = _row(request, opening_id)
    onward = here(row.room)
    return press(request, deed=services.opening_remove, onward=onward, row=row)


def _row(request: HttpRequest, opening_id: uuid.UUID) -> Opening:
    row: Opening = row_of(request, Opening, opening_id, "room", "other")
    row.room.project = row.project
    return row
