"""What the page of pieces shows: one example of each, invented."""

import re
from pathlib import Path

from django import forms
from django.conf import settings
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField, WholeField

SCENES = (
    ("Evening", (60, 40, 25, 10)),
    ("Cooking", (100, 100, 70, 0)),
    ("Night way", (0, 0, 5, 5)),
    ("Out", (0, 0, 0, 0)),
)


class ExampleForm(forms.Form):
    name = forms.CharField(label=_("Name of the circuit"), max_length=60)
    layer = forms.ChoiceField(
        label=_("Layer"), choices=[("ambient", _("Ambient")), ("task", _("Task"))]
    )
    length_m = NumberField(
        label=_("Length"), unit="m", min_value=0, help_text=_("As it runs, bends included.")
    )
    pieces = WholeField(label=_("Pieces"), required=False, min_value=1)
    note = forms.CharField(label=_("Note"), required=False, widget=forms.Textarea)
    kept = forms.BooleanField(label=_("The fitting is there already"), required=False)
    side = forms.ChoiceField(
        label=_("Supplied by"),
        choices=[("us", _("the showroom")), ("client", _("the client"))],
        widget=forms.RadioSelect,
    )


def context() -> dict[str, object]:
    wrong = {"name": "Shelf tape", "layer": "task", "length_m": "4,2 or so", "side": "us"}
    return {
        "form": ExampleForm(initial={"layer": "ambient", "side": "us"}, auto_id="id_new_%s"),
        "wrong_form": ExampleForm(wrong, auto_id="id_wrong_%s"),
        "scenes": [
            {"name": name, "lamps": [(12 + 24 * at, level) for at, level in enumerate(levels)]}
            for name, levels in SCENES
        ],
        "symbols": symbol_names(),
        "headings": [(_("Receiver"), False), (_("Load"), True), (_("Limit"), True)],
        "rows": [["R1 · under the stair", "142 W", "200 W"], ["R2 · workshop", "96 W", "200 W"]],
    }


def symbol_names() -> list[str]:
    """The names of all symbols that may be used."""
    text = Path(settings.BASE_DIR, "static/icons/symbols.svg").read_text(encoding="utf-8")
    return re.findall(r'<symbol id="([a-z-]+)"', text)
