"""A quick fitting: each item where least room is left over, or where most is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from engineering.unit_patterns import Pattern

if TYPE_CHECKING:
    from engineering.unit_cover import CoverProblem

Column = tuple[int, Pattern]


def best_fit(
    *, problem: CoverProblem, units: Sequence[int], demand: Sequence[int]
) -> dict[Column, int] | None:
    """Return a fitting found by putting each item where least room is left over, or None.

    Where outputs run short as well as load, spreading the load evenly does better: that is the third way.
    """
    for order in ("load", "outputs", "even"):
        found = _BestFit(problem, units).run(demand, order)
        if found is not None:
            return found
    return None


class _BestFit:
    def __init__(self, problem: CoverProblem, units: Sequence[int]) -> None:
        self.problem = problem
        self.numbers = [number for number, count in enumerate(units) for _ in range(count)]
        self.outputs = [problem.units[number].frame.outputs for number in self.numbers]
        self.loads = [problem.units[number].frame.capacity for number in self.numbers]
        self.held: list[Counter[int]] = [Counter() for _ in self.numbers]
        self.routes: list[Counter[str]] = [Counter() for _ in self.numbers]

    def run(self, demand: Sequence[int], order: str) -> dict[Column, int] | None:
        items = self.problem.items
        homes = {place: self._homes(place) for place, n in enumerate(demand) if n}

        def hardest_first(place: int) -> tuple[float, ...]:
            item = items[place]
            sizes = (item.outputs, item.load) if order == "outputs" else (item.load, item.outputs)
            return (len(homes[place]), -sizes[0], -sizes[1], place)

        for place in sorted(homes, key=hardest_first):
            for _ in range(demand[place]):
                home = self._home(place, homes[place], even=order == "even")
                if home is None:
                    return None
                self._put(place, home)
        columns: Counter[Column] = Counter()
        for number, held in zip(self.numbers, self.held, strict=True):
            if held:
                columns[number, tuple(sorted(held.items()))] += 1
        return dict(columns)

    def _homes(self, place: int) -> list[int]:
        return [
            home
            for home, number in enumerate(self.numbers)
            if place in self.problem.units[number].eligible
        ]

    def _home(self, place: int, homes: Sequence[int], *, even: bool) -> int | None:
        item = self.problem.items[place]
        best, least = None, None
        for home in homes:
            if item.outputs > self.outputs[home] or item.load > self.loads[home]:
                continue
            caps = self.problem.units[self.numbers[home]].frame.route_caps
            if item.route in caps and self.routes[home][item.route] >= caps[item.route]:
                continue
            left: tuple[float, int] = (self.loads[home], self.outputs[home])
            if even:
                left = (-self.loads[home] / max(1, self.outputs[home]), -self.outputs[home])
            if least is None or left < least:
                best, least = home, left
        return best

    def _put(self, place: int, home: int) -> None:
        item = self.problem.items[place]
        self.outputs[home] -= item.outputs
        self.loads[home] -= item.load
        self.held[home][place] += 1
        self.routes[home][item.route] += 1
