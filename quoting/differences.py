"""What changed from one issued offer to the next, as typed rows.

Lines, rooms, scenes, options and charges are matched by their stable keys, so that a line that moved
or was renamed is a change, not a loss and a gain. Rows come in the new offer's order, what is gone
after it. Codes and values only; the sentences are made where they are shown.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal
from typing import Any

from quoting.money import EXACT, added
from quoting.offer import Line, Offer, Option, OptionGroup, Room, Scene, Section

ADDED = "added"
REMOVED = "removed"
CHANGED = "changed"

type Value = Decimal | str | bool | date | None

_DOCUMENT_FIELDS = ("valid_until", "currency", "tax_rounding")
_TOTAL_FIELDS = ("net", "allowance", "charge", "taxable", "tax", "gross")


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing that is not as it was.

    ``subject``: line, room, scene, level, option, adjustment, stage, total, terms, document.
    ``change``: added, removed, changed. ``place`` is the room's or section's name, the scene's for
    a level. ``field`` names what changed; for added and removed lines it is ``net``. ``before`` and
    ``after`` are None where there is nothing.
    """

    subject: str
    change: str
    key: str
    name: str
    place: str = ""
    field: str = ""
    before: Value = None
    after: Value = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Item:
    """Anything with a key that can be compared field by field."""

    name: str
    place: str
    values: Mapping[str, Value]
    headline: str = ""  # the field told when the whole thing comes or goes


def difference(*, old: Offer, new: Offer) -> tuple[Difference, ...]:
    """Return every difference between two offers, the same offer giving none.

    The changes of line nets add up to the change of the net total: see ``net_change``.
    """
    rows: list[Difference] = []
    for subject, items in (
        ("document", _document),
        ("room", _rooms),
        ("line", _lines),
        ("scene", _scenes),
        ("level", _levels),
        ("option", _options),
        ("adjustment", _adjustments),
        ("stage", _stages),
        ("total", _totals),
        ("terms", _terms),
    ):
        rows += _compared(subject, items(old), items(new))
    return tuple(rows)


def net_change(*, rows: Iterable[Difference]) -> Decimal:
    """Return by how much the lines' nets changed in all, from their rows."""
    return added(
        EXACT.subtract(_number(row.after), _number(row.before))
        for row in rows
        if row.subject == "line" and row.field == "net"
    )


def _compared(
    subject: str, old: Mapping[str, _Item], new: Mapping[str, _Item]
) -> Iterable[Difference]:
    for key, item in new.items():
        if key not in old:
            yield _whole(subject, ADDED, key, item)
            continue
        was = old[key]
        for field in {**was.values, **item.values}:
            before, after = was.values.get(field), item.values.get(field)
            if before != after:
                yield Difference(
                    subject=subject,
                    change=CHANGED,
                    key=key,
                    name=item.name,
                    place=item.place,
                    field=field,
                    before=before,
                    after=after,
                )
    for key, item in old.items():
        if key not in new:
            yield _whole(subject, REMOVED, key, item)


def _whole(subject: str, change: str, key: str, item: _Item) -> Difference:
    value = item.values.get(item.headline)
    return Difference(
        subject=subject,
        change=change,
        key=key,
        name=item.name,
        place=item.place,
        field=item.headline,
        before=value if change == REMOVED else None,
        after=value if change == ADDED else None,
    )


def _document(offer: Offer) -> dict[str, _Item]:
    values: dict[str, Value] = {name: getattr(offer, name) for name in _DOCUMENT_FIELDS}
    return {"document": _Item(name="", place="", values=values)}


def _rooms(offer: Offer) -> dict[str, _Item]:
    return {
        room.key: _Item(
            name=room.name,
            place=room.floor,
            values={"name": room.name, "floor": room.floor, "net": room.net, "gross": room.gross},
            headline="net",
        )
        for room in offer.rooms
    }


def _lines(offer: Offer) -> dict[str, _Item]:
    return {
        line.key: _Item(
            name=line.client_name or line.description,
            place=_title(part),
            values={"place": _title(part), **_line_values(line)},
            headline="net",
        )
        for part in _parts(offer)
        for line in part.lines
    }


def _line_values(line: Line) -> dict[str, Value]:
    values = {each.name: getattr(line, each.name) for each in fields(line) if each.name != "key"}
    values["circuits"] = " ".join(line.circuits)
    return values


def _scenes(offer: Offer) -> dict[str, _Item]:
    return {
        key: _Item(
            name=scene.name,
            place=place,
            values={
                "name": scene.name,
                "group": scene.group,
                "description": scene.description,
            },
        )
        for key, place, scene in _placed_scenes(offer)
    }


def _levels(offer: Offer) -> dict[str, _Item]:
    return {
        f"{key}/{level.circuit}": _Item(
            name=level.circuit,
            place=scene.name,
            values={"level": level.level, "colour": level.colour},
            headline="level",
        )
        for key, _, scene in _placed_scenes(offer)
        for level in scene.levels
    }


def _options(offer: Offer) -> dict[str, _Item]:
    return {
        option.key: _Item(
            name=option.name,
            place=group.name,
            values=_option_values(group, option),
            headline="gross_delta",
        )
        for group in offer.options
        for option in group.options
    }


def _option_values(group: OptionGroup, option: Option) -> dict[str, Value]:
    values: dict[str, Value] = {
        each.name: getattr(option, each.name) for each in fields(option) if each.name != "key"
    }
    return {"choice": group.choice, **values}


def _adjustments(offer: Offer) -> dict[str, _Item]:
    items: dict[str, _Item] = {}
    for kind, adjustments in (("allowance", offer.allowances), ("charge", offer.charges)):
        for each in adjustments:
            key = f"{kind}/{each.reason}/{each.tax_rate}"
            # Two of one reason and rate have nothing else to tell them apart than their order.
            while key in items:
                key += "+"
            items[key] = _Item(
                name=each.reason,
                place=kind,
                values={"amount": each.amount, "tax_rate": each.tax_rate},
                headline="amount",
            )
    return items


def _stages(offer: Offer) -> dict[str, _Item]:
    return {
        str(index): _Item(
            name=stage.name,
            place="",
            values={
                "name": stage.name,
                "share": stage.share,
                "amount": stage.amount,
                "due": stage.due,
            },
            headline="amount",
        )
        for index, stage in enumerate(offer.stages, start=1)
    }


def _totals(offer: Offer) -> dict[str, _Item]:
    values: dict[str, Value] = {name: getattr(offer.totals, name) for name in _TOTAL_FIELDS}
    return {"totals": _Item(name="", place="", values=values)}


def _terms(offer: Offer) -> dict[str, _Item]:
    values: dict[str, Value] = {"version": offer.terms.version, "text": offer.terms.text}
    return {"terms": _Item(name="", place="", values=values)}


def _parts(offer: Offer) -> tuple[Room | Section, ...]:
    return (*offer.rooms, *offer.sections())


def _title(part: Room | Section) -> str:
    return part.name if isinstance(part, Room) else part.title


def _placed_scenes(offer: Offer) -> Iterable[tuple[str, str, Scene]]:
    for room in offer.rooms:
        for scene in room.scenes:
            yield scene.key, room.name, scene
    for scene in offer.house_scenes:
        yield scene.key, "", scene


def _number(value: Any) -> Decimal:
    return value if isinstance(value, Decimal) else Decimal(0)
