"""What every template may use."""

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from base import navigation
from base.models import Business

LOOKS = ("light", "dark")


def business(request: HttpRequest) -> dict[str, object]:
    """The business, the navigation, and the look chosen on this device; read where a template asks."""
    look = request.COOKIES.get("look", "")
    return {
        "business": SimpleLazyObject(Business.objects.current),
        "navigation": SimpleLazyObject(lambda: navigation.entries(request)),
        "look": look if look in LOOKS else "",
    }
