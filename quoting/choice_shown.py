"""What a client ticked, as their page shows it: from the frozen offer alone."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from quoting.money import EXACT
from quoting.offer import Offer, Stage
from quoting.options import (
    ChoiceRefused,
    ChosenTotals,
    base_choice,
    chosen_totals,
)
from quoting.pricing import stages
from quoting.words import choice_sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """The choice with its totals and stages; ``refusal`` says why the one wanted is not shown."""

    totals: ChosenTotals
    stages: tuple[tuple[Stage, Decimal], ...]
    is_base: bool
    change: Decimal | None = None  # of a variation: against what was ordered before
    refusal: str = ""

    @property
    def keys(self) -> list[str]:
        return sorted(self.totals.chosen)


def chosen(offer: Offer, wanted: Iterable[str] | None) -> Chosen:
    """The choice that a page shows: what is wanted if the offer allows it, else the base."""
    base = base_choice(groups=offer.options)
    refusal = ""
    try:
        totals = chosen_totals(
            totals=offer.totals, groups=offer.options, chosen=base if wanted is None else wanted
        )
    except ChoiceRefused as refused:
        refusal = choice_sentence(refused, offer.options)
        totals = chosen_totals(totals=offer.totals, groups=offer.options, chosen=base)
    amounts: tuple[Decimal, ...] = ()
    if offer.stages and totals.gross >= 0:
        amounts = stages(
            total=totals.gross,
            shares=[stage.share for stage in offer.stages],
            currency=offer.currency,
        )
    return Chosen(
        totals=totals,
        stages=tuple(zip(offer.stages, amounts, strict=False)),
        is_base=totals.chosen == base,
        change=change_of(offer, totals.gross),
        refusal=refusal,
    )


def change_of(offer: Offer, gross: Decimal) -> Decimal | None:
    """What a variation changes the order by at this total; None where the offer is none."""
    return None if offer.variation is None else EXACT.subtract(gross, offer.variation.ordered_gross)
