"""Money, days, numbers and drawings of documents, in the offer's own currency and locale."""

import datetime
from decimal import Decimal
from functools import cache
from xml.etree import ElementTree

from babel.dates import format_date
from babel.numbers import format_currency, format_decimal, format_percent
from django import template
from django.contrib.staticfiles import finders
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from base.templatetags.look import opacity
from consult import words as consult_words
from consult.kinds import Dampness, EnclosureKind, Layer
from quoting import money, words
from quoting.documents.pack_reading import SYMBOLS
from quoting.documents.scenes import Lamp
from quoting.offer import Offer, Party

register = template.Library()

SVG = "http://www.w3.org/2000/svg"
LAMPS_IN_A_ROW = 10


@register.filter
def amount(value: Decimal, offer: Offer) -> str:
    """An amount as the offer's locale prints it, with the currency's own decimals and the true minus."""
    printed = money.printed(value, currency=offer.currency, locale=offer.locale)
    return printed.replace("-", "−")


@register.filter
def more_or_less(value: Decimal, offer: Offer) -> str:
    """A difference of price with its sign; the true minus, as numbers are set."""
    sign = "+" if value > 0 else "−" if value < 0 else "±"
    return f"{sign}{amount(value.copy_abs(), offer)}"


@register.filter
def each(value: Decimal, offer: Offer) -> str:
    """A unit price, which may be finer than the currency's smallest coin."""
    if value == money.rounded(value, offer.currency):
        return amount(value, offer)
    return str(
        format_currency(value, offer.currency, locale=offer.locale, decimal_quantization=False)
    )


@register.filter
def day(value: datetime.date, offer: Offer) -> str:
    """A day in full, as the offer's locale writes it."""
    return str(format_date(value, format="long", locale=offer.locale))


@register.filter
def moment(value: datetime.datetime, offer: Offer) -> str:
    """A day and a time of day to the second, with how far its clock stands from UTC."""
    local = timezone.localtime(value)
    offset = f"{local:%z}"
    return f"{day(local.date(), offer)}, {local:%H:%M:%S} (UTC{offset[:3]}:{offset[3:]})"


@register.filter
def figure(value: Decimal | int, offer: Offer) -> str:
    """A number without trailing zeros, as the offer's locale writes it."""
    return str(
        format_decimal(Decimal(value).normalize(), locale=offer.locale, decimal_quantization=False)
    )


@register.filter
def share(value: Decimal, offer: Offer) -> str:
    """A share as percent."""
    return str(format_percent(value.normalize(), locale=offer.locale, decimal_quantization=False))


@register.filter
def unit_text(line: object) -> str:
    """The unit after a quantity; a multiplication sign where things are counted."""
    return words.unit(str(getattr(line, "unit", ""))) or "×"


@register.filter
def by_whom(name: str) -> str:
    return words.trade(name)


@register.filter
def role_word(party: Party) -> str:
    return words.party_role(party.role)


@register.filter
def kind_of_load(code: str) -> str:
    return words.load_kind(code)


@register.filter
def layer_word(code: str) -> str:
    return str(dict(Layer.choices).get(code, code))


@register.filter
def damp_word(code: str) -> str:
    return str(dict(Dampness.choices).get(code, code))


@register.filter
def enclosure_word(code: str) -> str:
    return str(dict(EnclosureKind.choices).get(code, code))


@register.filter
def open_point(code: str) -> str:
    """What keeps a circuit from being planned, in words."""
    return consult_words.gap(code) if code in consult_words.GAPS else consult_words.reason(code)


# --- drawings -----------------------------------------------------------------------------------
@register.simple_tag
def drawn(name: str, title: str) -> SafeString:
    """A symbol of static/icons/symbols.svg drawn in place; a PDF's drawing needs its title."""
    return format_html(
        '<svg class="symbol" viewBox="0 0 24 24" width="24" height="24" fill="none"'
        ' stroke="#23282d" stroke-width="1.5" stroke-linecap="square">'
        "<title>{}</title>{}</svg>",
        title,
        _shapes()[name],
    )


@register.simple_tag
def sign(name: str) -> SafeString:
    """A symbol of the pack's legend, or nothing where there is none."""
    return drawn(name, str(SYMBOLS[name])) if name in SYMBOLS else SafeString()


@cache
def _shapes() -> dict[str, SafeString]:
    """The inside of every symbol, by its name."""
    path = finders.find("icons/symbols.svg")
    root = ElementTree.parse(str(path)).getroot()  # noqa: S314 - our own file
    ElementTree.register_namespace("", SVG)
    found = {}
    for symbol in root.iter(f"{{{SVG}}}symbol"):
        inside = "".join(ElementTree.tostring(child, encoding="unicode") for child in symbol)
        inside = inside.replace(f' xmlns="{SVG}"', "").replace("currentColor", "#23282d")
        found[symbol.attrib["id"]] = mark_safe(inside)  # noqa: S308 - our own file
    return found


@register.simple_tag
def lamps(row: tuple[Lamp, ...], title: str, across: int = LAMPS_IN_A_ROW) -> SafeString:
    """A row of lamps that shine as far as their circuits are up; a dotted ring is left as it was."""
    columns = max(1, min(len(row), across))
    height = 14 * max(1, -(-len(row) // across))
    shapes = format_html_join(
        "",
        '<g><title>{}</title><circle cx="{}" cy="{}" r="5" fill="#ffd489" fill-opacity="{}"'
        ' stroke="#8b959c" stroke-width="0.7"{}/></g>',
        (_lamp(place, lamp, across) for place, lamp in enumerate(row)),
    )
    return format_html(
        '<svg class="lamps" viewBox="0 0 {} {}" width="{}" height="{}" role="img">'
        "<title>{}</title>{}</svg>",
        14 * columns,
        height,
        14 * columns,
        height,
        title,
        shapes,
    )


def _lamp(place: int, lamp: Lamp, across: int) -> tuple[str, int, int, str, SafeString]:
    dashes = ' stroke-dasharray="1.5 1.5"' if lamp.percent is None else ""
    words_of = lamp.name if lamp.percent is None else f"{lamp.name}: {lamp.percent} %"
    return (
        words_of,
        14 * (place % across) + 7,
        14 * (place // across) + 7,
        opacity(lamp.percent or 0),
        mark_safe(dashes),  # noqa: S308 - one of two texts above
    )
