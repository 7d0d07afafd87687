"""What may be seen at the table. The client is taken to be there unless somebody said otherwise.

Costs are in no page at all until a deliberate press opens them, and close by themselves. Whoever is
alone says so, which holds until nothing was asked for a while, or until the log-out. Sell prices
are shown or hidden for the visit.
"""

import time

from django.http import HttpRequest

IDLE_S = 15 * 60
ALONE = "no_client_until"
HIDDEN = "prices_hidden"


def is_client_there(request: HttpRequest) -> bool:
    """Whether the client may be looking. Each look while alone puts the end off again."""
    until = request.session.get(ALONE, 0)
    now = time.time()
    if until < now:
        return True
    # Written at most once a minute, so that reading a page seldom writes.
    if until - now < IDLE_S - 60:
        request.session[ALONE] = now + IDLE_S
    return False


def say_client_is_there(request: HttpRequest, *, is_there: bool) -> None:
    if is_there:
        request.session.pop(ALONE, None)
    else:
        request.session[ALONE] = time.time() + IDLE_S


def shows_prices(request: HttpRequest) -> bool:
    """Whether sell prices are shown for this visit."""
    return not request.session.get(HIDDEN, False)


def show_prices(request: HttpRequest, *, shown: bool) -> None:
    request.session[HIDDEN] = not shown
