"""Re-checks every limit of a control plan. Shares no code with the planner: it reads rows and plan only."""

import math
from collections import Counter, defaultdict

SLACK = 1e-5


def faults(plan, house):
    """Return what is wrong with the plan, in words; an empty list when nothing is."""
    return list(_faults(plan, house))


def _faults(plan, house):
    circuits = {}
    for circuit in house["circuits"]:
        circuits.setdefault(circuit.code, circuit)
    receivers = {receiver.reference: receiver for receiver in house["receivers"]}
    drivers = {driver.reference: driver for driver in house.get("drivers", ())}
    headroom = house.get("headroom", 0.2)
    method = house.get("headroom_method", "added")

    def usable(driver):
        return (
            driver.rating_w / (1 + headroom)
            if method == "added"
            else driver.rating_w * (1 - headroom)
        )

    seats = defaultdict(list)
    cost = 0
    for spec in house["enclosures"]:
        own = next(one for one in plan.enclosures if one.reference == spec.reference)
        numbers = [unit.number for unit in own.units]
        if len(set(numbers)) < len(numbers):
            yield f"{spec.reference}: unit numbers repeat"
        width = load = 0.0
        for unit in own.units:
            receiver = receivers[unit.reference]
            where = f"{spec.reference}/{unit.number}"
            cost += receiver.cost_minor + receiver.labour_minor
            width += receiver.width
            if len(unit.outputs) != receiver.outputs:
                yield f"{where}: {len(unit.outputs)} outputs of {receiver.outputs}"
            unit_load = sum(part.power_w for output in unit.outputs for part in output.parts)
            load += unit_load
            if unit_load > receiver.unit_max_w + SLACK:
                yield f"{where}: {unit_load} W above the unit's {receiver.unit_max_w}"
            volts = None
            if receiver.supply_volts:
                if len(unit.supplies) != 1 or unit.supplies[0].count != 1:
                    yield f"{where}: a DC unit needs one driver before it"
                    continue
                driver = drivers[unit.supplies[0].reference]
                volts = driver.supply_v
                cost += driver.cost_minor + driver.labour_minor
                width += driver.width
                if volts not in receiver.supply_volts:
                    yield f"{where}: {volts} V into a unit of {receiver.supply_volts}"
                if unit_load > usable(driver) + SLACK:
                    yield f"{where}: {unit_load} W on a driver of {driver.rating_w} W"
                if receiver.unit_max_a and unit_load > receiver.unit_max_a * volts + SLACK:
                    yield f"{where}: more current than the unit takes"
                if not _ip_holds(driver.ip, spec.ip_needed):
                    yield f"{where}: driver's IP"
            elif unit.supplies:
                yield f"{where}: a mains unit has a driver before it"
            if not _ip_holds(receiver.ip, spec.ip_needed):
                yield f"{where}: IP {receiver.ip!r} where {spec.ip_needed} is needed"
            for output in unit.outputs:
                if len(output.parts) > 1:
                    yield f"{where}: two circuits on one output"
                for part in output.parts:
                    circuit = circuits[part.circuit]
                    if circuit.enclosure != spec.reference:
                        yield f"{where}: {part.circuit} belongs to {circuit.enclosure}"
                    seats[part.circuit].append((spec.reference, unit.number, part))
                    yield from _output_faults(where, receiver, circuit, part, volts)
                    for supply in part.supplies:
                        if not circuit.drivers_apart:
                            width += supply.count * drivers[supply.reference].width
                        cost += supply.count * (
                            drivers[supply.reference].cost_minor
                            + drivers[supply.reference].labour_minor
                        )
                        yield from _after_faults(where, circuit, part, supply, drivers, usable)
        if spec.capacity is not None and width > spec.capacity + SLACK:
            yield f"{spec.reference}: width {width} above {spec.capacity}"
        if spec.protective_a and load > spec.protective_a * house.get("mains_v", 230.0) + SLACK:
            yield f"{spec.reference}: {load} W above its protective device"
    yield from _service_faults(plan, circuits, seats)
    if cost != plan.cost_minor:
        yield f"cost {plan.cost_minor} where the rows add up to {cost}"
    if plan.bound_minor > plan.cost_minor:
        yield "bound above cost"
    if plan.is_proven and plan.bound_minor != plan.cost_minor:
        yield "proven with a gap"


def _ip_holds(code, needed):
    if not needed:
        return True
    return len(code) == 4 and code[2] >= needed[2] and code[3] >= needed[3]  # IPnn up to 6


