"""Random quotes: all that says what one costs says the same, to the last coin.

Few in a plain run; with `--long` 100,000 by numbers and files, 200 of them as PDF, workbook and page
too. Every quote is made from its number, so a disagreement can be looked at again.
"""

import random
import time
from collections.abc import Callable, Iterable, Iterator

Row = tuple[str, float, str, float | None]

NUMBERS, PRINTED = 500, 5
NUMBERS_LONG, PRINTED_LONG = 100_000, 200


def main(is_long: bool = False) -> Iterable[Row]:
    from quoting.models import Quote
    from tests.quoting import agreement

    numbers, printed = (NUMBERS_LONG, PRINTED_LONG) if is_long else (NUMBERS, PRINTED)
    quote = Quote.objects.order_by("created_at").first()
    assert quote is not None, "the demo has a quote"
    yield from _tried("sums", numbers, agreement.sum_faults)
    yield from _tried("JSON, CSV, UBL", numbers, agreement.file_faults)
    yield from _tried("XLSX, worked out again", printed, agreement.workbook_faults)
    yield from _tried("PDF, words read back", printed, agreement.pdf_faults)
    yield from _tried("client's page", printed, lambda offer: agreement.page_faults(offer, quote))


def _tried(what: str, count: int, faults: Callable[..., list[str]]) -> Iterator[Row]:
    started, wrong = time.perf_counter(), 0
    for number in range(count):
        found = faults(_offer(number))
        if found:
            wrong += 1
            print(f"    quote {number}: {'; '.join(found)[:200]}")
    spent_ms = 1000 * (time.perf_counter() - started) / count
    yield f"{what}: quotes of {count:,} that disagree", wrong, "", 0
    yield f"{what}: each", spent_ms, "ms", None


def _offer(number: int):  # type: ignore[no-untyped-def]
    from tests.quoting.random_offers import seeded

    dice = random.Random(number)
    return seeded(rooms=dice.randint(1, 4), lines=dice.randint(0, 5), seed=number)
