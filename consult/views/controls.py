"""Keypad positions: where they hang, what each button does, how the engraving reads."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.derived import planned, read_house
from consult.forms.playing import ButtonForm, PositionForm
from consult.models import Enclosure, KeypadPosition, Scene
from consult.playing import position_rows
from consult.radio_models import RadioPath
from consult.services import keypads as services
from consult.views.shared import deed_page, press, project_of, row_of, typed


@require_safe
def controls(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    house = read_house(project)
    context = {
        "project": project,
        "house": house,
        "rows": position_rows(house, planned(house)),
    }
    return render(request, "consult/controls.html", context)


def _page(project_id: uuid.UUID) -> str:
    return reverse("consult:controls", args=[project_id])


@require_http_methods(["GET", "HEAD", "POST"])
def position_add(request: HttpRequest, project_id: uuid.UUID) -> HttpResponse:
    project = project_of(request, project_id)
    return deed_page(
        request,
        form=PositionForm(
            request.POST or None, project=project, initial={"room": request.GET.get("room")}
        ),
        deed=services.position_add,
        onward=lambda done: reverse("consult:position_change", args=[done.pk]),
        template="consult/house_form.html",
        context={
            "project": project,
            "title": _("A new keypad position"),
            "back": _page(project.pk),
        },
    )


@require_http_methods(["GET", "HEAD", "POST"])
def position_change(request: HttpRequest, position_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, KeypadPosition, position_id, "room", "group")
    form = PositionForm(request.POST or None, project=row.project, initial=typed(row, PositionForm))
    form.fields["group"].required = True
    return deed_page(
        request,
        form=form,
        deed=services.position_change,
        onward=lambda _done: _page(row.project_id),
        template="consult/position.html",
        context=_position(row),
        versioned=True,
        row=row,
    )


def _radio(row: KeypadPosition) -> list[tuple[Enclosure, RadioPath | None]]:
    """Every place of receivers with the way of radio to it, where somebody has described it."""
    known = {path.enclosure_id: path for path in row.radio_paths.all()}
    places = Enclosure.objects.filter(project=row.project_id)
    return [(place, known.get(place.pk)) for place in places]


def _position(row: KeypadPosition) -> dict[str, object]:
    buttons = list(row.buttons.select_related("scene"))
    return {
        "project": row.project,
        "position": row,
        "version": row.version,
        "buttons": buttons,
        "button_form": ButtonForm(position=row, initial={"number": len(buttons) + 1}),
        "scenes": Scene.objects.filter(group=row.group_id),
        "radio": _radio(row),
    }


@require_POST
def position_remove(request: HttpRequest, position_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, KeypadPosition, position_id)
    onward = _page(row.project_id)
    return press(request, deed=services.position_remove, onward=onward, row=row)


@require_POST
def buttons_fill(request: HttpRequest, position_id: uuid.UUID) -> HttpResponse:
    """All scenes of the group onto the buttons, then off."""
    row = row_of(request, KeypadPosition, position_id)
    onward = reverse("consult:position_change", args=[row.pk])
    scenes = list(Scene.objects.filter(group=row.group_id))
    return press(
        request,
        deed=services.buttons_fill,
        onward=onward,
        row=row,
        scenes=scenes,
        said=_("The buttons play the scenes of the group, the last is off."),
    )


@require_POST
def button_set(request: HttpRequest, position_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, KeypadPosition, position_id, "room", "group")
    form = ButtonForm(request.POST, position=row)
    if form.is_valid():
        try:
            services.button_set(
                by=request.user, key=deed_key(request), row=row, **form.cleaned_data
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("Button set."))
            return redirect("consult:position_change", row.pk)
    context = _position(row)
    context["form"] = PositionForm(project=row.project, initial=typed(row, PositionForm))
    return render(request, "consult/position.html", {**context, "button_form": form})


@require_POST
def button_remove(request: HttpRequest, position_id: uuid.UUID) -> HttpResponse:
    row = row_of(request, KeypadPosition, position_id)
    number = request.POST.get("number", "")
    onward = reverse("consult:position_change", args=[row.pk])
    given = int(number) if number.isdigit() else 0
    return press(request, deed=services.button_remove, onward=onward, row=row, number=given)
