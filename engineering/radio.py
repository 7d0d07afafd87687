"""Whether a keypad is likely to reach the enclosure it commands by radio.

What an obstacle costs is common practice without a source and a setting of the business. The best
answer is 'within the rule'; beyond it the link is proven on site before first fix.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from engineering import refusal
from engineering.control_plan import Reason, Value


class Obstacle(StrEnum):
    """What stands between a keypad and an enclosure, or round either of them."""

    LIGHT_WALL = "light-wall"
    MASONRY = "masonry"
    CONCRETE_FLOOR = "concrete-floor"
    TIMBER_FLOOR = "timber-floor"
    METAL_BOX = "metal-box"
    FOIL_BOARD = "foil-board"
    MIRROR = "mirror"
    STEEL = "steel"


SHARE_LEFT: Mapping[Obstacle, float] = MappingProxyType(
    {
        Obstacle.LIGHT_WALL: 0.85,
        Obstacle.MASONRY: 0.65,
        Obstacle.CONCRETE_FLOOR: 0.4,
        Obstacle.TIMBER_FLOOR: 0.8,
    }
)
"""Share of the range that is left behind one obstacle: common practice, no source."""

SHIELDING = frozenset({Obstacle.METAL_BOX, Obstacle.FOIL_BOARD, Obstacle.MIRROR, Obstacle.STEEL})
"""Metal that no share describes: wherever one is met the link is proven on site."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RadioPath:
    """One keypad and one enclosure.

    `distance_m` [m], 0 or more; `range_m` [m], above 0, as the maker states it for open air, None
    where not known; `obstacles` by number.
    """

    distance_m: float
    range_m: float | None
    obstacles: Mapping[Obstacle, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        refusal.not_negative("distance_m", self.distance_m)
        if self.range_m is not None:
            refusal.above_zero("range_m", self.range_m)
        for obstacle, number in self.obstacles.items():
            refusal.count(f"number of {Obstacle(obstacle).value}", number, at_least=0)


def radio_codes(
    *, path: RadioPath, share_left: Mapping[Obstacle, float] = SHARE_LEFT
) -> tuple[Reason, ...]:
    """Return what the rule says of a radio path.

    Parameters: path; share_left, above 0 and at most 1 for each obstacle that is not SHIELDING.
    Returns: 'range-not-known', 'shielded', 'beyond-rule' as they stand, each followed by
    'prove-on-site' once at the end; else 'within-rule' alone, with the metres left of the range.
    Raises: ValueError for a share outside its range or one that is missing.

    >>> path = RadioPath(distance_m=8, range_m=30, obstacles={Obstacle.MASONRY: 2})
    >>> [reason.code for reason in radio_codes(path=path)]
    ['within-rule']
    """
    against: list[Reason] = []
    left_m = 0.0
    if path.range_m is None:
        against.append(Reason(code="range-not-known"))
    else:
        left_m = path.range_m * _share(path.obstacles, share_left)
    met = sorted(each.value for each in SHIELDING if path.obstacles.get(each, 0))
    if met:
        against.append(Reason(code="shielded", values={"by": " ".join(met)}))
    values: dict[str, Value] = {"distance_m": path.distance_m, "range_left_m": left_m}
    if path.range_m is not None and path.distance_m > left_m:
        against.append(Reason(code="beyond-rule", values=values))
    if against:
        return (*against, Reason(code="prove-on-site"))
    return (Reason(code="within-rule", values=values),)


def _share(obstacles: Mapping[Obstacle, int], share_left: Mapping[Obstacle, float]) -> float:
    shares = []
    for obstacle, number in obstacles.items():
        if Obstacle(obstacle) in SHIELDING:
            continue
        if obstacle not in share_left:
            raise ValueError(f"share_left must hold {Obstacle(obstacle).value}")
        shares.append(refusal.share(obstacle, share_left[obstacle]) ** number)
    return math.prod(shares)
