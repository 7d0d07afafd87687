"""Forms of quotes, lines, overrides, links and answers."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from catalogue.kinds import TaxClass
from consult.models import Room
from quoting.models import Link, Quote, QuoteOverride

HUNDRED = Decimal(100)


class PercentField(NumberField):
    """A share that people read and type as percent."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            unit="%", min_value=0, max_value=100, max_digits=5, decimal_places=2, **kwargs
        )

    def clean(self, value: Any) -> Any:
        number = super().clean(value)
        return None if number is None else number / HUNDRED

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal):
            return f"{(value * HUNDRED).normalize():f}"
        return value


class QuoteForm(forms.Form):
    title = forms.CharField(label=_("Title"), max_length=120, required=False)
    discount_share = PercentField(label=_("Discount in all"))
    deposit_share = PercentField(label=_("Deposit"))
    validity_days = WholeField(label=_("Holds for"), unit=_("days"), min_value=1, max_value=365)
    priced_on = forms.DateField(
        label=_("Prices of"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_("Empty: the prices of the day of issue."),
    )
    message = forms.CharField(
        label=_("Message to the client"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class LineForm(forms.Form):
    room = forms.ModelChoiceField(
        label=_("Room"),
        queryset=Room.objects.none(),
        required=False,
        empty_label=_("for the whole job"),
    )
    description = forms.CharField(label=_("What"), max_length=300)
    quantity = NumberField(
        label=_("Quantity"),
        min_value=-100_000,
        max_value=100_000,
        max_digits=10,
        decimal_places=3,
        initial=1,
    )
    unit_price = NumberField(
        label=_("Price each"), min_value=0, max_value=10**7, max_digits=14, decimal_places=4
    )
    unit_cost = NumberField(
        label=_("Cost each"),
        min_value=0,
        max_value=10**7,
        max_digits=14,
        decimal_places=4,
        required=False,
    )
    tax_class = forms.ChoiceField(label=_("Tax class"), choices=TaxClass)
    is_credit = forms.BooleanField(label=_("It is a credit"), required=False)

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(project=quote.project_id)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        quantity = values.get("quantity")
        if quantity is not None and (
            quantity == 0 or (quantity < 0) != bool(values.get("is_credit"))
        ):
            self.add_error("quantity", _("Above 0; below 0 only where it is a credit."))
        return values


class OverrideForm(forms.Form):
    field = forms.ChoiceField(label=_("What is overruled"), choices=QuoteOverride.Field)
    value = forms.CharField(
        label=_("Instead"),
        max_length=300,
        help_text=_("A discount is typed in percent."),
    )
    reason = forms.CharField(label=_("Reason"), max_length=300)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        field, value = values.get("field"), values.get("value")
        if not value or field == "description":
            return values
        try:
            number = NumberField(min_value=0, max_value=10**9).clean(value)
        except forms.ValidationError as error:
            self.add_error("value", error)
            return values
        if field == "discount":
            if number > HUNDRED:
                self.add_error("value", _("A discount is at most 100 %."))
                return values
            number = number / HUNDRED
        values["value"] = str(number)
        return values


class LinkForm(forms.Form):
    for_whom = forms.CharField(label=_("For whom"), max_length=120)
    audience = forms.ChoiceField(label=_("Shows"), choices=Link.Audience)
    email = forms.EmailField(
        label=_("E-mail"), required=False, help_text=_("Needed to mail it, and our answers.")
    )
    days = WholeField(label=_("Works for"), unit=_("days"), min_value=1, max_value=365, initial=30)


class AcceptForm(forms.Form):
    name = forms.CharField(label=_("Your name"), max_length=120)
    role = forms.CharField(
        label=_("You answer as"),
        max_length=120,
        required=False,
        help_text=_("For instance owner, or for whom you sign."),
    )
    agrees = forms.BooleanField(
        label=_("I have read the offer and its terms, and I accept them."),
        error_messages={"required": _("Tick that you have read the terms.")},
    )
    offer_sha256 = forms.CharField(widget=forms.HiddenInput, max_length=64)
    terms_version = forms.CharField(widget=forms.HiddenInput, max_length=40)


class DeclineForm(forms.Form):
    reason = forms.CharField(
        label=_("Why not, if you like to say"),
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class AskForm(forms.Form):
    about = forms.ChoiceField(label=_("About"), required=False)
    text = forms.CharField(
        label=_("Your question"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Write your question.")},
    )

    def __init__(self, *args: Any, places: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["about"].choices = [("", _("the whole offer")), *places]


class AnswerForm(forms.Form):
    answer = forms.CharField(
        label=_("Answer"), max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )
