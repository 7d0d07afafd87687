"""Money and quantities as people read them. They only format."""

from decimal import Decimal

from babel.numbers import format_currency
from django import template

from quoting import words
from quoting.labour import Factor

register = template.Library()


@register.filter
def of_kind(kind: str, names: dict[str, str]) -> str:
    """The name of a kind of product."""
    return names.get(kind, kind)


@register.filter
def money(value: Decimal | None, business: object) -> str:
    """An amount in the business's currency and locale, with the true minus; a dash for none."""
    if value is None:
        return "–"
    currency = getattr(business, "currency", "GBP")
    locale = getattr(business, "locale", "en_GB")
    return format_currency(value, currency, locale=locale).replace("-", "−")


@register.filter
def more(value: Decimal, business: object) -> str:
    """A difference as money, with its sign; 0 has none."""
    return ("+" if value > 0 else "") + money(value, business)


@register.filter
def quantity(value: Decimal) -> str:
    """A quantity without trailing zeros."""
    return f"{value.normalize():f}"


@register.filter
def percent(value: Decimal | None) -> str:
    """A share as percent, to a tenth."""
    if value is None:
        return "–"
    return f"{(value * 100).quantize(Decimal('0.1')).normalize():f} %"


@register.filter
def operation(value: str) -> str:
    return words.operation(value)


@register.filter
def trade(value: str) -> str:
    return words.trade(value)


@register.filter
def unit_word(value: str) -> str:
    return words.unit(value)


@register.filter
def why_words(code: str) -> str:
    return words.why(code)


@register.filter
def factor_words(value: Factor) -> str:
    return words.factor(value)


@register.filter
def state_word(value: str) -> str:
    return words.state(value)


@register.filter
def state_kind(value: str) -> str:
    """The shape that stands beside a state's word."""
    return {"accepted": "good", "declined": "stop", "expired": "look", "withdrawn": "stop"}.get(
        value, "note"
    )


@register.filter
def treatment(value: str) -> str:
    """A tax treatment in words."""
    return words.treatment(value)


@register.filter
def letter_kind(state: str) -> str:
    """The shape that stands beside a letter's state."""
    return {"sent": "good", "failed": "stop", "unknown": "look", "waiting": "pending"}.get(
        state, "note"
    )


@register.filter
def letter_word(name: str) -> str:
    from base.outbox import KINDS

    return str(KINDS[name].title) if name in KINDS else name
