"""Fields of the catalogue's forms: figures, shares, IP codes, and products by their reference."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from catalogue.models import Product

# Two numerals, either of which may be X (IEC 60529, as public texts quote it).
_IP = re.compile(r"(?:IP\s?)?([0-6X][0-9X])", re.ASCII | re.IGNORECASE)


def figure(
    label: Any, unit: Any, *, decimals: int, most: int, least: int = 0, **options: Any
) -> NumberField:
    """A physical figure that may be left empty where it is not known."""
    options.setdefault("required", False)
    if decimals == 0:
        return WholeField(label=label, unit=unit, min_value=least, max_value=most, **options)
    return NumberField(
        label=label,
        unit=unit,
        min_value=least,
        max_value=most,
        decimal_places=decimals,
        max_digits=10,
        **options,
    )


class ShareField(NumberField):
    """A share, typed and shown in percent: 7.5 gives 0.075."""

    def __init__(self, *, least: int = 0, **kwargs: Any) -> None:
        kwargs.setdefault("unit", "%")
        super().__init__(min_value=least, max_value=100, decimal_places=3, max_digits=6, **kwargs)

    def clean(self, value: Any) -> Decimal | None:
        percent = super().clean(value)
        return None if percent is None else percent / 100

    def prepare_value(self, value: Any) -> Any:
        return format((value * 100).normalize(), "f") if isinstance(value, Decimal) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(super().has_changed(self.prepare_value(initial), data))


class IpField(forms.CharField):
    """An IP code: kept as its two numerals, shown with IP before them."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", _("IP code"))
        super().__init__(max_length=5, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        text = str(value or "")
        return f"IP{text}" if len(text) == 2 else text

    def clean(self, value: Any) -> str:
        text = str(super().clean(value)).strip()
        match = _IP.fullmatch(text)
        if match is None:
            raise ValidationError(
                _("An IP code has two numerals, or X for one not tested: IP20, IP65, IPX4.")
            )
        return match[1].upper()

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(super().has_changed(self.prepare_value(initial), data))


class ProductField(forms.CharField):
    """A product, typed by its reference."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("Its reference."))
        super().__init__(max_length=60, **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        return value.reference if isinstance(value, Product) else value

    def clean(self, value: Any) -> Product | None:
        if isinstance(value, Product):
            return value
        text = str(super().clean(value)).strip()
        if not text:
            return None
        product = Product.objects.filter(reference__iexact=text).first()
        if product is None:
            raise ValidationError(_("There is no product with this reference."))
        return product

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(super().has_changed(self.prepare_value(initial), data))
