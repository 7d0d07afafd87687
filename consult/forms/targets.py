"""The form of a target level."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from consult.kinds import HowSure


class TargetForm(forms.Form):
    low_lx = WholeField(label=_("From"), unit="lx", min_value=1, max_value=20_000)
    high_lx = WholeField(label=_("To"), unit="lx", min_value=1, max_value=20_000)
    plane_m = NumberField(
        label=_("Counted above the floor"),
        unit="m",
        required=False,
        min_value=0,
        max_value=3,
        max_digits=4,
        decimal_places=3,
    )
    source = forms.CharField(
        label=_("Source"),
        max_length=200,
        help_text=_("The work and the place in it, or who says so."),
    )
    certainty = forms.ChoiceField(label=_("How sure"), choices=HowSure)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        low, high = values.get("low_lx"), values.get("high_lx")
        if low is not None and high is not None and low > high:
            self.add_error("high_lx", _("The upper level must not be below the lower one."))
        return values
