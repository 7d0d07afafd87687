"""Money and figures of the catalogue as people read them. They only format."""

from decimal import Decimal
from typing import Any

from babel.numbers import format_currency, format_decimal
from django import template

from base.models import Business
from catalogue.kinds import Kind

register = template.Library()


@register.filter
def money(amount: Decimal | None, business: Business) -> str:
    """An amount in the business's currency, with every decimal that a unit price has.

    A price of 0.7935 a metre is shown in full, since rounded it would be another price.
    """
    if amount is None:
        return ""
    return str(
        format_currency(
            amount.normalize(),
            business.currency,
            locale=business.locale,
            decimal_quantization=False,
        )
    )


@register.filter
def figure(value: Any, business: Business) -> str:
    """A figure without idle noughts, with the locale's decimal mark."""
    if value is None or value == "":
        return ""
    number = Decimal(str(value)).normalize()
    return str(format_decimal(number, locale=business.locale, decimal_quantization=False))


@register.filter
def percent(share: Decimal | None, business: Business) -> str:
    """A share in percent: 0.2 gives '20 %'."""
    return "" if share is None else f"{figure(share * 100, business)} %"


KIND_SYMBOLS = {
    Kind.FITTING: "luminaire-recessed",
    Kind.LAMP: "luminaire",
    Kind.TAPE: "luminaire-tape",
    Kind.PROFILE: "luminaire-linear",
    Kind.DRIVER: "driver",
    Kind.RECEIVER: "receiver",
    Kind.KEYPAD: "keypad",
    Kind.SENSOR: "sensor",
    Kind.HUB: "board",
    Kind.REPEATER: "receiver",
    Kind.REMOTE: "push-button",
    Kind.SWITCH_PLATE: "switch",
    Kind.DIMMER: "dimmer",
    Kind.OUTLET: "socket",
    Kind.BLIND: "motor",
    Kind.SERVICE: "person",
}


@register.filter
def kind_symbol(kind: str) -> str:
    """The drawing that stands for a kind; a room's corner where there is none of its own."""
    return KIND_SYMBOLS.get(Kind(kind), "drawing")
