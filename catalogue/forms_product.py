"""The form of a product: one for each kind, with the technical block of that kind and its rows."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from catalogue.fields import IpField, ProductField, ShareField, figure
from catalogue.kinds import (
    DIMMED_KINDS,
    FED_KINDS,
    DimmingCurve,
    Edge,
    Kind,
    LoadKind,
    LoadNature,
    Phase,
    TaxClass,
    Unit,
)
from catalogue.models import Family, Part, Supplier
from catalogue.rules import DRIVER_DIMMING, Problem
from catalogue.sheet import ProductSheet

WATTS = {"unit": "W", "min_value": 0, "max_value": 100_000}


class BasicsForm(forms.Form):
    reference = forms.CharField(label=_("Reference"), max_length=60)
    name = forms.CharField(label=_("Name"), max_length=160)
    client_name = forms.CharField(
        label=_("Name for the client"),
        max_length=160,
        required=False,
        help_text=_("Printed instead of the name where a client reads."),
    )
    family = forms.ModelChoiceField(
        label=_("Family"), queryset=Family.objects.all(), to_field_name="name", required=False
    )
    series = forms.CharField(label=_("Series"), max_length=60, required=False)
    finish = forms.CharField(label=_("Finish"), max_length=60, required=False)
    description = forms.CharField(
        label=_("Description"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    unit = forms.ChoiceField(label=_("Sold by the"), choices=Unit, initial=Unit.PIECE)
    sold_length_m = figure(_("Sold length"), "m", decimals=3, most=1000)
    cut_step_m = figure(_("Cut step"), "m", decimals=4, most=100)
    waste_share = ShareField(label=_("Waste"), required=False, initial=0)
    pack_size = WholeField(label=_("Pack size"), min_value=1, max_value=100_000, initial=1)
    order_multiple = WholeField(
        label=_("Ordered in multiples of"), min_value=1, max_value=100_000, initial=1
    )
    phase = forms.ChoiceField(label=_("Phase"), choices=Phase, initial=Phase.SECOND_FIX)
    supplier = forms.ModelChoiceField(
        label=_("Supplier"), queryset=Supplier.objects.all(), to_field_name="name", required=False
    )
    supplier_code = forms.CharField(label=_("Supplier’s code"), max_length=60, required=False)
    lead_days = WholeField(
        label=_("Lead time"),
        unit=_("working days"),
        min_value=0,
        max_value=1000,
        required=False,
        help_text=_("Empty: the supplier’s own."),
    )
    tax_class = forms.ChoiceField(label=_("Tax class"), choices=TaxClass, initial=TaxClass.STANDARD)
    is_made_to_order = forms.BooleanField(label=_("Made to order"), required=False)

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """The fields under their headings."""
        return [(title, [self[name] for name in names]) for title, names in BASIC_GROUPS]

    def clean_waste_share(self) -> Decimal:
        return self.cleaned_data["waste_share"] or Decimal(0)


BASIC_GROUPS: tuple[tuple[Any, tuple[str, ...]], ...] = (
    (
        _("What it is"),
        ("reference", "name", "client_name", "family", "series", "finish", "description"),
    ),
    (
        _("How it is sold"),
        (
            "unit",
            "sold_length_m",
            "cut_step_m",
            "waste_share",
            "pack_size",
            "order_multiple",
            "phase",
            "tax_class",
            "is_made_to_order",
        ),
    ),
    (_("Who supplies it"), ("supplier", "supplier_code", "lead_days")),
)


class FittingForm(forms.Form):
    ip_code = IpField(initial="20")
    protection_class = forms.ChoiceField(
        label=_("Protection class"),
        choices=[("", _("not known")), ("I", "I"), ("II", "II"), ("III", "III")],
        required=False,
    )
    recess_depth_mm = figure(_("Recess depth"), "mm", decimals=0, most=2000)
    cut_out_mm = figure(_("Cut-out"), "mm", decimals=0, most=2000)
    fire_minutes = forms.TypedChoiceField(
        label=_("Fire rating"),
        choices=[("", _("none or not known"))] + [(n, _("%d minutes") % n) for n in (30, 60, 90)],
        coerce=int,
        empty_value=None,
        required=False,
        help_text=_("Of fitting, board and joist together, as its maker tested them."),
    )
    can_be_covered = forms.NullBooleanField(label=_("Insulation may cover it"), required=False)
    weight_kg = figure(_("Weight"), "kg", decimals=2, most=10_000)
    leakage_ma = figure(
        _("Standing leakage to earth"),
        "mA",
        decimals=2,
        most=100,
        help_text=_("Of one piece, with its driver where that is built in."),
    )
    lowest_level = figure(_("Lowest steady level"), "%", decimals=0, most=100)
    dimming_curve = forms.ChoiceField(
        label=_("Dimming curve"),
        choices=DimmingCurve,
        required=False,
        help_text=_("How its light, with its driver, follows the level of the control."),
    )
    lamp_cap = forms.CharField(label=_("Lamp cap"), max_length=12, required=False)
    lamp_count = WholeField(label=_("Lamps"), min_value=0, max_value=200, required=False)

    def clean_lamp_count(self) -> int:
        return self.cleaned_data["lamp_count"] or 0


class FeedForm(forms.Form):
    number = forms.IntegerField(required=False, widget=forms.HiddenInput)
    name = forms.CharField(
        label=_("Name of the feed"),
        max_length=60,
        required=False,
        help_text=_("Where there are several: up, down, fan."),
    )
    load_kinds = forms.MultipleChoiceField(
        label=_("May be driven as"),
        choices=LoadKind,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    is_dimmable = forms.BooleanField(label=_("Can be dimmed"), required=False)
    edge = forms.ChoiceField(
        label=_("Dimming edge"),
        choices=[("", _("not known or none")), *Edge.choices],
        required=False,
    )
    load_nature = forms.ChoiceField(
        label=_("Load nature"), choices=LoadNature, initial=LoadNature.LED
    )
    watts = figure(
        _("Power"),
        "W",
        decimals=3,
        most=100_000,
        help_text=_("Of a tape: per metre, like its light."),
    )
    source_lm = figure(_("Light of the source"), "lm", decimals=1, most=10_000_000)
    luminaire_lm = figure(_("Light that leaves it"), "lm", decimals=1, most=10_000_000)
    cct_k = figure(_("Colour temperature"), "K", decimals=0, least=1000, most=20_000)
    cct_to_k = figure(
        _("up to"), "K", decimals=0, least=1000, most=20_000, help_text=_("Where it can be tuned.")
    )
    cri = figure(_("Colour rendering (Ra)"), "", decimals=0, most=100)
    beam_deg = figure(
        _("Beam angle"),
        "°",
        decimals=1,
        most=360,
        error_messages={"max_value": _("A beam is at most 360° wide.")},
    )
    supply_v = figure(_("Fed with a constant voltage of"), "V", decimals=1, most=1000)
    current_ma = figure(_("or a constant current of"), "mA", decimals=0, most=100_000)
    forward_v = figure(_("at a forward voltage of"), "V", decimals=1, most=1000)
    driver_place = forms.ChoiceField(
        label=_("Driver"),
        choices=[
            ("built-in", _("built in, or none needed")),
            ("in-box", _("comes in the box")),
            ("apart", _("ordered apart")),
        ],
        initial="built-in",
    )
    power_factor = figure(
        _("Power factor"),
        "",
        decimals=2,
        most=1,
        error_messages={"max_value": _("A power factor is at most 1.")},
    )
    max_run_m = figure(_("Longest run from one end"), "m", decimals=2, most=1000)
    ohm_per_m = figure(
        _("Resistance of a tape, out and back"),
        _("Ω per metre"),
        decimals=4,
        most=100,
        help_text=_("From its maker, or measured: then the drop along it is worked out."),
    )


class DriverForm(forms.Form):
    supply_v = figure(_("Constant voltage"), "V", decimals=1, most=1000)
    current_ma = figure(_("or constant current"), "mA", decimals=0, most=100_000)
    forward_from_v = figure(_("Forward voltage from"), "V", decimals=1, most=1000)
    forward_to_v = figure(_("Forward voltage to"), "V", decimals=1, most=1000)
    rating_w = NumberField(label=_("Rating"), max_digits=8, decimal_places=2, **WATTS)
    min_load_w = NumberField(
        label=_("Least load"), max_digits=8, decimal_places=2, required=False, **WATTS
    )
    efficiency = ShareField(label=_("Efficiency"), initial=88, least=1)
    dimmed_by = forms.MultipleChoiceField(
        label=_("Is dimmed by"),
        choices=[(kind.value, kind.label) for kind in DRIVER_DIMMING],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    per_device = forms.CharField(
        label=_("Pieces per protective device"),
        max_length=200,
        required=False,
        help_text=_("As its maker gives them, such as B16: 20, C16: 33."),
    )
    ip_code = IpField(initial="20")
    modules = figure(
        _("Room it takes"),
        _("modules"),
        decimals=0,
        most=100,
        help_text=_("Empty where it is not known: then none is counted."),
    )
    width_mm = figure(_("Width"), "mm", decimals=0, most=10_000)
    depth_mm = figure(_("Depth"), "mm", decimals=0, most=10_000)
    length_mm = figure(_("Length"), "mm", decimals=0, most=10_000)

    def clean_min_load_w(self) -> Decimal:
        return self.cleaned_data["min_load_w"] or Decimal(0)

    def clean_per_device(self) -> dict[str, int]:
        found = {}
        for pair in filter(None, map(str.strip, self.cleaned_data["per_device"].split(","))):
            match = re.fullmatch(r"([A-D]\d{1,3})\s*:\s*(\d{1,4})", pair, re.ASCII)
            if match is None:
                raise ValidationError(_("Give curve and rating with pieces, such as B16: 20."))
            found[match[1]] = int(match[2])
        return found


class ReceiverForm(forms.Form):
    outputs = WholeField(label=_("Outputs"), min_value=1, max_value=64)
    unit_max_w = figure(_("Most over all outputs"), "W", decimals=1, most=100_000)
    supply_v = figure(
        _("Fed by a driver of"),
        "V",
        decimals=1,
        most=1000,
        help_text=_("Empty: fed from the mains."),
    )
    ip_code = IpField(initial="20")
    modules = WholeField(
        label=_("Room it takes"), unit=_("modules"), min_value=1, max_value=200, initial=1
    )
    needs_neutral = forms.BooleanField(label=_("Needs a neutral"), required=False, initial=True)


class LimitForm(forms.Form):
    load_kind = forms.ChoiceField(
        label=_("Load kind"), choices=[("", _("choose")), *LoadKind.choices]
    )
    load_nature = forms.ChoiceField(
        label=_("Load nature"), choices=LoadNature, initial=LoadNature.LED
    )
    min_w = NumberField(label=_("From"), max_digits=8, decimal_places=2, required=False, **WATTS)
    max_w = NumberField(label=_("To"), max_digits=8, decimal_places=2, **WATTS)
    max_pieces = WholeField(
        label=_("Pieces at most"), min_value=1, max_value=10_000, required=False
    )
    edge = forms.ChoiceField(
        label=_("Edge"), choices=[("", _("not said")), *Edge.choices], required=False
    )

    def clean_min_w(self) -> Decimal:
        return self.cleaned_data["min_w"] or Decimal(0)


class KeypadForm(forms.Form):
    scene_buttons = WholeField(label=_("Scene buttons"), min_value=1, max_value=40)
    has_dimming = forms.BooleanField(label=_("Dimming buttons are extra"), required=False)
    has_off = forms.BooleanField(label=_("An off button is extra"), required=False)
    gangs = WholeField(label=_("Gangs"), min_value=1, max_value=8, initial=1)
    back_box_mm = WholeField(
        label=_("Back box depth"), unit="mm", min_value=0, max_value=200, initial=35
    )
    is_battery = forms.BooleanField(label=_("Runs on a battery"), required=False)
    radio_range_m = figure(
        _("Radio range in the open"),
        "m",
        decimals=0,
        least=1,
        most=10_000,
        help_text=_("As its maker states it."),
    )
    engraving_chars = WholeField(
        label=_("Letters per engraved button"), min_value=0, max_value=100, initial=0
    )
    engraving_product = ProductField(label=_("Engraving is ordered as"), required=False)


class PartForm(forms.Form):
    part = ProductField(label=_("Part"))
    per = forms.ChoiceField(label=_("Per"), choices=Part.Per, initial=Part.Per.PIECE)
    quantity = NumberField(
        label=_("Quantity"),
        min_value=0,
        max_value=10_000,
        max_digits=8,
        decimal_places=3,
        initial=1,
    )


class Rows(forms.BaseFormSet):
    """Rows below a product; blank ones are left out. How many come is the form's, within reason."""

    def get_deletion_widget(self) -> forms.Widget:
        return forms.CheckboxInput(attrs={"class": "takes-away"})

    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = _("Take this row away")

    def kept(self) -> list[forms.Form]:
        return [
            form
            for form in self.forms
            if form.cleaned_data
            and not form.cleaned_data.get("DELETE")
            and (form.has_changed() or form in self.initial_forms)
        ]

    def typed(self) -> list[dict[str, Any]]:
        return [
            {name: value for name, value in form.cleaned_data.items() if name != "DELETE"}
            for form in self.kept()
        ]


