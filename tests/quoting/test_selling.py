"""From cost to sell price, and what may pass."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting import selling
from quoting.selling import SellingRules, Sold, Taste, check_selling

NEAR_95 = Taste(step=Decimal(1), ending=Decimal("0.95"))
HUNDREDS = Taste(step=Decimal(100))
RULES = SellingRules(
    discount_limits={"designer": Decimal("0.1"), "manager": Decimal("0.3")},
    minimum_margin=Decimal("0.25"),
)


def test_margin_and_markup_are_two_ways_to_one_price() -> None:
    # Common arithmetic: 60 / (1 − 0.4) = 60 × (1 + 2/3) = 100.
    assert selling.sell_by_margin(cost=Decimal(60), margin=Decimal("0.4"), currency="GBP") == 100
    assert selling.sell_by_markup(cost=Decimal(60), markup=Decimal("0.5"), currency="GBP") == 90
    assert selling.margin(cost=Decimal(60), sell=Decimal(100)) == Decimal("0.4")
    assert selling.markup(cost=Decimal(60), sell=Decimal(100)) == Decimal("0.6667")


def test_a_sell_price_is_rounded_half_up() -> None:
    price = selling.sell_by_markup(cost=Decimal("0.01"), markup=Decimal("0.5"), currency="GBP")
    assert price == Decimal("0.02")


def test_there_is_no_margin_of_nothing() -> None:
    assert selling.margin(cost=Decimal(5), sell=Decimal(0)) is None
    assert selling.markup(cost=Decimal(0), sell=Decimal(5)) is None
    assert selling.margin(cost=Decimal(5), sell=Decimal(4)) == Decimal("-0.25")


@pytest.mark.parametrize("margin", [Decimal(1), Decimal("1.2"), Decimal("-0.1"), 0.4])
def test_a_margin_that_no_price_gives_is_refused(margin: Decimal) -> None:
    with pytest.raises(ValueError, match="margin"):
        selling.sell_by_margin(cost=Decimal(60), margin=margin, currency="GBP")


@pytest.mark.parametrize(("cost", "markup"), [(Decimal(-1), Decimal(1)), (Decimal(1), Decimal(-1))])
def test_negative_costs_and_markups_are_refused(cost: Decimal, markup: Decimal) -> None:
    with pytest.raises(ValueError, match=r"cost|markup"):
        selling.sell_by_markup(cost=cost, markup=markup, currency="GBP")


@pytest.mark.parametrize(
    ("price", "taste", "expected"),
    [
        ("17.20", NEAR_95, "16.95"),
        ("17.45", NEAR_95, "17.95"),  # half way: up
        ("17.44", NEAR_95, "16.95"),
        ("16.95", NEAR_95, "16.95"),
        ("0.20", NEAR_95, "0.95"),
        ("0.00", NEAR_95, "0.00"),
        ("1249.99", HUNDREDS, "1200.00"),
        ("1250.00", HUNDREDS, "1300.00"),
        ("30.00", HUNDREDS, "100.00"),  # never rounded to nothing
        ("1201.00", Taste(step=Decimal(100), rounding="up"), "1300.00"),
        ("1200.00", Taste(step=Decimal(100), rounding="up"), "1200.00"),
        ("17.96", Taste(step=Decimal(1), ending=Decimal("0.95"), rounding="up"), "18.95"),
        ("234.00", Taste(step=Decimal(10), ending=Decimal(9)), "239.00"),
        ("233.00", Taste(step=Decimal(10), ending=Decimal(9)), "229.00"),
    ],
)
def test_prices_end_as_the_business_likes(price: str, taste: Taste, expected: str) -> None:
    found = selling.to_taste(price=Decimal(price), taste=taste, currency="GBP")
    assert str(found) == expected


@settings(max_examples=100, deadline=None)
@given(pence=st.integers(1, 10**6), step=st.sampled_from((5, 100, 1000)), ending=st.integers(0, 4))
def test_the_nearest_liked_price_is_at_most_half_a_step_away(
    pence: int, step: int, ending: int
) -> None:
    price = Decimal(pence).scaleb(-2)
    taste = Taste(step=Decimal(step).scaleb(-2), ending=Decimal(ending).scaleb(-2))
    found = selling.to_taste(price=price, taste=taste, currency="GBP")
    assert (found - taste.ending) % taste.step == 0
    assert found > 0
    if price >= taste.step:
        assert abs(found - price) <= taste.step / 2
    again = selling.to_taste(price=found, taste=taste, currency="GBP")
    assert again == found


@pytest.mark.parametrize(
    "bad",
    [
        {"step": Decimal(0)},
        {"step": Decimal(-1)},
        {"ending": Decimal(1)},
        {"ending": Decimal("-0.05")},
        {"rounding": "down"},
        {"step": 0.5},
    ],
)
def test_a_taste_that_no_price_has_is_refused(bad: dict[str, object]) -> None:
    with pytest.raises(ValueError):
        Taste(**{"step": Decimal(1), **bad})


def test_a_taste_finer_than_the_currency_is_refused() -> None:
    with pytest.raises(ValueError, match="minor unit"):
        selling.to_taste(price=Decimal(1), taste=NEAR_95, currency="JPY")
    with pytest.raises(ValueError, match="price"):
        selling.to_taste(price=Decimal(-1), taste=NEAR_95, currency="GBP")


def sold(net: str, cost: str | None = "50", undiscounted: str = "100", key: str = "a") -> Sold:
    return Sold(
        key=key,
        undiscounted=Decimal(undiscounted),
        net=Decimal(net),
        cost=None if cost is None else Decimal(cost),
    )


def codes(
    *lines: Sold, role: str = "designer", allowance: str = "0", rules: SellingRules = RULES
) -> list[str]:
    findings = check_selling(
        lines=lines, whole_allowance=Decimal(allowance), role=role, rules=rules
    )
    return [finding.code for finding in findings]


def test_a_discount_within_the_limit_passes_and_one_above_it_does_not() -> None:
    assert codes(sold("90.00")) == []
    assert codes(sold("89.98")) == ["discount_above_limit", "whole_discount_above_limit"]
    assert codes(sold("89.98"), role="manager") == []


def test_a_role_that_is_not_named_gives_no_discount() -> None:
    assert codes(sold("100.00"), role="office") == []
    assert "discount_above_limit" in codes(sold("99.00"), role="office")


def test_a_discount_on_the_whole_counts_with_those_on_lines() -> None:
    # 5 % on each line and 6 % on the whole: each alone would pass at 10 %.
    lines = (sold("95.00"), sold("95.00", key="b"))
    assert codes(*lines) == []
    assert codes(*lines, allowance="12") == ["whole_discount_above_limit"]


def test_the_margin_is_guarded_by_line_and_on_the_whole() -> None:
    lines = (sold("100.00", cost="80", key="thin"), sold("100.00", cost="40", key="fat"))
    (finding,) = check_selling(lines=lines, role="designer", rules=RULES)
    assert (finding.code, finding.key) == ("margin_below_minimum", "thin")
    assert (finding.value, finding.limit) == (Decimal("0.2000"), Decimal("0.25"))
    assert codes(sold("100.00", cost="75.00")) == []
    assert codes(sold("100.00", cost="75.01")) == [
        "margin_below_minimum",
        "whole_margin_below_minimum",
    ]


def test_a_loss_is_said_to_be_one() -> None:
    assert codes(sold("100.00", cost="100.01"))[0] == "sold_below_cost"


def test_an_unknown_cost_is_a_notice_and_no_guess() -> None:
    (finding,) = check_selling(lines=[sold("100.00", cost=None)], role="designer", rules=RULES)
    assert (finding.code, finding.needs) == ("cost_unknown", "notice")


def test_credits_are_not_judged_line_by_line() -> None:
    credit = sold("-10.00", cost="-90.00", undiscounted="-10.00", key="credit")
    assert codes(sold("100.00"), credit) == []


@pytest.mark.parametrize("bad", [Decimal(2), Decimal("-0.1"), 0.1])
def test_limits_are_shares(bad: Decimal) -> None:
    with pytest.raises(ValueError, match="limit of designer"):
        SellingRules(discount_limits={"designer": bad})
    with pytest.raises(ValueError, match="minimum_margin"):
        SellingRules(minimum_margin=bad)
