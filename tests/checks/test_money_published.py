"""Prices, tax and rounding against published values. The source stands beside each number.

'Computed' marks a value worked out by hand from the rule named with it.
"""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest
from babel.numbers import get_currency_precision

from quoting.money import minor_digits, rounded
from quoting.pricing import Adjustment, Priced, PriceLine, price, tax_in_gross
from tests.quoting.random_offers import Spec, an_offer
from tests.quoting.readings import rule_faults, ubl_root, ubl_totals

# "EN 16931 example": an example file of the European Commission's validation artefacts for
# EN 16931 (EUPL), whose own rules those files pass.

SIX, TWENTY_ONE, TWENTY_FIVE = Decimal("0.06"), Decimal("0.21"), Decimal("0.25")


def priced(*lines: tuple[str, str, Decimal | None], **more: object) -> Priced:
    """Price (quantity, unit price, rate) lines."""
    return price(
        lines=[
            PriceLine(
                key=f"line {index}",
                quantity=Decimal(quantity),
                unit_price=Decimal(unit_price),
                tax_rate=rate,
            )
            for index, (quantity, unit_price, rate) in enumerate(lines)
        ],
        **{"currency": "EUR", **more},
    )


# EN 16931 example guide-example1: quantity, unit price, rate. The two largest credits and all.
GUIDE_EXAMPLE_1 = [
    *((q, p, SIX) for q, p in (("2", "9.95"), ("1", "9.85"), ("1", "8.29"), ("2", "7.23"))),
    *((q, p, SIX) for q, p in (("1", "35.00"), ("1", "35.00"), ("1", "10.65"), ("1", "1.55"))),
    *((q, p, SIX) for q, p in (("3", "4.79"), ("1", "8.29"), ("2", "8.29"), ("1", "9.95"))),
    ("2", "1.65", SIX),
    ("1", "10.80", TWENTY_ONE),
    ("1", "3.90", SIX),
    *((q, p, TWENTY_ONE) for q, p in (("2", "3.80"), ("2", "4.67"), ("1", "18.63"))),
    ("6", "17.02", SIX),
    ("-6", "18.33", SIX),
]


def test_guide_example_1_twenty_lines_two_rates_and_a_credit() -> None:
    # EN 16931 example guide-example1: net 229.60; 183.23 at 6 % gives 10.99; 46.37 at 21 % gives
    # 9.74; tax 20.73; gross 250.33.
    result = priced(*GUIDE_EXAMPLE_1)
    assert result.net_total == Decimal("229.60")
    assert [(each.rate, each.taxable, each.tax) for each in result.taxes] == [
        (TWENTY_ONE, Decimal("46.37"), Decimal("9.74")),
        (SIX, Decimal("183.23"), Decimal("10.99")),
    ]
    assert result.tax_total == Decimal("20.73")
    assert result.gross_total == Decimal("250.33")


def test_guide_example_1_as_a_quotation_keeps_the_rules_for_sums() -> None:
    # Same source; the validator's BR-CO-15 fails when 250.33 is changed to 250.34.
    from quoting.exports import ubl_quotation

    offer = an_offer(
        rooms=[
            [
                Spec(quantity=Decimal(q), unit_price=Decimal(p), tax_rate=rate)
                for q, p, rate in GUIDE_EXAMPLE_1
            ]
        ],
        currency="EUR",
    )
    content = ubl_quotation.write(offer=offer.to_content())
    assert ubl_totals(ubl_root(content)).gross == Decimal("250.33")
    assert rule_faults(ubl_root(content)) == []
    altered = content.replace(
        b">250.33</cbc:TaxInclusiveAmount>", b">250.34</cbc:TaxInclusiveAmount>"
    )
    assert altered != content
    assert "BR-CO-15" in rule_faults(ubl_root(altered))


def test_example_3_a_charge_on_one_of_two_rates() -> None:
    # EN 16931 example ubl-tc434-example3: 800 at 25 %, 800 at 10 %, charge 100 at 25 %: net 1600,
    # taxable 1700, tax 225 + 80 = 305, gross 2005.00.
    result = priced(
        ("1", "800", TWENTY_FIVE),
        ("1", "800", Decimal("0.1")),
        charges=[Adjustment(amount=Decimal(100), tax_rate=TWENTY_FIVE)],
    )
    assert result.net_total == Decimal("1600.00")
    assert result.charge_total == Decimal("100.00")
    assert result.taxable_total == Decimal("1700.00")
    assert [each.tax for each in result.taxes] == [Decimal("225.00"), Decimal("80.00")]
    assert result.tax_total == Decimal("305.00")
    assert result.gross_total == Decimal("2005.00")


def test_sample_discount_price_has_a_unit_price_of_four_decimals() -> None:
    # EN 16931 example sample-discount-price: 100 × (0.1234 − 0.0022) at 25 %: 12.12, 3.03, 15.15.
    result = priced(("100", "0.1212", TWENTY_FIVE))
    assert Decimal("0.1234") - Decimal("0.0022") == Decimal("0.1212")
    assert (result.net_total, result.tax_total, result.gross_total) == (
        Decimal("12.12"),
        Decimal("3.03"),
        Decimal("15.15"),
    )


