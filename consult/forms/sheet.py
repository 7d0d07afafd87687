"""Forms of the room sheet: circuits and fittings."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, RowField, WholeField
from catalogue.chosen import Chosen
from catalogue.kinds import Kind, LoadKind, Unit
from catalogue.models import Feed, Product
from consult.forms.house import OfProject
from consult.forms.objects import OverField, hung_over, over_problem
from consult.kinds import (
    AfterPowerCut,
    Arrangement,
    DriverPlace,
    Laid,
    Layer,
    ScalesBy,
    Trade,
    Wall,
)
from consult.models import Circuit, Enclosure, Room, RoomObject

MOST_PIECES = 9999


class CircuitForm(OfProject):
    name = forms.CharField(label=_("Name"), max_length=120)
    layer = forms.ChoiceField(label=_("Layer"), choices=Layer)
    load_kind = forms.ChoiceField(label=_("Driven as"), choices=LoadKind)
    enclosure = forms.ModelChoiceField(
        label=_("Receiver is kept in"),
        queryset=Enclosure.objects.none(),
        required=False,
        empty_label=_("as the room"),
    )
    cable_length_m = NumberField(
        label=_("Cable from the enclosure"),
        unit="m",
        required=False,
        min_value=0,
        max_value=500,
        max_digits=7,
        decimal_places=3,
    )
    cable_mm2 = forms.TypedChoiceField(
        label=_("Conductor"),
        choices=[("", _("not chosen"))] + [(n, f"{n} mm²") for n in ("1.0", "1.5", "2.5", "4.0")],
        coerce=Decimal,
        empty_value=None,
        required=False,
    )
    cable_laid = forms.ChoiceField(label=_("Cable laid"), choices=Laid, required=False)
    cable_bunched = WholeField(
        label=_("Loaded circuits bunched together"),
        required=False,
        min_value=1,
        max_value=5,
        help_text=_("Itself among them, where they run side by side."),
    )
    cable_ambient_c = WholeField(
        label=_("Warmest place on its way"),
        unit="°C",
        required=False,
        min_value=0,
        max_value=40,
        help_text=_("Empty: 30 °C."),
    )
    driver_place = forms.ChoiceField(
        label=_("Drivers after the output stand"), choices=DriverPlace, required=False
    )
    driver_has_access = forms.NullBooleanField(label=_("There they can be reached"), required=False)
    driver_is_ventilated = forms.NullBooleanField(label=_("There they have air"), required=False)
    low_trim = WholeField(
        label=_("Never dimmed below"), unit="%", required=False, min_value=0, max_value=100
    )
    high_trim = WholeField(
        label=_("Never brighter than"), unit="%", required=False, min_value=0, max_value=100
    )
    after_power_cut = forms.ChoiceField(
        label=_("After a power cut"), choices=AfterPowerCut, required=False
    )
    is_existing = forms.BooleanField(label=_("The wiring is there already"), required=False)
    note = forms.CharField(
        label=_("Note for us"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        low, high = values.get("low_trim"), values.get("high_trim")
        if low is not None and high is not None and low > high:
            self.add_error("low_trim", _("The lower end must not be above the upper one."))
        return values


class PiecesForm(forms.Form):
    """What hangs on a circuit: a product, or a placeholder with its allowance."""

    product = RowField(
        label=_("Product"),
        queryset=Product.objects.none(),
        required=False,
        widget=forms.HiddenInput,
    )
    placeholder = forms.CharField(
        label=_("Placeholder"),
        max_length=120,
        required=False,
        help_text=_("Something not chosen yet, such as a hall pendant."),
    )
    pieces = WholeField(
        label=_("Pieces"),
        min_value=1,
        max_value=MOST_PIECES,
        initial=1,
        error_messages={"max_value": _("At most 9999 pieces in one row.")},
    )
    length_m = NumberField(
        label=_("Length of each"),
        unit="m",
        required=False,
        min_value=Decimal("0.01"),
        max_value=500,
        max_digits=7,
        decimal_places=3,
    )
    allowance = NumberField(
        label=_("Allowance each"),
        required=False,
        min_value=0,
        max_value=10**7,
        max_digits=14,
        decimal_places=2,
    )
    placeholder_w = NumberField(
        label=_("Power each"),
        unit="W",
        required=False,
        min_value=0,
        max_value=20_000,
        max_digits=8,
        decimal_places=2,
    )
    placeholder_lm = NumberField(
        label=_("Light each"),
        unit="lm",
        required=False,
        min_value=0,
        max_value=1_000_000,
        max_digits=9,
        decimal_places=1,
    )

    def __init__(self, *args: Any, chosen: Chosen | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.chosen = chosen or Chosen()
        self.fields["product"].queryset = Product.objects.all()
        if self.chosen.product is not None:
            self.fields["product"].known = (self.chosen.product,)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        values["feed"] = values.get("feed") or self.chosen.first
        product, placeholder = values.get("product"), values.get("placeholder")
        if self.asks_for_something() and not product and not placeholder:
            self.add_error("placeholder", _("Choose a product, or name a placeholder."))
        if product and placeholder:
            self.add_error("placeholder", _("A product is chosen: leave the placeholder empty."))
        return values

    def asks_for_something(self) -> bool:
        return True


class CircuitAddForm(PiecesForm):
    """A circuit with its first fitting, in one step."""

    name = forms.CharField(
        label=_("What comes on"),
        max_length=120,
        required=False,
        help_text=_("Empty: the name of the product."),
    )
    layer = forms.ChoiceField(label=_("Layer"), choices=Layer, initial=Layer.AMBIENT)
    load_kind = forms.ChoiceField(
        label=_("Driven as"),
        choices=[("", _("as the product allows")), *LoadKind.choices],
        required=False,
    )
    field_order = ("product", "pieces", "length_m", "layer", "load_kind", "name", "placeholder")

    def asks_for_something(self) -> bool:
        return not self.cleaned_data.get("name")

    def circuit(self) -> dict[str, Any]:
        """The circuit's own values, what is empty taken from the product."""
        values = self.cleaned_data
        product: Product | None = values.get("product")
        feed = self.chosen.first
        kinds = feed.load_kinds if feed else []
        preferred = [kind for kind in kinds if kind != LoadKind.SWITCHED] or kinds
        return {
            "name": values["name"] or (product.shown_name if product else values["placeholder"]),
            "layer": values["layer"],
            "load_kind": values["load_kind"] or (preferred[0] if preferred else LoadKind.SWITCHED),
        }

    def fitting(self) -> dict[str, Any] | None:
        values = self.cleaned_data
        if not values.get("product") and not values.get("placeholder"):
            return None
        return {name: values[name] for name in (*PiecesForm.base_fields, "feed")}


