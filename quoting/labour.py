"""Labour from norms: operation × quantity × access. Pure.

A norm gives minutes for a piece or a metre of a kind, for a circuit, a scene, a button or a visit.
Work high up takes longer: `access_factor` multiplies first and second fix by the ceiling height.
All figures are the business's own or common practice, without a published source.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from catalogue.spec import NormSpec
from consult.design import RoomPart
from consult.pieces import House

# Ceiling height up to [m] and what it multiplies the minutes by: common practice, no source.
ACCESS = (
    (Decimal("2.7"), Decimal("1")),
    (Decimal("3.5"), Decimal("1.25")),
    (Decimal("5"), Decimal("1.5")),
)
ACCESS_ABOVE = Decimal("2")
OPERATIONS_WITH_ACCESS = frozenset({"first-fix", "second-fix"})

# kind, room, quantity, unit, installed by, connected by, description
Work = tuple[str, str | None, Decimal, str, str, str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourLine:
    """Minutes of one operation by one grade in one room (None: the house), and where they come from."""

    operation: str
    grade: str
    room: str | None
    minutes: Decimal
    why: tuple[tuple[str, str, Decimal], ...]


def access_factor(height_m: Decimal | None) -> Decimal:
    """What a ceiling height multiplies the minutes of fixing by; 1 where it is not known.

    >>> access_factor(Decimal("4.1"))
    Decimal('1.5')
    """
    if height_m is None:
        return Decimal(1)
    for up_to, factor in ACCESS:
        if height_m <= up_to:
            return factor
    return ACCESS_ABOVE


def labour_lines(*, house: House, lines: Iterable[Work]) -> tuple[LabourLine, ...]:
    """The labour of a house: what we install and connect, by operation, grade and room."""
    minutes: dict[tuple[str, str, str | None], Decimal] = defaultdict(Decimal)
    why: dict[tuple[str, str, str | None], list[tuple[str, str, Decimal]]] = defaultdict(list)
    for operation, grade, room, amount, code, about in _all(house, tuple(lines)):
        key = (operation, grade, room)
        minutes[key] += amount
        why[key].append((code, about, amount))
    order = {norm: place for place, norm in enumerate(_operations(house))}
    return tuple(
        LabourLine(
            operation=key[0], grade=key[1], room=key[2], minutes=minutes[key], why=tuple(why[key])
        )
        for key in sorted(minutes, key=lambda k: (order[k[0]], k[1], k[2] or ""))
    )


def _operations(house: House) -> list[str]:
    return list(dict.fromkeys(norm.operation for norm in house.stock.norms))


def _all(
    house: House, lines: tuple[Work, ...]
) -> Iterator[tuple[str, str, str | None, Decimal, str, str]]:
    rooms = house.design.room_of
    for norm in house.stock.norms:
        if norm.per in {"piece", "metre"}:
            yield from _of_things(norm, lines, rooms)
        elif norm.per == "circuit":
            yield from _of_circuits(norm, house)
        else:
            yield from _of_house(norm, house, lines)


def _of_things(
    norm: NormSpec, lines: tuple[Work, ...], rooms: dict[str, RoomPart]
) -> Iterator[tuple[str, str, str | None, Decimal, str, str]]:
    for kind, room, quantity, unit, installed_by, connected_by, description in lines:
        if norm.kind != kind or norm.per != unit or quantity <= 0:
            continue
        by = connected_by if norm.operation == "termination" else installed_by
        if by != "showroom":
            continue
        amount = norm.minutes * quantity
        if norm.operation in OPERATIONS_WITH_ACCESS and room is not None:
            amount *= access_factor(rooms[room].height_m)
        yield norm.operation, norm.grade, room, amount, "norm", description


def _of_circuits(
    norm: NormSpec, house: House
) -> Iterator[tuple[str, str, str | None, Decimal, str, str]]:
    for circuit in house.design.circuits:
        ours = any(f.connected_by == "showroom" for f in circuit.fittings)
        if ours and not (circuit.is_existing and norm.operation == "first-fix"):
            yield norm.operation, norm.grade, circuit.room, norm.minutes, "norm", circuit.code


def _of_house(
    norm: NormSpec, house: House, lines: tuple[Work, ...]
) -> Iterator[tuple[str, str, str | None, Decimal, str, str]]:
    if norm.per == "scene":
        count = len(house.design.scenes)
    elif norm.per == "button":
        count = sum(len(position.buttons) for position in house.design.positions)
    else:  # a visit
        count = 1 if lines else 0
    if count:
        yield norm.operation, norm.grade, None, norm.minutes * count, "norm", norm.per
