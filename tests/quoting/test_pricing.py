"""The arithmetic of a quote: laws, edges, refusals."""

import dataclasses
import decimal
import itertools
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.grouping import group_totals
from quoting.pricing import (
    Adjustment,
    Priced,
    PriceLine,
    overall_discount,
    price,
    stages,
    tax_in_gross,
)

TWENTY = Decimal("0.2")
FIVE = Decimal("0.05")


def a_line(**values: object) -> PriceLine:
    standard = {"key": "a", "quantity": 1, "unit_price": Decimal("10.00"), "tax_rate": TWENTY}
    return PriceLine(**{**standard, **values})


def test_a_line_is_discounted_before_it_is_rounded() -> None:
    # 3 × 0.335 = 1.005, less 10 %: 0.9045. Rounded in between it would be 0.91.
    line = a_line(quantity=3, unit_price=Decimal("0.335"), discount=Decimal("0.1"))
    (result,) = price(lines=[line], currency="GBP").lines
    assert result.net == Decimal("0.90")
    assert result.undiscounted == Decimal("1.01")
    assert result.discount_amount == Decimal("0.11")


def test_ints_are_whole_numbers_and_results_are_decimals() -> None:
    result = price(lines=[a_line(quantity=2, unit_price=7, discount=0)], currency="GBP")
    assert str(result.net_total) == "14.00"


def test_a_credit_mirrors_its_line() -> None:
    unit_price = Decimal("0.005")
    sold = price(lines=[a_line(unit_price=unit_price)], currency="GBP").net_total
    credit = price(lines=[a_line(quantity=-1, unit_price=unit_price)], currency="GBP").net_total
    assert (sold, credit) == (Decimal("0.01"), Decimal("-0.01"))


def test_exempt_and_taxed_at_nothing_stay_apart() -> None:
    result = price(
        lines=[a_line(tax_rate=None), a_line(tax_rate=Decimal(0)), a_line(tax_rate=TWENTY)],
        currency="GBP",
    )
    assert [(each.rate, each.taxable, each.tax) for each in result.taxes] == [
        (TWENTY, 10, 2),
        (Decimal(0), 10, 0),
        (None, 10, 0),
    ]


def test_rates_are_one_rate_however_they_are_written() -> None:
    result = price(lines=[a_line(), a_line(tax_rate=Decimal("0.200"))], currency="GBP")
    assert len(result.taxes) == 1


def test_allowances_and_charges_move_the_tax_of_their_own_rate() -> None:
    result = price(
        lines=[a_line(unit_price=Decimal(100)), a_line(unit_price=Decimal(100), tax_rate=FIVE)],
        allowances=[Adjustment(amount=Decimal(10), tax_rate=FIVE)],
        charges=[Adjustment(amount=Decimal(20), tax_rate=TWENTY)],
        currency="GBP",
    )
    assert [(each.taxable, each.tax) for each in result.taxes] == [(120, 24), (90, Decimal("4.5"))]
    assert (result.net_total, result.taxable_total, result.gross_total) == (
        200,
        210,
        Decimal("238.5"),
    )


def test_an_adjustment_is_rounded_before_it_is_added() -> None:
    halves = [Adjustment(amount=Decimal("0.005"), tax_rate=TWENTY)] * 2
    result = price(lines=[a_line()], allowances=halves, currency="GBP")
    assert [each.amount for each in result.allowances] == [Decimal("0.01")] * 2
    assert result.allowance_total == Decimal("0.02")


def test_by_line_allowances_are_taxed_each() -> None:
    result = price(
        lines=[a_line(unit_price=Decimal("0.12"))] * 3,
        allowances=[Adjustment(amount=Decimal("0.12"), tax_rate=TWENTY)],
        currency="GBP",
        tax_rounding="line",
    )
    # 0.024 each: three times 0.02 less 0.02. On the sum of 0.24 it would be 0.05.
    assert result.tax_total == Decimal("0.04")
    assert [line.tax for line in result.lines] == [Decimal("0.02")] * 3


def test_nothing_costs_nothing() -> None:
    result = price(lines=[], currency="GBP")
    assert (result.net_total, result.gross_total, result.taxes) == (0, 0, ())


