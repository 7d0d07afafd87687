"""Derivations kept under the SHA-256 of their frozen input and the engine's number.

Undo comes back to an input that was seen before, and so to an answer that is there already.
"""

import hashlib
import json
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from django.core.cache import cache
from django.utils import timezone

from catalogue.reader import read_stock
from catalogue.spec import Stock
from consult import planning
from consult.design import Design
from consult.held import earlier_units
from consult.models import Project
from consult.pieces import House
from consult.planning import PlannedHouse
from consult.reader import design_of
from consult.rows import read_rows
from engineering.control_enclosure import EnclosureTask, Outcome
from engineering.keypad_house import HouseKeypads

# Raised when the same input would give another answer than before.
ENGINE = 3
KEPT_S = 24 * 60 * 60
STOCKS_KEPT = 64


def fingerprint(*values: Any) -> str:
    """SHA-256 of frozen values: the same values give the same text in every process."""
    return hashlib.sha256(json.dumps(_plain(values), separators=(",", ":")).encode()).hexdigest()


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, *[_plain(getattr(value, f.name)) for f in fields(value)]]
    if isinstance(value, dict):
        return sorted([_plain(k), _plain(v)] for k, v in value.items())
    if isinstance(value, frozenset | set):
        return sorted(_plain(v) for v in value)
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if value is None or isinstance(value, bool | int | str):
        return value
    return str(value)


def _key(name: str, values: tuple[Any, ...]) -> str:
    return f"derived-{ENGINE}-{name}-{fingerprint(*values)}"


def kept[T](name: str, values: tuple[Any, ...], make: Callable[[], T]) -> T:
    """The answer for these values: from the cache, else made and kept."""
    key = _key(name, values)
    found: T | None = cache.get(key)
    if found is None:
        found = make()
        cache.set(key, found, KEPT_S)
    return found


_stocks: dict[int, tuple[Stock, str]] = {}


def stock_digest(stock: Stock) -> str:
    """The fingerprint of a stock. Looked at once: the reader gives the same one while it stands."""
    known = _stocks.get(id(stock))
    if known is not None and known[0] is stock:
        return known[1]
    digest = fingerprint(stock)
    while len(_stocks) >= STOCKS_KEPT:
        _stocks.pop(next(iter(_stocks)), None)
    _stocks[id(stock)] = stock, digest
    return digest


def inputs(house: House) -> tuple[Any, ...]:
    """All that is in a house, for a key: its design and stock by their digests."""
    return house.design.digest, stock_digest(house.stock), house.held, house.previous


def read_house(project: Project, choice: Any = None, *, day: Any = None) -> House:
    """The design of a project and the stock it draws on, priced on a day (today unless said)."""
    rows = read_rows(project)
    design: Design = design_of(rows, choice)
    stock = read_stock(
        product_ids=design.product_ids(),
        day=day or timezone.localdate(),
        currency=rows.business.currency,
        at_edition=rows.edition,
    )
    earlier = earlier_units(rows.issues)
    return House(design=design, stock=stock, held=earlier.held, previous=earlier.previous)


def _of_enclosure(task: EnclosureTask, make: Callable[[], Outcome]) -> Outcome:
    """The plan of one enclosure: what other enclosures hold does not touch it."""
    values = tuple(getattr(task, f.name) for f in fields(task) if f.name != "known")
    return kept("enclosure", values, make)


def _keypads_of(problem: planning.KeypadProblem) -> HouseKeypads:
    return kept("keypads", (problem,), lambda: planning.chosen_keypads(problem))


def planned(house: House, *, exact: bool = True) -> PlannedHouse:
    """The control plan of a house."""
    return kept(
        "plan-exact" if exact else "plan-quick",
        inputs(house),
        lambda: planning.plan(house, exact=exact, through=_of_enclosure, keypads_of=_keypads_of),
    )


def planned_now(house: House) -> tuple[PlannedHouse, bool]:
    """The plan that is at hand at once, and whether a better one may follow.

    The exact plan where it was worked out before, else a valid one with its bound.
    """
    found: PlannedHouse | None = cache.get(_key("plan-exact", inputs(house)))
    if found is not None:
        return found, False
    quick = planned(house, exact=False)
    return quick, not quick.control.is_proven


def planned_freely(house: House) -> PlannedHouse:
    """The plan that there would be if nothing had been fixed by hand."""
    free = replace(house, design=replace(house.design, fixed=()))
    return planned(free)
