"""The room sheet: circuits and fittings edited in place, what they need beside them."""

import json
import re
import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal, Stale
from base.requests import deed_key, seen_version
from catalogue.chosen import chosen
from catalogue.kinds import Kind
from catalogue.search import find
from consult import client_view, sheet
from consult.derived import planned, planned_now, read_house
from consult.forms.sheet import CircuitAddForm, CircuitForm, FittingForm
from consult.found import findings_of
from consult.models import Circuit, CircuitFitting, Room
from consult.pieces import House
from consult.room_light import room_light
from consult.services import circuits as services
from consult.views.shared import differing, row_of, typed

STEP = re.compile(r"-?[0-9]{1,4}")
HANGS = (Kind.FITTING, Kind.TAPE, Kind.OUTLET, Kind.BLIND)


def room_of(request: HttpRequest, room_id: uuid.UUID) -> Room:
    return row_of(request, Room, room_id, "project__client", "floor", "group")


def _changed(response: HttpResponse, said: str) -> HttpResponse:
    """The design changed: regions beside follow, and what was done is said."""
    response["HX-Trigger"] = json.dumps({"design-changed": True, "say": said})
    return response


def _circuits(room: Room, house: House, **more: Any) -> dict[str, Any]:
    """What the circuits of a room show: loads, no plan."""
    return {
        "room": room,
        "project": room.project,
        "layers": sheet.layers(house, str(room.pk)),
        **more,
    }


def _beside(request: HttpRequest, room: Room, house: House, *, exact: bool) -> dict[str, Any]:
    """What stands beside the circuits. Not exact: the plan at hand, marked while a better one follows."""
    plan, is_pending = (planned(house), False) if exact else planned_now(house)
    key = str(room.pk)
    return {
        "room": room,
        "project": room.project,
        "needs": sheet.needs(house, plan, key),
        "is_pending": is_pending,
        "light": room_light(house, sheet.room_part(house, room)),
        "findings": findings_of(room.project, house, plan, room=key),
        "is_client_there": client_view.is_client_there(request),
    }


def sheet_of(request: HttpRequest, room: Room, **more: Any) -> dict[str, Any]:
    """All that the page of a room shows."""
    house = read_house(room.project)
    return {
        **_circuits(room, house),
        **_beside(request, room, house, exact=False),
        "rooms": house.design.rooms,
        "shows_prices": client_view.shows_prices(request),
        **more,
    }


