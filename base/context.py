"""What every template may use."""

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from base.models import Business


def business(request: HttpRequest) -> dict[str, object]:
    """The business's own name and marks; read only where a template asks."""
    return {"business": SimpleLazyObject(Business.objects.current)}
