"""Forms of floors, rooms, objects, room groups and enclosures."""

from decimal import ROUND_CEILING, Decimal
from typing import Any

from django import forms
from django.utils.formats import localize
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from consult.kinds import (
    Above,
    Along,
    Dampness,
    EnclosureKind,
    Finish,
    Joists,
    ResidualType,
    RoomUse,
)
from consult.models import Enclosure, Project, RoomGroup
from consult.room_size import shortest_round_m

SMALLEST_M = Decimal("0.1")
CENTIMETRE = Decimal("0.01")


def size(label: Any, *, most: int, **options: Any) -> NumberField:
    return NumberField(
        label=label,
        unit="m",
        required=False,
        min_value=SMALLEST_M,
        max_value=most,
        max_digits=7,
        decimal_places=3,
        **options,
    )


def reflects(label: Any, help_text: Any) -> NumberField:
    """A reflectance as a share; the examples are common practice."""
    return NumberField(
        label=label,
        required=False,
        min_value=0,
        max_value=Decimal("0.95"),
        max_digits=3,
        decimal_places=2,
        help_text=help_text,
    )


class OfProject(forms.Form):
    """A form whose choices are rows of one project."""

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, model in (
            ("enclosure", Enclosure),
            ("default_enclosure", Enclosure),
            ("group", RoomGroup),
        ):
            if name in self.fields:
                self.fields[name].queryset = model.objects.filter(project=project)


class FloorForm(OfProject):
    name = forms.CharField(label=_("Name"), max_length=80)
    code = forms.RegexField(
        label=_("Code"),
        regex=r"^[A-Za-z0-9]{1,3}$",
        max_length=3,
        help_text=_("One to three letters or digits that start each circuit code, such as 0 or L."),
        error_messages={"invalid": _("Use one to three letters or digits.")},
    )
    default_enclosure = forms.ModelChoiceField(
        label=_("Receivers are kept in"), queryset=Enclosure.objects.none(), required=False
    )