def test_yen_have_no_decimals_and_dinars_three() -> None:
    line = a_line(unit_price=Decimal("10.0625"))
    assert str(price(lines=[line], currency="JPY").gross_total) == "12"
    assert str(price(lines=[line], currency="KWD").gross_total) == "12.076"


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("quantity", 1.5),
        ("quantity", Decimal("NaN")),
        ("quantity", Decimal("Infinity")),
        ("quantity", True),
        ("quantity", "2"),
        ("quantity", None),
        ("unit_price", 9.99),
        ("unit_price", Decimal("-0.01")),
        ("unit_price", Decimal("-Infinity")),
        ("discount", Decimal(2)),
        ("discount", Decimal("-0.1")),
        ("discount", 0.1),
        ("discount", None),
        ("tax_rate", Decimal(20)),
        ("tax_rate", 0.2),
        ("tax_rate", Decimal("NaN")),
        ("tax_rate", "20 %"),
    ],
)
def test_a_line_refuses(field: str, bad: object) -> None:
    with pytest.raises(ValueError, match=field):
        a_line(**{field: bad})


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("amount", Decimal(-1)),
        ("amount", 1.0),
        ("amount", Decimal("NaN")),
        ("tax_rate", Decimal(2)),
    ],
)
def test_an_adjustment_refuses(field: str, bad: object) -> None:
    with pytest.raises(ValueError, match=field):
        Adjustment(**{"amount": Decimal(1), "tax_rate": TWENTY, field: bad})


def test_unknown_words_are_refused() -> None:
    with pytest.raises(ValueError, match="currency"):
        price(lines=[a_line()], currency="GBX")
    with pytest.raises(ValueError, match="tax_rounding"):
        price(lines=[a_line()], currency="GBP", tax_rounding="total")


def test_lines_and_results_are_frozen_and_keyword_only() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        a_line().quantity = Decimal(2)
    with pytest.raises(dataclasses.FrozenInstanceError):
        price(lines=[], currency="GBP").gross_total = Decimal(0)
    with pytest.raises(TypeError):
        price([a_line()], "GBP")


def test_the_callers_context_changes_nothing() -> None:
    lines = [a_line(quantity=Decimal("123456.789"), unit_price=Decimal("98765.4321"))] * 2
    more = {
        "allowances": [Adjustment(amount=Decimal("123456.78"), tax_rate=TWENTY)],
        "charges": [Adjustment(amount=Decimal("98765.43"), tax_rate=None)],
        "currency": "GBP",
    }
    for tax_rounding in ("document", "line"):
        expected = price(lines=lines, tax_rounding=tax_rounding, **more)
        grouped = group_totals(priced=expected, labels=["x", "y"])
        with decimal.localcontext(decimal.Context(prec=4, rounding=decimal.ROUND_DOWN)):
            again = price(lines=lines, tax_rounding=tax_rounding, **more)
            assert group_totals(priced=again, labels=["x", "y"]) == grouped
        assert again == expected
    assert expected.lines[0].net == Decimal(
        "12193263111.26"
    )  # 123456789 × 987654321 = 121932631112635269


def test_the_order_of_lines_changes_no_total() -> None:
    lines = [
        a_line(unit_price=Decimal(n).scaleb(-3), tax_rate=r)
        for n, r in ((1005, TWENTY), (15, FIVE), (7777, None))
    ]
    for ordered in itertools.permutations(lines):
        result = price(lines=ordered, currency="GBP")
        assert (result.net_total, result.tax_total, result.taxes) == (
            price(lines=lines, currency="GBP").net_total,
            price(lines=lines, currency="GBP").tax_total,
            price(lines=lines, currency="GBP").taxes,
        )


# --- tax in a gross ---------------------------------------------------------------------------


def test_tax_in_a_gross_of_an_exempt_line_is_nothing() -> None:
    assert tax_in_gross(gross=Decimal("99.99"), tax_rate=None, currency="GBP") == 0


@pytest.mark.parametrize(
    "bad", [{"gross": 99.99}, {"tax_rate": Decimal(20)}, {"currency": "pound"}]
)
def test_tax_in_a_gross_refuses(bad: dict[str, object]) -> None:
    with pytest.raises(ValueError):
        tax_in_gross(**{"gross": Decimal(1), "tax_rate": TWENTY, "currency": "GBP", **bad})


# --- stages -----------------------------------------------------------------------------------


@settings(max_examples=200, deadline=None)
@given(
    total=st.integers(0, 10**9),
    cuts=st.lists(st.integers(0, 1000), max_size=5),
    currency=st.sampled_from(("GBP", "JPY", "KWD")),
)
def test_stages_add_up_to_the_total(total: int, cuts: list[int], currency: str) -> None:
    edges = [0, *sorted(cuts), 1000]
    shares = [Decimal(b - a).scaleb(-3) for a, b in itertools.pairwise(edges)]
    whole = Decimal(total).scaleb(-{"GBP": 2, "JPY": 0, "KWD": 3}[currency])
    parts = stages(total=whole, shares=shares, currency=currency)
    assert sum(parts) == whole
    assert all(
        abs(part - whole * each) < Decimal(1).scaleb(whole.as_tuple().exponent)
        for part, each in zip(parts, shares, strict=True)
    )


