"""How long a control plan takes: p50 and p95 at 10, 40, 120 and 320 circuits, and the share proven.

Run `python -m tests.bench.bench_control [houses]`. The houses come from a fixed generator: up to 4 enclosures,
15 distinct watts, 8 receiver products and 8 outputs a unit.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Mapping, Sequence
from typing import Any

from engineering.control import (
    ControlCircuit,
    ControlPlan,
    DriverOption,
    EnclosureSpec,
    ReceiverOption,
    plan_house,
)

SIZES = (10, 40, 120, 320)


def a_house(*, seed: int, circuits: int) -> dict[str, Any]:
    """Return the keyword arguments of one invented house."""
    rng = random.Random(f"{seed}/{circuits}")
    watts = sorted(rng.sample(range(5, 161), rng.randint(5, 15)))
    places = [f"E{number}" for number in range(1, rng.randint(1, 4) + 1)]
    kinds = (
        "switched",
        "phase-dimmed",
        "phase-dimmed",
        "dc-white",
        "dc-tunable",
        "dc-rgbw",
        "motor",
    )
    weights = (4, 6, 6, 3, 1, 0.5, 1)
    found = []
    for number in range(circuits):
        kind = rng.choices(kinds, weights)[0]
        channels = {"dc-tunable": 2, "dc-rgbw": 4}.get(kind, 1)
        supply = 24.0 if kind.startswith("dc-") else None
        found.append(
            ControlCircuit(
                code=f"C{number:03}",
                load_kind=kind,
                pieces_w=(float(rng.choice(watts)),),
                enclosure=rng.choice(places),
                channels=channels,
                supply_v=supply,
                load_nature="motor" if kind == "motor" else "led",
            )
        )
    return {
        "circuits": found,
        "enclosures": [EnclosureSpec(reference=place) for place in places],
        "receivers": _receivers(rng),
        "drivers": _drivers(rng),
    }


def _receivers(rng: random.Random) -> list[ReceiverOption]:
    options = []
    for number in range(rng.randint(4, 8) - 2):
        outputs = rng.randint(1, 8)
        each = rng.choice((160, 200, 300))
        limits = {"switched": (0.0, float(each)), "motor": (0.0, float(each))}
        if number == 0 or rng.random() < 0.6:
            limits["phase-dimmed"] = (rng.choice((0.0, 2.0, 5.0)), float(each))
        options.append(
            ReceiverOption(
                reference=f"M{number}",
                outputs=outputs,
                limits=limits,
                unit_max_w=float(max(each, rng.choice((0.3, 0.5, 0.8, 1.0)) * each * outputs)),
                cost_minor=rng.randint(30, 60) * 100
                + outputs * rng.randint(15, 35) * 100
                + rng.randint(0, 99),
            )
        )
    for number, outputs in enumerate((4, rng.choice((5, 6, 8)))):
        kinds = ("dc-white", "dc-tunable", "dc-rgbw")
        options.append(
            ReceiverOption(
                reference=f"D{number}",
                outputs=outputs,
                limits=dict.fromkeys(kinds, (0.0, 160.0)),
                unit_max_w=float(rng.choice((240, 360, 480))),
                supply_volts=(24.0,),
                cost_minor=rng.randint(6000, 14000),
            )
        )
    return options


def _drivers(rng: random.Random) -> list[DriverOption]:
    return [
        DriverOption(
            reference=f"P{watts}",
            supply_v=24.0,
            rating_w=float(watts),
            cost_minor=1500 + watts * rng.randint(18, 26),
        )
        for watts in (75, 100, 150, 240, 320, 480)
    ]


def timed(house: Mapping[str, Any], *, exact: bool) -> tuple[float, ControlPlan]:
    """Return the seconds one plan takes, and the plan."""
    start = time.perf_counter()
    plan = plan_house(**house, exact=exact)
    return time.perf_counter() - start, plan


def percentile(values: Sequence[float], share: float) -> float:
    """Return the value below which this share of the values lies (nearest rank)."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def main(houses: int = 40) -> None:
    """Print the times and the shares proven."""
    print("circuits  plan    p50 ms   p95 ms   max ms   cost proven  ties proven  mean gap")
    for circuits in SIZES:
        runs = [a_house(seed=seed, circuits=circuits) for seed in range(houses)]
        for exact in (False, True):
            results = [timed(house, exact=exact) for house in runs]
            times = [1000 * seconds for seconds, _ in results]
            plans = [plan for _, plan in results]
            proven = sum(plan.is_proven for plan in plans) / len(plans)
            ties = sum(plan.are_ties_proven for plan in plans) / len(plans)
            gap = sum(1 - plan.bound_minor / max(1, plan.cost_minor) for plan in plans) / len(plans)
            name = "exact" if exact else "quick"
            print(
                f"{circuits:8}  {name}  {percentile(times, 0.5):8.1f} {percentile(times, 0.95):8.1f} "
                f"{max(times):8.1f}   {proven:10.1%}  {ties:10.1%}  {gap:8.2%}",
                flush=True,
            )


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:2]))
