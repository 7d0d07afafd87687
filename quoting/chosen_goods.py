"""What is bought otherwise where the client chooses otherwise, frozen at issue for each choice.

Every choice has a control plan of its own, so what an option needs is not its own lines alone.
"""

from collections import Counter
from collections.abc import Iterator

from quoting.choosing import Choices
from quoting.draft import Draft
from quoting.internal import ChosenGoods, GoodsChange
from quoting.money import EXACT
from quoting.offering import UNIT_WORDS
from quoting.ordering import Goods, added_up
from quoting.packing import engraved_positions


def goods_of_choices(choices: Choices) -> tuple[ChosenGoods, ...]:
    """Every choice that was worked out so far, against the offer as it stands."""
    found = (_against(choices.base, draft, choice) for choice, draft in choices.drafts.items())
    return tuple(sorted(found, key=lambda each: each.options))


def _against(base: Draft, draft: Draft, choice: frozenset[str]) -> ChosenGoods:
    plates = {each.code: each for each in engraved_positions(base.house, base.planned)}
    then = {each.code: each for each in engraved_positions(draft.house, draft.planned)}
    sums, sums_then = _open_sums(base), _open_sums(draft)
    return ChosenGoods(
        options=tuple(sorted(choice)),
        goods=tuple(_changes(base, draft)),
        engraved=tuple(each for code, each in then.items() if plates.get(code) != each),
        not_engraved=tuple(code for code in plates if code not in then),
        open_sums=tuple((sums_then - sums).elements()),
        settled_sums=tuple((sums - sums_then).elements()),
    )


def _changes(base: Draft, draft: Draft) -> Iterator[GoodsChange]:
    before, after = added_up(_goods(base)), added_up(_goods(draft))
    for key in sorted({*before, *after}):
        old, new = before.get(key), after.get(key)
        told = new or old
        if told is None or (old and new and old.quantity == new.quantity):
            continue
        supplier, product, unit = key
        change = new.quantity if new else told.quantity.copy_negate()
        if new and old:
            change = EXACT.subtract(new.quantity, old.quantity)
        yield GoodsChange(
            product=product,
            supplier=supplier,
            name=told.name,
            unit=unit,
            quantity=change,
            is_made_to_order=told.is_made_to_order,
            is_personalised=told.is_personalised,
        )


def _goods(draft: Draft) -> Iterator[tuple[str, Goods]]:
    """What is bought of whom, line by line."""
    for line in draft.lines:
        if line.bill and line.bill.reference:
            yield (
                line.bill.supplier,
                Goods(
                    product=line.bill.reference,
                    name=line.client_name or line.description,
                    unit=UNIT_WORDS.get(line.unit, "piece"),
                    quantity=line.quantity,
                    is_made_to_order=line.bill.is_made_to_order,
                    is_personalised=line.bill.is_personalised,
                ),
            )


def _open_sums(draft: Draft) -> Counter[str]:
    return Counter(x.description for x in draft.lines if x.bill and x.bill.is_provisional)
