"""An edit on the room sheet of the demo, at the server, beside a bare Django view in the same run."""

import statistics
import time
from collections.abc import Callable, Iterable
from typing import Any

EDITS = 30
LIMIT_MS = 100.0


def main() -> Iterable[tuple[str, float, str, float | None]]:
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext
    from django.urls import reverse

    from base.models import Person
    from consult.models import CircuitFitting, Room

    client = Client()
    client.force_login(
        Person.objects.get(role="designer"),
        backend="django.contrib.auth.backends.ModelBackend",
    )
    room = Room.objects.get(name="Boat hall")
    fitting = CircuitFitting.objects.filter(
        circuit__room=room, product__unit="piece", other_feeds=None, same_pieces_as=None
    ).first()
    assert fitting is not None
    address = reverse("consult:fitting_change", args=[fitting.pk])
    given = {
        "product": fitting.product_id, "room": room.pk, "arrangement": fitting.arrangement,
        "supplied_by": "showroom", "installed_by": "showroom", "connected_by": "showroom",
    }  # fmt: skip

    def edit(number: int) -> Any:
        # A number never seen before each time, so that nothing is answered from what is kept.
        data = {**given, "pieces": 3 + number}
        answer = client.post(address, data, headers={"HX-Request": "true"})
        assert "design-changed" in answer.headers.get("HX-Trigger", ""), answer.content[:400]
        return answer

    def bare(_number: int) -> Any:
        answer = client.get(reverse("health_live"))
        assert answer.status_code == 200
        return answer

    edit(0)
    edits, plain = _times(edit), _times(bare)
    with CaptureQueriesContext(connection) as asked:
        edit(EDITS + 5)
    yield "an edit of a quantity, median", statistics.median(edits), "ms", LIMIT_MS
    yield "an edit of a quantity, p95", _p95(edits), "ms", None
    yield "a bare view, same middleware, median", statistics.median(plain), "ms", None
    yield "edit over bare view", statistics.median(edits) / statistics.median(plain), "times", None
    yield "queries of an edit", float(len(asked)), "queries", None
    pages = _times(lambda _number: client.get(room.get_absolute_url()), 8)
    yield "the sheet's page, median", statistics.median(pages), "ms", None


def _times(call: Callable[[int], Any], count: int = EDITS) -> list[float]:
    taken = []
    for number in range(1, count + 1):
        started = time.perf_counter()
        call(number)
        taken.append((time.perf_counter() - started) * 1000)
    return taken


def _p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[-1]
