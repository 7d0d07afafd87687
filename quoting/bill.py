"""The bill: everything a design needs, each line with why it is there.

Pure: a house and its plan in, lines out. Three things hold for every line:

* its key is stable: source, product, place, option, operation; the same need next week has the
  same key, so that what a person overruled stays with it;
* its quantity comes from the design (`why` names circuits, positions, enclosures);
* what is needed and what is bought are both there; what is bought beyond the need (the rest of a
  reel, of a pack) is a line of its own, so that a room's price does not depend on its neighbours.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Protocol

from base.content import Content
from base.once import once
from catalogue.spec import NormSpec, ProductSpec, RateSpec
from consult.pieces import House
from consult.planning import PlannedHouse
from quoting.bill_lines import BillLine, Why, line_key, lines_asked, product_line
from quoting.labour import Entry, LabourLine, LabourTerms, Work, labour_lines


class Switched(Protocol):
    """Ordinary switches of a house: their lines, and their labour, already counted."""

    @property
    def lines(self) -> tuple[BillLine, ...]: ...
    @property
    def work(self) -> tuple[Entry, ...]: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill(Content):
    """All lines, in reading order: rooms, control hardware, labour, general."""

    lines: tuple[BillLine, ...]

    def without_price(self) -> tuple[BillLine, ...]:
        """Our lines that the catalogue has no price for."""
        return tuple(line for line in self.lines if line.is_ours and line.unit_sell is None)

    def provisional(self) -> tuple[BillLine, ...]:
        return tuple(line for line in self.lines if line.is_provisional)


#: Source of the lines of ordinary switches; their labour is counted with them.
SWITCHING = "switching"
SECTIONS = ("room", "control", "labour", "general")


def make_bill(
    *,
    house: House,
    planned: PlannedHouse,
    terms: LabourTerms | None = None,
    switches: Switched | None = None,
) -> Bill:
    """The bill of a house with its plan. ``terms`` say whose the work is and what it takes.

    With ``switches`` these stand in place of receivers and keypads; drivers are the same either way.
    """
    terms = terms or LabourTerms()
    things = lines_asked(house, planned, has_controls=switches is None)
    things += switches.lines if switches else ()  # their boxes are counted with them
    merged = [_left_to_others(line, terms) for line in _merged(things)]
    rooms = {room.id: order for order, room in enumerate(house.design.rooms)}
    lines = [*merged, *_remainders(house, merged)]
    lines += _labour(house, merged, terms, switches.work if switches else ())
    lines.sort(
        key=lambda line: (
            SECTIONS.index(line.section),
            rooms.get(line.room or "", len(rooms)),
            line.key,
        )
    )
    return Bill(lines=tuple(lines))


def _left_to_others(line: BillLine, terms: LabourTerms) -> BillLine:
    """The line as the whole quote says: what we would fix and connect may be others' to do."""
    installed_by, connected_by = terms.by(line.installed_by), terms.by(line.connected_by)
    if (installed_by, connected_by) == (line.installed_by, line.connected_by):
        return line
    return _done_by(line, installed_by, connected_by)


@once(20_000)
def _done_by(line: BillLine, installed_by: str, connected_by: str) -> BillLine:
    return replace(line, installed_by=installed_by, connected_by=connected_by)


def _merged(lines: Iterable[BillLine]) -> list[BillLine]:
    """Lines of one key become one, with all their reasons."""
    found: dict[str, list[BillLine]] = {}
    for line in lines:
        found.setdefault(line.key, []).append(line)
    return [same[0] if len(same) == 1 else _joined(*same) for same in found.values()]


@once(20_000)
def _joined(first: BillLine, *others: BillLine) -> BillLine:
    same = (first, *others)
    return replace(
        first,
        quantity=sum((line.quantity for line in others), first.quantity),
        circuits=tuple(dict.fromkeys(code for line in same for code in line.circuits)),
        why=_added(why for line in same for why in line.why),
    )


def _added(reasons: Iterable[Why]) -> tuple[Why, ...]:
    sums: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for why in reasons:
        sums[why.code, why.about] += why.quantity
    return tuple(Why(code=c, about=a, quantity=q) for (c, a), q in sums.items())


def _remainders(house: House, lines: Iterable[BillLine]) -> Iterator[BillLine]:
    """What is bought beyond the need, because it comes in reels, lengths, packs and multiples."""
    needed: dict[str, Decimal] = defaultdict(Decimal)
    for line in lines:
        if line.product and line.is_ours:
            needed[line.product] += line.quantity
    for key in sorted(needed):
        product = house.products[key]
        step = bought_step(product)
        bought = (needed[key] / step).to_integral_value(ROUND_CEILING) * step
        rest = bought - needed[key]
        if rest > 0:
            yield product_line(
                house,
                product,
                source="remainder",
                section="general",
                quantity=rest,
                key=line_key("remainder", product.id, "", None),
                why=(
                    Why(code="needed_in_all", about=product.name, quantity=needed[key]),
                    Why(code="bought_in_all", about=product.name, quantity=bought),
                ),
            )


def bought_step(product: ProductSpec) -> Decimal:
    """The least amount by which more of it can be bought, in its own unit."""
    step = Decimal(product.pack_size * product.order_multiple)
    if product.unit == "metre":
        return step * (product.sold_length_m or Decimal("0.01"))
    return step


def _labour(
    house: House, lines: Iterable[BillLine], terms: LabourTerms, more: Iterable[Entry]
) -> Iterator[BillLine]:
    rates = {rate.grade: rate for rate in house.stock.rates}
    by_norm = [_as_work(line) for line in lines if line.source != SWITCHING]
    for work in labour_lines(house=house, lines=by_norm, terms=terms, more=more):
        if (line := _of_work(work, rates.get(work.grade))) is not None:
            yield line


@once(20_000)
def _of_work(work: LabourLine, rate: RateSpec | None) -> BillLine | None:
    hours = (work.minutes / 60).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    if not hours:
        return None
    return BillLine(
        key=line_key("labour", work.grade, work.room or "", None, work.operation),
        source="labour",
        section="labour",
        room=work.room,
        description=work.operation,
        quantity=hours,
        unit="hour",
        unit_cost=rate.cost if rate else None,
        unit_sell=rate.sell if rate else None,
        operation=work.operation,
        grade=work.grade,
        why=tuple(
            Why(code=code, about=about, quantity=minutes) for code, about, minutes in work.why
        ),
    )


@once(20_000)
def _as_work(line: BillLine) -> Work:
    return (
        line.kind,
        line.room,
        line.quantity,
        line.unit,
        line.installed_by,
        line.connected_by,
        line.description,
    )


__all__ = [
    "Bill",
    "BillLine",
    "NormSpec",
    "Why",
    "bought_step",
    "line_key",
    "make_bill",
    "product_line",
]
