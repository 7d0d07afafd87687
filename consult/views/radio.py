"""The way of radio from a keypad to a place of receivers."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from consult.forms.radio import RadioForm
from consult.models import Enclosure, KeypadPosition
from consult.radio_models import RadioPath
from consult.services import radio as services
from consult.views.shared import deed_page, press, row_of, typed


@require_http_methods(["GET", "HEAD", "POST"])
def radio_set(
    request: HttpRequest, position_id: uuid.UUID, enclosure_id: uuid.UUID
) -> HttpResponse:
    row = row_of(request, KeypadPosition, position_id, "room")
    enclosure = get_object_or_404(Enclosure, pk=enclosure_id, project=row.project_id)
    path = RadioPath.objects.filter(keypad_position=row, enclosure=enclosure).first()
    back = reverse("consult:position_change", args=[row.pk])
    return deed_page(
        request,
        form=RadioForm(request.POST or None, initial=typed(path, RadioForm) if path else None),
        deed=services.radio_set,
        onward=lambda _done: back,
        template="consult/house_form.html",
        context={
            "project": row.project,
            "title": _("Radio from %(position)s to %(place)s")
            % {"position": row.code, "place": enclosure.name},
            "back": back,
            "remove": reverse("consult:radio_remove", args=[path.pk]) if path else "",
        },
        said=_("Kept. The findings follow it."),
        row=row,
        enclosure=enclosure,
    )


@require_POST
def radio_remove(request: HttpRequest, path_id: uuid.UUID) -> HttpResponse:
    path = row_of(request, RadioPath, path_id, "keypad_position", "enclosure")
    onward = reverse("consult:position_change", args=[path.keypad_position_id])
    return press(request, deed=services.radio_remove, onward=onward, path=path)
