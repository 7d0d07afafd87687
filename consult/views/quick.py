"""The quick line of a room: read while it is typed, made into a circuit when it is sent."""

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from base.deeds import Refusal
from base.requests import deed_key
from consult.quick_line import LineRefused
from consult.services import circuits, quick
from consult.views.sheet import answer_with_circuits, room_of, sheet_of

CHOSEN = ("product", "same", "pieces", "length_m", "feed", "layer", "load_kind")


def said_of(code: str) -> str:
    """Why a line is kept back, as a sentence."""
    return {
        "empty": _("Name what should hang here, such as: 6 downlight 8w dim."),
        "nothing_named": _("Name what should hang here, such as: 6 downlight 8w dim."),
        "long": _("That is more than one line can take. Try one fitting at a time."),
        "too_many": _("A number is too large or too small: 1 to 9999 pieces, up to 500 m."),
        "no_such_circuit": _(
            "No circuit by that code has pieces to share. Name one of this project, such as"
            " same pieces as Q01.2, or one of this room by its number."
        ),
        "all_fed": _(
            "Each part of those pieces is fed already. To hang as many again, copy the circuit."
        ),
        "pieces_are_those": _("The pieces hang there already: leave out how many, and how long."),
        "length_missing": _("This is sold by the metre: say how long, such as 4.2m."),
    }[code]


def _read(given: Any, room: Any) -> dict[str, Any]:
    """The line and its reading, or why it cannot be read."""
    line = given.get("line", "")
    # Choices belong to the words they were shown for.
    chosen = {name: given.get(name, "") for name in CHOSEN} if given.get("read") == line else {}
    try:
        reading = quick.read(line, chosen, room=room)
    except LineRefused as refused:
        is_blank = not line.strip()
        return {"line": line, "refused": "" if is_blank else said_of(refused.code)}
    problem = said_of(reading.problems[0]) if reading.problems else ""
    return {"line": line, "reading": reading, "chosen": chosen, "refused": problem}


@require_safe
def quick_read(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """How a line reads so far. Nothing is written."""
    room = room_of(request, room_id)
    context = {"room": room, **_read(request.GET, room)}
    return render(request, "consult/_quick_reading.html", context)


@require_POST
def quick_add(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """A sure line, or one whose choices were shown, becomes a circuit; any other is shown again."""
    room = room_of(request, room_id)
    context = _read(request.POST, room)
    reading = context.get("reading")
    if not context["line"].strip():
        context["refused"] = said_of("empty")
    elif reading and not reading.problems and (reading.is_sure or context["chosen"]):
        values = quick.values_of(reading, context["chosen"])
        try:
            made = circuits.circuit_add(by=request.user, room=room, key=deed_key(request), **values)
        except Refusal as refusal:
            context["refused"] = str(refusal)
        else:
            return answer_with_circuits(request, room, _("%(circuit)s added.") % {"circuit": made})
    if not request.htmx:
        return _page(request, room, context)
    response = render(request, "consult/_quick.html", {"room": room, **context})
    response["HX-Retarget"] = "#quick"
    return response


def _page(request: HttpRequest, room: Any, context: dict[str, Any]) -> HttpResponse:
    """Without htmx: the whole page with the line as typed and its choices."""
    if not context["line"].strip():
        return redirect(room)
    return render(request, "consult/room.html", sheet_of(request, room, **context))
