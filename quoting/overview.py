"""A draft at a glance: its parts with their sums, and its labour by operation and by room."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from quoting.draft import Draft, DraftLine
from quoting.labour import ON_WALLS, Factor, factors_of
from quoting.money import EXACT

OPTIONAL = "optional"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A room or a section of a draft, or what an option would bring."""

    label: str
    name: str
    lines: tuple[DraftLine, ...]
    net: Decimal
    gross: Decimal
    is_optional: bool = False  # of an option that is not taken: its sum counts nowhere

    @property
    def to_look_at(self) -> int:
        """How many overruled values the design has moved away from."""
        return sum(each.is_stale for line in self.lines for each in line.overrulings)

    @property
    def margin(self) -> Decimal | None:
        """What is left above the cost; None where a cost is not known."""
        costs = [line.cost for line in self.lines]
        if any(cost is None for cost in costs):
            return None
        return self.net - sum((cost for cost in costs if cost is not None), Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourRow:
    """A room's hours, in the order of the operations, their sum, and why fixing takes as long."""

    name: str
    hours: tuple[Decimal, ...]
    total: Decimal
    factors: tuple[Factor, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Labour:
    """Hours by room and operation, everybody's. ``days`` that a ``crew`` is there; ``net`` they sell for."""

    operations: tuple[str, ...]
    rows: tuple[LabourRow, ...]
    by_operation: tuple[Decimal, ...]
    hours: Decimal
    days: Decimal
    crew: int
    net: Decimal

    @property
    def has_factors(self) -> bool:
        return any(row.factors for row in self.rows)


def parts_of(draft: Draft) -> list[Part]:
    """Rooms in house order, then control hardware, labour, and what is for the whole job."""
    sums = {group.label: group for group in draft.grouped.groups}
    found = [(r.id, r.name, draft.in_room(r.id)) for r in draft.house.design.rooms]
    found += [
        (name, title, draft.in_section(name))
        for name, title in (
            ("control", _("Control hardware")),
            ("labour", _("Labour")),
            ("general", _("For the whole job")),
        )
    ]
    return [
        Part(
            label=label,
            name=name,
            lines=lines,
            net=sums[label].net,
            gross=sums[label].gross,
        )
        for label, name, lines in found
        if lines
    ]


def optional_parts(draft: Draft) -> list[Part]:
    """Lines that come with an option only, option by option: what each comes to, counted nowhere."""
    by_option: dict[str, list[DraftLine]] = defaultdict(list)
    for line in draft.optional:
        by_option[line.option].append(line)
    return [
        Part(
            label=f"{OPTIONAL}-{number}",
            name=name,
            lines=tuple(lines),
            net=(net := sum((line.net for line in lines), Decimal(0))),
            gross=net,
            is_optional=True,
        )
        for number, (name, lines) in enumerate(by_option.items(), start=1)
    ]


def labour_of(draft: Draft) -> Labour:
    """The labour of a draft, as quoted: overruled hours count as they were overruled."""
    lines = [line for line in draft.lines if line.section == "labour" and line.bill]
    operations = tuple(dict.fromkeys(line.bill.operation for line in lines if line.bill))
    names = {room.id: room.name for room in draft.house.design.rooms}
    hours: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for line in lines:
        if line.bill:
            hours[line.room or "", line.bill.operation] += line.quantity
    rooms = [key for key in (*names, "") if any((key, each) in hours for each in operations)]
    rows = tuple(
        LabourRow(
            name=names.get(room, str(_("The whole house"))),
            hours=(row := tuple(hours[room, each] for each in operations)),
            total=sum(row, Decimal(0)),
            factors=_factors(draft, room),
        )
        for room in rooms
    )
    total = sum((row.total for row in rows), Decimal(0))
    rules = draft.terms.rules
    a_day = EXACT.multiply(rules.hours_per_day, Decimal(rules.crew))
    days = EXACT.divide(total, a_day).quantize(Decimal("0.1"))
    return Labour(
        operations=operations,
        rows=rows,
        by_operation=tuple(
            sum((row.hours[place] for row in rows), Decimal(0)) for place in range(len(operations))
        ),
        hours=total,
        days=days,
        crew=rules.crew,
        net=sum((line.net for line in lines), Decimal(0)),
    )


def _factors(draft: Draft, room_id: str) -> tuple[Factor, ...]:
    """What multiplies the minutes of fixing in a room, for its ceiling and for its walls."""
    room = draft.house.design.room_of.get(room_id)
    if room is None:
        return ()
    access = draft.terms.labour.access
    kinds = ("", next(iter(ON_WALLS)))
    return tuple(dict.fromkeys(each for kind in kinds for each in factors_of(room, kind, access)))
