"""Fewest moves: what circuits keep of an earlier plan that is not wired."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from engineering.control_plan import Unit
from engineering.control_units import UnitChoice
from engineering.unit_patterns import Pattern

if TYPE_CHECKING:
    from engineering.control_assemble import Filled
    from engineering.control_cover import BundleKey
    from engineering.control_ways import Bundle


class FormerUnits:
    """The units of an earlier plan of one enclosure, each taken over once at most."""

    def __init__(
        self, *, previous: Sequence[Unit], choices: Sequence[UnitChoice], taken: set[int]
    ) -> None:
        self.choices = choices
        chosen: dict[int, Unit] = {}
        for unit in sorted(previous, key=lambda one: (one.number, repr(one))):
            if unit.number >= 1 and unit.number not in taken:
                chosen.setdefault(unit.number, unit)
        self.left = list(chosen.values())

    def keep(
        self,
        *,
        fresh: Sequence[tuple[Pattern, Filled]],
        queues: Mapping[BundleKey, deque[Bundle]],
        keys: Sequence[BundleKey],
    ) -> None:
        """Let new units take over former ones, and take from the queues what stays where it was.

        The pair that keeps most circuits in place goes first; where equal, the lowest number, then the
        first unit in order.
        """
        held = {former.number: _waiting(former, queues) for former in self.left}
        offers = []
        for place, (pattern, filled) in enumerate(fresh):
            for former in self.left:
                stays = _stays(pattern, held[former.number], keys)
                if stays and self._is_alike(filled, former):
                    offers.append((-len(stays), former.number, place))
        formers = {former.number: former for former in self.left}
        for _, number, place in sorted(offers):
            pattern, filled = fresh[place]
            if filled.former is not None or number not in formers:
                continue
            filled.former = formers.pop(number)
            for bundle in _stays(pattern, held[number], keys):
                # An earlier plan from elsewhere may name a circuit twice: the first unit keeps it.
                if bundle in queues[bundle.key]:
                    queues[bundle.key].remove(bundle)
                    filled.bundles.append(bundle)
        self.left = list(formers.values())

    def _is_alike(self, filled: Filled, former: Unit) -> bool:
        """Say whether both are of one receiver with one driver before it."""
        choice = self.choices[filled.choice]
        supply = former.supplies[0] if former.supplies else None
        driver = choice.driver.reference if choice.driver else ""
        volts = supply.volts if supply else 0.0
        same = choice.receiver.reference == former.reference
        same = same and driver == (supply.reference if supply else "")
        return same and math.isclose(choice.volts, volts)


def _waiting(
    former: Unit, queues: Mapping[BundleKey, deque[Bundle]]
) -> dict[BundleKey, list[Bundle]]:
    """Return the bundles still to be placed that the former unit held, each in one unit alone."""
    held = {(part.circuit, part.pieces) for output in former.outputs for part in output.parts[:1]}
    return {
        key: [
            bundle
            for bundle in queue
            if all((part.circuit, part.pieces) in held for part in bundle.parts)
        ]
        for key, queue in queues.items()
    }


def _stays(
    pattern: Pattern, held: Mapping[BundleKey, Sequence[Bundle]], keys: Sequence[BundleKey]
) -> list[Bundle]:
    """Return the bundles that the pattern has room for and that the former unit held."""
    return [bundle for place, pieces in pattern for bundle in held.get(keys[place], ())[:pieces]]
