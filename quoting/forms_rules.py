"""Forms of the rules of selling, factors, hours, options and letters."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from catalogue.kinds import Operation
from quoting.forms import PercentField
from quoting.models import AccessFactor, QuotingRules, SellingRule


class RulesForm(forms.Form):
    limit_designer = PercentField(label=_("Designers may give"))
    limit_office = PercentField(label=_("The office may give"))
    limit_manager = PercentField(label=_("Managers may give"))
    minimum_margin = PercentField(
        label=_("Least margin"),
        required=False,
        help_text=_("Below it a quote stops until a manager lets it pass. Empty: no guard."),
    )
    target_margin = PercentField(label=_("Margin aimed at"), required=False)
    taste_step = NumberField(
        label=_("Worked-out prices go in steps of"),
        required=False,
        min_value=0,
        max_value=10**5,
        max_digits=9,
        decimal_places=3,
        help_text=_("Empty: to the smallest coin."),
    )
    taste_ending = NumberField(
        label=_("and end in"), min_value=0, max_digits=9, decimal_places=3, initial=0
    )
    taste_rounding = forms.ChoiceField(
        label=_("rounded"), choices=QuotingRules.TasteRounding.choices
    )
    call_out_hours = NumberField(
        label=_("Least hours of a job"), unit="h", min_value=0, max_value=100, decimal_places=2
    )
    hours_per_day = NumberField(
        label=_("Hours of a working day"), unit="h", min_value=1, max_value=24, decimal_places=2
    )
    crew = WholeField(
        label=_("People who work together"),
        min_value=1,
        max_value=20,
        required=False,
        help_text=_("The hours of a job are everybody's; so many share its days."),
    )
    delivery_share = PercentField(
        label=_("Due on delivery"),
        required=False,
        help_text=_(
            "In new quotes, beside the deposit of the business's terms; the rest is due on completion."
        ),
    )
    pack_goes = forms.ChoiceField(
        label=_("Pack and orders go out"),
        choices=QuotingRules.PackGoes.choices,
        required=False,
        help_text=_(
            "The electrician's pack, and what to order and to engrave. Held back, a manager can let "
            "them go, with a reason."
        ),
    )
    remind_days = WholeField(label=_("Ask again after"), unit=_("days"), min_value=1, max_value=90)
    numbers_by_year = forms.BooleanField(label=_("Numbers begin anew each year"), required=False)
    assumptions = forms.CharField(
        label=_("Assumed in every quote, one a line"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    exclusions = forms.CharField(
        label=_("Not part of any quote, one a line"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_(
            "For instance making good, tower or scaffold, work at the consumer unit, asbestos, "
            "parking, skip, decoration."
        ),
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        values["crew"] = values.get("crew") or 1
        values["delivery_share"] = values.get("delivery_share") or Decimal(0)
        values["pack_goes"] = values.get("pack_goes") or QuotingRules.PackGoes.AT_ONCE
        step, ending = values.get("taste_step"), values.get("taste_ending")
        if step == 0:
            self.add_error("taste_step", _("Above 0, or empty."))
        elif step is not None and ending is not None and ending >= step:
            self.add_error("taste_ending", _("Below the step."))
        return values


class SellingRuleForm(forms.Form):
    place = forms.ChoiceField(label=_("Kind or supplier"), required=False)
    reference = forms.CharField(
        label=_("or a product, by its reference"), max_length=120, required=False
    )
    sell_by = forms.ChoiceField(label=_("Sold by"), choices=SellingRule.SellBy)
    share = NumberField(
        label=_("Margin or mark-up"),
        unit="%",
        required=False,
        min_value=0,
        max_value=900,
        decimal_places=2,
        help_text=_("A margin is below 100 %."),
    )
    from_day = forms.DateField(
        label=_("For prices from"),
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text=_(
            "Today or later. Quotes priced as of an earlier day keep the rules of that day."
        ),
    )

    def __init__(self, *args: Any, places: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].choices = [("", "–"), *places]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        place, reference = values.pop("place", ""), values.pop("reference", "").strip()
        if bool(place) == bool(reference) and "place" not in self.errors:
            self.add_error("place", _("Choose a kind or a supplier, or write a reference: one."))
        scope, _bar, about = place.partition("|")
        values |= {"scope": scope or "product", "about": about or reference}
        share, sell_by = values.get("share"), values.get("sell_by")
        if sell_by in (SellingRule.SellBy.LIST, SellingRule.SellBy.NONE):
            values["share"] = None
            return values
        if share is None and "share" not in self.errors:
            self.add_error("share", _("Say how much."))
        elif share is not None and sell_by == SellingRule.SellBy.MARGIN and share >= 100:
            self.add_error("share", _("A margin is below 100 %."))
        elif share is not None:
            values["share"] = share / 100
        return values


class FactorForm(forms.Form):
    what = forms.ChoiceField(label=_("Where"), choices=AccessFactor.What.choices)
    up_to_m = NumberField(
        label=_("Height"), unit="m", required=False, min_value=1, max_value=50, decimal_places=2
    )
    factor = NumberField(
        label=_("Factor"), min_value=Decimal("0.1"), max_value=20, decimal_places=3
    )


class HoursForm(forms.Form):
    operation = forms.ChoiceField(label=_("Operation"), choices=Operation.choices)
    hours = NumberField(label=_("Hours"), unit="h", min_value=0, max_value=10_000, decimal_places=2)
    day = forms.DateField(
        label=_("Day"), widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
    note = forms.CharField(label=_("Note"), max_length=200, required=False)


class GroupForm(forms.Form):
    name = forms.CharField(label=_("What is to choose"), max_length=120)
    is_one_of = forms.BooleanField(label=_("exactly one of several"), required=False)
    options = forms.CharField(
        label=_("Options, one a line"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Of one-of-several the first is taken unless the client says otherwise."),
    )

    def clean_options(self) -> list[str]:
        names = [each.strip() for each in self.cleaned_data["options"].splitlines()]
        found = [each for each in names if each]
        if any(len(each) > 120 for each in found) or len(found) > 12:
            raise forms.ValidationError(_("At most 12 options of 120 characters each."))
        return found


class WordingForm(forms.Form):
    subject = forms.CharField(label=_("Subject"), max_length=200)
    body = forms.CharField(
        label=_("Text"), max_length=6000, widget=forms.Textarea(attrs={"rows": 12})
    )
