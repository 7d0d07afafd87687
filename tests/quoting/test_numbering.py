"""Numbers under many hands: sixteen issuers at once, a third of them rolled back: no gap, none twice."""

import random
import threading

import pytest
from django.db import connection, transaction
from django.utils import timezone

from quoting.models import NumberSeries
from quoting.services.quotes import _next_number

ISSUERS = 16
EACH = 6


class RolledBack(Exception):
    pass


def issue_many(seed: int, given: list[str], errors: list[BaseException]) -> None:
    """Give numbers in transactions of one's own; about three in ten fail after the number."""
    chance = random.Random(seed)
    try:
        for _issue in range(EACH):
            number = ""
            try:
                with transaction.atomic():
                    number = _next_number(timezone.localdate())
                    if chance.random() < 0.3:
                        raise RolledBack
            except RolledBack:
                continue
            given.append(number)
    except Exception as error:
        errors.append(error)
    finally:
        connection.close()


@pytest.mark.django_db(transaction=True)
def test_sixteen_issuers_with_rollbacks_leave_no_gap_and_give_no_number_twice() -> None:
    given: list[str] = []
    errors: list[BaseException] = []
    threads = [
        threading.Thread(target=issue_many, args=(seed, given, errors)) for seed in range(ISSUERS)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    year = timezone.localdate().year
    assert 0 < len(given) < ISSUERS * EACH
    assert sorted(given) == [f"{year}-{number:04d}" for number in range(1, len(given) + 1)]
    assert NumberSeries.objects.get().last == len(given)
