"""Labour from norms: operation × quantity × access. Pure.

A norm gives minutes for a piece or a metre of a kind, for a circuit, a scene, a button or a visit.
Work high up, or into a hard finish, takes longer: first and second fix are multiplied by the factors
of the room's ceiling height, of the finish that the thing is fixed into (the ceiling's, or the wall's
for what hangs on a wall), and of a house lived in. `factors_of` names them.
All figures are the business's own or common practice, without a published source.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache

from base.once import Kept
from catalogue.spec import NormSpec
from consult.design import CircuitPart, RoomPart
from consult.pieces import House

# Ceiling height up to [m] and what it multiplies the minutes by: common practice, no source.
ACCESS = (
    (Decimal("2.7"), Decimal("1")),
    (Decimal("3.5"), Decimal("1.25")),
    (Decimal("5"), Decimal("1.5")),
)
ACCESS_ABOVE = Decimal("2")
# What a finish multiplies the minutes by: common practice, no source. Elsewhere 1.
FINISHES = (
    ("plaster", Decimal("1")),
    ("timber", Decimal("1.1")),
    ("lath", Decimal("1.2")),
    ("tiled", Decimal("1.3")),
    ("masonry", Decimal("1.4")),
    ("concrete", Decimal("1.5")),
)
# What hangs on walls, by kind; everything else with a place is taken as fixed to the ceiling.
ON_WALLS = frozenset({"keypad", "switch-plate", "dimmer", "outlet"})
# Cable is drawn, a lamp goes into its fitting: neither is fixed into a finish.
IN_NO_FINISH = frozenset({"cable", "lamp"})
OPERATIONS_WITH_ACCESS = frozenset({"first-fix", "second-fix"})
CALL_OUT = "call-out"

SUPPLY_AND_INSTALL = "supply_and_install"
SUPPLY_ONLY = "supply_only"
CLIENTS_ELECTRICIAN = "clients_electrician"
# Who fixes and connects what we would have, where the whole quote leaves that to others.
LEFT_TO = {SUPPLY_ONLY: "client", CLIENTS_ELECTRICIAN: "electrician"}

# kind, room, quantity, unit, installed by, connected by, description
Work = tuple[str, str | None, Decimal, str, str, str, str]
# operation, grade, room, minutes, code of the reason, what it is about
Entry = tuple[str, str, str | None, Decimal, str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Access:
    """What the minutes of fixing are multiplied by.

    ``heights``: ceiling height up to [m] and its factor, lowest first; ``above`` beyond the last;
    ``occupied`` besides, where the house is lived in; ``finishes``: by the finish that is fixed into.
    Factors above 0. Raises ValueError otherwise.
    """

    heights: tuple[tuple[Decimal, Decimal], ...] = ACCESS
    above: Decimal = ACCESS_ABOVE
    occupied: Decimal = Decimal(1)
    finishes: tuple[tuple[str, Decimal], ...] = FINISHES

    def __post_init__(self) -> None:
        factors = [each for _, each in (*self.heights, *self.finishes)]
        for factor in (self.above, self.occupied, *factors):
            if not (factor.is_finite() and factor > 0):
                raise ValueError(f"a factor must be above 0, got {factor}")
        if list(self.heights) != sorted(self.heights):
            raise ValueError("heights must go from the lowest to the highest")


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourTerms:
    """Whose work it is, what makes it harder, and the least hours that a job is charged for.

    ``delivery``: one of supply_and_install, supply_only (no work of ours at all),
    clients_electrician (we program and travel, their electrician fixes and connects).
    ``call_out_hours`` 0 or above. Raises ValueError otherwise.
    """

    access: Access = field(default_factory=Access)
    delivery: str = SUPPLY_AND_INSTALL
    call_out_hours: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if self.delivery not in (SUPPLY_AND_INSTALL, *LEFT_TO):
            raise ValueError(f"delivery is not known: {self.delivery!r}")
        if not (self.call_out_hours.is_finite() and self.call_out_hours >= 0):
            raise ValueError(f"call_out_hours must be 0 or above, got {self.call_out_hours}")

    def by(self, who: str) -> str:
        """Who does the work that would be ``who``'s."""
        return LEFT_TO.get(self.delivery, who) if who == "showroom" else who


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourLine:
    """Minutes of one operation by one grade in one room (None: the house), and where they come from."""

    operation: str
    grade: str
    room: str | None
    minutes: Decimal
    why: tuple[tuple[str, str, Decimal], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One reason why fixing takes longer or shorter: ``code`` height, ceiling, wall or occupied.

    ``about`` is the height in m as typed or the name of the finish; ``factor`` above 0.
    """

    code: str
    about: str
    factor: Decimal

    @property
    def told(self) -> str:
        """What it is and by how much, such as ``concrete × 1.5``."""
        unit = " m" if self.code == "height" else ""
        return f"{self.about}{unit} × {self.factor.normalize():f}".strip()


def height_factor(height_m: Decimal | None, access: Access | None = None) -> Decimal:
    """What a ceiling height multiplies the minutes of fixing by; 1 where it is not known.

    >>> height_factor(Decimal("4.1"))
    Decimal('1.5')
    """
    known = access or Access()
    if height_m is None:
        return Decimal(1)
    return next((factor for up_to, factor in known.heights if height_m <= up_to), known.above)


def factors_of(room: RoomPart, kind: str, access: Access | None = None) -> tuple[Factor, ...]:
    """The factors other than 1 on fixing a thing of this kind in a room."""
    known = access or Access()
    by_finish = dict(known.finishes)
    surface = "wall" if kind in ON_WALLS else "ceiling"
    finish = "" if kind in IN_NO_FINISH else getattr(room, f"{surface}_finish")
    found = (
        Factor(
            code="height",
            about="" if room.height_m is None else f"{room.height_m.normalize():f}",
            factor=height_factor(room.height_m, known),
        ),
        Factor(code=surface, about=finish, factor=by_finish.get(finish, Decimal(1))),
        Factor(code="occupied", about="", factor=known.occupied),
    )
    return tuple(each for each in found if each.factor != 1)


def labour_lines(
    *,
    house: House,
    lines: Iterable[Work],
    terms: LabourTerms | None = None,
    more: Iterable[Entry] = (),
) -> tuple[LabourLine, ...]:
    """The labour of a house: what we install and connect, by operation, grade and room.

    ``more`` is labour that was counted elsewhere, as that of ordinary switches.
    """
    terms = terms or LabourTerms()
    if terms.delivery == SUPPLY_ONLY:
        return ()
    works, others = _by_room(lines, lambda work: work[1]), _by_room(more, lambda entry: entry[2])
    norms, access = house.stock.norms, _as_one(terms.access)
    of_house = (*_of_house(house, works), *_of_norms(norms, works.get(None, ()), None, access, ()))
    found = list(_summed((*of_house, *others.get(None, ()))))
    for room in house.design.rooms:
        ours = tuple(c for c in house.design.circuits_in(room.id) if _is_ours(c, terms))
        found += _in_room(
            norms, room, access, works.get(room.id, ()), ours, others.get(room.id, ())
        )
    order = {norm: place for place, norm in enumerate(_operations(house))}
    found.sort(
        key=lambda line: (order.get(line.operation, len(order)), line.grade, line.room or "")
    )
    return (*found, *_call_out(found, terms))


def _in_room(
    norms: tuple[NormSpec, ...],
    room: RoomPart,
    access: Access,
    works: tuple[Work, ...],
    circuits: tuple[CircuitPart, ...],
    more: tuple[Entry, ...],
) -> tuple[LabourLine, ...]:
    """The labour of one room; worked out again only where something of it changed."""
    return _in_rooms.get(
        (norms, room, access, len(works), len(circuits), *works, *circuits, *more),
        lambda: _summed((*_of_norms(norms, works, room, access, circuits), *more)),
    )


_in_rooms: Kept[tuple[LabourLine, ...]] = Kept(4000)


@lru_cache(maxsize=64)
def _as_one(access: Access) -> Access:
    """Equal factors as one and the same object."""
    return access


def _by_room[T](
    given: Iterable[T], room_of: Callable[[T], str | None]
) -> dict[str | None, tuple[T, ...]]:
    found: dict[str | None, list[T]] = {}
    for each in given:
        found.setdefault(room_of(each), []).append(each)
    return {room: tuple(rows) for room, rows in found.items()}


def _summed(entries: Iterable[Entry]) -> tuple[LabourLine, ...]:
    """Entries of one operation, grade and room become one line, with all their reasons."""
    minutes: dict[tuple[str, str, str | None], Decimal] = defaultdict(Decimal)
    why: dict[tuple[str, str, str | None], dict[tuple[str, str], Decimal]] = {}
    for operation, grade, room, amount, code, about in entries:
        key = (operation, grade, room)
        minutes[key] += amount
        reasons = why.setdefault(key, defaultdict(Decimal))
        reasons[code, about] += amount
    return tuple(
        LabourLine(
            operation=key[0],
            grade=key[1],
            room=key[2],
            minutes=minutes[key],
            why=tuple((code, about, amount) for (code, about), amount in why[key].items()),
        )
        for key in minutes
    )


def _call_out(lines: Sequence[LabourLine], terms: LabourTerms) -> tuple[LabourLine, ...]:
    """What is missing to the least hours of a job; nothing where there is no work at all."""
    worked = sum((line.minutes for line in lines), Decimal(0))
    least = terms.call_out_hours * 60
    if not worked or worked >= least:
        return ()
    why = (("least_hours", f"{terms.call_out_hours.normalize():f} h", least),)
    return (
        LabourLine(
            operation=CALL_OUT, grade=lines[0].grade, room=None, minutes=least - worked, why=why
        ),
    )


def _operations(house: House) -> list[str]:
    return list(dict.fromkeys(norm.operation for norm in house.stock.norms))


def _of_norms(
    norms: Iterable[NormSpec],
    works: Iterable[Work],
    room: RoomPart | None,
    access: Access,
    circuits: Sequence[CircuitPart],
) -> Iterator[Entry]:
    """What the norms say of the things and the circuits of one room; None: of no room."""
    for norm in norms:
        if norm.per in {"piece", "metre"}:
            yield from _of_things(norm, works, room, access)
        elif norm.per == "circuit":
            for circuit in circuits:
                if not (circuit.is_existing and norm.operation == "first-fix"):
                    yield (
                        norm.operation,
                        norm.grade,
                        circuit.room,
                        norm.minutes,
                        "norm",
                        circuit.code,
                    )


def _is_ours(circuit: CircuitPart, terms: LabourTerms) -> bool:
    return any(terms.by(fitting.connected_by) == "showroom" for fitting in circuit.fittings)


def _of_things(
    norm: NormSpec, works: Iterable[Work], room: RoomPart | None, access: Access
) -> Iterator[Entry]:
    for kind, _room, quantity, unit, installed_by, connected_by, description in works:
        if norm.kind != kind or norm.per != unit or quantity <= 0:
            continue
        by = connected_by if norm.operation == "termination" else installed_by
        if by != "showroom":
            continue
        yield from fixing(
            operation=norm.operation,
            grade=norm.grade,
            room=room,
            kind=kind,
            minutes=norm.minutes * quantity,
            about=description,
            access=access,
        )


def fixing(
    *,
    operation: str,
    grade: str,
    room: RoomPart | None,
    kind: str,
    minutes: Decimal,
    about: str,
    access: Access,
) -> Iterator[Entry]:
    """The minutes of an operation by the norm, and what the factors of the room add to them."""
    place = None if room is None else room.id
    yield operation, grade, place, minutes, "norm", about
    if room is None or operation not in OPERATIONS_WITH_ACCESS:
        return
    amount = minutes
    for each in factors_of(room, kind, access):
        more = amount * (each.factor - 1)
        amount += more
        yield operation, grade, place, more, f"by_{each.code}", each.told


def _of_house(house: House, works: dict[str | None, tuple[Work, ...]]) -> Iterator[Entry]:
    for norm in house.stock.norms:
        if norm.per in {"piece", "metre", "circuit"}:
            continue
        if norm.per == "scene":
            count = len(house.design.scenes)
        elif norm.per == "button":
            count = sum(len(position.buttons) for position in house.design.positions)
        else:  # a visit
            count = 1 if works else 0
        if count:
            yield norm.operation, norm.grade, None, norm.minutes * count, "norm", norm.per
