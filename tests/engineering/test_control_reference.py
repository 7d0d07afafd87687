"""Plans against independent answers: exhaustive search on every small case, a constraint solver on many
random houses, and the separate validator on all of them."""

import itertools
import random

import pytest

from engineering.control import (
    ControlCircuit,
    DriverOption,
    EnclosureSpec,
    ReceiverOption,
    plan_house,
)
from tests.engineering.control_reference import assigned, exhaustive
from tests.engineering.control_validator import faults

# Each set: (cost, outputs, most watts on the unit, most on an output, takes the colour circuit).
PRODUCT_SETS = [
    [(50, 1, 100, 100, False), (80, 2, 150, 100, False), (130, 4, 200, 100, True)],
    [(60, 2, 120, 120, False), (60, 3, 110, 110, True)],
    [(90, 4, 400, 100, True), (45, 2, 200, 60, False), (45, 2, 100, 100, False)],
    [(100, 8, 230, 100, True)],
]
LOADS = [("switched", 1, 20), ("switched", 1, 60), ("switched", 1, 100), ("dc-rgb", 3, 30)]


def _receivers(products):
    return [
        ReceiverOption(
            reference=f"R{number}",
            outputs=outputs,
            limits={"switched": (0, each), **({"dc-rgb": (0, each)} if colour else {})},
            unit_max_w=most,
            cost_minor=cost,
        )
        for number, (cost, outputs, most, each, colour) in enumerate(products)
    ]


@pytest.mark.parametrize("products", PRODUCT_SETS)
def test_every_small_case_costs_what_exhaustive_search_finds(products):
    # The first set of products also with five circuits; that is enough work for every run.
    for size in range(1, 6 if products is PRODUCT_SETS[0] else 5):
        for loads in itertools.combinations_with_replacement(LOADS, size):
            house = {
                "circuits": [
                    ControlCircuit(
                        code=f"C{n}",
                        load_kind=kind,
                        channels=channels,
                        pieces_w=(watts,),
                        enclosure="E",
                    )
                    for n, (kind, channels, watts) in enumerate(loads)
                ],
                "enclosures": [EnclosureSpec(reference="E")],
                "receivers": _receivers(products),
            }
            items = [
                (
                    channels,
                    watts,
                    {
                        number
                        for number, (_, outputs, most, each, colour) in enumerate(products)
                        if watts / channels <= each and (colour or kind == "switched")
                    },
                )
                for kind, channels, watts in loads
            ]
            plan = plan_house(**house)
            assert faults(plan, house) == []
            assert plan.is_proven and plan.are_ties_proven
            outputs = sum(len(unit.outputs) for unit in plan.units)
            wanted = exhaustive(items, [product[:3] for product in products])
            assert (plan.cost_minor, len(plan.units), -outputs) == wanted, loads


