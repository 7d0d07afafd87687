"""Small pieces of the look: symbols and shares. They only format."""

import uuid

from django import template
from django.db.models.fields import BLANK_CHOICE_LABEL
from django.forms import BoundField
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag
def symbol(name: str, title: str = "", css: str = "") -> SafeString:
    """A drawing from static/icons/symbols.svg. Without a title it is decoration beside a word."""
    href = f"{static('icons/symbols.svg')}#{name}"
    css = f"symbol {css}".strip()
    if title:
        return format_html(
            '<svg class="{}" role="img" aria-label="{}"><use href="{}"></use></svg>',
            css,
            title,
            href,
        )
    return format_html('<svg class="{}" aria-hidden="true"><use href="{}"></use></svg>', css, href)


@register.simple_tag
def state(kind: str, word: str) -> SafeString:
    """A state as a word with its own shape: stop, look, good, note or pending."""
    return format_html('<span class="state {}">{}{}</span>', kind, symbol(kind), word)


@register.simple_tag
def new_key() -> str:
    """A key for one deed: sent twice by accident, it is done once."""
    return str(uuid.uuid4())


@register.filter
def may_be_left(field: BoundField) -> bool:
    """Whether "if any" belongs beside the field's name: it may be left empty and does not say so.

    A choice whose empty entry has words of its own ("the whole house", "unknown") says so itself.
    """
    if field.field.required:
        return False
    choices = getattr(field.field, "choices", ())
    empty = next((label for value, label in choices if value in ("", None)), BLANK_CHOICE_LABEL)
    return str(empty).strip("- –") in ("", str(BLANK_CHOICE_LABEL).strip("- –"))


@register.filter
def hundredths(share: object) -> str:
    """A share as hundredths for an SVG attribute, never below 0, nor above 100: 0.5 gives '50'."""
    value = min(max(float(str(share)), 0.0), 1.0) * 100
    return f"{value:.4g}"


@register.filter
def opacity(level: object) -> str:
    """A light's level in percent as the opacity that looks like it: 0 → '0', 10 → '0.35', 100 → '1'.

    The eye answers to light by less than its measure, so a lamp at 10 % must not look dark.
    """
    share = min(max(float(str(level)), 0.0), 100.0) / 100
    return f"{share**0.45:.3g}"