@require_safe
def room(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    return render(request, "consult/room.html", sheet_of(request, room_of(request, room_id)))


@require_safe
def circuits_region(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    row = room_of(request, room_id)
    context = _circuits(row, read_house(row.project))
    return render(request, "consult/room.html#circuits", context)


@require_safe
def beside_region(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """Needs, light and findings; with ?exact=1 by the exact plan, however long that takes."""
    row = room_of(request, room_id)
    house = read_house(row.project)
    context = _beside(request, row, house, exact="exact" in request.GET)
    return render(request, "consult/room.html#beside", context)


@require_safe
def circuit_new(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """The form for a circuit, for what one line does not say."""
    context = {"room": room_of(request, room_id), "add_form": CircuitAddForm()}
    return render(request, "consult/_circuit_add.html", context)


@require_safe
def products_region(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """Products that match what is typed, each a press away."""
    row = room_of(request, room_id)
    words = request.GET.get("words", "").strip()[:200]
    found = find(words, kinds=HANGS, limit=8) if words else []
    context = {"room": row, "found": found, "words": words}
    return render(request, "consult/_products.html", context)


@require_POST
def circuit_add(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    row = room_of(request, room_id)
    product = chosen(key_of(request.POST.get("product")))
    form = CircuitAddForm(request.POST, chosen=product)
    if form.is_valid():
        try:
            made = services.circuit_add(
                by=request.user,
                room=row,
                key=deed_key(request),
                fitting=form.fitting(),
                **form.circuit(),
            )
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            said = _("%(circuit)s added.") % {"circuit": made}
            return answer_with_circuits(request, row, said)
    more = {"add_form": form, "chosen": product.product}
    if not request.htmx:
        return render(request, "consult/room.html", sheet_of(request, row, **more))
    response = render(request, "consult/_circuit_add.html", {"room": row, **more})
    response["HX-Retarget"] = "#circuit-add"
    return response


@require_safe
def circuit_more(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    """What is done less often to a circuit: move, copy, remove."""
    row = _circuit(request, circuit_id)
    rooms = Room.objects.filter(project=row.project_id).select_related("floor")
    return render(request, "consult/_circuit_more.html", {"circuit": row, "rooms": rooms})


def key_of(text: str | None) -> uuid.UUID | None:
    try:
        return uuid.UUID(text or "")
    except ValueError:
        return None


def answer_with_circuits(request: HttpRequest, room: Room, said: str) -> HttpResponse:
    """The circuits as they now are, for htmx; else the room's page."""
    if not request.htmx:
        return redirect(room)
    context = _circuits(room, read_house(room.project))
    return _changed(render(request, "consult/room.html#circuits", context), said)


def stopped_with_circuits(request: HttpRequest, room: Room, why: str) -> HttpResponse:
    """The circuits as they are, with why nothing was done."""
    context = _circuits(room, read_house(room.project), stopped=why)
    return render(request, "consult/room.html#circuits", context)


def step_of(request: HttpRequest) -> int:
    """How far a row moves: up or down one, or as many places as it was dragged."""
    given = request.POST.get("step", "down")
    if given in {"up", "down"}:
        return -1 if given == "up" else 1
    return max(-500, min(500, int(given))) if STEP.fullmatch(given) else 0


# --- one circuit --------------------------------------------------------------------------------
def _circuit(request: HttpRequest, circuit_id: uuid.UUID) -> Circuit:
    found: Circuit = row_of(
        request, Circuit, circuit_id, "room__floor", "room__group", "project__client"
    )
    found.room.project = found.project
    return found


def _card(request: HttpRequest, circuit: Circuit, **more: Any) -> HttpResponse:
    house = read_house(circuit.project)
    part = house.design.circuit_of[str(circuit.pk)]
    context = {"row": sheet.circuit_row(house, part), **more}
    return render(request, "consult/_circuit.html", context)


@require_safe
def circuit(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    return _card(request, _circuit(request, circuit_id))


@require_safe
def circuit_form(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    row = _circuit(request, circuit_id)
    form = CircuitForm(project=row.project, initial=typed(row, CircuitForm))
    context = {"circuit": row, "form": form, "version": row.version}
    return render(request, "consult/_circuit_form.html", context)


@require_POST
def circuit_change(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    row = _circuit(request, circuit_id)
    return _change(
        request,
        form=CircuitForm(request.POST, project=row.project),
        deed=services.circuit_change,
        given={"circuit": row},
        room=row.room,
        template="consult/_circuit_form.html",
        context={"circuit": row, "version": row.version},
    )


def _change(
    request: HttpRequest,
    *,
    form: forms.Form,
    deed: Callable[..., Any],
    given: dict[str, Any],
    room: Room,
    template: str,
    context: dict[str, Any],
) -> HttpResponse:
    """A form in place: refused with what was typed, or done and the circuits shown."""
    theirs: list[tuple[str, Any]] = []
    if form.is_valid():
        try:
            deed(
                by=request.user,
                key=deed_key(request),
                seen=seen_version(request),
                **given,
                **form.cleaned_data,
            )
        except Stale as stale:
            theirs = differing(form, stale.row)
            context = {**context, "version": stale.row.version}
            form.add_error(None, str(stale))
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            return answer_with_circuits(request, room, _("Saved."))
    response = render(request, template, {**context, "form": form, "theirs": theirs})
    response["HX-Retarget"] = f"#circuit-{context['circuit'].pk}"
    response["HX-Reswap"] = "outerHTML"
    return response


@require_POST
def circuit_remove(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    row = _circuit(request, circuit_id)
    said = _("%(circuit)s removed. It can be taken back.") % {"circuit": row}
    return _press(request, row.room, services.circuit_remove, said, circuit=row)


@require_POST
def circuit_move(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    row = _circuit(request, circuit_id)
    step = step_of(request)
    return _press(request, row.room, services.circuit_move, _("Moved."), circuit=row, step=step)


def _press(
    request: HttpRequest, room: Room, deed: Callable[..., Any], said: str, **given: Any
) -> HttpResponse:
    try:
        deed(by=request.user, key=deed_key(request), **given)
    except Refusal as refusal:
        return stopped_with_circuits(request, room, str(refusal))
    return answer_with_circuits(request, room, said)


# --- fittings on a circuit ----------------------------------------------------------------------
SHOWN_WITH = (
    "circuit__room__floor",
    "circuit__room__group",
    "project__client",
    "product__fitting",
    "feed",
    "over",
)


def _fitting(request: HttpRequest, fitting_id: uuid.UUID, *related: str) -> CircuitFitting:
    """A row of fittings; a deed needs no more with it than its circuit's room."""
    found: CircuitFitting = row_of(
        request, CircuitFitting, fitting_id, *(related or ("circuit__room",))
    )
    found.circuit.room.project = found.circuit.project = found.project
    return found


@require_safe
def fitting_new(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    row = _circuit(request, circuit_id)
    product = chosen(key_of(request.GET.get("product")))
    form = FittingForm(circuit=row, chosen=product, initial={"product": product.product})
    context = {"circuit": row, "form": form, "chosen": product.product}
    return render(request, "consult/_fitting_form.html", context)


@require_POST
def fitting_add(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    row = _circuit(request, circuit_id)
    product = chosen(key_of(request.POST.get("product")))
    return _change(
        request,
        form=FittingForm(request.POST, circuit=row, chosen=product),
        deed=services.fitting_add,
        given={"circuit": row},
        room=row.room,
        template="consult/_fitting_form.html",
        context={"circuit": row, "chosen": product.product},
    )


@require_safe
def fitting_form(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    row = _fitting(request, fitting_id, *SHOWN_WITH)
    product = chosen(row.product_id)
    form = FittingForm(circuit=row.circuit, chosen=product, initial=typed(row, FittingForm))
    context = {
        "circuit": row.circuit,
        "fitting": row,
        "form": form,
        "chosen": row.product,
        "version": row.version,
        "circuits": Circuit.objects.filter(project=row.project_id),
    }
    return render(request, "consult/_fitting_form.html", context)


@require_POST
def fitting_change(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    row = _fitting(request, fitting_id)
    product = chosen(key_of(request.POST.get("product")))
    return _change(
        request,
        form=FittingForm(request.POST, circuit=row.circuit, chosen=product),
        deed=services.fitting_change,
        given={"fitting": row},
        room=row.circuit.room,
        template="consult/_fitting_form.html",
        context={
            "circuit": row.circuit,
            "fitting": row,
            "chosen": product.product,
            "version": row.version,
            "circuits": Circuit.objects.filter(project=row.project_id),
        },
    )


@require_POST
def fitting_remove(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    row = _fitting(request, fitting_id)
    return _press(
        request,
        row.circuit.room,
        services.fitting_remove,
        _("Removed. It can be taken back."),
        fitting=row,
    )


@require_POST
def fitting_move(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    row = _fitting(request, fitting_id)
    step = step_of(request)
    return _press(
        request, row.circuit.room, services.fitting_move, _("Moved."), fitting=row, step=step
    )
