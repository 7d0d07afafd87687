"""Findings of a project and of a room; set aside with a reason, taken up again."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.derived import planned, read_house
from consult.forms.plan import AsideForm
from consult.found import findings_of, read_findings
from consult.models import Room, SetAside
from consult.services import findings as services
from consult.views.shared import press, project_of, row_of


@require_safe
def findings(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    context = {"project": project, "findings": read_findings(project)}
    return render(request, "consult/findings.html", context)


@require_safe
def room_findings(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = row_of(request, Room, room_id, "project__client")
    house = read_house(room.project)
    found = findings_of(room.project, house, planned(house), room=str(room.pk))
    context = {"room": room, "project": room.project, "findings": found}
    return render(request, "consult/room.html#findings", context)


@require_POST
def set_aside(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    """A finding put aside; refused with what was typed, on the page of findings."""
    project = project_of(request, project_id)
    form = AsideForm(request.POST)
    if form.is_valid():
        try:
            services.finding_set_aside(
                by=request.user, key=deed_key(request), project=project, **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("Set aside. It is shown again when it changes."))
            return redirect("consult:findings", project.pk)
    context = {"project": project, "findings": read_findings(project), "aside_form": form}
    return render(request, "consult/findings.html", context)


@require_POST
def take_up(request: HttpRequest, aside_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, SetAside, aside_id)
    onward = reverse("consult:findings", args=[row.project_id])
    return press(request, deed=services.finding_take_up, onward=onward, row=row)
