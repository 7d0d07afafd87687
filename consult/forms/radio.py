"""The form of a way of radio."""

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField


def walls(label: object) -> WholeField:
    return WholeField(label=label, min_value=0, max_value=20, initial=0)


class RadioForm(forms.Form):
    distance_m = NumberField(
        label=_("Distance"),
        unit="m",
        min_value=0,
        max_value=500,
        max_digits=5,
        decimal_places=1,
        help_text=_("As the crow flies."),
    )
    light_walls = walls(_("Light walls between"))
    masonry_walls = walls(_("Masonry walls between"))
    timber_floors = walls(_("Timber floors between"))
    concrete_floors = walls(_("Concrete floors between"))
    has_metal_box = forms.BooleanField(
        label=_("A metal box or plate at either end"), required=False
    )
    has_foil_board = forms.BooleanField(label=_("Foil-backed board between"), required=False)
    has_mirror = forms.BooleanField(label=_("A mirror between"), required=False)
    has_steel = forms.BooleanField(label=_("Steel between"), required=False)
