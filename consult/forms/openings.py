"""What a room is open to: which room, and where in whose wall."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.formats import localize
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from consult.forms.house import size
from consult.forms.objects import SLACK_M, place
from consult.kinds import Wall
from consult.models import Room
from consult.models.house import WALLS

WALL_CHOICES = [("", _("not said")), *WALLS]
MEASURES = ("from_m", "width_m", "height_m")


class OpeningForm(forms.Form):
    """The wall and the measures go together; without them the light counts the opening as wall."""

    other = forms.ModelChoiceField(
        label=_("Open to"),
        queryset=Room.objects.none(),
        required=False,
        empty_label=_("no room of this job"),
    )
    wall = forms.ChoiceField(label=_("Wall it is in"), choices=WALL_CHOICES, required=False)
    from_m = place(_("From the left wall"), help_text=_("In a side wall: from the front wall."))
    width_m = size(_("Width"), most=100)
    low_m = place(_("Lower edge above the floor"), most=30)
    height_m = size(_("Height"), most=30)
    other_wall = forms.ChoiceField(label=_("Wall there"), choices=WALL_CHOICES, required=False)
    other_from_m = place(
        _("From the left wall there"), help_text=_("In a side wall: from the front wall.")
    )

    def __init__(self, *args: Any, room: Room, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.room = room
        rooms = Room.objects.filter(project=room.project_id).exclude(pk=room.pk)
        self.fields["other"].queryset = rooms.select_related("floor")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if self.errors:
            return values
        self._check_here(values)
        if not self.errors:
            self._check_there(values)
        return values

    def _check_here(self, values: dict[str, Any]) -> None:
        lacking = [name for name in MEASURES if values.get(name) is None]
        if values.get("wall") and lacking:
            for name in lacking:
                self.add_error(name, _t("Say this too, or leave the wall open."))
        elif not values.get("wall") and len(lacking) < len(MEASURES):
            self.add_error("wall", _t("Say in which wall it is, or leave its measures empty."))
        elif values.get("wall"):
            self._check_fits(values, self.room, values["wall"], values["from_m"], "from_m")

    def _check_there(self, values: dict[str, Any]) -> None:
        wall, start = values.get("other_wall"), values.get("other_from_m")
        other = values.get("other")
        if other is None and (wall or start is not None):
            self.add_error(
                "other", _t("Say which room it leads to, or leave its wall there empty.")
            )
        elif bool(wall) != (start is not None):
            name = "other_wall" if start is not None else "other_from_m"
            self.add_error(name, _t("Say both the wall there and where it begins, or neither."))
        elif wall and not values.get("wall"):
            self.add_error("wall", _t("Say where it is in this room too."))
        elif wall:
            self._check_fits(values, other, wall, start, "other_from_m")

    def _check_fits(
        self, values: dict[str, Any], room: Any, wall: str, start: Decimal, name: str
    ) -> None:
        along = room.length_m if wall in (Wall.FRONT, Wall.BACK) else room.width_m
        end = start + values["width_m"]
        if along is not None and end - along > SLACK_M:
            words = _t("It would end at %(end)s m, and that wall of %(room)s is %(most)s m long.")
            self.add_error(name, words % _said(end, along, room))
        top = (values.get("low_m") or Decimal(0)) + values["height_m"]
        if room.height_m is not None and top - room.height_m > SLACK_M:
            words = _t("It would reach %(end)s m up, and %(room)s is %(most)s m high.")
            self.add_error("height_m", words % _said(top, room.height_m, room))


def _said(end: Decimal, most: Decimal, room: Any) -> dict[str, str]:
    return {
        "end": localize(end.quantize(Decimal("0.01"))),
        "most": localize(most.quantize(Decimal("0.01"))),
        "room": str(room),
    }