class FittingForm(PiecesForm):
    feed = RowField(
        label=_("Which part of it"),
        queryset=Feed.objects.none(),
        required=False,
        empty_label=_("the only one"),
    )
    lamp = forms.ModelChoiceField(
        label=_("Lamp"),
        queryset=Product.objects.none(),
        required=False,
        empty_label=_("built in, or not chosen"),
    )
    lamp_cap = forms.CharField(label=_("Lamp cap"), max_length=12, required=False)
    room = RowField(label=_("Hangs in"), queryset=Room.objects.none())
    mounting_height_m = NumberField(
        label=_("Mounting height"),
        unit="m",
        required=False,
        min_value=0,
        max_value=30,
        max_digits=7,
        decimal_places=3,
    )
    fixing_kg = NumberField(
        label=_("The fixing carries"),
        unit="kg",
        required=False,
        min_value=0,
        max_value=10_000,
        max_digits=7,
        decimal_places=2,
    )
    arrangement = forms.ChoiceField(label=_("Arranged"), choices=Arrangement)
    over = OverField(
        label=_("Over"),
        queryset=RoomObject.objects.none(),
        required=False,
        empty_label=_("what stands freest of the walls"),
        help_text=_("Where they are arranged over an object."),
    )
    wall = forms.ChoiceField(label=_("At the wall"), choices=Wall, required=False)
    offset_m = NumberField(
        label=_("Off the wall"),
        unit="m",
        required=False,
        min_value=0,
        max_value=100,
        max_digits=7,
        decimal_places=3,
    )
    tilt_deg = WholeField(
        label=_("Tilted towards it"),
        unit="°",
        required=False,
        min_value=0,
        max_value=180,
        help_text=_("From straight down: 0. Straight up: 180."),
    )
    is_fed_both_ends = forms.BooleanField(
        label=_("Fed from both ends"),
        required=False,
        help_text=_("A second cable to the far end: a quarter of the drop along the tape."),
    )
    supplied_by = forms.ChoiceField(label=_("Supplied by"), choices=Trade)
    installed_by = forms.ChoiceField(label=_("Installed by"), choices=Trade)
    connected_by = forms.ChoiceField(label=_("Connected by"), choices=Trade)
    note = forms.CharField(label=_("Note for us"), max_length=300, required=False)
    scales_by = forms.ChoiceField(
        label=_("In a pattern, the number follows"), choices=ScalesBy, required=False
    )

    def __init__(self, *args: Any, circuit: Circuit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        product = self.chosen.product
        self.fields["room"].known = (circuit.room,)
        self.fields["room"].queryset = Room.objects.filter(project=circuit.project_id)
        self.fields["room"].initial = circuit.room_id
        if product is not None:
            self.fields["feed"].queryset = product.feeds.all()
            self.fields["feed"].known = self.chosen.feeds
        self.fields["over"].here = circuit.room_id
        self.fields["over"].queryset = hung_over(circuit.project_id)
        cap = getattr(getattr(product, "fitting", None), "lamp_cap", "")
        if cap:
            lamps = Product.objects.sold().filter(kind=Kind.LAMP, fitting__lamp_cap=cap)
            self.fields["lamp"].queryset = lamps
        for name, is_needed in (("lamp", bool(cap)), ("lamp_cap", product is None)):
            if not is_needed:
                del self.fields[name]
        if not circuit.project.is_library:
            del self.fields["scales_by"]
        if len(self.chosen.feeds) < 2:
            del self.fields["feed"]
        if product is None or product.unit != Unit.METRE:
            del self.fields["is_fed_both_ends"]

    def clean(self) -> dict[str, Any]:
        values = super().clean()
        if values.get("arrangement") != Arrangement.OVER_OBJECT:
            values["over"] = None
        elif values.get("room") is not None and "over" not in self.errors:
            problem = over_problem(values["room"], values.get("over"))
            if problem:
                self.add_error("over", problem)
        return values
