"""Figures and codes of the plan as pages show them. They only format."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from consult import words
from consult.diagram import CHANNEL_NAMES
from consult.kinds import FixedKind

register = template.Library()


@register.simple_tag
def percent(share: float) -> str:
    """A share as percent, to a tenth: 0.031 gives '3.1 %'."""
    return f"{share * 100:.1f} %"


@register.simple_tag
def meter(value: float, most: float | None, kind: str, name: str) -> SafeString:
    """A load against its limit as a bar with a title; nothing where there is no limit."""
    if not most:
        return SafeString("")
    share = min(max(value / most, 0.0), 1.0) * 100
    title = _("%(name)s: %(value)s of %(most)s W") % {
        "name": name,
        "value": f"{value:.1f}",
        "most": f"{most:.0f}",
    }
    return format_html(
        '<svg class="bar {}" viewBox="0 0 100 8" preserveAspectRatio="none" role="img">'
        '<title>{}</title><rect class="track" width="100" height="8"/>'
        '<rect class="part" width="{}" height="8"/></svg>',
        kind,
        title,
        f"{share:.4g}",
    )


@register.filter
def channel(load_kind: str, number: int) -> str:
    """The name of a colour circuit's channel."""
    names = CHANNEL_NAMES.get(load_kind, ())
    return names[number - 1] if 0 < number <= len(names) else str(number)


@register.filter
def fixed_kind(value: str) -> str:
    return str(dict(FixedKind.choices).get(value, value))


@register.filter
def switching_piece(code: str) -> str:
    return words.piece(code)


@register.filter
def lack(code: str) -> str:
    return words.lack(code)


@register.filter
def hours(minutes: float) -> str:
    """Minutes as hours, to a tenth."""
    return f"{minutes / 60:.1f}"
