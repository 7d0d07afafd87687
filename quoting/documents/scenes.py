"""Scenes as people read them: in words, and as a row of lamps that shine as far as they are up.

'All on' and 'all off' are always there; they are told once, not drawn for every room.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from quoting.offer import Offer, Scene, SceneLevel

_LOW = Decimal("0.2")  # what people call low; a word beside the figure, not a rule
_MOST_NAMED_OFF = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """One circuit of a card. ``percent`` None: left as it was."""

    name: str
    percent: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """A name, a sentence, and lamps."""

    name: str
    text: str
    lamps: tuple[Lamp, ...]
    group: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Names:
    """Circuits by code: their name, with the room where a scene reaches over several rooms."""

    plain: Mapping[str, str]
    room: Mapping[str, str]

    def of(self, code: str, *, with_room: bool) -> str:
        name = self.plain.get(code, code)
        return f"{name}, {self.room[code]}" if with_room and code in self.room else name


def cards(offer: Offer, scenes: Iterable[Scene]) -> tuple[Card, ...]:
    """A card for each scene, the lamps of all in one order, so that cards can be compared."""
    scenes = tuple(scenes)
    names = _names(offer)
    used = {level.circuit for scene in scenes for level in scene.levels}
    codes = [code for code in names.plain if code in used]
    codes += sorted(used - set(codes))
    with_room = len({names.room.get(code, "") for code in codes}) > 1
    return tuple(_card(scene, codes, names, with_room) for scene in scenes)


def _names(offer: Offer) -> _Names:
    return _Names(
        plain={circuit.code: circuit.name for room in offer.rooms for circuit in room.circuits},
        room={circuit.code: room.name for room in offer.rooms for circuit in room.circuits},
    )


def _card(scene: Scene, codes: list[str], names: _Names, with_room: bool) -> Card:
    levels = {level.circuit: level.level for level in scene.levels}
    return Card(
        name=scene.name,
        group=scene.group,
        text=sentence(
            scene.levels, {code: names.of(code, with_room=with_room) for code in codes}, codes
        ),
        lamps=tuple(
            Lamp(name=names.of(code, with_room=with_room), percent=_percent(levels.get(code)))
            for code in codes
        ),
    )


def _percent(level: Decimal | None) -> int | None:
    return None if level is None else int((level * 100).to_integral_value())


def sentence(
    levels: Iterable[SceneLevel], names: Mapping[str, str], order: Iterable[str] = ()
) -> str:
    """A scene in words: what is full, what is at which share, what is low, what is off.

    Circuits of one level stand together, the brightest first.
    """
    place = {code: index for index, code in enumerate(order)}
    by_level: dict[int, list[str]] = {}
    for level in sorted(levels, key=lambda each: place.get(each.circuit, 0)):
        percent = _percent(level.level)
        if percent is not None:
            by_level.setdefault(percent, []).append(names.get(level.circuit, level.circuit))
    parts = [_part(percent, by_level[percent]) for percent in sorted(by_level, reverse=True)]
    return "; ".join(parts) + "." if parts else ""


def _part(percent: int, names: list[str]) -> str:
    if percent == 0 and len(names) > _MOST_NAMED_OFF:
        return ngettext("%(count)d circuit off", "%(count)d circuits off", len(names)) % {
            "count": len(names)
        }
    values = {"what": _joined(names), "percent": percent}
    if percent == 0:
        return _("%(what)s off") % values
    if percent == 100:
        return _("%(what)s full") % values
    if Decimal(percent) / 100 <= _LOW:
        return _("%(what)s low, at %(percent)d %%") % values
    return _("%(what)s at %(percent)d %%") % values


def _joined(names: list[str]) -> str:
    if len(names) == 1:
        return names[0]
    return _("%(several)s and %(last)s") % {
        "several": ", ".join(names[:-1]),
        "last": names[-1],
    }


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
            text="",
            lamps=tuple(
                Lamp(name=c.name, percent=_percent(first.get(c.code, Decimal(1))))
                for c in room.circuits
            ),
        )
        for room in offer.rooms
        if room.circuits
    )
