"""What a session shows: sell prices can be hidden for a whole visit. Cost is another matter:
it is for people who keep prices, and stands only on the catalogue's own pages."""

from django.http import HttpRequest

SESSION_KEY = "shows_prices"


def shows_prices(request: HttpRequest) -> bool:
    """Whether sell prices may be in the page. Shown unless the session hides them."""
    return bool(request.session.get(SESSION_KEY, True))
