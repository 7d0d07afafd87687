"""What the pages of light say in words, translatable."""

from collections.abc import Mapping, Sequence

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

LACKS: Mapping[str, Promise] = {
    "no_size": _("Give the room its length, width and height: then its light can be worked out."),
    "bad_size": _("A room this small or this large is not worked out: sides from 0.2 to 200 m."),
    "no_light": _("Nothing that shines hangs in this room yet."),
    "too_many": _("More pieces hang here than the room can hold: look at their number."),
    "too_many_circuits": _("More circuits shine in this room than are worked out together."),
    "above_ceiling": _("A fitting hangs above the ceiling: look at its mounting height."),
    "refused": _("The light of this room cannot be worked out as it stands."),
}
VIEWS: Mapping[str, Promise] = {
    "front": _("from the front wall"),
    "right": _("from the right wall"),
    "back": _("from the back wall"),
    "left": _("from the left wall"),
}
WALLS: Mapping[str, Promise] = {
    "front": _("front wall"),
    "right": _("right wall"),
    "back": _("back wall"),
    "left": _("left wall"),
}
JUDGED: Mapping[str, tuple[str, Promise]] = {
    "low": ("look", _("Less than asked for")),
    "within": ("good", _("As asked for")),
    "above": ("note", _("More than asked for")),
}
ALL_ON, ALL_OFF = _("All on"), _("All off")


def joined(words: Sequence[str]) -> str:
    """Words as a list is spoken.

    >>> joined(["left wall", "right wall"])
    'left wall and right wall'
    """
    *several, last = words or [""]
    if not several:
        return last
    return gettext("%(several)s and %(last)s") % {"several": ", ".join(several), "last": last}


def lacks(code: str) -> str:
    return str(LACKS.get(code, LACKS["refused"]))