class RoomForm(OfProject):
    name = forms.CharField(label=_("Name"), max_length=80)
    use = forms.ChoiceField(label=_("Use"), choices=RoomUse, initial=RoomUse.LIVING)
    dampness = forms.ChoiceField(label=_("Place"), choices=Dampness, initial=Dampness.DRY)
    length_m = size(_("Length"), most=100)
    width_m = size(_("Width"), most=100)
    height_m = size(_("Height"), most=30)
    eaves_m = size(
        _("Height at its lowest side"), most=30, help_text=_("Where the ceiling slopes.")
    )
    floor_m2 = NumberField(
        label=_("Floor area"),
        unit="m²",
        required=False,
        min_value=SMALLEST_M,
        max_value=10_000,
        max_digits=8,
        decimal_places=2,
        help_text=_(
            "Where the room is no rectangle, such as an L: length and width are its longest."
        ),
    )
    round_m = size(
        _("Way round the walls"), most=1000, help_text=_("Where the room is no rectangle.")
    )
    void_mm = WholeField(
        label=_("Ceiling void"), unit="mm", required=False, min_value=0, max_value=5000
    )
    above = forms.ChoiceField(label=_("Above it"), choices=Above, required=False)
    fire_minutes = forms.TypedChoiceField(
        label=_("The ceiling resists fire for"),
        choices=[("", _("not said"))] + [(n, _("%d minutes") % n) for n in (30, 60, 90)],
        coerce=int,
        empty_value=None,
        required=False,
        help_text=_("As the builder or the building control body says."),
    )
    joists = forms.ChoiceField(label=_("Joists"), choices=Joists, required=False)
    joists_along = forms.ChoiceField(label=_("They run"), choices=Along, required=False)
    joist_centres_mm = WholeField(
        label=_("Joist centres"), unit="mm", required=False, min_value=100, max_value=3000
    )
    joist_first_mm = WholeField(
        label=_("Wall to the middle of the first joist"),
        unit="mm",
        required=False,
        min_value=0,
        max_value=3000,
    )
    board_layers = WholeField(label=_("Layers of board"), required=False, min_value=1, max_value=6)
    ceiling_finish = forms.ChoiceField(
        label=_("Ceiling of"),
        choices=Finish,
        required=False,
        help_text=_("What is fixed into it may take longer: the business's own factors."),
    )
    wall_finish = forms.ChoiceField(label=_("Walls of"), choices=Finish, required=False)
    is_way_out = forms.BooleanField(
        label=_("A way out of the house"),
        required=False,
        help_text=_("Its circuits never all hang on one receiver. A stair is one by itself."),
    )
    floor_reflectance = reflects(_("Floor reflects"), _("Oak 0.25, pale carpet 0.4, slate 0.1."))
    walls_reflectance = reflects(_("Walls reflect"), _("White 0.75, mid tone 0.5, deep 0.15."))
    ceiling_reflectance = reflects(_("Ceiling reflects"), _("White 0.8, timber 0.3."))
    group = forms.ModelChoiceField(
        label=_("Shares scenes with"),
        queryset=RoomGroup.objects.none(),
        required=False,
        empty_label=_("no other room"),
    )
    enclosure = forms.ModelChoiceField(
        label=_("Receivers are kept in"),
        queryset=Enclosure.objects.none(),
        required=False,
        empty_label=_("as the floor"),
    )
    note = forms.CharField(
        label=_("Note for us"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        height, eaves = values.get("height_m"), values.get("eaves_m")
        if eaves is not None and (height is None or eaves >= height):
            self.add_error(
                "eaves_m",
                _(
                    "The lowest side is lower than the room's height: give the height at the "
                    "highest side as the height, or leave this empty where the ceiling is level."
                ),
            )
        self._check_shape(values)
        return values

    def _check_shape(self, values: dict[str, Any]) -> None:
        """A floor and a way round that are typed fit into the box of length and width."""
        length, width = values.get("length_m"), values.get("width_m")
        for name in ("floor_m2", "round_m"):
            if values.get(name) is not None and not (length and width):
                self.add_error(
                    name, _("Give the longest length and width too, or leave this empty.")
                )
        if not (length and width):
            return
        area, way = values.get("floor_m2"), values.get("round_m")
        if area is not None and area > length * width:
            most = localize((length * width).quantize(CENTIMETRE))
            self.add_error(
                "floor_m2",
                _(
                    "More floor than length times width, %(most)s m²: give the longest length and "
                    "width, or less floor."
                )
                % {"most": most},
            )
        least = shortest_round_m(length, width)
        if way is not None and way < least:
            self.add_error(
                "round_m",
                _(
                    "Shorter than any way round a room of this length and width, %(least)s m: look "
                    "at all three."
                )
                % {"least": localize(least.quantize(CENTIMETRE, rounding=ROUND_CEILING))},
            )


class GroupForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=80)


class EnclosureForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    kind = forms.ChoiceField(label=_("Kind"), choices=EnclosureKind, initial=EnclosureKind.CUPBOARD)
    modules = WholeField(
        label=_("Room for"),
        unit=_("modules"),
        required=False,
        min_value=1,
        max_value=500,
        help_text=_("Empty where no limit is known."),
    )
    dampness = forms.ChoiceField(label=_("Place"), choices=Dampness, initial=Dampness.DRY)
    protective_device = forms.RegexField(
        label=_("Protective device"),
        regex=r"^[BCD](6|10|13|16|20|25|32|40|50|63)$",
        required=False,
        help_text=_("Curve and rating, such as B6 or C10."),
        error_messages={"invalid": _("Give curve and rating, such as B6 or C10.")},
    )
    fed_from = forms.CharField(
        label=_("Board, way and isolation point"), max_length=120, required=False
    )
    rcd_ma = WholeField(
        label=_("Residual-current device"), unit="mA", required=False, min_value=1, max_value=500
    )
    rcd_type = forms.ChoiceField(label=_("Its type"), choices=ResidualType, required=False)
    fault_loop_ohm = NumberField(
        label=_("Earth-fault loop where it is fed"),
        unit="Ω",
        required=False,
        min_value=0,
        max_value=2000,
        max_digits=6,
        decimal_places=2,
        help_text=_("As the electrician measured it."),
    )
    spare_percent = WholeField(
        label=_("Outputs kept spare"),
        unit="%",
        min_value=0,
        max_value=100,
        initial=0,
        required=False,
        help_text=_("Of those in use."),
    )
    heat_allowance_w = NumberField(
        label=_("Heat it gives off at most"),
        unit="W",
        required=False,
        min_value=1,
        max_value=10_000,
        max_digits=7,
        decimal_places=1,
    )
    has_access = forms.NullBooleanField(label=_("Can be reached and opened"), required=False)
    is_ventilated = forms.NullBooleanField(label=_("Ventilated"), required=False)
    is_shielded = forms.BooleanField(
        label=_("Metal or foil round it"),
        required=False,
        help_text=_("A metal box, foil-backed board, a mirror: radio is proven on site."),
    )

    def clean_spare_percent(self) -> int:
        return self.cleaned_data["spare_percent"] or 0
