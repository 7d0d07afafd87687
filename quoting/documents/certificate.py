"""An acceptance as it is certified: who ordered what, when, for how much, bound to which bytes.

Everything comes from the frozen offer and the row of the acceptance; the total is worked out again
from them, and a total that differs is refused, so that no certificate says what was not accepted.
"""

import datetime
from dataclasses import dataclass
from decimal import Decimal

from quoting.choice_shown import Chosen, chosen
from quoting.documents.reading import ShownOffer, shown
from quoting.offer import Offer, Option


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """An option taken or left out against the offer as it stood, and what that changes."""

    name: str
    is_taken: bool
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownCertificate:
    """All that a certificate shows. The parts, adjustments and ``moved`` add up to the total."""

    shown: ShownOffer
    chosen: Chosen
    taken: tuple[Option, ...]
    moved: tuple[Moved, ...]
    name: str
    role: str
    at: datetime.datetime
    terms_version: str
    offer_sha256: str
    seal: str
    reference: str
    asks_early_start: bool | None = None

    @property
    def offer(self) -> Offer:
        return self.shown.offer


def shown_certificate(
    *,
    offer: Offer,
    seal: str,
    name: str,
    role: str,
    at: datetime.datetime,
    options: list[str],
    gross_total: Decimal,
    terms_version: str,
    offer_sha256: str,
    reference: str,
    asks_early_start: bool | None = None,
) -> ShownCertificate:
    """Raises ValueError where the choice is not the offer's, or does not come to the total kept."""
    found = chosen(offer, options)
    if found.refusal or found.totals.gross != gross_total:
        raise ValueError(f"the acceptance of {offer.number} {offer.revision} is not of this offer")
    every = [option for group in offer.options for option in group.options]
    return ShownCertificate(
        shown=shown(offer),
        chosen=found,
        taken=tuple(each for each in every if each.key in found.totals.chosen),
        moved=tuple(
            _moved(each, is_taken=each.key in found.totals.chosen)
            for each in every
            if (each.key in found.totals.chosen) != each.is_in_base and each.gross_delta
        ),
        name=name,
        role=role,
        at=at,
        terms_version=terms_version,
        offer_sha256=offer_sha256,
        seal=seal,
        reference=reference,
        asks_early_start=asks_early_start,
    )


def _moved(option: Option, *, is_taken: bool) -> Moved:
    delta = option.gross_delta if is_taken else option.gross_delta.copy_negate()
    return Moved(name=option.name, is_taken=is_taken, gross=delta)
