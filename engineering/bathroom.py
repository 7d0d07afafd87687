"""Zones of a room with a bath or shower, and what to check in them.

Geometry of IEC 60364-7-701 as BS 7671:2018 section 701 takes it over, quoted from public texts;
neither standard was read. Every result is a prompt for a qualified electrician, never a clearance.
Pools and saunas are not covered.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from engineering import refusal
from engineering.ingress import ip_meets as ip_meets
from engineering.published import Certainty, Source, wiring_rules

Kind = Literal["bath", "tray", "no_tray"]
Zone = Literal["0", "1", "2", "outside"]

SECTION_701 = wiring_rules(place="section 701")
TOP_OF_ZONES_M = 2.25
"""Height of zones 1 and 2 above the finished floor, where no fixed outlet is higher."""
ZONE_2_WIDTH_M = 0.60
NO_TRAY_RADIUS_M = 1.20
NO_TRAY_ZONE_0_M = 0.10
RAISED_BASE_M = 0.15
"""From memory, not looked up: a base higher than this takes its 2.25 m from the base itself."""
RIM_M: Mapping[Kind, float] = MappingProxyType({"bath": 0.60, "tray": 0.20})
"""Height of the rim where none is given: chosen here on the high, so stricter, side; no source."""
SOCKET_FROM_ZONE_1_M = 2.5
SOCKET_SOURCE = Source(
    work="BS 7671",
    edition="2018+A2:2022",
    place="clause 701.512.3, from the draft of the amendment",
    certainty=Certainty.QUOTED,
)

# Two lengths that differ by less are the same on any site; a point on the line is in the zone.
_ON_THE_LINE_M = 1e-5
# A screen often stands on the very edge of the bath: the way must reach past it.
_PAST_THE_EDGE_M = 1e-6

Plan = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Partition:
    """A fixed partition in plan, from end to end [m], and its height [m] above the floor.

    It limits a zone only where it is at least as high as the zone; a lower one is left out of
    account, which is on the safe side.
    """

    start_m: Plan
    end_m: Plan
    height_m: float

    def __post_init__(self) -> None:
        refusal.above_zero("height_m", self.height_m)
        if not all(map(math.isfinite, (*self.start_m, *self.end_m))):
            raise ValueError(f"a partition needs finite ends, got {self.start_m!r}, {self.end_m!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fixture:
    """A bath, tray or open shower, checked: plan corners, base and rim, top of its zones."""

    kind: Kind
    low: Plan
    high: Plan
    base_m: float
    rim_m: float
    top_m: float


def zone(
    *,
    kind: Kind,
    origin_m: Sequence[float],
    size_m: Sequence[float] | None = None,
    point_m: Sequence[float],
    outlet_height_m: float | None = None,
    partitions: Sequence[Partition] = (),
    opens_only_with_tool: bool = False,
) -> Zone:
    """Return the zone in which a point of the room lies.

    Parameters (all in the room's frame: corner origin, metres, z up from the finished floor):
    kind 'bath', 'tray', or 'no_tray' for a shower on the floor; origin_m, the corner of bath or tray
    (x, y, with an optional height of its base), or the fixed outlet of 'no_tray'; size_m, its width
    and depth and, if known, the height of its rim above the base (not used for 'no_tray');
    point_m (x, y, z), z 0 or more; outlet_height_m, height of a fixed head above the floor, or None;
    partitions, fixed ones; opens_only_with_tool, whether the space under a bath does.
    Returns: '0', '1', '2' or 'outside'. A point on a boundary lies in the stricter zone.
    Notes: zone 0 is the inside of bath or tray, or 0.10 m over the floor of zone 1 without a tray.
    Zone 1 stands over it to 2.25 m or a higher fixed head; without a tray it is 1.2 m round the
    outlet. Zone 2 is 0.6 m beyond zone 1, to the same height; without a tray there is none.
    Where no rim height is given, a high rim is taken.
    Raises: ValueError for another kind, wrong numbers, or a point under the floor.

    >>> place = {"kind": "bath", "origin_m": (0, 0), "size_m": (1.7, 0.7)}
    >>> zone(**place, point_m=(0.8, 0.3, 2.2)), zone(**place, point_m=(0.8, 1.2, 1.8))
    ('1', '2')
    """
    fixture = _fixture(kind=kind, origin_m=origin_m, size_m=size_m, outlet_height_m=outlet_height_m)
    x, y, z = _numbers("point_m", point_m, lengths=(3,))
    refusal.not_negative("point_m height", z)
    if z > fixture.top_m + _ON_THE_LINE_M:
        return "outside"
    walls = [each for each in partitions if each.height_m >= fixture.top_m - _ON_THE_LINE_M]
    away_m = _way_m((x, y), fixture, walls)
    if fixture.kind == "no_tray":
        if away_m > NO_TRAY_RADIUS_M + _ON_THE_LINE_M:
            return "outside"
        return "0" if z <= NO_TRAY_ZONE_0_M + _ON_THE_LINE_M else "1"
    if away_m <= _ON_THE_LINE_M:
        return _over(fixture, z, opens_only_with_tool)
    return "2" if away_m <= ZONE_2_WIDTH_M + _ON_THE_LINE_M else "outside"


def _over(fixture: _Fixture, z: float, opens_only_with_tool: bool) -> Zone:
    if z < fixture.base_m - _ON_THE_LINE_M:
        return "outside" if opens_only_with_tool else "1"
    return "0" if z <= fixture.rim_m + _ON_THE_LINE_M else "1"


def _fixture(
    *,
    kind: Kind,
    origin_m: Sequence[float],
    size_m: Sequence[float] | None,
    outlet_height_m: float | None,
) -> _Fixture:
    if kind not in ("bath", "tray", "no_tray"):
        raise ValueError(f"kind must be 'bath', 'tray' or 'no_tray', got {kind!r}")
    x, y, *rest = _numbers("origin_m", origin_m, lengths=(2, 3))
    height_m = refusal.not_negative("origin_m height", rest[0] if rest else 0.0)
    outlet_m = 0.0
    if outlet_height_m is not None:
        outlet_m = refusal.above_zero("outlet_height_m", outlet_height_m)
    if kind == "no_tray":
        top_m = max(TOP_OF_ZONES_M, outlet_m, height_m)
        return _Fixture(kind=kind, low=(x, y), high=(x, y), base_m=0, rim_m=0, top_m=top_m)
    if size_m is None:
        raise ValueError(f"size_m must be given for a {kind}")
    width_m, depth_m, *rim = _numbers("size_m", size_m, lengths=(2, 3))
    refusal.above_zero("size_m width", width_m)
    refusal.above_zero("size_m depth", depth_m)
    rim_m = height_m + refusal.above_zero("size_m height", rim[0] if rim else RIM_M[kind])
    raised_m = height_m if height_m > RAISED_BASE_M else 0.0
    return _Fixture(
        kind=kind,
        low=(x, y),
        high=(x + width_m, y + depth_m),
        base_m=height_m,
        rim_m=rim_m,
        top_m=max(TOP_OF_ZONES_M + raised_m, outlet_m),
    )


def _numbers(name: str, values: Sequence[float], *, lengths: tuple[int, ...]) -> list[float]:
    numbers = [float(value) for value in values]
    if len(numbers) not in lengths:
        raise ValueError(f"{name} must hold {' or '.join(map(str, lengths))} numbers")
    if not all(map(math.isfinite, numbers)):
        raise ValueError(f"{name} must hold finite numbers, got {values!r}")
    return numbers


def _nearest(point: Plan, fixture: _Fixture) -> Plan:
    if fixture.low == fixture.high:
        return fixture.low
    inner = _PAST_THE_EDGE_M
    return (
        min(max(point[0], fixture.low[0] + inner), fixture.high[0] - inner),
        min(max(point[1], fixture.low[1] + inner), fixture.high[1] - inner),
    )


def _way_m(start: Plan, fixture: _Fixture, walls: Sequence[Partition]) -> float:
    """Return the shortest way in plan from a point to the fixture, round fixed partitions.

    A shortest way bends only at the ends of partitions, so it is a shortest path among those ends.
    Where two partitions meet, the way may slip through their joint: shorter, so on the safe side.
    """
    ends = [end for wall in walls for end in (wall.start_m, wall.end_m)]
    waiting: dict[Plan, float] = {start: 0.0} | {end: math.inf for end in ends if end != start}
    best = math.inf
    while waiting:
        here = min(waiting, key=lambda plan: waiting[plan])
        so_far = waiting.pop(here)
        if so_far >= best:
            break
        target = _nearest(here, fixture)
        if not _is_blocked(here, target, walls):
            best = min(best, so_far + math.dist(here, target))
        for end, known in waiting.items():
            if not _is_blocked(here, end, walls):
                waiting[end] = min(known, so_far + math.dist(here, end))
    return best


def _is_blocked(start: Plan, end: Plan, walls: Iterable[Partition]) -> bool:
    return any(_crosses(start, end, wall.start_m, wall.end_m) for wall in walls)


def _turn(origin: Plan, first: Plan, second: Plan) -> float:
    return (first[0] - origin[0]) * (second[1] - origin[1]) - (first[1] - origin[1]) * (
        second[0] - origin[0]
    )


def _crosses(start: Plan, end: Plan, wall_start: Plan, wall_end: Plan) -> bool:
    """Return whether the way properly crosses the wall; touching an end goes round it."""
    return (
        _turn(start, end, wall_start) * _turn(start, end, wall_end) < 0
        and _turn(wall_start, wall_end, start) * _turn(wall_start, wall_end, end) < 0
    )


def strictest(*, zones: Iterable[Zone]) -> Zone:
    """Return the strictest of the zones in which a point lies by several baths and showers.

    >>> strictest(zones=["outside", "2", "1"])
    '1'
    """
    order: tuple[Zone, ...] = ("0", "1", "2", "outside")
    found = set(zones)
    if not found or not found <= set(order):
        raise ValueError(f"zones must be among {order}, got {sorted(found)!r}")
    return next(each for each in order if each in found)
