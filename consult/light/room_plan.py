"""A room seen from above: what stands in it and where its pieces hang, as values for a drawing."""

from dataclasses import dataclass

from consult.design import ObjectPart, RoomPart
from consult.kinds import ObjectKind
from consult.light.openings import openings_of
from consult.light.problem import RoomProblem
from engineering.wall_opening import WallOpening

# Half the sign of a luminaire [m], and the space round the walls.
SIGN_M = 0.09
MARGIN_M = 0.12
FLAT = frozenset({ObjectKind.RUG})


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One object in the drawing [m]; y is counted from the back wall, as a drawing is."""

    name: str
    x: float
    y: float
    width: float
    depth: float
    is_flat: bool

    @property
    def name_at(self) -> tuple[float, float]:
        """Its corner at the back left, where no row of fittings hangs."""
        return self.x + 0.06, self.y + 0.12

    @property
    def has_room_for_name(self) -> bool:
        return self.depth > 0.2 and self.width > 0.1 * len(self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPlan:
    """The drawing: objects, signs of luminaires, running pieces and openings as paths."""

    length_m: float
    width_m: float
    standing: tuple[Standing, ...]
    points: tuple[str, ...]
    runs: tuple[str, ...]
    openings: tuple[str, ...]

    @property
    def view_box(self) -> str:
        return (
            f"-{MARGIN_M} -{MARGIN_M} "
            f"{self.length_m + 2 * MARGIN_M:.3f} {self.width_m + 2 * MARGIN_M:.3f}"
        )


def room_plan(room: RoomPart, stated: RoomProblem) -> RoomPlan | None:
    """The room from above; None without its length and width."""
    if not (room.length_m and room.width_m):
        return None
    length, width = float(room.length_m), float(room.width_m)
    placed = [] if stated.problem is None else _places(stated)
    return RoomPlan(
        length_m=length,
        width_m=width,
        standing=outlines(room),
        points=tuple(_sign(x, width - y) for x, y, end in placed if end is None),
        runs=tuple(
            f"M{x:.3f} {width - y:.3f}L{end[0]:.3f} {width - end[1]:.3f}"
            for x, y, end in placed
            if end is not None
        ),
        openings=tuple(_gap(each, length, width) for each in openings_of(room)),
    )


def _gap(opening: WallOpening, length_m: float, width_m: float) -> str:
    """The line of a wall that is open."""
    start, end = opening.from_m, opening.from_m + opening.width_m
    if opening.wall in ("front", "back"):
        y = width_m if opening.wall == "front" else 0.0
        return f"M{start:.3f} {y:.3f}H{end:.3f}"
    x = length_m if opening.wall == "right" else 0.0
    return f"M{x:.3f} {width_m - start:.3f}V{width_m - end:.3f}"


def _places(stated: RoomProblem) -> list[tuple[float, float, tuple[float, ...] | None]]:
    """Where pieces hang, each once, whatever the channels of its light."""
    found = {}
    for channel in stated.problem.channels if stated.problem else ():
        for hung in channel.hung:
            place = hung.placement
            found[place.position_m, place.end_m] = (*place.position_m[:2], place.end_m)
    return list(found.values())


def _sign(x: float, y: float) -> str:
    """A luminaire as IEC 60617 draws it: a circle with a cross."""
    r, c = SIGN_M, SIGN_M * 0.7071
    return (
        f"M{x - r:.3f} {y:.3f}a{r} {r} 0 1 0 {2 * r} 0a{r} {r} 0 1 0 {-2 * r} 0"
        f"M{x - c:.3f} {y - c:.3f}l{2 * c:.3f} {2 * c:.3f}"
        f"M{x - c:.3f} {y + c:.3f}l{2 * c:.3f} {-2 * c:.3f}"
    )


def outlines(room: RoomPart) -> tuple[Standing, ...]:
    """The objects that have a place, what lies flat first; cut off at the walls."""
    found = [_outline(each, room) for each in room.objects]
    return tuple(sorted((each for each in found if each), key=lambda each: not each.is_flat))


def _outline(each: ObjectPart, room: RoomPart) -> Standing | None:
    if each.x_m is None or each.y_m is None or not (each.width_m and each.depth_m):
        return None
    length, width = float(room.length_m or 0), float(room.width_m or 0)
    low_x, high_x = float(each.x_m), min(length, float(each.x_m + each.width_m))
    low_y, high_y = float(each.y_m), min(width, float(each.y_m + each.depth_m))
    if not (low_x < high_x and low_y < high_y):
        return None
    return Standing(
        name=each.name or str(dict(ObjectKind.choices).get(each.kind, each.kind)),
        x=low_x,
        y=width - high_y,
        width=high_x - low_x,
        depth=high_y - low_y,
        is_flat=each.kind in FLAT,
    )
