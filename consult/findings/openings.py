"""Rooms that are open to each other: their whites, how they show colours, what warms as it dims."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from consult.design import RoomPart
from consult.findings.catalogue import ONE_WHITE_K, one_white
from consult.findings.registry import NOBODY_BUT_US, Case, Found, Hanging, found, rule

# Colour rendering that differs by less is taken for one: common practice, no source.
ONE_RENDERING = 10
DIMS = frozenset({"phase-dimmed", "dc-white", "analogue-dimmed", "digital-dimmed"})
MEND = _("Choose one for both rooms, or mean the difference.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Across:
    """Two rooms that are open to each other, the first in house order first, by an opening's key."""

    opening: str
    one: RoomPart
    other: RoomPart
    hanging_in: Mapping[str, Sequence[Hanging]]

    def of_both[V](self, told: Callable[[Sequence[Hanging]], V]) -> tuple[V, V]:
        """What is told of the rows that hang in each of the two rooms."""
        return told(self.hanging_in[self.one.id]), told(self.hanging_in[self.other.id])


def across(case: Case) -> list[Across]:
    """Each pair of rooms once, whatever the number of openings between them."""
    rooms = case.house.design.rooms
    place = {room.id: number for number, room in enumerate(rooms)}
    hanging_in: dict[str, list[Hanging]] = {room.id: [] for room in rooms}
    if any(room.openings for room in rooms):
        for hangs in case.hanging:
            hanging_in[hangs.part.room].append(hangs)
    pairs: dict[tuple[str, str], Across] = {}
    for room in rooms:
        for each in room.openings:
            if each.other in place and place[room.id] < place[each.other]:
                pair = Across(
                    opening=each.id,
                    one=room,
                    other=case.room(each.other),
                    hanging_in=hanging_in,
                )
                pairs.setdefault((room.id, each.other), pair)
    return list(pairs.values())


def _differ(rule_id: str, pair: Across, one: str, other: str) -> Found:
    return found(
        rule_id,
        about=pair.opening,
        key=pair.one.id,
        room=pair.one.id,
        room_one=pair.one.name,
        room_other=pair.other.name,
        one=one,
        other=other,
    )


def _listed(values: set[int]) -> str:
    return ", ".join(str(value) for value in sorted(values))


@rule(
    "open-rooms-white",
    title=_("Different whites in rooms open to each other"),
    severity="look",
    why=_("%(room_one)s has %(one)s K, and %(room_other)s, which it is open to, %(other)s K."),
    mend=MEND,
    source=NOBODY_BUT_US,
    place="room",
)
def open_rooms_white(case: Case) -> Iterator[Found]:
    """Rooms that share scenes are compared as a group, and not here once more."""
    for pair in across(case):
        if pair.one.group == pair.other.group:
            continue
        one, other = pair.of_both(
            lambda rows: {white for h in rows if (white := one_white(case, h))}
        )
        both = one | other
        if one and other and max(both) - min(both) >= ONE_WHITE_K and one != other:
            yield _differ("open-rooms-white", pair, _listed(one), _listed(other))


@rule(
    "open-rooms-rendering",
    title=_("Colours look different in rooms open to each other"),
    severity="note",
    why=_(
        "The light of %(room_one)s shows colours with Ra %(one)s, that of %(room_other)s, "
        "which it is open to, with Ra %(other)s."
    ),
    mend=MEND,
    source=NOBODY_BUT_US,
    place="room",
)
def open_rooms_rendering(case: Case) -> Iterator[Found]:
    for pair in across(case):
        one, other = pair.of_both(lambda rows: {cri for h in rows if (cri := _rendering(case, h))})
        if one and other and abs(min(one) - min(other)) >= ONE_RENDERING:
            yield _differ("open-rooms-rendering", pair, str(min(one)), str(min(other)))


def _rendering(case: Case, h: Hanging) -> int | None:
    """The general index of a row's light; None where nobody said."""
    lamp = case.house.product(h.part.lamp)
    feed = lamp.feed(None) if lamp else h.feed
    return feed.cri if feed else None


@rule(
    "open-rooms-warming",
    title=_("Light that warms as it dims beside light that does not"),
    severity="note",
    why=_(
        "When dimmed, the light of %(one)s grows warmer and that of %(other)s, which it is open to, "
        "keeps its white."
    ),
    mend=MEND,
    source=NOBODY_BUT_US,
    place="room",
)
def open_rooms_warming(case: Case) -> Iterator[Found]:
    for pair in across(case):
        one, other = pair.of_both(lambda rows: _warming(case, rows))
        if one == {True} and other == {False}:
            yield _differ("open-rooms-warming", pair, pair.one.name, pair.other.name)
        elif one == {False} and other == {True}:
            yield _differ("open-rooms-warming", pair, pair.other.name, pair.one.name)


def _warming(case: Case, rows: Sequence[Hanging]) -> set[bool]:
    """Whether what is dimmed in a room warms: both where some of it does and some does not."""
    told = set()
    for h in rows:
        lamp = case.house.product(h.part.lamp)
        feed = lamp.feed(None) if lamp else h.feed
        if h.circuit.load_kind in DIMS and feed is not None and feed.cct_k:
            told.add(bool(feed.cct_to_k and feed.cct_to_k != feed.cct_k))
    return told
