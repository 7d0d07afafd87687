"""The beams in a room: the pool each kind of fitting throws, its scallop where a wall is near."""

import math
from collections import Counter
from dataclasses import dataclass, replace

from catalogue.photometric import read_kept
from consult.light.laws import Law
from consult.light.placing import nearest_wall
from consult.light.problem import Control, Hung, LightProblem, RoomProblem
from consult.light.words import WALLS, joined
from engineering.beams import Pool, pool, scallop_outline, scallop_top
from engineering.box import BoxRoom

# A beam wider than this has no pool to speak of, and a wall further off no scallop: common practice,
# no source.
WIDEST_DEG = 120.0
FURTHEST_M = 1.2
LEAST_TOP_M = 0.3
UPRIGHT = 0.999


@dataclass(frozen=True, slots=True, kw_only=True)
class Scallop:
    """The scallops of a kind on one wall [m]: how high they reach, and the drawing's lines."""

    walls: tuple[str, ...]
    offset_m: float
    top_m: float
    width_m: float
    height_m: float
    outlines: tuple[str, ...]
    fittings: tuple[tuple[float, float], ...]  # along the wall, down from the ceiling

    @property
    def where(self) -> str:
        """The walls in words."""
        return joined([str(WALLS[wall]) for wall in self.walls])

    @property
    def view_box(self) -> str:
        return f"-0.1 -0.1 {self.width_m + 0.2:.3f} {self.height_m + 0.2:.3f}"

    @property
    def top_down(self) -> float:
        """The top as the drawing counts, from the ceiling down."""
        return self.height_m - self.top_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Beam:
    """One kind of fitting of a circuit: its beam, its pools at full level, its scallops."""

    code: str
    name: str
    pieces: int
    beam_deg: float
    height_m: float
    tilt_deg: float
    pools: tuple[Pool, ...]
    scallops: tuple[Scallop, ...]


def beams_of(stated: RoomProblem) -> tuple[Beam, ...]:
    """The beams of a room, circuit by circuit; of what has no beam, nothing."""
    if stated.problem is None:
        return ()
    hung_of = {channel.key: channel.hung for channel in stated.problem.channels}
    found: list[Beam] = []
    for control in stated.controls:
        # Of two whites or four colours in one piece, one stands for all.
        found += _of_control(stated.problem, control, hung_of[control.keys[0]])
    return tuple(found)


def _of_control(problem: LightProblem, control: Control, hung: tuple[Hung, ...]) -> list[Beam]:
    kinds: dict[tuple[Law, float, float], list[Hung]] = {}
    for each in hung:
        if each.look.shape == "disc" and each.placement.aim[2] < -0.05:
            key = (each.law, round(each.placement.position_m[2], 2), _tilt(each))
            kinds.setdefault(key, []).append(each)
    found = []
    for (law, height, tilt), pieces in kinds.items():
        beam = beam_of(law)
        if beam is not None:
            found.append(
                Beam(
                    code=control.code,
                    name=control.name,
                    pieces=len(pieces),
                    beam_deg=beam,
                    height_m=height,
                    tilt_deg=tilt,
                    pools=_pools(problem, law, beam, height) if not tilt else (),
                    scallops=_scallops(problem.room, pieces, beam, tilt),
                )
            )
    return found


def beam_of(law: Law) -> float | None:
    """The beam angle [°] of a law; None for one without a beam."""
    if law.file is None:
        told = law.beam_deg
    else:
        try:
            told = read_kept(*law.file).beam_angle_deg(0.0)
        except ValueError:
            return None
    return told if 0 < told <= WIDEST_DEG else None


def _tilt(each: Hung) -> float:
    """The tilt from straight down [°], whole degrees."""
    return float(round(math.degrees(math.acos(min(1.0, max(-1.0, -each.placement.aim[2]))))))


