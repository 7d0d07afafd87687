"""Exact money: minor units, half-up rounding, sharing out, reading and printing.

Everything is ``Decimal``; an int is taken as a whole number; a float is always refused, because it
has lost the decimal it was written as (2.675 is stored as 2.67499…, and rounds the wrong way).
"""

import re
from collections.abc import Iterable, Sequence
from copy import copy
from decimal import (
    ROUND_FLOOR,
    ROUND_HALF_UP,
    Context,
    Decimal,
    DivisionByZero,
    InvalidOperation,
    Overflow,
)
from functools import cache, reduce

from babel import Locale
from babel.core import UnknownLocaleError
from babel.numbers import (
    NumberFormatError,
    NumberPattern,
    get_currency_precision,
    get_currency_symbol,
    list_currencies,
    parse_decimal,
)

#: Our own context, so that what a caller does to the thread's context changes no penny. Three
#: factors of at most 30 digits are exact in it.
EXACT = Context(
    prec=120, rounding=ROUND_HALF_UP, traps=[InvalidOperation, DivisionByZero, Overflow]
)

_LARGEST_EXPONENT = 15  # below 10^16: more than any job, and no memory is wasted on 1E+999999
_SMALLEST_EXPONENT = -12

#: Where CLDR, which Babel carries, rounds to the coins in use while ISO 4217 names a minor unit:
#: ISO 4217 list one of 2026-01-01, as carried by the package iso4217 1.16.
_ISO_DIGITS = {
    **dict.fromkeys(("AFN", "ALL", "IRR", "KPW", "LAK", "LBP", "MGA"), 2),
    **dict.fromkeys(("MMK", "RSD", "SOS", "SYP", "YER"), 2),
    "IQD": 3,
}
#: ISO 4217 gives these no minor unit: metals, bond units, funds, tests. Nobody quotes in them.
_NOT_MONEY = frozenset(
    ("XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR", "XPD", "XPT", "XSU", "XTS", "XUA", "XXX")
)


def exact(name: str, value: Decimal | int) -> Decimal:
    """Return the value as a Decimal that can be calculated with exactly.

    Raises ValueError, naming ``name``, unless it is a finite Decimal or int, below 10^16, with at
    most 12 decimals.

    >>> exact("quantity", 3)
    Decimal('3')
    """
    if isinstance(value, bool) or not isinstance(value, Decimal | int):
        raise ValueError(f"{name} must be a Decimal, got {value!r}")
    number = value if isinstance(value, Decimal) else Decimal(value)
    if not number.is_finite():
        raise ValueError(f"{name} must be a finite number, got {value!r}")
    if number and number.adjusted() > _LARGEST_EXPONENT:
        raise ValueError(f"{name} must be below 10^{_LARGEST_EXPONENT + 1}")
    if _exponent(number) < _SMALLEST_EXPONENT:
        raise ValueError(f"{name} must have at most {-_SMALLEST_EXPONENT} decimals, got {value!r}")
    # Zero has no sign in trade: -0.00 would print as it stands.
    return number if number else number.copy_abs()


def share(name: str, value: Decimal | int) -> Decimal:
    """Return a share from 0 to 1; raises ValueError for anything else, such as 20 for 20 %."""
    number = exact(name, value)
    if not 0 <= number <= 1:
        raise ValueError(f"{name} must be a share from 0 to 1, got {value!r}")
    return number


def minor_digits(currency: str) -> int:
    """Return how many decimals the currency's minor unit has, by ISO 4217.

    Raises ValueError for a code that is no currency in upper-case letters.

    >>> minor_digits("GBP"), minor_digits("JPY"), minor_digits("KWD")
    (2, 0, 3)
    """
    if not isinstance(currency, str) or currency not in _digits_by_currency():
        raise ValueError(f"currency must be an ISO 4217 code such as GBP, got {currency!r}")
    return _digits_by_currency()[currency]


def minor_unit(currency: str) -> Decimal:
    """Return the smallest amount, such as Decimal('0.01') for GBP."""
    return Decimal(1).scaleb(-minor_digits(currency))


def rounded(value: Decimal, currency: str) -> Decimal:
    """Return the amount in whole minor units, half away from zero (half-up for what is owed).

    >>> rounded(Decimal("1.005"), "GBP"), rounded(Decimal("-1.005"), "GBP")
    (Decimal('1.01'), Decimal('-1.01'))
    """
    amount = value.quantize(minor_unit(currency), context=EXACT)
    return amount if amount else amount.copy_abs()


def amount(name: str, value: Decimal | int, currency: str) -> Decimal:
    """Return an amount that is already in whole minor units; raises ValueError where it is not."""
    number = exact(name, value)
    money = rounded(number, currency)
    if money != number:
        raise ValueError(f"{name} must be in whole minor units of {currency}, got {value!r}")
    return money