@pytest.mark.parametrize(
    "bad",
    [
        {"shares": [Decimal("0.5"), Decimal("0.4")]},
        {"shares": [Decimal("1.5"), Decimal("-0.5")]},
        {"shares": []},
        {"shares": [1.0]},
        {"total": Decimal("-1.00")},
        {"total": Decimal("1.005")},
        {"total": 100.0},
        {"currency": "??"},
    ],
)
def test_stages_refuse(bad: dict[str, object]) -> None:
    with pytest.raises(ValueError):
        stages(**{"total": Decimal(100), "shares": [Decimal(1)], "currency": "GBP", **bad})


# --- an overall discount ------------------------------------------------------------------------


def test_an_overall_discount_is_split_by_rate_with_the_remainder_to_the_largest() -> None:
    lines = [
        a_line(unit_price=Decimal("33.33"), tax_rate=TWENTY),
        a_line(unit_price=Decimal("33.34"), tax_rate=FIVE),
        a_line(unit_price=Decimal("33.33"), tax_rate=None),
    ]
    split = {
        e.tax_rate: e.amount
        for e in overall_discount(lines=lines, currency="GBP", amount_off=Decimal(10))
    }
    # 3.333, 3.334, 3.333: each down to 3.33, the penny left to the largest.
    assert split == {TWENTY: Decimal("3.33"), FIVE: Decimal("3.34"), None: Decimal("3.33")}


def test_a_share_off_is_rounded_once_on_the_whole() -> None:
    lines = [a_line(unit_price=Decimal("0.50")), a_line(unit_price=Decimal("0.50"), tax_rate=FIVE)]
    off = overall_discount(lines=lines, currency="GBP", share_off=Decimal("0.005"))
    assert [each.amount for each in off] == [Decimal("0.01")]


def test_credits_of_a_rate_take_no_part_in_the_discount() -> None:
    lines = [a_line(unit_price=Decimal(100)), a_line(quantity=-1, tax_rate=FIVE)]
    off = overall_discount(lines=lines, currency="GBP", share_off=Decimal("0.1"))
    assert [(each.tax_rate, each.amount) for each in off] == [(TWENTY, Decimal("10.00"))]


@settings(max_examples=200, deadline=None)
@given(
    nets=st.lists(st.integers(1, 5), min_size=1, max_size=5),
    off=st.integers(0, 25),
)
def test_a_discount_is_given_whole_and_no_rate_goes_below_nothing(
    nets: list[int], off: int
) -> None:
    lines = [
        a_line(unit_price=Decimal(net).scaleb(-2), tax_rate=Decimal(rate).scaleb(-2))
        for rate, net in enumerate(nets)
    ]
    amount = Decimal(min(off, sum(nets))).scaleb(-2)
    allowances = overall_discount(lines=lines, currency="GBP", amount_off=amount)
    assert sum(each.amount for each in allowances) == amount
    result = price(lines=lines, allowances=allowances, currency="GBP")
    assert all(each.taxable >= 0 for each in result.taxes)
    assert result.taxable_total == result.net_total - amount


@pytest.mark.parametrize(
    "bad",
    [
        {},
        {"share_off": Decimal("0.1"), "amount_off": Decimal(1)},
        {"share_off": Decimal(2)},
        {"amount_off": Decimal("10.01")},
        {"amount_off": Decimal(-1)},
        {"amount_off": Decimal("0.001")},
    ],
)
def test_an_overall_discount_refuses(bad: dict[str, Decimal]) -> None:
    with pytest.raises(ValueError):
        overall_discount(lines=[a_line()], currency="GBP", **bad)


# --- groups ---------------------------------------------------------------------------------------


def _three_rooms(tax_rounding: str = "document") -> Priced:
    return price(
        lines=[a_line(unit_price=Decimal("1.02"))] * 3,
        allowances=[Adjustment(amount=Decimal("0.33"), tax_rate=TWENTY)],
        charges=[Adjustment(amount=Decimal("0.07"), tax_rate=None)],
        currency="GBP",
        tax_rounding=tax_rounding,
    )


@pytest.mark.parametrize("tax_rounding", ["document", "line"])
def test_grosses_of_rooms_add_up_to_the_gross_total(tax_rounding: str) -> None:
    priced = _three_rooms(tax_rounding)
    grouped = group_totals(priced=priced, labels=["hall", "stair", "hall"])
    assert [(each.label, each.net) for each in grouped.groups] == [
        ("hall", Decimal("2.04")),
        ("stair", Decimal("1.02")),
    ]
    whole = sum(each.gross for each in grouped.groups)
    assert whole - sum(grouped.allowances) + sum(grouped.charges) == priced.gross_total
    assert grouped.charges == (Decimal("0.07"),)


def test_a_label_is_needed_for_each_line() -> None:
    with pytest.raises(ValueError, match="labels"):
        group_totals(priced=_three_rooms(), labels=["hall"])
