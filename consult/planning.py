"""From a design to its control plan and keypads. Frozen values in and out; no Django here.

The core is asked with strict problems. Where the design has a gap (a lamp not chosen, no place for
receivers) the circuit is left out and the gap is named, so that the plan of the rest stands.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from base.once import Kept, once
from catalogue.spec import LimitSpec, ProductSpec
from consult.design import CircuitPart, EnclosurePart, FixedPart, PositionPart
from consult.pieces import CircuitLoad, Gap, House
from engineering.control import (
    CHANNELS,
    ControlCircuit,
    ControlPlan,
    DriverOption,
    EnclosureSpec,
    FixedChoice,
    FixedDriver,
    FixedReceiver,
    FixedTogether,
    FixedUnits,
    ReceiverOption,
    plan_house,
)
from engineering.control_enclosure import Through
from engineering.keypad_house import HouseKeypads, choose_house
from engineering.keypads import KeypadNeed, KeypadOption

# Splash-proof where it is damp: common practice, no source.
IP_BY_DAMPNESS = {"dry": "", "damp": "IP44", "wet": "IP44", "outdoor": "IP44"}


# Digits of the minor unit where they are not two (ISO 4217).
DIGITS = {"JPY": 0, "ISK": 0, "KWD": 3, "BHD": 3, "CLF": 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class ControlProblem:
    circuits: tuple[ControlCircuit, ...]
    enclosures: tuple[EnclosureSpec, ...]
    receivers: tuple[ReceiverOption, ...]
    drivers: tuple[DriverOption, ...]
    fixed: tuple[FixedChoice, ...]
    headroom: float
    mains_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KeypadProblem:
    """What the choice of keypads is made from; series and finish where the house has fixed them."""

    needs: tuple[KeypadNeed, ...]
    options: tuple[KeypadOption, ...]
    series: str | None
    finish: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedHouse:
    """The control plan, the keypads, and what was missing to plan the rest."""

    control: ControlPlan
    keypads: HouseKeypads
    gaps: tuple[Gap, ...]
    is_exact: bool = True


def plan(
    house: House,
    *,
    exact: bool = True,
    through: Through | None = None,
    keypads_of: Callable[[KeypadProblem], HouseKeypads] | None = None,
) -> PlannedHouse:
    """Plan receivers, drivers and keypads of a whole house, as its fixed choices and wiring hold.

    `through` and `keypads_of` give the plan of an enclosure and the keypads, which they may have kept.
    """
    problem, gaps = control_problem(house)
    control = plan_house(
        circuits=problem.circuits,
        enclosures=problem.enclosures,
        receivers=problem.receivers,
        drivers=problem.drivers,
        fixed=problem.fixed,
        held=house.held,
        previous=house.previous,
        headroom=problem.headroom,
        mains_v=problem.mains_v,
        exact=exact,
        through=through,
    )
    return PlannedHouse(
        control=control,
        keypads=(keypads_of or chosen_keypads)(keypad_problem(house)),
        gaps=gaps,
        is_exact=exact,
    )


def minor(amount: Decimal, currency: str) -> int:
    """Whole minor units of an amount, half up."""
    digits = DIGITS.get(currency, 2)
    return int(amount.scaleb(digits).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def control_problem(house: House) -> tuple[ControlProblem, tuple[Gap, ...]]:
    """The strict problem of a house, and the gaps that keep circuits out of it."""
    circuits: list[ControlCircuit] = []
    gaps: list[Gap] = []
    for circuit in house.design.circuits:
        made, missing = _circuit(house, circuit)
        gaps += missing
        if made is not None:
            circuits.append(made)
    receivers, drivers = _hardware(house)
    return (
        ControlProblem(
            circuits=tuple(circuits),
            enclosures=tuple(_enclosure(each) for each in house.design.enclosures),
            fixed=fixed_choices(house, circuits),
            receivers=receivers,
            drivers=drivers,
            headroom=float(house.design.project.driver_headroom),
            mains_v=float(house.design.project.supply_v),
        ),
        tuple(gaps),
    )


@once(1000)
def _enclosure(each: EnclosurePart) -> EnclosureSpec:
    return EnclosureSpec(
        reference=each.id,
        capacity=None if each.modules is None else float(each.modules),
        ip_needed=IP_BY_DAMPNESS[each.dampness],
        protective_a=_rating(each.protective_device),
        spare_share=each.spare_percent / 100,
    )


Hardware = tuple[tuple[ReceiverOption, ...], tuple[DriverOption, ...]]
_hardware_kept: Kept[Hardware] = Kept(64)


def _hardware(house: House) -> Hardware:
    """Receivers and drivers that may be bought, with what they cost to fit."""
    stock = house.stock
    sold = [
        product
        for product in stock.products
        if ((product.receiver and product.receiver.limits) or product.driver)
        and product.id in house.prices
        and not product.is_discontinued
    ]
    prices = [house.prices[product.id] for product in sold]
    return _hardware_kept.get(
        (stock.norms, stock.rates, stock.currency, *sold, *prices),
        lambda: (
            tuple(_receiver(house, p) for p in sold if p.receiver and p.receiver.limits),
            tuple(_driver(house, p) for p in sold if p.driver),
        ),
    )


def _circuit(house: House, circuit: CircuitPart) -> tuple[ControlCircuit | None, tuple[Gap, ...]]:
    return _control_circuit(circuit, house.loads[circuit.id], route_of(house, circuit))


@once(40_000)
def _control_circuit(
    circuit: CircuitPart, load: CircuitLoad, route: str
) -> tuple[ControlCircuit | None, tuple[Gap, ...]]:
    gaps = list(load.gaps)
    if circuit.enclosure is None:
        gaps.append(Gap(code="no_enclosure", row=circuit.id))
    if not load.pieces_w or circuit.enclosure is None:
        return None, tuple(gaps)
    supply, problem = _supply(circuit, load)
    if problem:
        return None, (*gaps, Gap(code=problem, row=circuit.id))
    factors = [float(f.power_factor) for f in load.feeds if f.power_factor]
    return (
        ControlCircuit(
            code=circuit.code,
            load_kind=circuit.load_kind,
            pieces_w=load.pieces_w,
            enclosure=circuit.enclosure,
            channels=CHANNELS[circuit.load_kind],
            load_nature=_nature(circuit, load),
            power_factor=min(factors) if factors else None,
            edges=_edges(load),
            route=route,
            drivers_apart=bool(circuit.driver_place),
            **supply,
        ),
        tuple(gaps),
    )


def route_of(house: House, circuit: CircuitPart) -> str:
    """The way out that a circuit lights: key of its room group for a stair or way out, else empty.

    The circuits of one route never all hang on one unit, even where that costs more.
    """
    room = house.design.room_of[circuit.room]
    return room.group if room.use == "stair" or room.is_way_out else ""


def fixed_choices(house: House, circuits: Sequence[ControlCircuit]) -> tuple[FixedChoice, ...]:
    """What is fixed of the control plan, in the planner's terms; keypads are not part of it."""
    codes = {circuit.id: circuit.code for circuit in house.design.circuits}
    made: list[FixedChoice] = []
    pairs: list[FixedPart] = []
    for part in house.design.fixed:
        product = house.product(part.product)
        reference = product.reference if product else ""
        if part.kind == "together":
            pairs.append(part)
        elif part.kind == "receiver" and part.circuit:
            made.append(
                FixedReceiver(circuit=codes[part.circuit], receiver=reference, reason=part.reason)
            )
        elif part.kind == "driver" and part.circuit:
            made.append(
                FixedDriver(circuit=codes[part.circuit], driver=reference, reason=part.reason)
            )
        elif part.kind == "units" and part.enclosure and part.count is not None:
            made.append(
                FixedUnits(
                    enclosure=part.enclosure,
                    receiver=reference,
                    count=part.count,
                    reason=part.reason,
                )
            )
    return (*made, *_together(pairs, codes))


