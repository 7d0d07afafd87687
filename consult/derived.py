"""Derivations kept under the SHA-256 of their frozen input and the engine's number.

Undo comes back to an input that was seen before, and so to an answer that is there already. What a
process worked out it keeps as it is; plans of enclosures, which take longest, all processes share.
"""

import hashlib
import json
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from functools import cache as kept_for_good
from pathlib import Path
from threading import Lock
from typing import Any

from django.conf import settings
from django.core.cache import caches
from django.utils import timezone

from base.once import Kept, once
from catalogue.reader import read_stock
from catalogue.spec import Stock
from consult import apart, planning
from consult.design import Design
from consult.held import earlier_units
from consult.models import Project
from consult.pieces import House
from consult.planning import PlannedHouse
from consult.reader import design_of
from consult.rows import DesignRows, read_rows
from engineering.control_enclosure import EnclosureTask, Outcome, plan_enclosure
from engineering.control_plan import Unit
from engineering.keypad_house import HouseKeypads

KEPT_S = 24 * 60 * 60
VALUES_KEPT, HOUSES_KEPT, DIGESTS_KEPT = 4000, 48, 60_000


# --- fingerprints ---------------------------------------------------------------------------------
def fingerprint(*values: Any) -> str:
    """SHA-256 of frozen values: the same values give the same text in every process."""
    return _sha256(_plain(values))


def _sha256(content: Any) -> str:
    return hashlib.sha256(json.dumps(content, separators=(",", ":")).encode()).hexdigest()


@once(DIGESTS_KEPT)
def _digest(value: Any) -> str:
    """Of one frozen dataclass: looked at once, however many values it is part of."""
    return _sha256([type(value).__name__, *[_plain(getattr(value, f.name)) for f in fields(value)]])


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if is_dataclass(value) and not isinstance(value, type):
        return _digest(value)
    if isinstance(value, dict):
        return sorted([_plain(k), _plain(v)] for k, v in value.items())
    if isinstance(value, frozenset | set):
        return sorted(_plain(v) for v in value)
    return str(value)


@kept_for_good
def engine() -> str:
    """The program that works plans out, as a digest: another may give other answers."""
    root = Path(settings.BASE_DIR)
    sources = [*sorted((root / "engineering").glob("*.py")), root / "consult" / "planning.py"]
    return hashlib.sha256(b"".join(each.read_bytes() for each in sources)).hexdigest()[:16]


# --- what is kept ---------------------------------------------------------------------------------
_values: OrderedDict[str, Any] = OrderedDict()
_lock = Lock()


def _key(name: str, values: tuple[Any, ...]) -> str:
    return f"derived-{engine()}-{name}-{fingerprint(*values)}"


def _at_hand(key: str) -> Any:
    with _lock:
        if key in _values:
            _values.move_to_end(key)
            return _values[key]
    return None


def _keep(key: str, value: Any) -> None:
    with _lock:
        _values[key] = value
        while len(_values) > VALUES_KEPT:
            _values.popitem(last=False)


def kept[T](name: str, values: tuple[Any, ...], make: Callable[[], T]) -> T:
    """The answer for these values, kept in this process, else made. It is shared: never changed."""
    key = _key(name, values)
    found: T | None = _at_hand(key)
    if found is None:
        found = make()
        _keep(key, found)
    return found


def forget() -> None:
    """Forget all that is kept in this process."""
    with _lock:
        _values.clear()


def inputs(house: House) -> tuple[Any, ...]:
    """All that is in a house, for a key: its design by its digest, its stock, what is wired."""
    return house.design.digest, house.stock, house.held, house.previous


# --- the house ------------------------------------------------------------------------------------
def read_house(project: Project, choice: Any = None, *, day: Any = None) -> House:
    """The design of a project and the stock it draws on, priced on a day (today unless said)."""
    rows = read_rows(project)
    design = _design_of(rows, choice)
    stock = read_stock(
        product_ids=design.product_ids(),
        day=day or timezone.localdate(),
        currency=rows.business.currency,
        at_edition=rows.edition,
    )
    earlier = earlier_units(rows.issues)
    return _house(design, stock, earlier.held, earlier.previous)


def _design_of(rows: DesignRows, choice: Any) -> Design:
    taken = None if choice is None else frozenset(str(key) for key in choice)
    return kept("design", (rows.digest, taken), lambda: design_of(rows, taken))


@once(HOUSES_KEPT)
def _house(
    design: Design, stock: Stock, held: tuple[Unit, ...], previous: tuple[Unit, ...]
) -> House:
    return House(design=design, stock=stock, held=held, previous=previous)


# --- its plan -------------------------------------------------------------------------------------
FOUND_OUT = frozenset({"known", "solved"})


class _NotAtHandError(Exception):
    """No plan of an enclosure was worked out yet."""


def _task_key(task: EnclosureTask) -> str:
    return _key(
        "enclosure", tuple(getattr(task, f.name) for f in fields(task) if f.name != "known")
    )


def _known(key: str) -> Outcome | None:
    found: Outcome | None = _at_hand(key)
    if found is None:
        found = caches["planned"].get(key)
        if found is not None:
            _keep(key, found)
    return found


def _of_enclosure(task: EnclosureTask, _make: Callable[[], Outcome]) -> Outcome:
    """The plan of one enclosure: what other enclosures hold does not touch it."""
    key = _task_key(task)
    found = _known(key) if task.exact else _at_hand(key)
    if found is None:
        found = apart.helper.outcome(task) if task.exact and settings.PLANS_APART else None
        if found is None:
            known, solved = _found_out(task)
            found = plan_enclosure(task=replace(task, known=known, solved=solved))
        _keep(key, found)
        if task.exact:
            caches["planned"].set(key, found, KEPT_S)
    return found


_of_hardware: Kept[apart.FoundOut] = Kept(8)


def _found_out(task: EnclosureTask) -> apart.FoundOut:
    """What was found out before of circuits, and of parts of enclosures, of the same hardware."""
    hardware = (task.headroom.share, task.headroom.method, *task.receivers, *task.drivers)
    return apart.bounded(_of_hardware.get(hardware, lambda: ({}, {})))


def _of_enclosure_at_hand(task: EnclosureTask, _make: Callable[[], Outcome]) -> Outcome:
    found = _known(_task_key(task))
    if found is None:
        raise _NotAtHandError
    return found


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

    The exact plan where every enclosure's was worked out before, else a valid one with its bound.
    """
    found: PlannedHouse | None = _at_hand(_key("plan-exact", inputs(house)))
    if found is None:
        try:
            found = planning.plan(house, through=_of_enclosure_at_hand, keypads_of=_keypads_of)
        except _NotAtHandError:
            quick = planned(house, exact=False)
            return quick, not quick.control.is_proven
        _keep(_key("plan-exact", inputs(house)), found)
    return found, False


def planned_freely(house: House) -> PlannedHouse:
    """The plan that there would be if nothing had been fixed by hand."""
    free = replace(house, design=replace(house.design, fixed=()))
    return planned(free)
