"""What the client may choose: deltas frozen at issue, choices as their sums.

A *choice* is the set of option keys that are taken. The base choice is what the offer's totals
already hold. Each delta was worked out at issue against the base plan, control hardware, labour and
tax included; a choice costs the base totals plus the deltas of what it adds, less the deltas of what
it leaves out. Where options share hardware the true price of a combination may differ; the sum is
what is offered, the offer says so, and ``worst_gap`` tells the office how far off it can be.
"""

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import prod

from quoting.money import EXACT, added
from quoting.offer import Option, OptionGroup, Totals

ANY = "any"
ONE = "one"

UNKNOWN_OPTION = "unknown_option"
NONE_OF_ONE = "none_of_one"
SEVERAL_OF_ONE = "several_of_one"
TAKEN_TWICE = "taken_twice"
BAD_CHOICE_KIND = "bad_choice_kind"
BASE_DELTA = "base_delta"
BASE_COUNT = "base_count"
DELTA_SUM = "delta_sum"

type Choice = frozenset[str]


class ChoiceRefused(ValueError):
    """A choice that the offer does not allow. ``code`` says why, ``key`` which option or group."""

    def __init__(self, code: str, key: str) -> None:
        super().__init__(f"{code}: {key}")
        self.code = code
        self.key = key


@dataclass(frozen=True, slots=True, kw_only=True)
class Delta:
    """What having an option adds, without and with tax."""

    net: Decimal
    tax: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenTotals:
    """What a choice costs: ``taxable + tax = gross``."""

    chosen: Choice
    taxable: Decimal
    tax: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """The worst difference found between summed deltas and the price worked out afresh.

    ``gap`` = ``summed`` − ``real``: above 0 the client would pay more than the real price.
    ``is_complete`` tells whether every combination was tried; else the base, each option alone and
    every pair were.
    """

    chosen: Choice
    summed: Decimal
    real: Decimal
    gap: Decimal
    tried: int
    is_complete: bool


def base_choice(*, groups: Sequence[OptionGroup]) -> Choice:
    """Return the options that the offer's totals already hold."""
    return frozenset(option.key for option in _options(groups) if option.is_in_base)


def check_groups(*, groups: Sequence[OptionGroup]) -> tuple[tuple[str, str], ...]:
    """Return (code, key) of whatever makes the groups unfit for issue; empty when all is well."""
    faults: list[tuple[str, str]] = []
    seen: set[str] = set()
    for option in _options(groups):
        if option.key in seen:
            faults.append((TAKEN_TWICE, option.key))
        seen.add(option.key)
        if EXACT.add(option.net_delta, option.tax_delta) != option.gross_delta:
            faults.append((DELTA_SUM, option.key))
    for group in groups:
        if group.choice not in (ANY, ONE):
            faults.append((BAD_CHOICE_KIND, group.key))
        if group.choice == ONE:
            faults += _one_faults(group)
    return tuple(faults)


def check_choice(*, groups: Sequence[OptionGroup], chosen: Iterable[str]) -> Choice:
    """Return the choice if the offer allows it.

    Raises ChoiceRefused for an option that does not exist, one named twice, and a one-of-several
    group with none or more than one taken.
    """
    named = list(chosen)
    known = {option.key for option in _options(groups)}
    for key in named:
        if key not in known:
            raise ChoiceRefused(UNKNOWN_OPTION, str(key))
        if named.count(key) > 1:
            raise ChoiceRefused(TAKEN_TWICE, key)
    choice = frozenset(named)
    for group in groups:
        taken = sum(option.key in choice for option in group.options)
        if group.choice == ONE and taken != 1:
            raise ChoiceRefused(SEVERAL_OF_ONE if taken else NONE_OF_ONE, group.key)
    return choice


def chosen_totals(
    *, totals: Totals, groups: Sequence[OptionGroup], chosen: Iterable[str]
) -> ChosenTotals:
    """Return what a choice costs, from frozen numbers alone.

    Raises ChoiceRefused as ``check_choice`` does.
    """
    choice = check_choice(groups=groups, chosen=chosen)
    moved = [
        (option, 1 if option.key in choice else -1)
        for option in _options(groups)
        if (option.key in choice) != option.is_in_base
    ]

    def summed(start: Decimal, deltas: Iterable[tuple[Decimal, int]]) -> Decimal:
        signed = (delta if sign > 0 else delta.copy_negate() for delta, sign in deltas)
        return EXACT.add(start, added(signed))

    return ChosenTotals(
        chosen=choice,
        taxable=summed(totals.taxable, ((each.net_delta, sign) for each, sign in moved)),
        tax=summed(totals.tax, ((each.tax_delta, sign) for each, sign in moved)),
        gross=summed(totals.gross, ((each.gross_delta, sign) for each, sign in moved)),
    )


