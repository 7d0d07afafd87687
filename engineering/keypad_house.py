"""Which series and finish of keypad a house takes, over all its positions."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from engineering.keypads import (
    KeypadChoice,
    KeypadNeed,
    KeypadOption,
    check_options,
    choose_for,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseKeypads:
    """One series and finish for the house, and the keypad of each position in the order given.

    `unserved` names the positions that no keypad fits; `cost_minor` is of those that one does.
    """

    series: str | None
    finish: str | None
    choices: tuple[KeypadChoice, ...]
    cost_minor: int
    unserved: tuple[str, ...]


def choose_house(
    *,
    needs: Sequence[KeypadNeed],
    options: Sequence[KeypadOption],
    series: str | None = None,
    finish: str | None = None,
) -> HouseKeypads:
    """Return one series and finish for all positions: fewest unserved, then least cost.

    Parameters: needs, one for each position, codes that differ; options; series and finish where the
    house has fixed them. A position that fixes its own series, finish or keypad keeps it.
    Returns: series and finish None where nothing can be bought within what is fixed.
    Raises: ValueError where codes or references come twice.

    >>> pair = [KeypadOption(reference=f"K-{f}", series="S", finish=f, buttons=4, cost_minor=c)
    ...         for f, c in (("brass", 900), ("white", 700))]
    >>> choose_house(needs=[KeypadNeed(code="P1", scenes=2, needs_off=True)], options=pair).finish
    'white'
    """
    check_options(options=options)
    codes = [need.code for need in needs]
    if len(set(codes)) != len(codes):
        raise ValueError(f"codes of positions must differ, got {codes!r}")
    looks = sorted(
        {
            (each.series, each.finish)
            for each in options
            if series in (None, each.series) and finish in (None, each.finish)
        }
    )
    if not looks:
        # A look that nobody sells: keep it as the wish, so that each position says why it is bare.
        return _in_look(needs, options, series, finish)
    houses = (_in_look(needs, options, *look) for look in looks)
    return min(
        houses,
        key=lambda house: (len(house.unserved), house.cost_minor, house.series, house.finish),
    )


def _in_look(
    needs: Sequence[KeypadNeed],
    options: Sequence[KeypadOption],
    series: str | None,
    finish: str | None,
) -> HouseKeypads:
    choices = tuple(
        choose_for(need=_dressed(need, series, finish), options=options) for need in needs
    )
    return HouseKeypads(
        series=series,
        finish=finish,
        choices=choices,
        cost_minor=sum(choice.cost_minor for choice in choices),
        unserved=tuple(choice.code for choice in choices if choice.reference is None),
    )


def _dressed(need: KeypadNeed, series: str | None, finish: str | None) -> KeypadNeed:
    """Return the need in the house's series and finish, where it has none of its own."""
    if need.reference is not None:
        return need
    return replace(need, series=need.series or series, finish=need.finish or finish)
