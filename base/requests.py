"""What a form or htmx sends beside its fields: the key of the deed, and the version that was seen."""

import uuid

from django.http import HttpRequest


def deed_key(request: HttpRequest) -> uuid.UUID | None:
    """The key that makes a repeated request do nothing; None where there is none that can be read."""
    given = request.POST.get("key") or request.headers.get("X-Deed-Key", "")
    try:
        return uuid.UUID(given)
    except ValueError:
        return None


def seen_version(request: HttpRequest) -> int | None:
    """The version of the row that the person had before them; None where it was not sent."""
    given = request.POST.get("seen", "")
    return int(given) if given.isascii() and given.isdigit() else None
