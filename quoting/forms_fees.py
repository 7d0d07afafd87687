"""Forms of the design fee."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField
from quoting.models.fees import Treatment

_PART = re.compile(r"(?P<percent>\d{1,3}(?:[.,]\d{1,2})?)\s*%?\s+(?P<when>\S.*)", re.ASCII)


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

    parts = forms.CharField(
        label=_("Asked for in parts, one a line"),
        max_length=600,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("The percent first, then when: 50 when we begin. Empty: in one sum."),
    )

    def clean_parts(self) -> list[tuple[Decimal, str]]:
        """Shares and when; each line a percent and words."""
        found = []
        for line in self.cleaned_data["parts"].splitlines():
            if not line.strip():
                continue
            read = _PART.fullmatch(line.strip())
            if read is None or len(read["when"]) > 100:
                raise forms.ValidationError(
                    _("'%(line)s' is not read: write a percent, then when, as 50 when we begin."),
                    params={"line": line.strip()[:60]},
                )
            percent = Decimal(read["percent"].replace(",", "."))
            found.append((percent / 100, read["when"].strip()))
        if len(found) > 6:
            raise forms.ValidationError(_("At most six parts."))
        if found and sum(share for share, _when in found) != 1:
            raise forms.ValidationError(_("The parts of the fee must make 100 % together."))
        return found

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
