"""The registry of rules, and what a rule is given and gives."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, cast

from django.utils.functional import Promise

from base.once import Kept
from catalogue.spec import FeedSpec, ProductSpec
from consult.design import CircuitPart, FittingPart, RoomPart
from consult.light.targets import GUIDES, Targets
from consult.pieces import FittingLoad, House
from consult.planning import PlannedHouse
from engineering.control_plan import EnclosurePlan, PowerSupply, Unit
from engineering.published import Source

SEVERITIES = ("stop", "look", "note")
NOBODY_BUT_US = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One finding: its rule, the row it is about, where it is mended, and its values as text.

    `room` is the room it belongs to, None for the house. With other values it is another finding
    to look at, even where the same was set aside before.
    """

    rule: str
    severity: str
    about: str
    place: str
    place_key: str
    room: str | None
    values: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """`why` and `mend` are sentences with the finding's values; `place` names the page that mends it."""

    id: str
    title: str | Promise
    severity: str
    why: str | Promise
    mend: str | Promise
    source: str
    place: str
    check: Callable[["Case"], Iterable[Found]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """One row of fittings with its circuit, product, feed and load."""

    circuit: CircuitPart
    part: FittingPart
    product: ProductSpec
    feed: FeedSpec | None
    load: FittingLoad


@dataclass(frozen=True, kw_only=True)  # no slots: the look-ups are kept once made
class Case:
    """What rules look at: a house and its plan. The day of the prices is that of the stock."""

    house: House
    plan: PlannedHouse
    targets: Targets = GUIDES  # what uses of rooms ask for

    @cached_property
    def hanging(self) -> tuple[Hanging, ...]:
        """Every row of fittings that has a product."""
        found = []
        for circuit in self.house.design.circuits:
            loads = self.house.loads[circuit.id].rows
            for part, load in zip(circuit.fittings, loads, strict=True):
                product = self.house.product(part.product)
                if product is not None:
                    feed = product.feed(part.feed)
                    found.append(
                        Hanging(circuit=circuit, part=part, product=product, feed=feed, load=load)
                    )
        return tuple(found)

    @cached_property
    def hanging_on(self) -> dict[str, list[Hanging]]:
        """Rows of fittings by the code of their circuit."""
        rows: dict[str, list[Hanging]] = defaultdict(list)
        for each in self.hanging:
            rows[each.circuit.code].append(each)
        return rows

    @cached_property
    def circuit_of_code(self) -> dict[str, CircuitPart]:
        return {circuit.code: circuit for circuit in self.house.design.circuits}

    @cached_property
    def enclosure_plans(self) -> tuple[EnclosurePlan, ...]:
        return self.plan.control.enclosures

    def room(self, key: str) -> RoomPart:
        return self.house.design.room_of[key]

    def supplies(self, units: Iterable[Unit]) -> Iterator[PowerSupply]:
        """Drivers before and after some units."""
        for unit in units:
            yield from unit.supplies
            for output in unit.outputs:
                for part in output.parts:
                    yield from part.supplies

    @cached_property
    def supplies_by_code(self) -> dict[str, list[PowerSupply]]:
        """Drivers that feed each circuit, by its code: those before its units, and its own."""
        fed: dict[str, list[PowerSupply]] = defaultdict(list)
        for unit in self.plan.control.units:
            for code in unit.circuits:
                fed[code] += unit.supplies
            for output in unit.outputs:
                for part in output.parts:
                    fed[part.circuit] += part.supplies
        return fed

    def supplies_of(self, code: str) -> Sequence[PowerSupply]:
        """Drivers that feed one circuit."""
        return self.supplies_by_code.get(code, ())


RULES: dict[str, Rule] = {}


def rule(
    rule_id: str,
    *,
    title: str | Promise,
    severity: str,
    why: str | Promise,
    mend: str | Promise,
    source: str = NOBODY_BUT_US,
    place: str,
) -> Callable[[Callable[[Case], Iterable[Found]]], Callable[[Case], Iterable[Found]]]:
    """Put a rule into the registry. Raises ValueError for a severity or an id that cannot be."""
    if severity not in SEVERITIES:
        raise ValueError(f"severity must be one of {SEVERITIES}, got {severity!r}")
    if rule_id in RULES:
        raise ValueError(f"another rule has the id {rule_id!r}")

    def decorate(
        check: Callable[[Case], Iterable[Found]],
    ) -> Callable[[Case], Iterable[Found]]:
        RULES[rule_id] = Rule(
            id=rule_id,
            title=title,
            severity=severity,
            why=why,
            mend=mend,
            source=source,
            place=place,
            check=check,
        )
        return check

    return decorate


def found(
    rule_id: str,
    *,
    about: str,
    room: str | None = None,
    key: str | None = None,
    severity: str | None = None,
    place: str | None = None,
    **values: object,
) -> Found:
    """A finding of a rule; `key` is the row that its place opens, the row it is about unless said."""
    registered = RULES[rule_id]
    return Found(
        rule=rule_id,
        severity=severity or registered.severity,
        about=about,
        place=place or registered.place,
        place_key=key or about,
        room=room,
        values=tuple((name, text(value)) for name, value in values.items()),
    )


def text(value: object) -> str:
    """A value as it will be read: numbers to a tenth, without zeros that say nothing.

    >>> text(57.6499), text(3.0), text("0.1")
    ('57.6', '3', '0.1')
    """
    if isinstance(value, float):
        shown = f"{value:.1f}"
        return shown.removesuffix(".0")
    return str(value)


def find_all(case: Case, rules: Mapping[str, Rule] | None = None) -> tuple[Found, ...]:
    """All findings of a house: stops first, then in the order of the rules and of the design."""
    chosen = RULES if rules is None else rules
    without = replace(case, plan=cast(PlannedHouse, _NotToBeSeen()))
    all_found = [each for one in chosen.values() for each in _found_by(one, case, without)]
    return tuple(sorted(all_found, key=lambda each: SEVERITIES.index(each.severity)))


class _PlanAskedError(Exception):
    """A rule looks at the plan."""


class _NotToBeSeen:
    def __getattr__(self, name: str) -> Any:
        raise _PlanAskedError(name)


_of_house: Kept[tuple[Found, ...]] = Kept(4000)
_ask_for_plan: set[str] = set()


def _found_by(one: Rule, case: Case, without: Case) -> Iterable[Found]:
    """What a rule finds. Where it gets by without the plan, another plan of the house changes nothing."""
    if one.id not in _ask_for_plan:
        try:
            return _of_house.get((one, case.house, case.targets), lambda: tuple(one.check(without)))
        except _PlanAskedError:
            _ask_for_plan.add(one.id)
    return one.check(case)


def published(source: Source) -> str:
    """A source as it is printed: work, edition and place; what was not read says so."""
    parts = [source.work, source.edition, source.place]
    named = ", ".join(part for part in parts if part)
    if source.certainty == "quoted":
        return f"{named} (as public texts quote it)"
    if source.certainty == "memory":
        return f"{named} (from memory, not looked up)"
    return named
