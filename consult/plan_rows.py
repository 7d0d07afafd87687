"""What the page of the control plan shows, as values. No money."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from consult import why, words
from consult.design import CircuitPart, EnclosurePart, FixedPart, PositionPart
from consult.findings.enclosures import losses_w
from consult.findings.registry import Case
from consult.pieces import Gap, House
from consult.planning import PlannedHouse
from engineering.control_plan import ControlPlan, EnclosurePlan, Output, PowerSupply, Unit
from engineering.control_problem import CHANNELS
from engineering.loads import Load, LoadSum, add_up, after_diversity

# From this share on, a bar says 'little spare': our own choice.
NEARLY_FULL = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyRow:
    name: str
    count: int
    volts: float
    load_w: float
    rating_w: float
    share: float
    sentence: str
    place: str = ""  # where it stands, if not with the receiver


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputRow:
    """One output; without a circuit it is spare. `channel` 0 where the circuit has but one."""

    number: int
    circuit: CircuitPart | None
    room: str
    channel: int
    pieces: int
    of_pieces: int
    power_w: float
    max_w: float | None
    share: float
    kind: str
    supplies: tuple[SupplyRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow:
    label: str
    name: str
    load_w: float
    max_w: float
    share: float
    kind: str
    is_held: bool
    spare: int
    sentences: tuple[str, ...]
    supplies: tuple[SupplyRow, ...]
    outputs: tuple[OutputRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EnclosureRow:
    part: EnclosurePart
    loads: LoadSum
    losses_w: float
    outputs: int
    spare: int
    width_used: float
    is_proven: bool
    sentences: tuple[str, ...]
    units: tuple[UnitRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnservedRow:
    circuit: CircuitPart
    reason: str
    mend: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedRow:
    part: FixedPart
    what: str
    to: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeypadRow:
    part: PositionPart
    room: str
    name: str
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    loads: LoadSum
    after_diversity_a: float
    enclosures: tuple[EnclosureRow, ...]
    unserved: tuple[UnservedRow, ...]
    gaps: tuple[tuple[CircuitPart, str], ...]
    broken: tuple[tuple[str, str], ...]
    fixed: tuple[FixedRow, ...]
    keypads: tuple[KeypadRow, ...]
    look: str
    look_why: str
    units: int
    drivers: int
    outputs: int
    spare: int
    is_proven: bool
    gap_share: float


def plan_page(house: House, plan: PlannedHouse) -> PlanPage:
    case = Case(house=house, plan=plan)
    control = plan.control
    enclosures = tuple(_enclosure(case, each) for each in _in_order(house, control))
    loads = _loads(case, [c.code for c in house.design.circuits])
    volts = float(house.design.project.supply_v)
    look = " ".join(part for part in (plan.keypads.series, plan.keypads.finish) if part)
    return PlanPage(
        loads=loads,
        after_diversity_a=after_diversity(connected_va=loads.apparent_va, supply_v=volts).after_a,
        enclosures=enclosures,
        unserved=tuple(_unserved(case)),
        gaps=tuple(_gaps(house, plan.gaps)),
        broken=tuple(_broken(house, control)),
        fixed=tuple(fixed_row(house, part) for part in house.design.fixed),
        keypads=tuple(_keypads(house, plan)),
        look=look,
        look_why=why.look_sentence(house, plan.keypads.why),
        units=len(control.units),
        drivers=sum(supply.count for supply in case.supplies(control.units)),
        outputs=sum(len(unit.outputs) for unit in control.units),
        spare=control.spare_outputs,
        is_proven=control.is_proven,
        gap_share=1 - control.bound_minor / control.cost_minor if control.cost_minor else 0.0,
    )


def _in_order(house: House, control: ControlPlan) -> Iterable[EnclosurePlan]:
    plans = {each.reference: each for each in control.enclosures}
    for part in house.design.enclosures:
        if part.id in plans and plans[part.id].units:
            yield plans[part.id]


def _loads(case: Case, codes: Iterable[str]) -> LoadSum:
    """Connected load of some circuits, with the loss of drivers that the plan puts there."""
    loads = []
    for code in codes:
        circuit = case.circuit_of_code[code]
        efficiencies = [
            float(product.driver.efficiency)
            for supply in case.supplies_of(code)
            if (product := case.house.by_reference.get(supply.reference)) and product.driver
        ]
        for row in case.house.loads[circuit.id].rows:
            factor = row.feed.power_factor if row.feed else None
            loads += [
                Load(
                    watts=watts,
                    pieces=1,
                    driver_efficiency=min(efficiencies, default=None),
                    power_factor=float(factor) if factor else None,
                )
                for watts in row.pieces_w
            ]
    return add_up(loads=loads, supply_v=float(case.house.design.project.supply_v))


def _enclosure(case: Case, plan: EnclosurePlan) -> EnclosureRow:
    part = case.house.design.enclosure_of[plan.reference]
    codes = dict.fromkeys(code for unit in plan.units for code in unit.circuits)
    return EnclosureRow(
        part=part,
        loads=_loads(case, codes),
        losses_w=losses_w(case, plan),
        outputs=sum(len(unit.outputs) for unit in plan.units),
        spare=plan.spare_outputs,
        width_used=plan.width_used,
        is_proven=plan.is_proven,
        sentences=tuple(why.enclosure_sentences(case.house, plan)),
        units=tuple(_unit(case, unit) for unit in plan.units),
    )


def _unit(case: Case, unit: Unit) -> UnitRow:
    share = unit.load_w / unit.max_w if unit.max_w else 0.0
    return UnitRow(
        label=f"U{unit.number}",
        name=case.house.by_reference[unit.reference].name,
        load_w=unit.load_w,
        max_w=unit.max_w,
        share=share,
        kind=_fullness(share),
        is_held=unit.is_held,
        spare=unit.spare_outputs,
        sentences=tuple(why.unit_sentences(unit)),
        supplies=tuple(_supply(case.house, each) for each in unit.supplies),
        outputs=tuple(_output(case, each) for each in unit.outputs),
    )


def _fullness(share: float) -> str:
    return "look" if share >= NEARLY_FULL else ""


def _supply(house: House, supply: PowerSupply) -> SupplyRow:
    return SupplyRow(
        name=house.by_reference[supply.reference].name,
        count=supply.count,
        volts=supply.volts,
        load_w=supply.load_w,
        rating_w=supply.rating_w,
        share=supply.share_loaded,
        sentence=why.supply_sentence(supply),
    )


def _after(house: House, circuit: CircuitPart, supply: PowerSupply) -> SupplyRow:
    """A driver after an output, and where it stands."""
    place = words.check(f"driver-{circuit.driver_place}") if circuit.driver_place else ""
    return replace(_supply(house, supply), place=place)


def _output(case: Case, output: Output) -> OutputRow:
    part = output.parts[0] if output.parts else None
    circuit = case.circuit_of_code[part.circuit] if part else None
    share = output.power_w / output.max_w if output.max_w else 0.0
    channels = _channels(case, circuit)
    return OutputRow(
        number=output.number,
        circuit=circuit,
        room=case.room(circuit.room).name if circuit else "",
        channel=part.channel if part and channels > 1 else 0,
        pieces=len(part.pieces) if part else 0,
        of_pieces=len(case.house.loads[circuit.id].pieces_w) if circuit else 0,
        power_w=output.power_w,
        max_w=output.max_w,
        share=share,
        kind=_fullness(share),
        supplies=tuple(_after(case.house, circuit, each) for each in part.supplies)
        if part and circuit
        else (),
    )


def _channels(case: Case, circuit: CircuitPart | None) -> int:
    return CHANNELS[circuit.load_kind] if circuit else 1


def _unserved(case: Case) -> Iterable[UnservedRow]:
    for missing in case.plan.control.unserved:
        circuit = case.circuit_of_code.get(missing.code)
        if circuit is not None:
            yield UnservedRow(
                circuit=circuit,
                reason=words.reason(missing.reason),
                mend=words.mend(missing.reason),
            )


def _gaps(house: House, gaps: Iterable[Gap]) -> Iterable[tuple[CircuitPart, str]]:
    owners = {f.id: c for c in house.design.circuits for f in c.fittings}
    owners |= house.design.circuit_of
    seen = set()
    for gap in gaps:
        circuit = owners.get(gap.row)
        if circuit is not None and (circuit.id, gap.code) not in seen:
            seen.add((circuit.id, gap.code))
            yield circuit, words.gap(gap.code)


def _broken(house: House, control: ControlPlan) -> Iterable[tuple[str, str]]:
    names = {each.id: each.name for each in house.design.enclosures}
    for reason in control.broken:
        parts = []
        for key in ("circuit", "circuits", "enclosure", "receiver", "driver", "unit"):
            value = reason.values.get(key)
            if value is None:
                continue
            text = ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)
            product = house.by_reference.get(text)
            parts.append(names.get(text) or (product.name if product else text))
        yield " → ".join(parts), words.broken(reason.code)


def fixed_row(house: House, part: FixedPart) -> FixedRow:
    design = house.design
    circuits = [design.circuit_of[key] for key in (part.circuit, part.other_circuit) if key]
    names = [f"{circuit.code} {circuit.name}" for circuit in circuits]
    product = house.product(part.product)
    if part.enclosure:
        names.append(design.enclosure_of[part.enclosure].name)
    if part.position:
        names += [f"{p.code} {p.name}" for p in design.positions if p.id == part.position]
    to = product.name if product else " ".join(x for x in (part.series, part.finish) if x)
    if part.count is not None:
        to = f"{part.count} × {to}"
    return FixedRow(part=part, what=", ".join(names), to=to)


def _keypads(house: House, plan: PlannedHouse) -> Iterable[KeypadRow]:
    choices = {choice.code: choice for choice in plan.keypads.choices}
    for position in house.design.positions:
        choice = choices[position.code]
        product = house.by_reference.get(choice.reference or "")
        yield KeypadRow(
            part=position,
            room=house.design.room_of[position.room].name,
            name=product.name if product else "",
            sentences=tuple(filter(None, why.keypad_sentences(house, choice))),
        )
