"""Exact numbers, rounding, sharing out, reading and printing."""

import decimal
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting import money


@pytest.mark.parametrize(
    "bad",
    [1.5, float("nan"), "1.50", None, True, Decimal("NaN"), Decimal("sNaN"), Decimal("Infinity")],
)
def test_only_finite_decimals_and_ints_are_numbers(bad: object) -> None:
    with pytest.raises(ValueError, match="price"):
        money.exact("price", bad)


@pytest.mark.parametrize("bad", [Decimal("1E16"), 10**16, Decimal("1E+999999"), Decimal("1E-13")])
def test_numbers_beyond_any_job_are_refused(bad: Decimal) -> None:
    with pytest.raises(ValueError, match="price"):
        money.exact("price", bad)


def test_zero_has_no_sign() -> None:
    assert str(money.exact("price", Decimal("-0.00"))) == "0.00"
    assert str(money.rounded(Decimal("-0.004"), "GBP")) == "0.00"


@pytest.mark.parametrize("bad", ["gbp", "", "XYZ", "POUND", "XXX", "XAU", None, 826])
def test_what_is_no_currency_is_refused(bad: str) -> None:
    with pytest.raises(ValueError, match="currency"):
        money.minor_digits(bad)


@pytest.mark.parametrize("bad", [Decimal("20"), Decimal("-0.01"), Decimal("1.01"), 0.2])
def test_a_share_is_from_0_to_1(bad: Decimal) -> None:
    with pytest.raises(ValueError, match="tax_rate"):
        money.share("tax_rate", bad)


def test_minor_units_go_there_and_back() -> None:
    assert money.to_minor(Decimal("1250.50"), "GBP") == 125_050
    assert money.to_minor(Decimal("1250"), "JPY") == 1250
    assert money.from_minor(-1, "KWD") == Decimal("-0.001")
    with pytest.raises(ValueError, match="whole minor units"):
        money.to_minor(Decimal("0.005"), "GBP")


@settings(max_examples=200, deadline=None)
@given(
    whole=st.integers(0, 10**7),
    weights=st.lists(st.integers(0, 1000), min_size=1, max_size=9).filter(any),
    currency=st.sampled_from(("GBP", "JPY", "KWD")),
)
def test_shares_add_up_and_none_is_a_minor_unit_off(
    whole: int, weights: list[int], currency: str
) -> None:
    amount = money.from_minor(whole, currency)
    parts = money.share_out(amount, [Decimal(weight) for weight in weights], currency)
    assert sum(parts) == amount
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part - amount * weight / sum(weights)) < money.minor_unit(currency)
        assert part >= 0


def test_the_remainder_goes_to_the_largest_loss_then_to_the_earlier() -> None:
    # 0.05 by 1:2:2 is 0.01, 0.02, 0.02; 0.04 by it is 0.008, 0.016, 0.016 of a pound.
    parts = money.share_out(Decimal("0.04"), [Decimal(1), Decimal(2), Decimal(2)], "GBP")
    assert parts == (Decimal("0.01"), Decimal("0.02"), Decimal("0.01"))


def test_parts_that_cannot_make_the_whole_are_refused() -> None:
    with pytest.raises(ValueError, match="add up"):
        money.apportion([Decimal("1.00")], Decimal("1.02"), "GBP")
    with pytest.raises(ValueError, match="weights"):
        money.share_out(Decimal(1), [Decimal(0)], "GBP")


def test_the_callers_context_changes_nothing() -> None:
    careless = decimal.Context(prec=3, rounding=decimal.ROUND_DOWN)
    with decimal.localcontext(careless):
        assert money.rounded(Decimal("123456.785"), "GBP") == Decimal("123456.79")
        assert money.total([Decimal("9999.99"), Decimal("-0.01")], "GBP") == Decimal("9999.98")
        parts = money.share_out(Decimal("100000.00"), [Decimal(1)] * 3, "GBP")
    assert parts == (Decimal("33333.34"), Decimal("33333.33"), Decimal("33333.33"))


@pytest.mark.parametrize(
    ("text", "locale", "amount"),
    [
        ("1,250.50", "en_GB", "1250.50"),
        (" 7 ", "en-GB", "7.00"),
        ("1.250,50", "de_DE", "1250.50"),
        ("-3.20", "en_GB", "-3.20"),
    ],
)
def test_amounts_are_read_as_the_locale_writes_them(text: str, locale: str, amount: str) -> None:
    assert money.parse(text, currency="EUR", locale=locale) == Decimal(amount)


@pytest.mark.parametrize(
    "text", ["", "1,25.50", "NaN", "Infinity", "12 pounds", "=1+1", "1.234", "1e30", "٣.2.1"]
)
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"amount|currency"):
        money.parse(text, currency="GBP", locale="en_GB")


def test_amounts_print_with_the_decimals_of_their_currency() -> None:
    def printed(value: str, currency: str, locale: str = "en_GB") -> str:
        return money.printed(Decimal(value), currency=currency, locale=locale)

    assert printed("1250.5", "GBP") == "£1,250.50"
    assert printed("-1250.5", "GBP") == "-£1,250.50"
    assert printed("1250", "JPY") == "JP¥1,250"
    assert printed("1.5", "KWD") == "KWD\xa01.500"
    assert printed("1250.5", "EUR", "de_DE") == "1.250,50\xa0€"
    assert printed("1250.5", "RSD").endswith("1,250.50")


def test_an_unknown_locale_is_refused() -> None:
    with pytest.raises(ValueError, match="locale"):
        money.printed(Decimal(1), currency="GBP", locale="zz_ZZ")
