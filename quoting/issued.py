"""An issue read back from its stored bytes."""

import json

from quoting.internal import Internal
from quoting.models import Revision
from quoting.offer import Offer


def read_offer(revision: Revision) -> Offer:
    """The offer exactly as it was frozen."""
    return Offer.from_content(json.loads(bytes(revision.offer)))


def read_internal(revision: Revision) -> Internal:
    """What stood behind the offer. Never for a client."""
    return Internal.from_content(json.loads(bytes(revision.internal)))