def _random_house(seed):
    """Return a house and the same in the reference's terms."""
    rng = random.Random(seed)
    products, receivers = [], []
    for number in range(rng.randint(1, 4)):
        outputs, each = rng.randint(1, 5), rng.choice((60, 100, 150))
        most = max(each, rng.choice((1, 0.6, 0.4)) * each * outputs // 1)
        cost, width = rng.randint(20, 90) + 30 * outputs, rng.randint(1, 4)
        limits = {"switched": (0, each)}
        if rng.random() < 0.7:
            limits["phase-dimmed"] = (rng.choice((0, 0, 15)), each)
        if rng.random() < 0.6:
            limits["dc-rgb"] = (0, each // 3)
        products.append((cost, outputs, int(most), width))
        receivers.append(
            ReceiverOption(
                reference=f"R{number}",
                outputs=outputs,
                limits=limits,
                unit_max_w=int(most),
                cost_minor=cost,
                width=width,
            )
        )
    watts = [rng.randint(4, 70) for _ in range(3)]
    circuits, loads = [], []
    for number in range(rng.randint(1, 6)):
        kind = rng.choice(("switched", "switched", "phase-dimmed", "phase-dimmed", "dc-rgb"))
        channels = 3 if kind == "dc-rgb" else 1
        pieces = 1 if channels > 1 else rng.choice((1, 1, 2, 3, 4))
        each = 3 * rng.randint(2, 30) if channels > 1 else rng.choice(watts)
        code = f"C{number}"
        circuits.append(
            ControlCircuit(
                code=code,
                load_kind=kind,
                channels=channels,
                pieces_w=(each,) * pieces,
                enclosure="E",
            )
        )
        limits = {n: r.limits[kind] for n, r in enumerate(receivers) if kind in r.limits}
        loads.append((code, each, pieces, channels, limits))
    capacity = rng.choice((None, None, None, 4, 8)) if len(circuits) < 6 else None
    house = {
        "circuits": circuits,
        "enclosures": [EnclosureSpec(reference="E", capacity=capacity)],
        "receivers": receivers,
    }
    return house, {"circuits": loads, "products": products, "capacity": capacity}


@pytest.mark.parametrize("block", range(6))
def test_random_houses_cost_what_a_constraint_solver_finds(block):
    for seed in range(40 * block, 40 * block + 40):
        house, reference = _random_house(seed)
        plan = plan_house(**house)
        assert faults(plan, house) == [], seed
        assert plan.is_proven, seed
        outputs = sum(len(unit.outputs) for unit in plan.units)
        found = (len(plan.unserved), plan.cost_minor, len(plan.units), -outputs)
        # No plan that costs as little has more units than this.
        most = plan.cost_minor // min(cost for cost, *_ in reference["products"])
        limit = {} if reference["capacity"] is not None else {"most_units": max(1, most)}
        assert found == assigned(**reference, **limit), seed
        quick = plan_house(**house, exact=False)
        assert faults(quick, house) == [], seed
        if len(quick.unserved) == len(plan.unserved):
            assert quick.bound_minor <= plan.cost_minor <= quick.cost_minor, seed


def _dc_house(seed):
    rng = random.Random(seed)
    volts = (12.0, 24.0)
    receivers = [
        ReceiverOption(
            reference=f"D{n}",
            outputs=rng.randint(1, 4),
            limits={"dc-white": (0, rng.choice((60, 90)))},
            unit_max_w=rng.choice((90, 150, 240)),
            supply_volts=volts if rng.random() < 0.5 else (24.0,),
            cost_minor=rng.randint(30, 90),
        )
        for n in range(2)
    ]
    drivers = [
        DriverOption(
            reference=f"P{n}",
            supply_v=rng.choice(volts),
            rating_w=rng.choice((36, 60, 96, 120, 180)),
            cost_minor=rng.randint(15, 60),
            min_load_w=rng.choice((0, 0, 10)),
        )
        for n in range(4)
    ]
    circuits = [
        ControlCircuit(
            code=f"C{n}",
            load_kind="dc-white",
            pieces_w=(rng.choice((5, 20, 35, 50)),),
            supply_v=rng.choice(volts),
            enclosure="E",
        )
        for n in range(rng.randint(1, 5))
    ]
    return {
        "circuits": circuits,
        "enclosures": [EnclosureSpec(reference="E")],
        "receivers": receivers,
        "drivers": drivers,
    }


def test_drivers_before_units_are_chosen_jointly():
    """Exhaustive search over units that are a receiver with a driver."""
    served = 0
    for seed in range(120):
        house = _dc_house(seed)
        pairs = [
            (r, d)
            for r in house["receivers"]
            for d in house["drivers"]
            if d.supply_v in r.supply_volts
        ]
        products = [
            (r.cost_minor + d.cost_minor, r.outputs, min(r.unit_max_w, d.rating_w / 1.2 + 1e-9))
            for r, d in pairs
        ]
        items = []
        for circuit in house["circuits"]:
            watts = circuit.pieces_w[0]
            where = {
                n
                for n, (r, d) in enumerate(pairs)
                if d.supply_v == circuit.supply_v
                and d.min_load_w <= watts <= min(r.limits["dc-white"][1], products[n][2])
            }
            if where:
                items.append((1, watts, where))
        plan = plan_house(**house)
        assert faults(plan, house) == [], seed
        assert len(plan.unserved) == len(house["circuits"]) - len(items), seed
        outputs = sum(len(unit.outputs) for unit in plan.units)
        found = (plan.cost_minor, len(plan.units), -outputs)
        assert found == exhaustive(items, products), seed
        served += len(items)
    assert served > 200
