"""The edition of the catalogue: a number that every deed on it raises.

What was read of the catalogue may be kept as long as the edition stands. Rows that change behind
the deeds (never done) would not be seen.
"""

import functools
from collections.abc import Callable
from typing import Any

from django.db.models import F

from base import deeds
from catalogue.models import CatalogueEdition


def current() -> int:
    """The edition as it stands: one small query."""
    found = CatalogueEdition.objects.values_list("number", flat=True).first()
    return found or 0


def deed[R](*, locks: str | None = None) -> Callable[[Callable[..., R]], Callable[..., R]]:
    """A deed on the catalogue: as `base.deeds.deed`, and the edition rises in its transaction."""

    def decorate(function: Callable[..., R]) -> Callable[..., R]:
        @functools.wraps(function)
        def raising(**given: Any) -> R:
            answer = function(**given)
            if not CatalogueEdition.objects.update(number=F("number") + 1):
                CatalogueEdition.objects.create(number=1)
            return answer

        return deeds.deed(locks=locks)(raising)

    return decorate
