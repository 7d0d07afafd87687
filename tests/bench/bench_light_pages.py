"""What the pages of a room's light cost at the server: bytes, the exact answer, page and picture."""

import statistics
import time
from collections.abc import Callable, Iterable
from typing import Any

LIMIT_BYTES = 30_000.0
EXACT_MS = 1000.0


def main() -> Iterable[tuple[str, float, str, float | None]]:
    from django.core.cache import cache, caches
    from django.test import Client
    from django.urls import reverse

    from base.models import Person
    from consult.light import solving
    from consult.models import Room

    client = Client()
    client.force_login(
        Person.objects.get(role="designer"),
        backend="django.contrib.auth.backends.ModelBackend",
    )
    rooms = {
        room.name: [room.pk] for room in Room.objects.filter(project__name="Old Sail Loft").all()
    }

    def get(name: str, room: str) -> Any:
        answer = client.get(reverse(f"consult:{name}", args=rooms[room]))
        assert answer.status_code == 200, (name, room, answer.status_code)
        return answer

    main_rooms = ("Boat hall", "Galley", "Chart corner", "Captain's room")
    sizes = [len(get("light_basis", room).content) for room in main_rooms]
    yield "bytes of a main room for the browser, the most", float(max(sizes)), "bytes", LIMIT_BYTES

    def forget() -> None:
        cache.clear()
        caches["drawn"].clear()
        solving._bases.clear()

    cold = _median(lambda: get("light_exact", "Boat hall"), before=forget)
    yield "exact light of the largest room, all forgotten, median", cold, "ms", EXACT_MS
    yield "the same, kept", _median(lambda: get("light_exact", "Boat hall")), "ms", None
    yield "the page of a room's light", _median(lambda: get("room_light", "Boat hall")), "ms", None
    drawn = _median(lambda: get("light_picture", "Galley"), before=caches["drawn"].clear, times=3)
    yield "the server's own picture, not kept", drawn, "ms", None


def _median(
    call: Callable[[], Any], *, before: Callable[[], Any] | None = None, times: int = 5
) -> float:
    taken = []
    for _turn in range(times):
        if before is not None:
            before()
        started = time.perf_counter()
        call()
        taken.append((time.perf_counter() - started) * 1000)
    return statistics.median(taken)
