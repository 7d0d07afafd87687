"""Codes in words for the room sheet. They only format."""

from django import template

from catalogue.kinds import LoadKind
from consult import words
from consult.kinds import ButtonDoes, Trade

register = template.Library()


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
