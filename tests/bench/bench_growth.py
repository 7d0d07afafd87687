"""How reading, planning and pricing grow with the house."""

import time
from collections.abc import Iterable
from typing import Any

SIZES = (5, 20, 60)


def main() -> Iterable[tuple[str, float, str, float | None]]:
    from base.models import Person
    from consult.derived import planned, read_house
    from quoting.bill import make_bill
    from tests.factories import a_project

    by = Person.objects.get(role="designer")
    first: dict[str, float] = {}
    for rooms in SIZES:
        project = a_project(by=by, rooms=rooms, circuits_each=4)
        read_ms, house = _timed(lambda project=project: read_house(project))
        quick_ms, plan = _timed(lambda house=house: planned(house, exact=False))
        exact_ms, _exact = _timed(lambda house=house: planned(house, exact=True))
        bill_ms, _bill = _timed(lambda house=house, plan=plan: make_bill(house=house, planned=plan))
        for what, taken in (
            ("read", read_ms),
            ("quick plan", quick_ms),
            ("exact plan", exact_ms),
            ("bill", bill_ms),
        ):
            yield f"{what}, {rooms} rooms of 4 circuits", taken, "ms", None
            first.setdefault(what, taken)
            if rooms == SIZES[-1]:
                grown = taken / first[what] / (rooms / SIZES[0])
                yield f"{what}, growth per room from {SIZES[0]} to {rooms}", grown, "times", 3.0


def _timed(call: Any) -> tuple[float, Any]:
    started = time.perf_counter()
    answer = call()
    return (time.perf_counter() - started) * 1000, answer