def rows(form: type[forms.Form], *, extra: int, most: int) -> type[Rows]:
    return forms.formset_factory(
        form,
        formset=Rows,
        extra=extra,
        can_delete=True,
        can_delete_extra=False,
        max_num=most,
        absolute_max=most + 5,
    )


FeedRows = rows(FeedForm, extra=2, most=8)
LimitRows = rows(LimitForm, extra=4, most=44)
PartRows = rows(PartForm, extra=3, most=60)

TECHNICAL_FORMS: dict[str, type[forms.Form]] = {
    **{str(kind): FittingForm for kind in FED_KINDS},
    Kind.DRIVER: DriverForm,
    Kind.RECEIVER: ReceiverForm,
    Kind.KEYPAD: KeypadForm,
}


class ProductForms:
    """All forms of one kind as one: checked together, read together, told apart by prefix."""

    def __init__(
        self, *, kind: str, data: Mapping[str, Any] | None = None, sheet: ProductSheet | None = None
    ) -> None:
        self.kind = kind
        self.picture = sheet.basics.get("picture") if sheet else None
        first = initial_of(sheet) if sheet else {}
        self.basics = BasicsForm(data, initial=first.get("basics"))
        technical = TECHNICAL_FORMS.get(kind)
        self.technical = (
            technical(data, initial=first.get("technical"), prefix="technical")
            if technical
            else None
        )
        self.feeds = (
            FeedRows(data, initial=first.get("feeds"), prefix="feeds")
            if kind in FED_KINDS
            else None
        )
        self.limits = (
            LimitRows(data, initial=first.get("limits"), prefix="limits")
            if kind == Kind.RECEIVER
            else None
        )
        self.parts = PartRows(data, initial=first.get("parts"), prefix="parts")

    def _all(self) -> list[Any]:
        every = [self.basics, self.technical, self.feeds, self.limits, self.parts]
        return [each for each in every if each is not None]

    def is_valid(self) -> bool:
        # Every form is asked, so that every error shows at once.
        answers = [each.is_valid() for each in self._all()]
        return all(answers)

    def sheet(self) -> ProductSheet:
        """What was typed. Only after is_valid()."""
        basics = dict(self.basics.cleaned_data)
        if self.picture is not None:
            basics["picture"] = self.picture
        return ProductSheet(
            kind=self.kind,
            basics=basics,
            technical=self.technical.cleaned_data if self.technical else None,
            feeds=self.feeds.typed() if self.feeds else (),
            limits=self.limits.typed() if self.limits else (),
            parts=self.parts.typed(),
        )

    def object_to(self, problems: tuple[Problem, ...]) -> None:
        """Put each objection at its field."""
        for problem in problems:
            block = getattr(self, problem.block)
            if problem.row is not None:
                form = block.kept()[problem.row]
            elif isinstance(block, Rows):
                form = block.forms[0] if block.forms else self.basics
            else:
                form = block
            form.add_error(
                problem.field if problem.field in form.fields else None, problem.sentence
            )

    @property
    def has_errors(self) -> bool:
        forms_ = [self.basics, self.technical]
        for several in (self.feeds, self.limits, self.parts):
            forms_ += several.forms if several is not None else []
        return any(form is not None and form.is_bound and form.errors for form in forms_)


def initial_of(sheet: ProductSheet) -> dict[str, Any]:
    """A sheet as the forms show it."""
    feeds = [
        {**shown(feed), "is_dimmable": bool(set(feed["load_kinds"]) & DIMMED_KINDS)}
        for feed in sheet.feeds
    ]
    return {
        "basics": shown(sheet.basics),
        "technical": shown(sheet.technical or {}),
        "feeds": feeds,
        "limits": [shown(limit) for limit in sheet.limits],
        "parts": [shown(part) for part in sheet.parts],
    }


def shown(values: Mapping[str, Any]) -> dict[str, Any]:
    """Figures without idle noughts; a family or supplier by its name; devices as a line."""
    shown = {}
    for name, value in values.items():
        if isinstance(value, Decimal):
            # Not text: a share still has to become percent in its field.
            value = Decimal(format(value.normalize(), "f"))
        elif isinstance(value, Family | Supplier):
            value = value.name
        elif isinstance(value, dict):
            value = ", ".join(f"{device}: {pieces}" for device, pieces in value.items())
        shown[name] = value
    return shown
