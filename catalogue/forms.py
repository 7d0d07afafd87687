"""Forms of the catalogue beside the product's own: one for each deed."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from catalogue.fields import ProductField, ShareField
from catalogue.kinds import Edge, Flicker, Grade, Kind, Operation, TaxClass
from catalogue.models import LabourNorm

NO_SOURCE = "common practice, no source"


def money(label: Any, unit: str = "", **options: Any) -> NumberField:
    return NumberField(
        label=label,
        unit=unit,
        min_value=0,
        max_value=10_000_000,
        max_digits=14,
        decimal_places=4,
        **options,
    )


def day(label: Any) -> forms.DateField:
    return forms.DateField(
        label=label, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )


class FindForm(forms.Form):
    """What the list shows. A wrong value is left out rather than refused: the list still comes."""

    q = forms.CharField(label=_("Find"), max_length=200, required=False)
    kind = forms.ChoiceField(
        label=_("Kind"), choices=[("", _("all kinds")), *Kind.choices], required=False
    )
    state = forms.ChoiceField(
        label=_("State"),
        choices=[("", _("sold")), ("discontinued", _("discontinued"))],
        required=False,
    )


class CopyForm(forms.Form):
    reference = forms.CharField(label=_("Reference of the copy"), max_length=60)
    name = forms.CharField(label=_("Name"), max_length=160)
    with_price = forms.BooleanField(label=_("At the price of today"), required=False, initial=True)


class DiscontinueForm(forms.Form):
    replaced_by = ProductField(
        label=_("What takes its place"),
        required=False,
        help_text=_("Its reference, if there is one."),
    )


class PictureForm(forms.Form):
    picture = forms.FileField(
        label=_("Picture"), help_text=_("PNG, JPEG or WebP; shown wherever a client reads.")
    )


class PriceForm(forms.Form):
    from_day = day(_("From"))
    cost = money(_("Cost"))
    sell = money(_("Sell"))


class SupplierForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    account = forms.CharField(label=_("Our account"), max_length=60, required=False)
    order_email = forms.EmailField(label=_("Orders go to"), required=False)
    lead_days = WholeField(
        label=_("Lead time"), unit=_("working days"), min_value=0, max_value=1000, initial=10
    )
    minimum_order = money(_("Minimum order"), initial=0)
    carriage = money(_("Carriage"), initial=0)


class FamilyForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)


class NormForm(forms.Form):
    operation = forms.ChoiceField(label=_("Operation"), choices=Operation)
    kind = forms.ChoiceField(
        label=_("Kind"), choices=[("", _("any")), *Kind.choices], required=False
    )
    per = forms.ChoiceField(label=_("Per"), choices=LabourNorm.Per)
    minutes = NumberField(
        label=_("Minutes"),
        unit="min",
        min_value=0,
        max_value=100_000,
        max_digits=8,
        decimal_places=2,
    )
    grade = forms.ChoiceField(label=_("Grade"), choices=Grade)
    from_day = day(_("From"))
    source = forms.CharField(
        label=_("Where the figure comes from"),
        max_length=160,
        required=False,
        help_text=_("Empty: common practice, no source."),
    )

    def clean_source(self) -> str:
        return self.cleaned_data["source"] or NO_SOURCE


class RateForm(forms.Form):
    grade = forms.ChoiceField(label=_("Grade"), choices=Grade)
    from_day = day(_("From"))
    cost = money(_("Cost per hour"))
    sell = money(_("Sell per hour"))


class BenchForm(forms.Form):
    load = ProductField(
        label=_("What was tried"), help_text=_("Reference of a lamp, fitting, tape or driver.")
    )
    receiver = ProductField(label=_("On the receiver"))
    edge = forms.ChoiceField(
        label=_("Edge"), choices=[("", _("not said")), *Edge.choices], required=False
    )
    pieces = WholeField(label=_("Pieces on one output"), min_value=1, max_value=1000, initial=1)
    lowest_level = WholeField(
        label=_("Lowest steady level"),
        unit="%",
        required=False,
        min_value=0,
        max_value=100,
        help_text=_("Empty where it was not looked for."),
    )
    flicker = forms.ChoiceField(label=_("Flicker"), choices=Flicker)
    tried_on = day(_("Tried on"))
    note = forms.CharField(label=_("Note"), max_length=300, required=False)


class TaxForm(forms.Form):
    tax_class = forms.ChoiceField(label=_("Tax class"), choices=TaxClass)
    from_day = day(_("From"))
    share = ShareField(label=_("Rate"), required=False, help_text=_("Empty: exempt."))
