"""Whether a hole in a ceiling meets a joist, and how far it would have to move.

Joists are taken as straight, equally spaced and as typed: on site they are found before anything is cut.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from engineering import refusal


@dataclass(frozen=True, slots=True, kw_only=True)
class JoistLayout:
    """Joists over a room.

    `runs_along` the axis of the room they lie along; `first_m` [m], 0 or more, from the wall to the
    middle of the first, measured across them; `centres_m` [m] above 0; `thickness_m` [m] above 0,
    under `centres_m`; `depth_m` [m] above 0, or None where not known.
    """

    runs_along: Literal["x", "y"]
    first_m: float
    centres_m: float
    thickness_m: float
    depth_m: float | None = None

    def __post_init__(self) -> None:
        if self.runs_along not in ("x", "y"):
            raise ValueError(f"runs_along must be 'x' or 'y', got {self.runs_along!r}")
        refusal.not_negative("first_m", self.first_m)
        refusal.above_zero("centres_m", self.centres_m)
        refusal.above_zero("thickness_m", self.thickness_m)
        if self.thickness_m >= self.centres_m:
            raise ValueError(
                f"thickness_m must be under centres_m {self.centres_m}, got {self.thickness_m!r}"
            )
        if self.depth_m is not None:
            refusal.above_zero("depth_m", self.depth_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class JoistClash:
    """A hole that meets a joist.

    `index` of the point as given; `joist_m` [m] middle of the joist it meets, across the joists;
    `move_m` [m] the least move across the joists that clears it, with its sign, or None where the
    hole is wider than the gap between two joists.
    """

    index: int
    joist_m: float
    move_m: float | None


def joist_clashes(
    *,
    points_m: Sequence[tuple[float, float]],
    cut_out_m: float,
    layout: JoistLayout,
    clearance_m: float = 0.0,
) -> tuple[JoistClash, ...]:
    """Return the holes that meet a joist.

    Parameters: points_m (x, y) [m], middles of the holes in the room's frame; cut_out_m [m], above 0,
    their diameter; layout; clearance_m [m], 0 or more, kept free beside the joist.
    Raises: ValueError for anything outside those.

    >>> layout = JoistLayout(runs_along="x", first_m=0.4, centres_m=0.4, thickness_m=0.05)
    >>> clash, = joist_clashes(points_m=[(1, 0.42), (1, 0.6)], cut_out_m=0.08, layout=layout)
    >>> clash.index, round(clash.joist_m, 2), round(clash.move_m, 3)
    (0, 0.4, 0.045)
    """
    refusal.above_zero("cut_out_m", cut_out_m)
    refusal.not_negative("clearance_m", clearance_m)
    keep_m = cut_out_m / 2 + layout.thickness_m / 2 + clearance_m
    has_gap = 2 * keep_m <= layout.centres_m
    found = []
    for index, point in enumerate(points_m):
        across_m = point[1] if layout.runs_along == "x" else point[0]
        if not math.isfinite(across_m):
            raise ValueError(f"points_m must hold finite numbers, got {point!r}")
        number = max(round((across_m - layout.first_m) / layout.centres_m), 0)
        joist_m = layout.first_m + number * layout.centres_m
        away_m = across_m - joist_m
        # A hole that just touches the timber is clear of it: a tenth of a millimetre decides nothing.
        if abs(away_m) >= keep_m - 1e-4:
            continue
        move_m = math.copysign(keep_m, away_m) - away_m if has_gap else None
        found.append(JoistClash(index=index, joist_m=joist_m, move_m=move_m))
    return tuple(found)