def _together(pairs: Sequence[FixedPart], codes: dict[str, str]) -> list[FixedTogether]:
    """Pairs that share a circuit become one group: A with B and B with C is A, B and C."""
    groups: list[tuple[set[str], list[str]]] = []
    for pair in pairs:
        members = {codes[key] for key in (pair.circuit, pair.other_circuit) if key}
        reasons = [pair.reason]
        for group in [each for each in groups if each[0] & members]:
            members |= group[0]
            reasons = group[1] + reasons
            groups.remove(group)
        groups.append((members, reasons))
    return [
        FixedTogether(circuits=tuple(sorted(members)), reason="; ".join(reasons))
        for members, reasons in groups
    ]


def _supply(circuit: CircuitPart, load: CircuitLoad) -> tuple[dict[str, Any], str]:
    """What driver the circuit asks for, or the code of why none can be right."""
    apart = [f for f in load.feeds if f.driver_place == "apart"]
    is_dc = circuit.load_kind.startswith("dc-")
    if not apart and not is_dc:
        return {}, ""
    volts = {f.supply_v for f in (load.feeds if is_dc else apart)}
    currents = {(f.current_ma, f.forward_v) for f in apart if f.current_ma}
    if currents:
        if len({current for current, _forward in currents}) > 1 or len(currents) > 1:
            return {}, "currents_mixed"
        current, forward = currents.pop()
        if forward is None:
            return {}, "forward_voltage_not_known"
        return {"current_ma": float(current or 0), "forward_v": float(forward)}, ""
    if volts == {None} or not volts:
        return {}, "voltage_not_known"
    if len(volts) > 1:
        return {}, "voltages_mixed"
    return {"supply_v": float(volts.pop() or 0)}, ""


