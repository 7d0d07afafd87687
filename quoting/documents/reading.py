"""A frozen offer as its readers see it: prices with tax in, scenes in words. It reads nothing else.

Pure but for the wording. The same values stand in the proposal and on the client's page.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting import words
from quoting.choice_shown import change_of
from quoting.documents.scenes import Card, cards, rings
from quoting.grouping import group_totals
from quoting.money import EXACT, added, apportion
from quoting.offer import DocumentAdjustment, Line, Offer, OtherLine, Room, Section
from quoting.offer_check import priced_offer
from quoting.pricing import PricedLine

#: Sources of lines (the first part of a bill key) that carry the light but are not what is seen.
_BEHIND = frozenset({"part", "cable"})


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownLine:
    """A line under the name that the client knows, without and with tax."""

    line: Line
    name: str
    net: Decimal
    gross: Decimal

    @property
    def is_behind(self) -> bool:
        """Whether it is cable or a part of something else: told in one sum with its like."""
        return self.line.key.partition("|")[0] in _BEHIND


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPicture:
    """A room in a scene. ``scene`` is empty where its name was not frozen with it."""

    sha256: str
    scene: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPart:
    """A room or a section. ``anchor`` is its place in the document, once each."""

    anchor: str
    name: str
    net: Decimal
    tax: Decimal
    gross: Decimal
    lines: tuple[ShownLine, ...]
    room: Room | None = None
    scenes: tuple[Card, ...] = ()
    pictures: tuple[ShownPicture, ...] = ()

    @property
    def seen(self) -> tuple[ShownLine, ...]:
        return tuple(each for each in self.lines if not each.is_behind)

    @property
    def behind(self) -> tuple[ShownLine, ...]:
        return tuple(each for each in self.lines if each.is_behind)

    @property
    def behind_gross(self) -> Decimal:
        return added(each.gross for each in self.behind)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownAdjustment:
    """An allowance or a charge with its sign: below 0 is taken off."""

    reason: str
    net: Decimal
    tax: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Other:
    """Something that others supply, and where."""

    room: str
    line: OtherLine


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownOffer:
    """All that a proposal shows. ``parts`` and ``adjustments`` add up to the totals."""

    offer: Offer
    rooms: tuple[ShownPart, ...]
    sections: tuple[ShownPart, ...]
    adjustments: tuple[ShownAdjustment, ...]
    others: tuple[Other, ...]
    house_scenes: tuple[Card, ...]
    rings: tuple[Card, ...]
    circuit_count: int
    scene_count: int
    has_personalised: bool
    tax_mode: str
    tax_notes: tuple[str, ...]
    untaxed: str
    cancellation: tuple[str, ...]
    change: Decimal | None  # of a variation: against what was ordered before

    @property
    def tells_change_with_tax(self) -> bool:
        """Whether what changes an order is told with tax in: always but in issues of long ago."""
        told = self.offer.variation
        return told is not None and told.tells_tax

    @property
    def parts(self) -> tuple[ShownPart, ...]:
        return (*self.rooms, *self.sections)


def shown(offer: Offer) -> ShownOffer:
    """The offer as it is read. Raises ValueError where it cannot be priced again."""
    priced = priced_offer(offer=offer)
    tax_of = {line.key: line for line in priced.lines}
    rooms = tuple(_room(offer, number, room, tax_of) for number, room in enumerate(offer.rooms, 1))
    sections = tuple(
        _part(offer, f"part-{number}", section.title, section, tax_of)
        for number, section in enumerate(offer.sections(), 1)
    )
    grouped = group_totals(priced=priced, labels=_labels(offer))
    treatments = {line.tax_treatment for line in offer.lines()}
    return ShownOffer(
        offer=offer,
        rooms=rooms,
        sections=sections,
        adjustments=(
            *_adjustments(offer.allowances, grouped.allowances, taken_off=True),
            *_adjustments(offer.charges, grouped.charges, taken_off=False),
        ),
        others=tuple(Other(room=r.name, line=line) for r in offer.rooms for line in r.by_others),
        house_scenes=cards(offer, offer.house_scenes),
        rings=rings(offer),
        circuit_count=sum(len(room.circuits) for room in offer.rooms),
        scene_count=sum(len(room.scenes) for room in offer.rooms) + len(offer.house_scenes),
        has_personalised=any(line.is_personalised for line in offer.lines()),
        tax_mode=words.tax_mode(offer.tax_rounding),
        tax_notes=words.tax_notes(treatments, offer.tax_name),
        untaxed=words.untaxed(treatments),
        cancellation=words.cancellation(offer),
        change=change_of(offer, offer.totals.gross),
    )


def _labels(offer: Offer) -> list[str]:
    """The part of every line, so that tax is shared out over parts as it was at issue."""
    parts: Sequence[Room | Section] = (*offer.rooms, *offer.sections())
    return [str(index) for index, part in enumerate(parts) for _line in part.lines]


def _room(offer: Offer, number: int, room: Room, tax_of: dict[str, PricedLine]) -> ShownPart:
    return _part(offer, f"room-{number}", room.name, room, tax_of)


def _part(
    offer: Offer, anchor: str, name: str, part: Room | Section, tax_of: dict[str, PricedLine]
) -> ShownPart:
    is_room = isinstance(part, Room)
    return ShownPart(
        anchor=anchor,
        name=name,
        net=part.net,
        tax=EXACT.subtract(part.gross, part.net),
        gross=part.gross,
        lines=_lines(offer, part, tax_of),
        room=part if is_room else None,
        scenes=cards(offer, part.scenes) if is_room else (),
        pictures=_pictures(part) if is_room else (),
    )


def _pictures(room: Room) -> tuple[ShownPicture, ...]:
    names = room.picture_names or ("",) * len(room.pictures)
    return tuple(
        ShownPicture(sha256=sha256, scene=name)
        for sha256, name in zip(room.pictures, names, strict=False)
    )


def _lines(
    offer: Offer, part: Room | Section, tax_of: dict[str, PricedLine]
) -> tuple[ShownLine, ...]:
    """The part's lines with tax in; they add up to the part's gross to the last minor unit."""
    exact = [_with_tax(line, tax_of[line.key].tax) for line in part.lines]
    grosses = apportion(exact, part.gross, offer.currency) if exact else ()
    return tuple(
        ShownLine(line=line, name=line.client_name or line.description, net=line.net, gross=gross)
        for line, gross in zip(part.lines, grosses, strict=True)
    )


def _with_tax(line: Line, tax: Decimal | None) -> Decimal:
    if tax is None:
        tax = EXACT.multiply(line.net, line.tax_rate or Decimal(0))
    return EXACT.add(line.net, tax)


def _adjustments(
    rows: Iterable[DocumentAdjustment], grosses: Iterable[Decimal], *, taken_off: bool
) -> Iterable[ShownAdjustment]:
    sign = Decimal(-1 if taken_off else 1)
    for row, gross in zip(rows, grosses, strict=True):
        yield ShownAdjustment(
            reason=row.reason,
            net=row.amount * sign,
            tax=(gross - row.amount) * sign,
            gross=gross * sign,
        )
