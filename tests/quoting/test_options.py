"""What the client may choose, and what it costs."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.template.loader import render_to_string
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.offer import Option, OptionGroup, Totals
from quoting.options import (
    ChoiceRefused,
    base_choice,
    check_choice,
    check_groups,
    chosen_totals,
    combinations,
    compared_choices,
    count,
    delta,
    pairs,
    worst_gap,
)
from tests.quoting.random_offers import some_groups

BASE = {"shelf", "plain"}


def totals(gross: str = "1200.00") -> Totals:
    whole = Decimal(gross)
    tax = whole / 6
    return Totals(
        net=whole - tax,
        allowance=Decimal(0),
        charge=Decimal(0),
        taxable=whole - tax,
        tax=tax,
        gross=whole,
    )


def test_the_base_choice_costs_the_offers_totals() -> None:
    assert base_choice(groups=some_groups()) == BASE
    chosen = chosen_totals(totals=totals(), groups=some_groups(), chosen=BASE)
    assert (chosen.taxable, chosen.tax, chosen.gross) == (1000, 200, 1200)


@pytest.mark.parametrize(
    ("chosen", "gross"),
    [
        ({"shelf", "plain", "spikes"}, "1560.00"),
        ({"plain"}, "1080.01"),  # leaving out what was in: 1200 − 119.99
        ({"shelf", "fuller"}, "1740.60"),
        ({"shelf", "fullest"}, "1176.00"),
        ({"spikes", "fuller"}, "1980.61"),
    ],
)
def test_a_choice_costs_the_base_and_its_deltas(chosen: set[str], gross: str) -> None:
    found = chosen_totals(totals=totals(), groups=some_groups(), chosen=chosen)
    assert found.gross == Decimal(gross)
    assert found.taxable + found.tax == found.gross


@pytest.mark.parametrize(
    ("chosen", "code", "key"),
    [
        (["plain", "moon"], "unknown_option", "moon"),
        (["plain", ""], "unknown_option", ""),
        (["shelf"], "none_of_one", "hall"),
        (["plain", "fuller"], "several_of_one", "hall"),
        (["plain", "plain"], "taken_twice", "plain"),
    ],
)
def test_a_choice_that_the_offer_does_not_allow_is_refused(
    chosen: list[str], code: str, key: str
) -> None:
    with pytest.raises(ChoiceRefused) as refusal:
        check_choice(groups=some_groups(), chosen=chosen)
    assert (refusal.value.code, refusal.value.key) == (code, key)
    assert isinstance(refusal.value, ValueError)


def test_every_combination_comes_once() -> None:
    every = list(combinations(groups=some_groups()))
    assert len(every) == len(set(every)) == count(groups=some_groups()) == 12
    for choice in every:
        check_choice(groups=some_groups(), chosen=choice)


def test_pairs_are_allowed_choices_at_most_two_moves_away() -> None:
    every = list(pairs(groups=some_groups()))
    assert every[0] == BASE
    assert len(every) == len(set(every)) == 1 + 4 + 5  # 2 free and 2 other halls; no two halls
    for choice in every:
        check_choice(groups=some_groups(), chosen=choice)


def test_an_options_delta_compares_with_and_without_it_alone() -> None:
    groups = some_groups()
    assert compared_choices(groups=groups, key="spikes") == (BASE | {"spikes"}, BASE)
    assert compared_choices(groups=groups, key="shelf") == (BASE, BASE - {"shelf"})
    assert compared_choices(groups=groups, key="fuller") == ({"shelf", "fuller"}, BASE)
    assert compared_choices(groups=groups, key="plain") == (BASE, BASE)
    with pytest.raises(ChoiceRefused):
        compared_choices(groups=groups, key="moon")


def test_a_delta_is_the_difference_of_two_totals() -> None:
    found = delta(with_it=totals("1560.00"), without_it=totals("1200.00"))
    assert (found.net, found.tax, found.gross) == (300, 60, 360)


def with_deltas(
    groups: tuple[OptionGroup, ...], real: Callable[[frozenset[str]], Totals]
) -> tuple[OptionGroup, ...]:
    """Freeze the groups' deltas from a pricing function, as an issue does."""

    def frozen(option: Option) -> Option:
        with_it, without_it = compared_choices(groups=groups, key=option.key)
        found = delta(with_it=real(with_it), without_it=real(without_it))
        return replace(option, net_delta=found.net, tax_delta=found.tax, gross_delta=found.gross)

    return tuple(
        replace(group, options=tuple(frozen(option) for option in group.options))
        for group in groups
    )


