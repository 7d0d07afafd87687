"""Scenes as people read them: in words, and as a row of lamps that shine as far as they are up.

'All on' and 'all off' are always there; they are told once, not drawn for every room.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from quoting.offer import Offer, Scene

_FULL = 100
_LOW = 20  # what people call low [%]; a word beside the figure, not a rule
_MOST_NAMED_OFF = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """One circuit of a card. ``percent`` None: left as it was."""

    name: str
    percent: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """What a scene does in one room; ``room`` is empty where it stays within one."""

    room: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """A scene: its name, the designer's words, its levels in words, its lamps."""

    name: str
    words: str = ""
    spoken: tuple[Spoken, ...] = ()
    lamps: tuple[Lamp, ...] = ()


def cards(offer: Offer, scenes: Iterable[Scene]) -> tuple[Card, ...]:
    """A card for each scene, the lamps of all in one order, so that cards can be compared."""
    scenes = tuple(scenes)
    place = {c.code: (room.name, c.name) for room in offer.rooms for c in room.circuits}
    used = {level.circuit for scene in scenes for level in scene.levels}
    codes = [code for code in place if code in used] + sorted(used - set(place))
    known = {code: place.get(code, ("", code)) for code in codes}
    return tuple(_card(scene, known) for scene in scenes)


def _card(scene: Scene, known: Mapping[str, tuple[str, str]]) -> Card:
    levels = {level.circuit: _percent(level.level) for level in scene.levels}
    rooms = dict.fromkeys(room for room, _name in known.values())
    spoken = []
    for room in rooms:
        names = {code: name for code, (where, name) in known.items() if where == room}
        text = sentence([(names[code], levels.get(code)) for code in names])
        spoken.append(Spoken(room=room if len(rooms) > 1 else "", text=text))
    return Card(
        name=scene.name,
        words=scene.description,
        spoken=tuple(each for each in spoken if each.text),
        lamps=tuple(
            Lamp(name=name, percent=levels.get(code)) for code, (_room, name) in known.items()
        ),
    )


def _percent(level: Decimal | None) -> int | None:
    return None if level is None else int((level * 100).to_integral_value())


def sentence(levels: Iterable[tuple[str, int | None]]) -> str:
    """Names with their levels [%] in words: the brightest first, those of one level together.

    What is left as it was (None) is not told.

    >>> sentence([("Cove", 15), ("Shelf", 40), ("Spots", 0), ("Table", 40)])
    'Shelf and Table at 40\xa0%, Cove low at 15\xa0%, Spots off.'
    """
    by_level: dict[int, list[str]] = {}
    for name, percent in levels:
        if percent is not None:
            by_level.setdefault(percent, []).append(name)
    if set(by_level) == {0}:
        return _("All off.")
    parts = [_part(percent, by_level[percent]) for percent in sorted(by_level, reverse=True)]
    return ", ".join(parts) + "." if parts else ""


def _part(percent: int, names: list[str]) -> str:
    if percent == 0 and len(names) > _MOST_NAMED_OFF:
        return _("the rest off")
    what = _joined(names)
    if percent == 0:
        return _("%(what)s off") % {"what": what}
    if percent == _FULL:
        return _("%(what)s full") % {"what": what}
    share = f"{percent}\xa0%"
    if percent <= _LOW:
        return _("%(what)s low at %(share)s") % {"what": what, "share": share}
    return _("%(what)s at %(share)s") % {"what": what, "share": share}


def _joined(names: list[str]) -> str:
    if len(names) == 1:
        return names[0]
    return _("%(several)s and %(last)s") % {"several": ", ".join(names[:-1]), "last": names[-1]}


def rings(offer: Offer) -> tuple[Card, ...]:
    """Every circuit of the house, room by room, as it stands in the first scene that plays it."""
    first: dict[str, Decimal] = {}
    for scene in (scene for room in offer.rooms for scene in room.scenes):
        for level in scene.levels:
            if level.level is not None:
                first.setdefault(level.circuit, level.level)
    return tuple(
        Card(
            name=room.name,
            lamps=tuple(
                Lamp(name=c.name, percent=_percent(first.get(c.code, Decimal(1))))
                for c in room.circuits
            ),
        )
        for room in offer.rooms
        if room.circuits
    )
