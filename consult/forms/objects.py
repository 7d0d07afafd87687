"""What stands in a room: where, how large, and what hangs over it."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _t
from django.utils.translation import gettext_lazy as _

from base.forms import NumberField
from consult.forms.house import size
from consult.kinds import HUNG_OVER, ObjectKind
from consult.models import Room, RoomObject

# Rounding of typed sizes; what is set into a wall may reach into it.
SLACK_M = Decimal("0.005")
IN_THE_WALL = frozenset({ObjectKind.DOOR, ObjectKind.WINDOW, ObjectKind.MIRROR})


def place(label: Any, *, most: int = 100, **options: Any) -> NumberField:
    return NumberField(
        label=label,
        unit="m",
        required=False,
        min_value=0,
        max_value=most,
        max_digits=7,
        decimal_places=3,
        **options,
    )


class ObjectForm(forms.Form):
    kind = forms.ChoiceField(label=_("What"), choices=ObjectKind, initial=ObjectKind.TABLE)
    name = forms.CharField(label=_("Name"), max_length=80, required=False)
    x_m = place(_("From the left wall"))
    y_m = place(_("From the front wall"))
    z_m = place(_("Above the floor"), most=30)
    width_m = size(_("Width"), most=100, help_text=_("Along the front wall."))
    depth_m = size(_("Depth"), most=100, help_text=_("Away from the front wall."))
    height_m = size(_("Height"), most=30)

    def __init__(self, *args: Any, room: Room, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.room = room

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("kind") in IN_THE_WALL:
            return values
        room = self.room
        for field, low, side, most, where in (
            ("x_m", "x_m", "width_m", room.length_m, _t("the right wall")),
            ("y_m", "y_m", "depth_m", room.width_m, _t("the back wall")),
            ("z_m", "z_m", "height_m", room.height_m, _t("the ceiling")),
        ):
            start = values.get(low) or Decimal(0)
            beyond = start + (values.get(side) or Decimal(0)) - (most or Decimal("Infinity"))
            if beyond > SLACK_M:
                self.add_error(field, _beyond(beyond, where, most))
        return values


def _beyond(beyond: Decimal, where: str, most: Any) -> str:
    return _t(
        "It would reach %(beyond)s m beyond %(where)s, which is %(most)s m away. "
        "Move it, or make it smaller."
    ) % {"beyond": f"{beyond:.2f}", "where": where, "most": f"{most.normalize():f}"}


def is_placed(row: RoomObject) -> bool:
    """Whether it is known where it stands and how large it is, so that something can hang over it."""
    return None not in (row.x_m, row.y_m) and bool(row.width_m and row.depth_m)


class OverField(forms.ModelChoiceField):
    """What a fitting may hang over, named with its size and, where it is not `here`, its room."""

    here: Any = None

    def label_from_instance(self, row: Any) -> str:
        words = f"{row}, {row.width_m:.2f} × {row.depth_m:.2f} m" if is_placed(row) else str(row)
        return words if row.room_id == self.here else f"{words} ({row.room.name})"


def hung_over(project_id: Any) -> Any:
    """The rows of a project over which fittings hang."""
    rows = RoomObject.objects.filter(project=project_id, kind__in=HUNG_OVER)
    return rows.select_related("room")


def over_problem(room: Room, over: RoomObject | None) -> str:
    """Why nothing can hang over it, in a sentence; empty where it can."""
    if over is not None and over.room_id != room.pk:
        return _t("%(what)s stands in %(other)s, and these hang in %(room)s.") % {
            "what": over,
            "other": over.room.name,
            "room": room.name,
        }
    if over is not None and not is_placed(over):
        return _t(
            "Say first where %(what)s stands and how large it is: 'What stands here' on the "
            "room's page."
        ) % {"what": over}
    if over is None and not any(
        is_placed(row) for row in RoomObject.objects.filter(room=room, kind__in=HUNG_OVER)
    ):
        return _t(
            "Nothing to hang over stands in %(room)s. Put a table, an island or a bed there "
            "first: 'What stands here' on the room's page."
        ) % {"room": room.name}
    return ""