def to_minor(value: Decimal | int, currency: str) -> int:
    """Return the amount as a count of minor units, for whole-number optimisation."""
    return int(amount("amount", value, currency).scaleb(minor_digits(currency), context=EXACT))


def from_minor(count: int, currency: str) -> Decimal:
    """Return a count of minor units as an amount."""
    return rounded(Decimal(count).scaleb(-minor_digits(currency), context=EXACT), currency)


def added(values: Iterable[Decimal]) -> Decimal:
    """Return the exact sum, whatever the thread's context."""
    return reduce(EXACT.add, values, Decimal(0))


def total(values: Iterable[Decimal], currency: str) -> Decimal:
    """Return the exact sum, with the currency's decimals."""
    return rounded(added(values), currency)


def apportion(exact_parts: Sequence[Decimal], whole: Decimal, currency: str) -> tuple[Decimal, ...]:
    """Return amounts in whole minor units, near the exact parts, that add up to ``whole``.

    Each part is rounded down; the minor units left over go one each to the parts that lost most,
    the earlier first among equals (the method of largest remainders). Parts may be below 0.
    Raises ValueError where the whole is further from the sum of the parts than rounding explains.
    """
    digits = minor_digits(currency)
    scaled = [part.scaleb(digits, context=EXACT) for part in exact_parts]
    floors = [part.to_integral_value(rounding=ROUND_FLOOR, context=EXACT) for part in scaled]
    left = to_minor(whole, currency) - sum(int(floor) for floor in floors)
    if not 0 <= left <= len(floors):
        raise ValueError(f"parts do not add up to {whole}")
    by_loss = sorted(
        range(len(floors)), key=lambda index: EXACT.subtract(floors[index], scaled[index])
    )
    raised = set(by_loss[:left])
    return tuple(
        from_minor(int(floor) + (index in raised), currency) for index, floor in enumerate(floors)
    )


def share_out(whole: Decimal, weights: Sequence[Decimal], currency: str) -> tuple[Decimal, ...]:
    """Return the whole shared out by weights of at least 0, to the last minor unit.

    >>> share_out(Decimal("100.00"), [Decimal(1)] * 3, "GBP")
    (Decimal('33.34'), Decimal('33.33'), Decimal('33.33'))
    """
    if any(weight < 0 for weight in weights) or not any(weights):
        raise ValueError("weights must be at least 0, and one of them above 0")
    weight_sum = added(weights)
    parts = [EXACT.divide(EXACT.multiply(whole, weight), weight_sum) for weight in weights]
    return apportion(parts, whole, currency)


def parse(text: str, *, currency: str, locale: str) -> Decimal:
    """Return the amount that a person typed in their locale, in whole minor units.

    Raises ValueError where it is not a number of that locale or finer than the minor unit.

    >>> parse("1,250.50", currency="GBP", locale="en_GB")
    Decimal('1250.50')
    """
    try:
        number = parse_decimal(text.strip(), locale=_locale(locale), strict=True)
    except NumberFormatError as error:
        raise ValueError(f"{text!r} is not an amount") from error
    return amount("amount", number, currency)


def printed(value: Decimal, *, currency: str, locale: str) -> str:
    """Return the amount as the locale prints it, with the decimals of ISO 4217.

    >>> printed(Decimal("1250.5"), currency="GBP", locale="en_GB")
    '£1,250.50'
    """
    place = _locale(locale)
    money = amount("amount", value, currency)
    pattern = _pattern(currency, locale)
    return str(pattern.apply(money, place, currency=currency, currency_digits=False))


@cache
def _pattern(currency: str, locale: str) -> NumberPattern:
    place = _locale(locale)
    pattern: NumberPattern = copy(place.currency_formats["standard"])
    pattern.frac_prec = (minor_digits(currency),) * 2
    if get_currency_symbol(currency, place)[-1:].isalpha():
        # CLDR currencySpacing, which Babel leaves out: KWD 1.500, never KWD1.500.
        above, below = (re.sub("¤$", "¤\xa0", each) for each in pattern.prefix)
        pattern.prefix = (above, below)
    return pattern


@cache
def _digits_by_currency() -> dict[str, int]:
    return {
        code: _ISO_DIGITS.get(code, get_currency_precision(code))
        for code in list_currencies() - _NOT_MONEY
    }


@cache
def _locale(name: str) -> Locale:
    try:
        return Locale.parse(name.replace("-", "_"))
    except (UnknownLocaleError, ValueError) as error:
        raise ValueError(f"locale must be one such as en_GB, got {name!r}") from error


def _exponent(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int)  # the number is finite
    return exponent
