"""What the client may choose, priced: each option's delta against the base, and the worst gap.

Every choice is worked out from the design with its own control plan. Plans are kept under what
they were made from, so a second look costs little.
"""

import datetime
from collections.abc import Iterable
from decimal import Decimal

from consult.comparison import Compared
from consult.derived import planned, read_house
from consult.design import OptionPart
from quoting import switching
from quoting.draft import Draft
from quoting.drafting import draft_of
from quoting.models import Quote
from quoting.offer import Option, OptionGroup, Totals
from quoting.options import ANY, ONE, Choice, Gap, compared_choices, delta, worst_gap
from quoting.pricing import Priced
from quoting.problems import Problem

#: Choices that are all worked out at issue; beyond it the base, single options and pairs are.
MOST_CHOICES = 32


def totals_of(priced: Priced) -> Totals:
    return Totals(
        net=priced.net_total,
        allowance=priced.allowance_total,
        charge=priced.charge_total,
        taxable=priced.taxable_total,
        tax=priced.tax_total,
        gross=priced.gross_total,
    )


class Choices:
    """The drafts of one quote by what is chosen, each worked out once."""

    def __init__(self, base: Draft, *, day: datetime.date) -> None:
        self.base = base
        self.day = day
        options = base.house.design.options
        self.base_choice: Choice = frozenset(each.id for each in options if each.is_in)
        self._totals: dict[Choice, Totals] = {self.base_choice: totals_of(base.priced)}
        self.drafts: dict[Choice, Draft] = {}  # worked out so far, but for the base
        self._problems: dict[Problem, None] = dict.fromkeys(base.problems)

    def totals(self, choice: Choice) -> Totals:
        if choice not in self._totals:
            draft = draft_of(self.base.quote, day=self.day, choice=choice)
            self._totals[choice] = totals_of(draft.priced)
            self.drafts[choice] = draft
            self._problems |= dict.fromkeys(draft.problems)
        return self._totals[choice]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What keeps the choices that were worked out so far from being offered."""
        return tuple(self._problems)

    def gross(self, choice: Choice) -> Decimal:
        return self.totals(choice).gross


def option_groups(choices: Choices) -> tuple[OptionGroup, ...]:
    """The groups of the design, each option with its delta."""
    zero = choices.base.priced.net_total * 0
    shape = _shape(choices.base.house.design.options, zero)
    told = _told(choices)
    return tuple(
        OptionGroup(
            key=group.key,
            name=group.name,
            choice=group.choice,
            options=tuple(
                _priced(choices, shape, each, told.get(each.key, "")) for each in group.options
            ),
        )
        for group in shape
    )


def _told(choices: Choices) -> dict[str, str]:
    """What scene control and ordinary switches are, by option, where the client may choose."""
    switched = [each for each in choices.base.house.design.options if each.is_by_switches]
    if not switched:
        return {}
    every = choices.base.house.design.options
    scenes, switches = switching.told(compared_ways(choices))
    return {
        each.id: switches if each.is_by_switches else scenes
        for each in every
        if each.group == switched[0].group
    }


def gap_of(choices: Choices, groups: tuple[OptionGroup, ...]) -> Gap | None:
    """How far summed deltas can be from the real price; None where there is nothing to choose."""
    if not groups:
        return None
    base = choices.totals(choices.base_choice)
    return worst_gap(totals=base, groups=groups, real_gross=choices.gross, limit=MOST_CHOICES)


def _shape(options: Iterable[OptionPart], zero: Decimal) -> tuple[OptionGroup, ...]:
    groups: dict[str, list[OptionPart]] = {}
    for option in options:
        groups.setdefault(option.group, []).append(option)
    return tuple(
        OptionGroup(
            key=key,
            name=members[0].group_name,
            choice=ONE if members[0].is_one_of else ANY,
            options=tuple(
                Option(
                    key=each.id,
                    name=each.name,
                    is_in_base=each.is_in,
                    net_delta=zero,
                    tax_delta=zero,
                    gross_delta=zero,
                )
                for each in members
            ),
        )
        for key, members in groups.items()
    )


def compared_ways(choices: Choices) -> tuple[Compared, ...]:
    """Both ways of working the lights, with what is in unless the client says otherwise."""
    every = choices.base.house.design.options
    house = read_house(
        choices.base.quote.project,
        [each.id for each in every if each.is_in and not each.is_by_switches],
        day=choices.day,
    )
    return switching.both_ways(house, planned(house), switching.pieces())


def _priced(
    choices: Choices, shape: tuple[OptionGroup, ...], option: Option, description: str
) -> Option:
    with_it, without_it = compared_choices(groups=shape, key=option.key)
    found = delta(with_it=choices.totals(with_it), without_it=choices.totals(without_it))
    return Option(
        key=option.key,
        name=option.name,
        description=description,
        is_in_base=option.is_in_base,
        net_delta=found.net,
        tax_delta=found.tax,
        gross_delta=found.gross,
    )


def choices_of(quote: Quote, *, day: datetime.date) -> Choices:
    return Choices(draft_of(quote, day=day), day=day)