def test_oasis_quotation_example() -> None:
    # OASIS UBL 2.1, Quotation example: 35 × 4300, 1250, 50, 50 at 25 %: lines 150 500, 43 750,
    # 1750, 1750; net 197 750.00; tax 49 437.50; total 247 187.50. (The file prints the tax in its
    # TaxExclusiveAmount, a slip that is not followed here.)
    result = priced(
        *(("35", unit_price, TWENTY_FIVE) for unit_price in ("4300", "1250", "50", "50"))
    )
    assert [line.net for line in result.lines] == [150_500, 43_750, 1750, 1750]
    assert result.net_total == Decimal("197750.00")
    assert result.taxable_total == Decimal("197750.00")
    assert result.tax_total == Decimal("49437.50")
    assert result.gross_total == Decimal("247187.50")


@pytest.mark.parametrize(
    ("quantity", "unit_price", "printed", "true_net"),
    [
        # EN 16931 UBL example 1 prints −109.98 for 6 × 18.33, example 2 prints 1273.00 for
        # 2 × 1273.00. Their validator ties no line amount to quantity and price: ours does.
        ("6", "18.33", "-109.98", "109.98"),
        ("2", "1273.00", "1273.00", "2546.00"),
    ],
)
def test_two_printed_line_amounts_are_not_followed(
    quantity: str, unit_price: str, printed: str, true_net: str
) -> None:
    net = priced((quantity, unit_price, SIX)).net_total
    assert net == Decimal(true_net)
    assert net != Decimal(printed)
    assert priced(("-6", "18.33", SIX)).net_total == Decimal("-109.98")


@pytest.mark.parametrize(
    ("gross", "rate", "tax"),
    [
        # United Kingdom rates 20 % and 5 %: a sixth and a twenty-first of the gross. Computed.
        ("120.00", "0.20", "20.00"),
        ("99.99", "0.20", "16.67"),  # 16.665, half-up
        ("99.99", "0.05", "4.76"),
        ("120.00", "0", "0.00"),
    ],
)
def test_tax_in_a_gross_price(gross: str, rate: str, tax: str) -> None:
    found = tax_in_gross(gross=Decimal(gross), tax_rate=Decimal(rate), currency="GBP")
    assert found == Decimal(tax)


@pytest.mark.parametrize(
    ("count", "unit_price", "on_the_sum", "by_line"),
    [
        # HMRC VATREC12010 and 12030, Notice 700 sections 17.5 and 17.6: either level, one of them
        # throughout; retailers half-up to the nearest penny. Values computed from that at 20 %.
        (3, "1.02", "0.61", "0.60"),
        (33, "0.12", "0.79", "0.66"),
        (5, "9.99", "9.99", "10.00"),
        (10, "0.33", "0.66", "0.70"),
    ],
)
def test_tax_on_the_sum_and_by_line_differ_as_they_must(
    count: int, unit_price: str, on_the_sum: str, by_line: str
) -> None:
    lines = [("1", unit_price, Decimal("0.2"))] * count
    assert priced(*lines, currency="GBP").tax_total == Decimal(on_the_sum)
    assert priced(*lines, currency="GBP", tax_rounding="line").tax_total == Decimal(by_line)


@pytest.mark.parametrize(
    ("value", "half_up"),
    [
        # HMRC VATREC12020: below half a penny down, half and above up. Computed in decimal.
        ("2.675", "2.68"),
        ("1.005", "1.01"),
        ("0.004", "0.00"),
        ("0.005", "0.01"),
    ],
)
def test_half_a_penny_goes_up(value: str, half_up: str) -> None:
    assert rounded(Decimal(value), "GBP") == Decimal(half_up)


def test_a_quarter_of_1460_50_is_365_13() -> None:
    # Computed: 1460.50 × 25 % = 365.125. Rounding half to even, or in binary, gives 365.12.
    exact = Decimal("1460.50") * Decimal("0.25")
    assert exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_EVEN) == Decimal("365.12")
    assert priced(("1", "1460.50", TWENTY_FIVE)).tax_total == Decimal("365.13")


@pytest.mark.parametrize(
    ("currency", "digits"),
    [
        # ISO 4217 minor units, as Babel (CLDR) and the package iso4217 both give them.
        *((code, 2) for code in ("GBP", "EUR", "USD", "CHF", "HUF")),
        *((code, 0) for code in ("JPY", "ISK")),
        *((code, 3) for code in ("KWD", "BHD")),
        ("CLF", 4),
    ],
)
def test_minor_units_of_iso_4217(currency: str, digits: int) -> None:
    assert minor_digits(currency) == digits
    assert get_currency_precision(currency) == digits
    unit_price = Decimal("1.23456")
    net = price(
        lines=[PriceLine(key="a", quantity=Decimal(1), unit_price=unit_price, tax_rate=None)],
        currency=currency,
    ).net_total
    assert -net.as_tuple().exponent == digits


@pytest.mark.parametrize(
    ("currency", "digits"),
    # ISO 4217 list one of 2026-01-01, as carried by the package iso4217 1.16. CLDR gives these 0,
    # after the coins in use.
    [("RSD", 2), ("ALL", 2), ("LBP", 2), ("IQD", 3), ("MMK", 2), ("YER", 2)],
)
def test_where_coins_in_use_differ_iso_4217_is_followed(currency: str, digits: int) -> None:
    assert get_currency_precision(currency) == 0
    assert minor_digits(currency) == digits
