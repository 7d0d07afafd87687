"""Connected load of circuits, enclosures and the house: watts, driver loss, volt-amperes, amperes.

The connected load is what is there. Diversity is shown apart and never put in its place.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from engineering import refusal
from engineering.published import COMMON_PRACTICE, Certainty, Figure, Source

DIVERSITY_SOURCE = Source(
    work="On-Site Guide and a commentary on it",
    place="Tables A1 and A2; Table 6.2",
    certainty=Certainty.QUOTED,
)
LAMPHOLDER_W = Figure(
    value=100.0,
    unit="W",
    source=Source(work="On-Site Guide", place="Table A1", certainty=Certainty.MEMORY),
)
"""Least load assumed of a lampholder whose lamp is not known."""

ASSUMED_POWER_FACTOR = Figure(value=0.9, unit="share", source=COMMON_PRACTICE)
"""Taken where a maker states none; every sum says for how many watts it was taken."""

POINTS_ON_6_A_GUIDE = Figure(value=12.0, unit="points", source=COMMON_PRACTICE)
"""Upper end of the 8 to 12 points that are usual on a 6 A type B lighting circuit."""


class Premises(StrEnum):
    """Kind of premises, for the diversity of lighting."""

    HOUSEHOLD = "household"
    SHOP = "shop"
    HOTEL = "hotel"


DIVERSITY: Mapping[Premises, float] = MappingProxyType(
    {Premises.HOUSEHOLD: 0.66, Premises.SHOP: 0.90, Premises.HOTEL: 0.75}
)
"""Share of the connected lighting load that is taken to burn at once (DIVERSITY_SOURCE)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Equal pieces, or metres, on one circuit.

    `watts` [W] is drawn by one piece (or one metre) behind its driver, 0 or more; `pieces` is a
    number of pieces or metres, 0 or more; `driver_efficiency` a share, or None where the watts
    already include the driver; `power_factor` a share at the mains, or None where it is not known.
    """

    watts: float
    pieces: float
    driver_efficiency: float | None = None
    power_factor: float | None = None

    def __post_init__(self) -> None:
        refusal.not_negative("watts", self.watts)
        refusal.not_negative("pieces", self.pieces)
        if self.driver_efficiency is not None:
            refusal.share("driver_efficiency", self.driver_efficiency)
        if self.power_factor is not None:
            refusal.share("power_factor", self.power_factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitLoads:
    """What hangs on one circuit, and the enclosure from which it is fed."""

    code: str
    enclosure: str
    loads: tuple[Load, ...]

    def __post_init__(self) -> None:
        refusal.text("code", self.code)
        refusal.text("enclosure", self.enclosure)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadSum:
    """A sum of loads.

    `load_w` [W] behind the drivers, `loss_w` [W] in the drivers, `connected_w` [W] both together,
    `apparent_va` [VA], `current_a` [A] at the supply; `assumed_w` [W] is the part of connected_w
    whose power factor was not known and was assumed.
    """

    load_w: float
    loss_w: float
    connected_w: float
    apparent_va: float
    current_a: float
    assumed_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseLoads:
    """The sums of a house by circuit code, by enclosure, and in all."""

    circuits: Mapping[str, LoadSum]
    enclosures: Mapping[str, LoadSum]
    total: LoadSum


def add_up(
    *,
    loads: Iterable[Load],
    supply_v: float = 230,
    assumed_power_factor: float = ASSUMED_POWER_FACTOR.value,
) -> LoadSum:
    """Return the connected load of some loads.

    Parameters: loads, none gives zeros; supply_v [V], above 0; assumed_power_factor, above 0, at
    most 1, for loads that state none.
    Notes: loss = watts/efficiency - watts; VA = connected watts / power factor. Volt-amperes are
    added as they are, which is never less than the true sum (angles and harmonics differ).
    Raises: ValueError for anything outside those.

    >>> total = add_up(loads=[Load(watts=7, pieces=10, power_factor=0.7)])
    >>> round(total.apparent_va, 1), round(total.current_a, 3)
    (100.0, 0.435)
    """
    refusal.above_zero("supply_v", supply_v)
    refusal.share("assumed_power_factor", assumed_power_factor)
    load_w = loss_w = apparent_va = assumed_w = 0.0
    for load in loads:
        behind_w = load.watts * load.pieces
        drawn_w = behind_w / (load.driver_efficiency or 1.0)
        load_w += behind_w
        loss_w += drawn_w - behind_w
        apparent_va += drawn_w / (load.power_factor or assumed_power_factor)
        assumed_w += drawn_w if load.power_factor is None else 0.0
    return LoadSum(
        load_w=load_w,
        loss_w=loss_w,
        connected_w=load_w + loss_w,
        apparent_va=apparent_va,
        current_a=apparent_va / supply_v,
        assumed_w=assumed_w,
    )


def add_up_house(
    *,
    circuits: Iterable[CircuitLoads],
    supply_v: float = 230,
    assumed_power_factor: float = ASSUMED_POWER_FACTOR.value,
) -> HouseLoads:
    """Return the connected load per circuit, per enclosure and of the house.

    Parameters: circuits, each code once; the rest as `add_up`.
    Raises: ValueError where a code comes twice.

    >>> hall = CircuitLoads(code="Q1-01", enclosure="board", loads=(Load(watts=40, pieces=2),))
    >>> add_up_house(circuits=[hall]).enclosures["board"].connected_w
    80.0
    """
    by_circuit: dict[str, tuple[Load, ...]] = {}
    by_enclosure: dict[str, list[Load]] = {}
    for circuit in circuits:
        if circuit.code in by_circuit:
            raise ValueError(f"circuit codes must differ, got {circuit.code!r} twice")
        by_circuit[circuit.code] = circuit.loads
        by_enclosure.setdefault(circuit.enclosure, []).extend(circuit.loads)

    def summed(loads: Iterable[Load]) -> LoadSum:
        return add_up(loads=loads, supply_v=supply_v, assumed_power_factor=assumed_power_factor)

    return HouseLoads(
        circuits={code: summed(loads) for code, loads in by_circuit.items()},
        enclosures={name: summed(loads) for name, loads in by_enclosure.items()},
        total=summed(load for loads in by_circuit.values() for load in loads),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Diversity:
    """The current of a lighting load after diversity, beside the connected one.

    `share` of the connected load; `connected_a` and `after_a` [A]; `source` of the share.
    """

    share: float
    connected_a: float
    after_a: float
    source: Source


def after_diversity(
    *, connected_va: float, premises: Premises = Premises.HOUSEHOLD, supply_v: float = 230
) -> Diversity:
    """Return what a lighting load comes to after diversity.

    Parameters: connected_va [VA], 0 or more; premises; supply_v [V], above 0.
    Notes: for fixed LED fittings the connected load with its gear is the one to use for a circuit;
    diversity belongs to the supply of the whole house.

    >>> round(after_diversity(connected_va=1200).after_a, 3)
    3.443
    """
    refusal.not_negative("connected_va", connected_va)
    refusal.above_zero("supply_v", supply_v)
    share = DIVERSITY[Premises(premises)]
    connected_a = connected_va / supply_v
    return Diversity(
        share=share,
        connected_a=connected_a,
        after_a=connected_a * share,
        source=DIVERSITY_SOURCE,
    )


def lampholders_w(*, holders: int, lamp_w: float | None = None) -> float:
    """Return the load assumed of lampholders, in W.

    Parameters: holders, 0 or more; lamp_w [W], of the lamps in them, or None where not known.
    Notes: never less than 100 W a holder, since a larger lamp may be put in.

    >>> lampholders_w(holders=12)
    1200.0
    """
    refusal.count("holders", holders, at_least=0)
    known_w = 0.0 if lamp_w is None else refusal.not_negative("lamp_w", lamp_w)
    return holders * max(known_w, LAMPHOLDER_W.value)