def _output_faults(where, receiver, circuit, part, volts):
    kind = circuit.load_kind
    ruled = [nature for entry, nature in receiver.nature_limits if entry == kind]
    if ruled:
        if circuit.load_nature not in ruled:
            yield f"{where}: limit for {circuit.load_nature} is not known"
            return
        least, most = receiver.nature_limits[kind, circuit.load_nature]
    elif kind in receiver.limits:
        least, most = receiver.limits[kind]
    else:
        yield f"{where}: cannot feed {kind}"
        return
    seen = part.power_w
    if receiver.limits_in == "VA":
        seen /= circuit.power_factor
    if not least - SLACK <= seen <= most + SLACK:
        yield f"{where}: {circuit.code} with {seen} outside {least} to {most}"
    if receiver.output_max_a and part.power_w > receiver.output_max_a * volts + SLACK:
        yield f"{where}: {circuit.code} draws more current than an output gives"
    if len(part.pieces) > receiver.pieces_max.get(kind, math.inf):
        yield f"{where}: {len(part.pieces)} pieces of {circuit.code}"
    if circuit.edges and not circuit.edges & receiver.edges:
        yield f"{where}: {circuit.code} needs another edge"
    before = kind.startswith("dc-") and circuit.supply_v is not None
    if receiver.supply_volts and (not before or volts != circuit.supply_v):
        yield f"{where}: {circuit.code} needs {circuit.supply_v} V"
    if circuit.supply_v and not before and not part.supplies:
        yield f"{where}: {circuit.code} has no driver"
    if circuit.current_ma and not part.supplies:
        yield f"{where}: {circuit.code} has no driver"


def _after_faults(where, circuit, part, supply, drivers, usable):
    driver = drivers[supply.reference]
    dimmed = ("phase-dimmed", "analogue-dimmed", "digital-dimmed")
    if circuit.load_kind in dimmed and circuit.load_kind not in driver.dimmed_by:
        yield f"{where}: driver {driver.reference} cannot be {circuit.load_kind}"
    load = sum(circuit.pieces_w[place] for place in part.pieces)
    if supply.load_w < load - SLACK or load > supply.count * usable(driver) + SLACK:
        yield f"{where}: drivers of {circuit.code} carry too little"
    if part.power_w < load / (driver.efficiency or 1) - SLACK:
        yield f"{where}: loss of {driver.reference} left out"
    if circuit.current_ma:
        most = math.ceil(len(part.pieces) / supply.count)
        least = len(part.pieces) // supply.count
        if driver.current_ma != circuit.current_ma:
            yield f"{where}: {driver.current_ma} mA into {circuit.current_ma}"
        if most * circuit.forward_v > driver.forward_max_v + SLACK:
            yield f"{where}: too many in series"
        if least * circuit.forward_v < driver.forward_min_v - SLACK:
            yield f"{where}: too few in series"
    elif driver.supply_v != circuit.supply_v:
        yield f"{where}: {driver.supply_v} V into {circuit.supply_v}"


def _service_faults(plan, circuits, seats):
    named = Counter(one.code for one in plan.unserved)
    routes = defaultdict(list)
    for code, circuit in circuits.items():
        if code not in seats:
            if not named[code]:
                yield f"{code}: neither served nor named"
            continue
        if (
            named[code]
            and len([c for c in named if c == code])
            and code in seats
            and named[code] == 1
        ):
            reasons = [one.reason for one in plan.unserved if one.code == code]
            if reasons != ["repeated_code"]:
                yield f"{code}: served and named as unserved"
        if circuit.route:
            routes[circuit.route].append(seats[code])
        pieces = Counter()
        groups = defaultdict(list)
        for place, number, part in seats[code]:
            groups[place, number, part.pieces].append(part)
        for (_, _, held), parts in groups.items():
            pieces.update(held)
            if sorted(part.channel for part in parts) != list(range(1, circuit.channels + 1)):
                yield f"{code}: channels {sorted(part.channel for part in parts)}"
            watts = sum(part.power_w for part in parts)
            if watts < sum(circuit.pieces_w[p] for p in held) - SLACK:
                yield f"{code}: {watts} W for pieces {held}"
        if pieces != Counter(range(len(circuit.pieces_w))):
            yield f"{code}: pieces {sorted(pieces.elements())}"
        if circuit.channels > 1 and len({(place, number) for place, number, _ in seats[code]}) > 1:
            yield f"{code}: a colour circuit in two units"
    for route, held in routes.items():
        units = {(place, number) for seated in held for place, number, _ in seated}
        if len(held) > 1 and len(units) < 2:
            yield f"{route}: hangs on one unit"