def _pools(problem: LightProblem, law: Law, beam: float, height: float) -> tuple[Pool, ...]:
    """On the plane where the light is counted, and on the floor."""
    gaps = sorted({round(height - problem.plane_m, 2), height})
    return tuple(
        pool(intensity_cd=law.intensity(), beam_deg=beam, distance_m=gap)
        for gap in gaps
        if gap > 0.1
    )


def _scallops(room: BoxRoom, pieces: list[Hung], beam: float, tilt: float) -> tuple[Scallop, ...]:
    by_wall: dict[str, list[Hung]] = {}
    for each in pieces:
        by_wall.setdefault(_wall(room, each), []).append(each)
    found: list[Scallop] = []
    for wall, near in by_wall.items():
        drawn = _scallop(room, wall, near, beam, tilt)
        # Walls on which the same is to be seen are told and drawn once.
        twin = next(
            (each for each in found if drawn and replace(each, walls=(wall,)) == drawn), None
        )
        if twin is not None:
            found[found.index(twin)] = replace(twin, walls=(*twin.walls, wall))
        elif drawn is not None:
            found.append(drawn)
    return tuple(found)


def _wall(room: BoxRoom, each: Hung) -> str:
    """The wall that a piece aims at; of one that aims straight down, the nearest."""
    x, y, _z = each.placement.aim
    if each.placement.aim[2] <= -UPRIGHT:
        return nearest_wall(room, each.placement.position_m[0], each.placement.position_m[1])
    if abs(x) >= abs(y):
        return "right" if x > 0 else "left"
    return "back" if y > 0 else "front"


def _scallop(
    room: BoxRoom, wall: str, pieces: list[Hung], beam: float, tilt: float
) -> Scallop | None:
    across = wall in ("front", "back")
    width = room.length_m if across else room.width_m
    placed = [_on_wall(room, wall, each) for each in pieces]
    # Pieces at several distances: the most usual one is told and drawn.
    offset = Counter(round(gap, 3) for _x, gap, _z in placed).most_common(1)[0][0]
    if not 0 < offset <= FURTHEST_M:
        return None
    near = sorted((round(x, 3), round(z, 3)) for x, gap, z in placed if round(gap, 3) == offset)
    height = near[0][1]
    given = {"mounting_height_m": height, "offset_m": offset, "beam_deg": beam, "tilt_deg": tilt}
    top = min(scallop_top(**given), room.height_m)
    edge = scallop_outline(**given, points=361)
    if top < LEAST_TOP_M or len(edge) < 3:
        return None
    return Scallop(
        walls=(wall,),
        offset_m=offset,
        top_m=top,
        width_m=width,
        height_m=room.height_m,
        outlines=tuple(_path(edge, x, width, room.height_m) for x, _z in near),
        fittings=tuple((x, round(room.height_m - z, 3)) for x, z in near),
    )


def _on_wall(room: BoxRoom, wall: str, each: Hung) -> tuple[float, float, float]:
    """A piece as one sees it looking at the wall: along it from the left, off it, height [m]."""
    x, y, z = each.placement.position_m
    return {
        "front": (room.length_m - x, y, z),
        "back": (x, room.width_m - y, z),
        "right": (room.width_m - y, room.length_m - x, z),
        "left": (y, x, z),
    }[wall]


def _path(edge: tuple[tuple[float, float], ...], foot: float, width: float, height: float) -> str:
    """An outline as a path within the wall, closed along the floor, y counted from the ceiling."""

    def place(x: float, z: float) -> str:
        return f"{min(width, max(0.0, foot + x)):.3f} {min(height, max(0.0, height - z)):.3f}"

    ends = (edge[0][0], edge[-1][0])
    points = [place(ends[0], 0.0), *(place(x, z) for x, z in edge), place(ends[1], 0.0)]
    # A whole ellipse closes by itself, above the floor.
    if edge[0] == edge[-1] or abs(ends[0] - ends[1]) < 1e-6:
        points = points[1:-1]
    return "M" + "L".join(points) + "Z"