def _nature(circuit: CircuitPart, load: CircuitLoad) -> str:
    """The nature of the load; the hardest to drive where several are mixed."""
    if circuit.load_kind == "motor":
        return "motor"
    natures = {feed.load_nature for feed in load.feeds}
    for nature in ("motor", "wound", "led", "resistive"):
        if nature in natures:
            return nature
    return "led"


def _edges(load: CircuitLoad) -> frozenset[str]:
    edges = {feed.edge for feed in load.feeds if feed.edge in {"leading", "trailing"}}
    return frozenset(edges) if len(edges) == 1 else frozenset()


def _rating(device: str) -> float | None:
    digits = "".join(c for c in device if c.isdigit())
    return float(digits) if digits and float(digits) > 0 else None


def _cost(house: House, product: ProductSpec) -> int:
    return minor(house.prices[product.id].cost, house.stock.currency)


def labour_minor(house: House, product: ProductSpec) -> int:
    """What fitting one piece of hardware costs in labour, by the norms."""
    rates = {rate.grade: rate.cost for rate in house.stock.rates}
    total = sum(
        (
            norm.minutes * rates.get(norm.grade, Decimal(0)) / 60
            for norm in house.stock.norms
            if norm.kind == product.kind and norm.per == "piece"
        ),
        Decimal(0),
    )
    return minor(total, house.stock.currency)


def _receiver(house: House, product: ProductSpec) -> ReceiverOption:
    spec = product.receiver
    assert spec is not None
    kinds: dict[str, list[LimitSpec]] = {}
    for limit in spec.limits:
        kinds.setdefault(limit.load_kind, []).append(limit)
    edges = {limit.edge for limit in spec.limits if limit.edge}
    most = max(float(limit.max_w) for limit in spec.limits) * spec.outputs
    return ReceiverOption(
        reference=product.reference,
        outputs=spec.outputs,
        limits={
            kind: (float(min(x.min_w for x in rows)), float(max(x.max_w for x in rows)))
            for kind, rows in kinds.items()
        },
        nature_limits={
            (x.load_kind, x.load_nature): (float(x.min_w), float(x.max_w)) for x in spec.limits
        },
        pieces_max={
            kind: min(x.max_pieces for x in rows if x.max_pieces)
            for kind, rows in kinds.items()
            if any(x.max_pieces for x in rows)
        },
        unit_max_w=float(spec.unit_max_w) if spec.unit_max_w else max(most, 1.0),
        cost_minor=_cost(house, product),
        width=float(spec.modules),
        ip=f"IP{spec.ip_code}" if spec.ip_code else "",
        edges=(frozenset({"leading", "trailing"}) if "either" in edges else frozenset(edges)),
        supply_volts=(float(spec.supply_v),) if spec.supply_v else (),
        labour_minor=labour_minor(house, product),
    )