@settings(max_examples=100, deadline=None)
@given(
    prices=st.fixed_dictionaries(
        {key: st.integers(-9999, 9999) for key in ("spikes", "shelf", "plain", "fuller", "fullest")}
    )
)
def test_where_options_share_nothing_the_sum_of_deltas_is_the_price(prices: dict[str, int]) -> None:
    def real(choice: frozenset[str]) -> Totals:
        return totals(str(1200 + 6 * sum(prices[key] for key in choice)))

    groups = with_deltas(some_groups(), real)
    assert check_groups(groups=groups) == ()
    base = real(base_choice(groups=groups))
    for choice in combinations(groups=groups):
        summed = chosen_totals(totals=base, groups=groups, chosen=choice)
        worked = real(choice)
        assert (summed.taxable, summed.tax, summed.gross) == (
            worked.taxable,
            worked.tax,
            worked.gross,
        )
    gap = worst_gap(totals=base, groups=groups, real_gross=lambda choice: real(choice).gross)
    assert (gap.gap, gap.tried, gap.is_complete) == (0, 12, True)


def test_the_worst_gap_finds_the_pair_that_shares_hardware() -> None:
    def real(choice: frozenset[str]) -> Totals:
        # Spikes and the fuller hall each need a new receiver at 240; together they share one.
        receiver = 240 if choice & {"spikes", "fuller"} else 0
        return totals(str(1200 + receiver + 60 * len(choice & {"spikes", "shelf"})))

    groups = with_deltas(some_groups(), real)
    base = real(base_choice(groups=groups))
    gap = worst_gap(totals=base, groups=groups, real_gross=lambda choice: real(choice).gross)
    assert {"spikes", "fuller"} <= gap.chosen
    assert (gap.gap, gap.is_complete) == (Decimal(240), True)
    few = worst_gap(totals=base, groups=groups, real_gross=lambda c: real(c).gross, limit=11)
    assert (few.gap, few.tried, few.is_complete) == (Decimal(240), 10, False)


def test_groups_that_cannot_be_issued_are_named() -> None:
    extras, hall = some_groups()
    spikes, shelf = extras.options
    plain, fuller, fullest = hall.options

    def faults(*groups: OptionGroup) -> set[tuple[str, str]]:
        return set(check_groups(groups=groups))

    assert faults(extras, hall) == set()
    assert faults(replace(extras, choice="some")) == {("bad_choice_kind", "extras")}
    assert faults(extras, replace(extras, key="b", options=(shelf,))) == {("taken_twice", "shelf")}
    wrong = replace(spikes, gross_delta=Decimal("360.01"))
    assert faults(replace(extras, options=(wrong,))) == {("delta_sum", "spikes")}
    assert faults(replace(hall, options=(fuller, fullest))) == {("base_count", "hall")}
    dear = replace(plain, net_delta=Decimal(1), gross_delta=Decimal(1))
    assert faults(replace(hall, options=(dear, fuller))) == {("base_delta", "plain")}


@pytest.mark.parametrize(("gap", "word"), [("0.69", "more"), ("-0.69", "less")])
def test_the_office_reads_which_way_the_sum_of_the_deltas_is_off(gap, word):
    """The amount has no sign of its own: the sentence says who would gain."""
    worst = SimpleNamespace(gap=Decimal(gap), tried=4, is_complete=True)
    context = {
        "groups": [SimpleNamespace(name="On the terrace", options=[])],
        "gap": worst,
        "off_by": worst.gap.copy_abs(),
        "gap_names": ["Two more spikes"],
        "business": SimpleNamespace(currency="GBP", locale="en_GB", tax_name="VAT"),
        "problems": [],
        "to_look_at": (),
    }
    page = render_to_string("quoting/_option_prices.html", context)
    assert f"would pay up to £0.69 {word} than the price worked out afresh" in page
    assert "Two more spikes." in page