def delta(*, with_it: Totals, without_it: Totals) -> Delta:
    """Return what having an option adds, from two worked-out totals that differ by it alone."""
    return Delta(
        net=EXACT.subtract(with_it.taxable, without_it.taxable),
        tax=EXACT.subtract(with_it.tax, without_it.tax),
        gross=EXACT.subtract(with_it.gross, without_it.gross),
    )


def compared_choices(*, groups: Sequence[OptionGroup], key: str) -> tuple[Choice, Choice]:
    """Return the two choices, with and without, whose totals give an option's delta.

    Both differ from the base by this option at most; in a one-of-several group 'without' is the
    base itself. Raises ChoiceRefused for an option that does not exist.
    """
    base = base_choice(groups=groups)
    for group in groups:
        if any(option.key == key for option in group.options):
            if group.choice == ONE:
                others = frozenset(option.key for option in group.options)
                return base - others | {key}, base
            return base | {key}, base - {key}
    raise ChoiceRefused(UNKNOWN_OPTION, key)


def combinations(*, groups: Sequence[OptionGroup]) -> Iterator[Choice]:
    """Yield every choice that the offer allows, once; count them first with ``count``."""
    for parts in itertools.product(*(_group_choices(group) for group in groups)):
        yield frozenset().union(*parts)


def count(*, groups: Sequence[OptionGroup]) -> int:
    """Return how many choices the offer allows."""
    return prod(
        len(group.options) if group.choice == ONE else 2 ** len(group.options) for group in groups
    )


def pairs(*, groups: Sequence[OptionGroup]) -> Iterator[Choice]:
    """Yield the base, every choice one option away from it, and every choice two away."""
    base = base_choice(groups=groups)
    moves = [
        (group.key if group.choice == ONE else option.key, group, option)
        for group in groups
        for option in group.options
        if group.choice == ANY or not option.is_in_base
    ]
    yield base
    for _, group, option in moves:
        yield _moved(base, group, option)
    for first, second in itertools.combinations(moves, 2):
        if first[0] != second[0]:
            yield _moved(_moved(base, first[1], first[2]), second[1], second[2])


def worst_gap(
    *,
    totals: Totals,
    groups: Sequence[OptionGroup],
    real_gross: Callable[[Choice], Decimal],
    limit: int = 256,
) -> Gap:
    """Return the worst gap between summed deltas and the price worked out afresh.

    ``real_gross`` prices a choice from the design. All combinations are tried up to ``limit``;
    beyond it the base, single options and pairs. Among equal gaps the first tried is told.
    """
    is_complete = count(groups=groups) <= limit
    worst: tuple[Choice, Decimal, Decimal] | None = None
    tried = 0
    for choice in combinations(groups=groups) if is_complete else pairs(groups=groups):
        tried += 1
        summed = chosen_totals(totals=totals, groups=groups, chosen=choice).gross
        real = real_gross(choice)
        if worst is None or _distance(summed, real) > _distance(worst[1], worst[2]):
            worst = (choice, summed, real)
    if worst is None:
        raise ValueError("a group of one-of-several has no options")
    return Gap(
        chosen=worst[0],
        summed=worst[1],
        real=worst[2],
        gap=EXACT.subtract(worst[1], worst[2]),
        tried=tried,
        is_complete=is_complete,
    )


def _options(groups: Iterable[OptionGroup]) -> Iterator[Option]:
    for group in groups:
        yield from group.options


def _one_faults(group: OptionGroup) -> list[tuple[str, str]]:
    in_base = [option for option in group.options if option.is_in_base]
    faults = [] if len(in_base) == 1 else [(BASE_COUNT, group.key)]
    return faults + [(BASE_DELTA, each.key) for each in in_base if each.net_delta or each.tax_delta]


def _group_choices(group: OptionGroup) -> Iterator[Choice]:
    keys = [option.key for option in group.options]
    if group.choice == ONE:
        yield from (frozenset({key}) for key in keys)
        return
    for size in range(len(keys) + 1):
        yield from map(frozenset, itertools.combinations(keys, size))


def _moved(choice: Choice, group: OptionGroup, option: Option) -> Choice:
    if group.choice == ONE:
        return choice - {each.key for each in group.options} | {option.key}
    return choice ^ {option.key}


def _distance(first: Decimal, second: Decimal) -> Decimal:
    return EXACT.subtract(first, second).copy_abs()
