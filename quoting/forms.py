"""Forms of quotes, lines, overrides, links and answers."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from catalogue.kinds import TaxClass
from consult.models import Option, Room
from quoting.models import Link, Quote, QuoteOverride
from quoting.models.quotes import DealPlace, Delivery, SellBy

HUNDRED = Decimal(100)
TREATMENTS = [
    ("", "–"),
    ("standard", _("standard rate")),
    ("reduced", _("reduced rate")),
    ("zero", _("zero rate")),
    ("exempt", _("exempt")),
    ("reverse_charge", _("reverse charge")),
    ("outside", _("outside the scope of the tax")),
]


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


#: What is passed on of an order to others: it stands in the internal half of an issue alone.
_OURS_ALONE = ("commission_share", "commission_to", "trade_share", "trade_to")


class QuoteForm(forms.Form):
    title = forms.CharField(label=_("Title"), max_length=120, required=False)
    discount_share = PercentField(label=_("Discount in all"))
    deposit_share = PercentField(label=_("Deposit"))
    delivery_share = PercentField(
        label=_("On delivery"),
        required=False,
        help_text=_("Of the whole, beside the deposit; the rest is due on completion."),
    )
    validity_days = WholeField(label=_("Holds for"), unit=_("days"), min_value=1, max_value=365)
    priced_on = forms.DateField(
        label=_("Prices of"),
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text=_("Empty: the prices of the day of issue."),
    )
    delivery = forms.ChoiceField(label=_("What is offered"), choices=Delivery)
    is_occupied = forms.BooleanField(
        label=_("The house is lived in during the work"), required=False
    )
    sell_by = forms.ChoiceField(
        label=_("Products are sold by"),
        choices=SellBy,
        help_text=_("Where no rule of selling says otherwise for a product, a kind or a supplier."),
    )
    sell_share = NumberField(
        label=_("Margin or mark-up"),
        unit="%",
        required=False,
        min_value=0,
        max_value=900,
        help_text=_("A margin is below 100 %."),
    )
    commission_share = PercentField(
        label=_("Commission"),
        required=False,
        help_text=_("Of the total without tax. For us alone: no client ever sees it."),
    )
    commission_to = forms.CharField(label=_("Commission goes to"), max_length=120, required=False)
    trade_share = PercentField(
        label=_("Trade discount"),
        required=False,
        help_text=_(
            "Of the total without tax, to a party of the trade such as the interior designer. The "
            "offer keeps its full prices: no client ever sees it."
        ),
    )
    trade_to = forms.CharField(label=_("Trade discount goes to"), max_length=120, required=False)
    is_consumer = forms.BooleanField(label=_("The client is a consumer"), required=False)
    deal_place = forms.ChoiceField(
        label=_("Where the deal is made"),
        required=False,
        help_text=_("It decides what a consumer is told of cancelling."),
        choices=[("", _("not recorded")), *DealPlace.choices],
    )
    follow_up_on = forms.DateField(
        label=_("Ask again on"),
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
    )
    message = forms.CharField(
        label=_("Message to the client"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    assumptions = forms.CharField(
        label=_("Assumed in this quote, one a line"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Beside what is assumed in every quote."),
    )
    exclusions = forms.CharField(
        label=_("Not part of this quote, one a line"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_(
            "Beside what is part of none, for instance asbestos, parking, a skip, a tower."
        ),
    )
    effect_on_dates = forms.CharField(
        label=_("Effect on dates"),
        max_length=300,
        required=False,
        help_text=_("For instance: second fix moves by a week."),
    )

    def __init__(
        self, *args: Any, with_costs: bool, is_variation: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if not is_variation:
            del self.fields["effect_on_dates"]
        if not with_costs:  # a margin tells the cost: it is shown and changed where costs are
            for name in ("sell_by", "sell_share", *_OURS_ALONE):
                del self.fields[name]
        share = self.initial.get("sell_share")
        if isinstance(share, Decimal):
            self.initial["sell_share"] = f"{(share * HUNDRED).normalize():f}"

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        deposit, later = values.get("deposit_share"), values.get("delivery_share") or Decimal(0)
        values["delivery_share"] = later
        if deposit is not None and deposit + later > 1:
            self.add_error("delivery_share", _("Deposit and delivery are at most 100 % together."))
        for part, whom in (("commission_share", "commission_to"), ("trade_share", "trade_to")):
            if part in values:
                values[part] = values[part] or Decimal(0)
                if values[part] and not values.get(whom):
                    self.add_error(whom, _("Say who it goes to."))
        share, sell_by = values.get("sell_share"), values.get("sell_by")
        if share is not None:
            values["sell_share"] = share / HUNDRED
        if sell_by in {"margin", "markup"} and share is None and "sell_share" not in self.errors:
            self.add_error("sell_share", _("Say how much."))
        if sell_by == "margin" and share is not None and share >= HUNDRED:
            self.add_error("sell_share", _("A margin is below 100 %."))
        return values


class DiscountForm(forms.Form):
    place = forms.ChoiceField(label=_("On"))
    share = PercentField(label=_("Discount"))
    reason = forms.CharField(label=_("Reason"), max_length=300)

    def __init__(self, *args: Any, places: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].choices = places

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        scope, _bar, about = values.pop("place", "").partition("|")
        if values.get("share") == 0:
            self.add_error("share", _("Above 0; remove a discount that is not given."))
        return {**values, "scope": scope, "about": about}


class OptionField(forms.ModelChoiceField):
    """A choice of an option, told with its group."""

    def label_from_instance(self, option: Option) -> str:
        return f"{option.group.name}: {option.name}"


class LineForm(forms.Form):
    room = forms.ModelChoiceField(
        label=_("Room"),
        queryset=Room.objects.none(),
        required=False,
        empty_label=_("for the whole job"),
    )
    option = OptionField(
        label=_("Comes with an option only"),
        queryset=Option.objects.none(),
        required=False,
        empty_label=_("in any case"),
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
    tax_treatment = forms.ChoiceField(
        label=_("Treated otherwise"),
        required=False,
        choices=TREATMENTS,
        help_text=_("Which applies is for the business to decide."),
    )
    tax_reason = forms.CharField(label=_("Evidence held"), max_length=300, required=False)
    is_credit = forms.BooleanField(label=_("It is a credit"), required=False)

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(project=quote.project_id)
        options = Option.objects.filter(project=quote.project_id, is_by_switches=False)
        self.fields["option"].queryset = options.select_related("group")
        if not options.exists():
            del self.fields["option"]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        quantity = values.get("quantity")
        if quantity is not None and (
            quantity == 0 or (quantity < 0) != bool(values.get("is_credit"))
        ):
            self.add_error("quantity", _("Above 0; below 0 only where it is a credit."))
        if values.get("tax_treatment") and not values.get("tax_reason"):
            self.add_error("tax_reason", _("Say on what evidence it is treated so."))
        return values


class EveningForm(forms.Form):
    hours = NumberField(label=_("Hours"), unit="h", min_value=0, max_value=100, decimal_places=2)


class TreatmentForm(forms.Form):
    part = forms.ChoiceField(
        label=_("Which lines"),
        choices=[("all", _("all")), ("goods", _("all but labour")), ("labour", _("labour"))],
    )
    treatment = forms.ChoiceField(
        label=_("Tax treatment"),
        required=False,
        choices=[("", _("as the catalogue has it")), *TREATMENTS[1:]],
        help_text=_("Which applies is for the business to decide."),
    )
    reason = forms.CharField(label=_("Evidence held"), max_length=300, required=False)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("treatment") and not values.get("reason"):
            self.add_error("reason", _("Say on what evidence it is treated so."))
        return values


class OverrideForm(forms.Form):
    field = forms.ChoiceField(label=_("What is overruled"), choices=QuoteOverride.Field)
    value = forms.CharField(
        label=_("Instead"),
        max_length=300,
        required=False,
        help_text=_("A discount is typed in percent."),
    )
    treatment = forms.ChoiceField(
        label=_("Tax treatment"),
        required=False,
        choices=TREATMENTS,
        help_text=_(
            "Which applies is for the business to decide. The reason is the evidence held."
        ),
    )
    reason = forms.CharField(label=_("Reason"), max_length=300)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        treatment = values.pop("treatment", "")
        if values.get("field") == "tax_treatment":
            values["value"] = treatment
        field, value = values.get("field"), values.get("value")
        if not value:
            self.add_error("value", _("Say what stands there instead."))
        if not value or field in {"description", "tax_treatment"}:
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


class PaymentForm(forms.Form):
    """Money that came in, in the currency of the order."""

    amount = NumberField(label=_("Amount"), max_digits=14)
    day = forms.DateField(
        label=_("Came in on"), widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
    how = forms.CharField(
        label=_("How it came"), max_length=120, help_text=_("For instance by bank transfer.")
    )

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["amount"].unit = currency  # type: ignore[attr-defined]


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
    asks_early_start = forms.BooleanField(
        label=_("Begin before the 14 days to cancel are over."),
        required=False,
        help_text=_("If you then cancel, you pay for what was done. You need not tick this."),
    )
    offer_sha256 = forms.CharField(widget=forms.HiddenInput, max_length=64)
    terms_version = forms.CharField(widget=forms.HiddenInput, max_length=40)

    def __init__(self, *args: Any, may_cancel: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not may_cancel:  # asked only where there are days to wait for
            del self.fields["asks_early_start"]


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
