"""Codes in words for the room sheet. They only format."""

from decimal import Decimal
from typing import Any

from django import template
from django.conf import settings
from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from base.once import Kept
from catalogue.kinds import LoadKind
from consult import words
from consult.kinds import ButtonDoes, Trade
from consult.sheet import CircuitRow

register = template.Library()
_cards: Kept[SafeString] = Kept(4000)


@register.simple_tag
def circuit_card(row: CircuitRow) -> SafeString:
    """The card of a circuit. It shows the circuit alone, to everybody alike, and so is kept with it."""

    def card() -> SafeString:
        return render_to_string("consult/_circuit.html", {"row": row})

    return card() if settings.DEBUG else _cards.get((row, get_language()), card)


@register.filter
def load_kind(value: str) -> str:
    return str(dict(LoadKind.choices).get(value, value))


@register.filter
def trade(value: str) -> str:
    return str(dict(Trade.choices).get(value, value))


@register.filter
def gap_words(code: str) -> str:
    return words.gap(code)


@register.filter
def reason_words(code: str) -> str:
    return words.reason(code)


@register.filter
def does(value: str) -> str:
    return str(dict(ButtonDoes.choices).get(value, value))


@register.filter
def of_key(named: dict[str, str], key: str) -> str:
    return named.get(key, "")


ASKED = {
    "product": _("Which one?"),
    "same": _("Which pieces?"),
    "pieces": _("How many in all?"),
    "length_m": _("How long?"),
    "feed": _("Which part of it?"),
    "layer": _("For which layer?"),
    "load_kind": _("Driven how?"),
}


@register.filter
def asked(field: str) -> str:
    """What is asked about a part of a quick line."""
    return str(ASKED[field])


@register.filter
def number_of(value: object, field: str) -> str:
    """A part of a quick line as it is shown: with its sign or unit."""
    if field == "pieces":
        return f"{value} ×"
    if field == "same":
        row: Any = value
        return f"{row.circuit.code}: {row.pieces} × {row.product.shown_name}"
    return f"{value} m" if field == "length_m" else str(getattr(value, "shown_name", value))


@register.filter
def plain(number: Decimal) -> str:
    """A number without trailing zeros: 2.800 gives 2.8."""
    return f"{number.normalize():f}"


AMISS = {
    "driven": _("Not driven as this circuit is"),
    "void": _("Deeper than the ceiling void"),
    "unit": _("Sold by another measure"),
}


@register.filter
def amiss_words(code: str) -> str:
    """What does not fit about a product, in words."""
    return str(AMISS.get(code, code))
