"""The offer as JSON: the canonical bytes themselves, so that their digest can be checked."""

from collections.abc import Mapping
from typing import Any

from quoting.frozen import canonical
from quoting.offer import Offer


def write(*, offer: Mapping[str, Any]) -> bytes:
    """Return the offer's canonical bytes (see ``quoting.frozen``).

    Raises ValueError where the content is no offer.
    """
    Offer.from_content(offer)
    return canonical(content=offer)
