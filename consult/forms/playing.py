"""Forms of scenes, keypad positions and buttons."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField
from catalogue.kinds import Kind
from catalogue.models import Product
from consult.kinds import ButtonDoes
from consult.models import KeypadPosition, Project, Room, RoomGroup, Scene


class SceneForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=60)
    fade_s = NumberField(
        label=_("Fade"),
        unit="s",
        min_value=0,
        max_value=3600,
        max_digits=5,
        decimal_places=1,
        initial=2,
    )
    hours_a_day = NumberField(
        label=_("Played for"),
        unit=_("h a day"),
        required=False,
        min_value=0,
        max_value=24,
        max_digits=4,
        decimal_places=2,
        help_text=_("On an average day, for the energy of a year. Empty: not said."),
        error_messages={
            "min_value": _("A day has 0 to 24 hours: give one of these, or leave it empty."),
            "max_value": _("A day has 0 to 24 hours: give one of these, or leave it empty."),
        },
    )
    words = forms.CharField(
        label=_("In words"),
        max_length=300,
        required=False,
        help_text=_("What it feels like. The client reads this."),
    )


class SceneAddForm(SceneForm):
    group = forms.ModelChoiceField(
        label=_("Rooms"),
        queryset=RoomGroup.objects.none(),
        required=False,
        empty_label=_("the whole house"),
    )
    field_order = ("group", "name")

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["group"].queryset = RoomGroup.objects.filter(project=project)


class LevelForm(forms.Form):
    level = WholeField(label=_("Level"), unit="%", min_value=0, max_value=100, required=False)


class SceneCopyForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=60)
    percent_lower = WholeField(
        label=_("Lower by"), unit="%", min_value=0, max_value=99, required=False
    )

    def clean_percent_lower(self) -> int:
        return self.cleaned_data["percent_lower"] or 0


class PositionForm(forms.Form):
    name = forms.CharField(
        label=_("Where"), max_length=120, help_text=_("Such as: by the door, left.")
    )
    room = forms.ModelChoiceField(label=_("Room"), queryset=Room.objects.none())
    group = forms.ModelChoiceField(
        label=_("Plays the scenes of"),
        queryset=RoomGroup.objects.none(),
        required=False,
        empty_label=_("the room it hangs in"),
    )
    product = forms.ModelChoiceField(
        label=_("Keypad"),
        queryset=Product.objects.none(),
        required=False,
        empty_label=_("the plan chooses"),
    )
    is_engraved = forms.BooleanField(label=_("Engraved"), required=False)
    is_outside = forms.BooleanField(
        label=_("Hangs outside the room, by its door"),
        required=False,
        help_text=_("As of a bathroom: then no zone of the room is asked about."),
    )
    height_mm = WholeField(
        label=_("Height above finished floor"),
        unit="mm",
        min_value=0,
        max_value=3000,
        initial=1100,
    )
    x_m = NumberField(
        label=_("From the left wall"),
        unit="m",
        required=False,
        min_value=0,
        max_value=100,
        max_digits=7,
        decimal_places=3,
    )
    y_m = NumberField(
        label=_("From the front wall"),
        unit="m",
        required=False,
        min_value=0,
        max_value=100,
        max_digits=7,
        decimal_places=3,
    )
    back_box_mm = WholeField(
        label=_("Depth of the back box"),
        unit="mm",
        required=False,
        min_value=1,
        max_value=200,
        help_text=_("Where a box is there already. Empty: the keypad decides."),
    )
    back_box_gangs = WholeField(
        label=_("Gangs of the back box"), required=False, min_value=1, max_value=8
    )

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(project=project)
        self.fields["group"].queryset = RoomGroup.objects.filter(project=project)
        self.fields["product"].queryset = Product.objects.sold().filter(kind=Kind.KEYPAD)


class ButtonForm(forms.Form):
    number = WholeField(label=_("Button"), min_value=1, max_value=40)
    does = forms.ChoiceField(label=_("Does"), choices=ButtonDoes)
    scene = forms.ModelChoiceField(label=_("Scene"), queryset=Scene.objects.none(), required=False)
    engraving = forms.CharField(label=_("Engraving"), max_length=40, required=False)

    def __init__(self, *args: Any, position: KeypadPosition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["scene"].queryset = Scene.objects.filter(project=position.project_id)
