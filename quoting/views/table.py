"""What a room costs us and leaves us: for staff at the table, only on a press, gone by itself."""

import uuid
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from consult import client_view
from consult.models import Room
from consult.views.shared import row_of
from quoting.drafting import draft_of
from quoting.models import Quote


@require_POST
def room_figures(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    """Cost and margin of a room at today's prices. Never stored by the browser."""
    row = row_of(request, Room, room_id)
    lines = draft_of(Quote(project=row.project)).in_room(str(row.pk))
    net = sum((line.net for line in lines), Decimal(0))
    costs = [line.cost for line in lines]
    cost = sum((each for each in costs if each is not None), Decimal(0))
    context = {
        "room": row,
        "net": net,
        "cost": cost,
        "margin": net - cost,
        "unknown": costs.count(None),
        "closes": client_view.is_client_there(request),
    }
    response = render(request, "quoting/_room_figures.html", context)
    response["Cache-Control"] = "no-store"
    return response


@require_safe
def room_figures_closed(request: HttpRequest, room_id: uuid.UUID) -> HttpResponse:
    context = {"room": row_of(request, Room, room_id)}
    return render(request, "quoting/_room_figures_closed.html", context)
