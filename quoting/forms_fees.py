"""Forms of the design fee."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField
from quoting.models.fees import Treatment


class FeeForm(forms.Form):
    words = forms.CharField(
        label=_("What it is for"),
        max_length=300,
        help_text=_("As it stands on the receipt and the order."),
    )
    net = NumberField(label=_("Amount without tax"), max_digits=14)
    tax_treatment = forms.ChoiceField(
        label=_("Tax treatment"),
        choices=Treatment,
        help_text=_("Which applies is for the business to decide."),
    )
    is_credited = forms.BooleanField(label=_("It is credited on order"), required=False)
    agreed_in = forms.CharField(
        label=_("Where that was agreed"),
        max_length=300,
        required=False,
        help_text=_("For instance: our letter of 3 March."),
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["net"].unit = currency  # type: ignore[attr-defined]


class FeeReceivedForm(forms.Form):
    day = forms.DateField(
        label=_("Came in on"), widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
    how = forms.CharField(
        label=_("How it came"), max_length=120, help_text=_("For instance by bank transfer.")
    )
