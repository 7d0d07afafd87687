"""Copying rooms and circuits, patterns, and one product in place of another."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from catalogue.models import Product
from catalogue.search import find
from consult import client_view
from consult.models import Circuit, CircuitFitting, Floor, Room
from consult.services import circuits, copying, patterns, swapping
from consult.services.quick import HANGS
from consult.views.shared import press, row_of
from consult.views.sheet import answer_with_circuits, key_of, room_of, stopped_with_circuits


@require_safe
def room_copying(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """Copy a room, keep it as a pattern, or put a pattern into it."""
    room = room_of(request, room_id)
    context = {
        "room": room,
        "project": room.project,
        "floors": Floor.objects.filter(project=room.project_id),
        "patterns": patterns.patterns().exclude(pk=room.pk),
    }
    return render(request, "consult/copying.html", context)


@require_POST
def room_copy(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = room_of(request, room_id)
    floors = Floor.objects.filter(project=room.project_id)
    floor = floors.filter(pk=key_of(request.POST.get("floor"))).first() or room.floor
    try:
        made = copying.room_copy(by=request.user, key=deed_key(request), floor=floor, room=room)
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect(room)
    messages.success(request, _("%(room)s is copied.") % {"room": room})
    return redirect(made)


@require_POST
def pattern_save(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    room = room_of(request, room_id)
    name = request.POST.get("name", "").strip()[:80]
    said = _("%(room)s is kept as a pattern.") % {"room": name or room}
    onward = room.get_absolute_url()
    return press(
        request, deed=patterns.save_as_pattern, onward=onward, said=said, room=room, name=name
    )


def _pattern(request: HttpRequest, pattern_id: uuid.UUID) -> Room:
    rooms = Room.objects.for_user(request.user).select_related("project", "floor", "group")
    return get_object_or_404(rooms, pk=pattern_id, project__is_library=True)


@require_safe
def pattern_preview(
    request: HttpRequest, room_id: uuid.UUID, pattern_id: uuid.UUID
) -> HttpResponse:
    """What a pattern would make of this room."""
    room, pattern = room_of(request, room_id), _pattern(request, pattern_id)
    context = {
        "room": room,
        "project": room.project,
        "pattern": pattern,
        "preview": patterns.preview(pattern, room),
    }
    return render(request, "consult/pattern.html", context)


@require_POST
def pattern_apply(request: HttpRequest, room_id: uuid.UUID, pattern_id: uuid.UUID) -> HttpResponse:
    room, pattern = room_of(request, room_id), _pattern(request, pattern_id)
    said = _("%(pattern)s is put into %(room)s.") % {"pattern": pattern, "room": room}
    onward = room.get_absolute_url()
    return press(
        request, deed=patterns.pattern_apply, onward=onward, said=said, room=room, pattern=pattern
    )


@require_POST
def circuit_copy(request: HttpRequest, circuit_id: uuid.UUID) -> HttpResponse:
    """Copy a circuit to a room of the house; the room that is shown stays in sight."""
    row = row_of(request, Circuit, circuit_id, "room__floor", "room__group", "project__client")
    target = get_object_or_404(
        Room.objects.select_related("floor", "group"),
        pk=key_of(request.POST.get("room")) or row.room_id,
        project=row.project_id,
    )
    try:
        made = copying.circuit_copy(
            by=request.user, key=deed_key(request), room=target, circuit=row
        )
    except Refusal as refusal:
        return stopped_with_circuits(request, row.room, str(refusal))
    said = _("%(circuit)s is in %(room)s.") % {"circuit": made, "room": target}
    return answer_with_circuits(request, row.room, said)


@require_POST
def fitting_to_circuit(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    """Hang a fitting on another circuit of the house."""
    row = row_of(
        request, CircuitFitting, fitting_id, "circuit__room__floor", "circuit__room__group",
        "project__client",
    )  # fmt: skip
    target = get_object_or_404(
        Circuit, pk=key_of(request.POST.get("circuit")), project=row.project_id
    )
    try:
        circuits.fitting_to_circuit(
            by=request.user, key=deed_key(request), fitting=row, circuit=target
        )
    except Refusal as refusal:
        return stopped_with_circuits(request, row.circuit.room, str(refusal))
    said = _("It hangs on %(circuit)s now.") % {"circuit": target}
    return answer_with_circuits(request, row.circuit.room, said)


# --- one product in place of another --------------------------------------------------------------
def _swap(request: HttpRequest, fitting_id: uuid.UUID, given: Any) -> dict[str, Any]:
    fitting = row_of(request, CircuitFitting, fitting_id, "room__floor", "product")
    scope = given.get("scope", "house")
    scope = scope if scope in swapping.SCOPES else "house"
    new = Product.objects.filter(pk=key_of(given.get("product"))).first()
    context = {
        "fitting": fitting,
        "room": fitting.room,
        "project": fitting.project,
        "scope": scope,
        "scopes": [
            ("room", fitting.room.name),
            ("floor", fitting.room.floor.name),
            ("house", _("the whole house")),
        ],
        "new": new,
        "shows_prices": client_view.shows_prices(request),
    }
    if new is not None and fitting.product is not None:
        context["preview"] = swapping.preview(
            project=fitting.project,
            old=fitting.product,
            new=new,
            scope=scope,
            room=fitting.room,
        )
    return context


@require_safe
def swap(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    """Choose what hangs instead, and see what that changes."""
    context = _swap(request, fitting_id, request.GET)
    part = "#choice" if request.htmx else ""
    response = render(request, f"consult/swap.html{part}", context)
    response["Vary"] = "HX-Request"
    return response


@require_safe
def swap_products(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    """Products that match what is typed, to hang instead."""
    row = row_of(request, CircuitFitting, fitting_id)
    words = request.GET.get("words", "").strip()[:200]
    found = find(words, kinds=HANGS, limit=8) if words else []
    context = {"fitting": row, "found": found, "words": words}
    return render(request, "consult/_swap_products.html", context)


@require_POST
def swap_do(request: HttpRequest, fitting_id: uuid.UUID) -> HttpResponse:
    context = _swap(request, fitting_id, request.POST)
    fitting, new = context["fitting"], context["new"]
    if new is None or fitting.product is None:
        messages.error(request, _("Choose a product first."))
        return redirect("consult:swap", fitting.pk)
    try:
        count = swapping.product_swap(
            by=request.user, key=deed_key(request), project=fitting.project, old=fitting.product,
            new=new, scope=context["scope"], room=fitting.room,
        )  # fmt: skip
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect("consult:swap", fitting.pk)
    said = ngettext("%(n)s row is swapped.", "%(n)s rows are swapped.", count) % {"n": count}
    messages.success(request, said)
    return redirect(fitting.room)
