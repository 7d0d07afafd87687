"""The business's profile and its mark, as typed."""

import re
from decimal import Decimal
from typing import Any

from babel import Locale, UnknownLocaleError
from babel.core import get_global
from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from base.models import Business


class BusinessForm(forms.Form):
    """Everything that documents, prices and checks take from the business."""

    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(label=_("E-mail"), required=False)
    phone = forms.CharField(label=_("Telephone"), max_length=40, required=False)
    address = forms.CharField(
        label=_("Address"), max_length=600, required=False, widget=forms.Textarea
    )
    currency = forms.CharField(
        label=_("Currency"), max_length=3, help_text=_("Three letters, such as GBP.")
    )
    locale = forms.CharField(
        label=_("Way of writing"),
        max_length=12,
        help_text=_("Language and country, such as en_GB."),
    )
    tax_name = forms.CharField(label=_("Name of the tax"), max_length=20)
    tax_number = forms.CharField(label=_("Tax number"), max_length=40, required=False)
    tax_rounding = forms.ChoiceField(
        label=_("Tax is rounded"),
        choices=Business.TaxRounding.choices,
        help_text=_("Stays as it was on quotes already issued."),
    )
    quote_validity_days = WholeField(
        label=_("A quote holds for"), unit=_("days"), min_value=1, max_value=365
    )
    deposit_percent = NumberField(
        label=_("Deposit on acceptance"), unit="%", min_value=0, max_value=100, decimal_places=1
    )
    terms = forms.CharField(
        label=_("Terms"),
        max_length=20_000,
        required=False,
        widget=forms.Textarea,
        help_text=_("Printed with each quote. Have them checked by somebody who knows the law."),
    )
    supply_v = WholeField(label=_("Supply voltage"), unit="V", min_value=100, max_value=400)
    headroom_percent = NumberField(
        label=_("Headroom of drivers"),
        unit="%",
        min_value=0,
        max_value=100,
        decimal_places=1,
        help_text=_("Kept free above the load when a driver is chosen."),
    )

    prices_hold_days = WholeField(
        label=_("A price is old after"),
        unit=_("days"),
        min_value=1,
        max_value=3650,
        help_text=_("Older prices are shown as something to look at."),
    )

    GROUPS = (
        (_("Showroom"), ("name", "email", "phone", "tax_number", "address")),
        (_("Money"), ("currency", "locale", "tax_name", "tax_rounding")),
        (_("Quotes"), ("quote_validity_days", "deposit_percent", "terms")),
        (_("Guide values of checks"), ("supply_v", "headroom_percent", "prices_hold_days")),
    )

    def groups(self) -> list[tuple[Promise, list[forms.BoundField]]]:
        """The fields under their headings, for parts/groups.html."""
        return [(legend, [self[name] for name in names]) for legend, names in self.GROUPS]

    def clean_currency(self) -> str:
        code = str(self.cleaned_data["currency"]).upper()
        if code not in get_global("all_currencies"):
            raise ValidationError(_("Give a code of ISO 4217, such as GBP or EUR."))
        return code

    def clean_locale(self) -> str:
        given = str(self.cleaned_data["locale"]).replace("-", "_")
        try:
            if not re.fullmatch(r"[A-Za-z_]+", given):
                raise ValueError(given)
            return str(Locale.parse(given))
        except (UnknownLocaleError, ValueError) as error:
            raise ValidationError(_("Give a language and a country, such as en_GB.")) from error

    def values(self) -> dict[str, Any]:
        """The profile's fields, percents turned into shares."""
        values = dict(self.cleaned_data)
        values["deposit_share"] = values.pop("deposit_percent") / Decimal(100)
        values["driver_headroom"] = values.pop("headroom_percent") / Decimal(100)
        return values


def typed(business: Business) -> dict[str, Any]:
    """The profile as it would be typed into the form."""
    values = {
        name: getattr(business, name)
        for name in BusinessForm.base_fields
        if hasattr(business, name)
    }
    values["deposit_percent"] = _percent(business.deposit_share)
    values["headroom_percent"] = _percent(business.driver_headroom)
    return values


def differences(form: BusinessForm, business: Business) -> list[tuple[str, object]]:
    """Label and stored value of each field where what was typed differs from what is stored now."""
    stored = typed(business)
    return [
        (str(field.label), stored[field.name])
        for field in form
        if str(field.value() or "").strip() != str(stored[field.name] or "").strip()
    ]


def _percent(share: Decimal) -> str:
    return f"{(Decimal(str(share)) * 100).normalize():f}"


class MarkForm(forms.Form):
    mark = forms.FileField(
        label=_("Mark"),
        help_text=_("PNG, JPEG or WebP; shown on a light and on a dark ground, and printed."),
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )
