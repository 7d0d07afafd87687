"""Drivers after an output: the sets of them that can feed one part of a circuit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from engineering.control_plan import PowerSupply, Reason, Value
from engineering.control_problem import ControlCircuit
from engineering.control_units import Headroom, grains
from engineering.drivers import DriverOption
from engineering.packing import pack

_DIMMED_KINDS = ("phase-dimmed", "analogue-dimmed", "digital-dimmed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """How a part may be fed: what the receiver's output then carries [W], the drivers, cost and width."""

    power_w: float
    supplies: tuple[PowerSupply, ...] = ()
    cost_minor: int = 0
    width: float = 0.0


def feeds(
    *,
    circuit: ControlCircuit,
    pieces_w: Sequence[float],
    drivers: Sequence[DriverOption],
    headroom: Headroom,
) -> tuple[Feed, ...]:
    """Return the ways to feed a part, cheapest first; none where no driver can.

    A part without drivers after its output has one, at no cost. A set of drivers that another beats in
    price, in what the output carries and in width is left out. One place has drivers of one product.
    """
    load_w = math.fsum(pieces_w)
    if circuit.supply_place != "after":
        return (Feed(power_w=load_w),)
    found: list[Feed] = []
    for driver in drivers:
        if circuit.load_kind in _DIMMED_KINDS and circuit.load_kind not in driver.dimmed_by:
            continue
        if circuit.current_ma is None:
            held = _constant_voltage(circuit, pieces_w, driver, headroom)
        else:
            held = _constant_current(circuit, pieces_w, driver, headroom)
        if held:
            width = 0.0 if circuit.drivers_apart else len(held) * driver.width
            found.append(replace(_feed(driver, held, load_w, headroom), width=width))
    kept: list[Feed] = []
    for feed in sorted(found, key=_merit):
        if not any(_beats(other, feed) for other in kept):
            kept.append(feed)
    return tuple(kept)


def _beats(first: Feed, second: Feed) -> bool:
    """Say whether a feed no dearer than another is no wider either, and loads the output no more."""
    return grains(first.power_w) <= grains(second.power_w) and first.width <= second.width


def _merit(feed: Feed) -> tuple[int, float, int, int, float, str]:
    supply = feed.supplies[0]
    return (
        feed.cost_minor,
        feed.width,
        supply.count,
        grains(feed.power_w),
        supply.share_loaded,
        supply.reference,
    )


def _constant_voltage(
    circuit: ControlCircuit, pieces_w: Sequence[float], driver: DriverOption, headroom: Headroom
) -> list[float]:
    """Return the load of each driver [W], or nothing where this one cannot feed the part."""
    if driver.supply_v is None or not math.isclose(driver.supply_v, circuit.supply_v or 0.0):
        return []
    usable = headroom.usable_w(driver)
    if grains(max(pieces_w)) > grains(usable):
        return []
    if len({grains(watts) for watts in pieces_w}) == 1:
        per_driver = grains(usable) // grains(pieces_w[0])
        loads = [n * pieces_w[0] for n in _even(len(pieces_w), per_driver)]
    else:
        loads = [math.fsum(held) for held in pack(sizes=pieces_w, capacity=usable).bins]
    return loads if min(loads) >= driver.min_load_w else []


def _constant_current(
    circuit: ControlCircuit, pieces_w: Sequence[float], driver: DriverOption, headroom: Headroom
) -> list[float]:
    """Return the load of each driver [W]: pieces in series, rated for the heaviest."""
    if driver.current_ma is None or not math.isclose(driver.current_ma, circuit.current_ma or 0.0):
        return []
    forward = circuit.forward_v or 0.0
    heaviest = max(pieces_w)
    most = grains(headroom.usable_w(driver)) // grains(heaviest)
    if driver.forward_max_v < math.inf:
        most = min(most, grains(driver.forward_max_v) // grains(forward))
    if most < 1:
        return []
    strings = _even(len(pieces_w), most)
    if grains(min(strings) * forward) < grains(driver.forward_min_v):
        return []
    loads, taken = [], 0
    for pieces in strings:
        loads.append(math.fsum(pieces_w[taken : taken + pieces]))
        taken += pieces
    return loads if min(loads) >= driver.min_load_w else []


def _even(pieces: int, most: int) -> list[int]:
    groups = math.ceil(pieces / most)
    least, more = divmod(pieces, groups)
    return [least + (place < more) for place in range(groups)]


def _feed(driver: DriverOption, loads: Sequence[float], load_w: float, headroom: Headroom) -> Feed:
    cost = len(loads) * (driver.cost_minor + driver.labour_minor)
    supply = power_supply(
        driver=driver, count=len(loads), load_w=load_w, fullest_w=max(loads), headroom=headroom
    )
    return Feed(power_w=load_w / (driver.efficiency or 1.0), supplies=(supply,), cost_minor=cost)


def power_supply(
    *, driver: DriverOption, count: int, load_w: float, fullest_w: float, headroom: Headroom
) -> PowerSupply:
    """Return the supply as the plan shows it, with why its rating does."""
    values: dict[str, Value] = {
        "load_w": fullest_w,
        "usable_w": headroom.usable_w(driver),
        "rating_w": driver.rating_w,
        "headroom": headroom.share,
        "method": headroom.method,
    }
    return PowerSupply(
        reference=driver.reference,
        count=count,
        volts=driver.supply_v or 0.0,
        load_w=load_w,
        rating_w=driver.rating_w,
        share_loaded=fullest_w / driver.rating_w,
        cost_minor=count * (driver.cost_minor + driver.labour_minor),
        reasons=(Reason(code="rating_covers_load", values=values),),
    )
