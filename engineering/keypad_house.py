"""Which series and finish of keypad a house takes, over all its positions."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from engineering.control_plan import Reason, Value
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

    `unserved` names the positions that no keypad fits; `cost_minor` is of those that one does. `why`
    says what was weighed: 'only-look', 'fewest-unserved' or 'cheapest-look' with the next best.
    """

    series: str | None
    finish: str | None
    choices: tuple[KeypadChoice, ...]
    cost_minor: int
    unserved: tuple[str, ...]
    why: Reason


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
    Returns: where nothing is sold in a look that is fixed, that look as wished, and each position
    with its reason; positions, choices and reasons in the order of `needs`.
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
        return _house(_in_look(needs, options, series, finish), Reason(code="look-not-sold"))
    houses = sorted((_in_look(needs, options, *look) for look in looks), key=_order)
    return _house(houses[0], _why(houses))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """One look tried over all positions."""

    series: str | None
    finish: str | None
    choices: tuple[KeypadChoice, ...]

    @property
    def cost_minor(self) -> int:
        return sum(choice.cost_minor for choice in self.choices)

    @property
    def unserved(self) -> tuple[str, ...]:
        return tuple(choice.code for choice in self.choices if choice.reference is None)


def _order(look: _Look) -> tuple[int, int, str, str]:
    return len(look.unserved), look.cost_minor, look.series or "", look.finish or ""


def _why(houses: Sequence[_Look]) -> Reason:
    """Say why the first of the looks was taken, against the second."""
    if len(houses) == 1:
        return Reason(code="only-look")
    best, following = houses[:2]
    values: dict[str, Value] = {
        "looks": len(houses),
        "next_series": following.series or "",
        "next_finish": following.finish or "",
        "next_unserved": len(following.unserved),
        "next_cost_minor": following.cost_minor,
    }
    is_better_served = len(best.unserved) < len(following.unserved)
    return Reason(code="fewest-unserved" if is_better_served else "cheapest-look", values=values)


def _house(look: _Look, why: Reason) -> HouseKeypads:
    return HouseKeypads(
        series=look.series,
        finish=look.finish,
        choices=look.choices,
        cost_minor=look.cost_minor,
        unserved=look.unserved,
        why=why,
    )


def _in_look(
    needs: Sequence[KeypadNeed],
    options: Sequence[KeypadOption],
    series: str | None,
    finish: str | None,
) -> _Look:
    return _Look(
        series=series,
        finish=finish,
        choices=tuple(
            choose_for(need=_dressed(need, series, finish), options=options) for need in needs
        ),
    )


def _dressed(need: KeypadNeed, series: str | None, finish: str | None) -> KeypadNeed:
    """Return the need in the house's series and finish, where it has none of its own."""
    if need.reference is not None:
        return need
    return replace(need, series=need.series or series, finish=need.finish or finish)
