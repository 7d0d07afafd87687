"""Levels of a room as the sliders send them, to be kept in a scene."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from base.forms import WholeField
from consult.light.problem import Control

BAD_SCENE = _("Choose one of the room's own scenes: 'All on' and 'All off' are not kept.")
BAD_COLOUR = _("A colour is six digits, two each for red, green and blue.")


class LevelsForm(forms.Form):
    """For each circuit its level, and its white or colour where it has one."""

    scene = forms.UUIDField(error_messages={"invalid": BAD_SCENE, "required": BAD_SCENE})

    def __init__(self, *args: Any, controls: Sequence[Control], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.controls = controls
        for control in controls:
            self.fields[f"level-{control.circuit}"] = WholeField(
                label=control.code, min_value=0, max_value=100
            )
            if control.kind == "tunable":
                self.fields[f"white-{control.circuit}"] = WholeField(
                    label=control.code, min_value=1000, max_value=10_000
                )
            elif control.kind == "colour":
                self.fields[f"colour-{control.circuit}"] = forms.RegexField(
                    label=control.code,
                    regex=r"^[0-9a-f]{6}$",
                    required=False,
                    error_messages={"invalid": BAD_COLOUR},
                )

    def levels(self) -> dict[str, dict[str, Any]]:
        """By circuit: level, cct_k, colour."""
        values = self.cleaned_data
        return {
            control.circuit: {
                "level": values[f"level-{control.circuit}"],
                "cct_k": values.get(f"white-{control.circuit}"),
                "colour": values.get(f"colour-{control.circuit}", ""),
            }
            for control in self.controls
        }

    def problem(self) -> str:
        """The first thing that is wrong, in a sentence."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)
