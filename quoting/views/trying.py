"""Try something at the table: from now on, kept, or thrown away."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from consult.models import Room
from consult.views.shared import press, row_of
from quoting.models import Trial
from quoting.services import trying as services


@require_POST
def begin(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id)
    return press(
        request,
        deed=services.trial_begin,
        onward=room.get_absolute_url(),
        said=_("What you change from now on can be kept or discarded as one."),
        project=room.project,
    )


@require_POST
def keep(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    return _end(request, room_id, services.trial_keep, _("Kept."))


@require_POST
def discard(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    said = _("The design is as it was before. Taking back brings what was tried again.")
    return _end(request, room_id, services.trial_discard, said)


def _end(
    request: HttpRequest, room_id: uuid.UUID, deed: Callable[..., Any], said: str
) -> HttpResponse:
    room = row_of(request, Room, room_id)
    trial = Trial.objects.filter(project=room.project).first()
    if trial is None:
        messages.info(request, _("Nothing is tried here any more: it was kept or discarded."))
        return redirect(room)
    return press(request, deed=deed, onward=room.get_absolute_url(), said=said, trial=trial)
