"""Who else is at a project, as one line of text."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from consult.models import Room
from consult.services.presence import seen
from consult.views.shared import project_of
from consult.views.sheet import key_of


@require_safe
def presence(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    room = Room.objects.filter(project=project, pk=key_of(request.GET.get("room"))).first()
    others = seen(by=request.user, project=project, room=room)
    context = {"others": [(each, each.room_id == (room.pk if room else None)) for each in others]}
    response = render(request, "consult/_others.html", context)
    response["Cache-Control"] = "no-store"
    return response