def _driver(house: House, product: ProductSpec) -> DriverOption:
    spec = product.driver
    assert spec is not None
    return DriverOption(
        reference=product.reference,
        rating_w=float(spec.rating_w),
        cost_minor=_cost(house, product),
        supply_v=float(spec.supply_v) if spec.supply_v is not None else None,
        current_ma=float(spec.current_ma) if spec.current_ma is not None else None,
        forward_min_v=float(spec.forward_from_v or 0),
        forward_max_v=float(spec.forward_to_v) if spec.forward_to_v else math.inf,
        dimmed_by=frozenset(spec.dimmed_by),
        min_load_w=float(spec.min_load_w),
        efficiency=float(spec.efficiency),
        width=float(spec.modules or 0),
        ip=f"IP{spec.ip_code}" if spec.ip_code else "",
        labour_minor=labour_minor(house, product),
    )


def chosen_keypads(problem: KeypadProblem) -> HouseKeypads:
    """The keypad of each position: one series and finish for the house unless fixed."""
    return choose_house(
        needs=problem.needs,
        options=problem.options,
        series=problem.series,
        finish=problem.finish,
    )


def keypad_problem(house: House) -> KeypadProblem:
    """What keypads are chosen from."""
    look = next((part for part in house.design.fixed if part.kind == "look"), None)
    return KeypadProblem(
        needs=tuple(_need(house, position) for position in house.design.positions),
        options=_keypads(house),
        series=(look.series or None) if look else None,
        finish=(look.finish or None) if look else None,
    )


_keypads_kept: Kept[tuple[KeypadOption, ...]] = Kept(64)


def _keypads(house: House) -> tuple[KeypadOption, ...]:
    sold = [
        p
        for p in house.stock.products
        if p.keypad and p.id in house.prices and not p.is_discontinued
    ]
    engraved = [house.prices.get(p.keypad.engraving_product or "") for p in sold if p.keypad]
    return _keypads_kept.get(
        (house.stock.currency, *sold, *[house.prices[p.id] for p in sold], *engraved),
        lambda: tuple(_keypad(house, product) for product in sold),
    )


def offered_scenes(house: House, position: PositionPart) -> int:
    """Scenes that a position offers: those on its buttons, else all of its group, at least one."""
    if position.buttons:
        return sum(button.does in {"scene", "all-on"} for button in position.buttons)
    return len(house.design.scenes_of(position.group)) or 1  # 'all on' is always there


def needs_off(position: PositionPart) -> bool:
    return not position.buttons or any(b.does == "all-off" for b in position.buttons)


def _need(house: House, position: PositionPart) -> KeypadNeed:
    fixed = next((p.product for p in house.design.fixed if p.position == position.id), None)
    chosen = house.product(fixed or position.product)
    reference = chosen.reference if chosen is not None else None
    return _keypad_need(position, offered_scenes(house, position), reference)


@once(10_000)
def _keypad_need(position: PositionPart, scenes: int, reference: str | None) -> KeypadNeed:
    texts = tuple(b.engraving for b in position.buttons) if position.is_engraved else ()
    off = needs_off(position) or scenes == 0
    return KeypadNeed(
        code=position.code,
        scenes=scenes,
        needs_off=off,
        engraving=texts,
        box_depth_mm=None if position.back_box_mm is None else float(position.back_box_mm),
        box_gangs=position.back_box_gangs,
        reference=reference,
    )


def _keypad(house: House, product: ProductSpec) -> KeypadOption:
    spec = product.keypad
    assert spec is not None
    engraving = house.prices.get(spec.engraving_product or "")
    return KeypadOption(
        reference=product.reference,
        series=product.series,
        finish=product.finish,
        buttons=spec.scene_buttons,
        cost_minor=_cost(house, product),
        off_is_extra=spec.has_off,
        box_gangs=spec.gangs,
        box_depth_mm=float(spec.back_box_mm),
        characters=spec.engraving_chars or None,
        engraving_minor=minor(engraving.cost, house.stock.currency) if engraving else 0,
        is_battery=spec.is_battery,
    )
