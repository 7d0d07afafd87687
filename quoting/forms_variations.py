"""Forms of what a variation costs besides: goods sent back, and labour in vain."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField
from quoting.forms import PercentField


class _Of(forms.Form):
    """A form about one of several things of the order."""

    of = forms.ChoiceField()

    def __init__(self, *args: Any, choices: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["of"].choices = list(choices)  # type: ignore[attr-defined]


class RestockingForm(_Of):
    of = forms.ChoiceField(label=_("What is sent back"))
    quantity = NumberField(
        label=_("How many"), min_value=0, max_value=10**6, max_digits=10, decimal_places=3
    )
    share = PercentField(label=_("Kept of its price"))


class InVainForm(_Of):
    of = forms.ChoiceField(label=_("Labour in vain"))
    hours = NumberField(label=_("Hours"), unit="h", min_value=0, max_value=10_000, decimal_places=2)
