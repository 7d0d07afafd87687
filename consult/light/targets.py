"""What light a use of a room asks for: the business's own figure, else a guide with its source."""

from dataclasses import dataclass
from functools import lru_cache

from consult.kinds import RoomUse
from consult.models import TargetLevel
from engineering.light_guides import LIGHT_GUIDES

GUIDE_OF_USE: dict[str, str] = {
    RoomUse.LIVING: "living",
    RoomUse.KITCHEN: "kitchen",
    RoomUse.DINING: "dining",
    RoomUse.BEDROOM: "bedroom",
    RoomUse.CHILD: "bedroom",
    RoomUse.BATHROOM: "bathroom",
    RoomUse.TOILET: "wc",
    RoomUse.HALL: "hall",
    RoomUse.STAIR: "stairs",
    RoomUse.STUDY: "study",
    RoomUse.UTILITY: "utility",
    RoomUse.WORKSHOP: "plant room",
    RoomUse.GARAGE: "garage",
}
# Where the light is counted [m above the floor]: common practice, no source.
PLANE_M = 0.75
PLANES_M: dict[str, float] = {
    RoomUse.KITCHEN: 0.9,
    RoomUse.UTILITY: 0.9,
    RoomUse.WORKSHOP: 0.9,
    RoomUse.BATHROOM: 0.0,
    RoomUse.TOILET: 0.0,
    RoomUse.HALL: 0.0,
    RoomUse.STAIR: 0.0,
    RoomUse.GARAGE: 0.0,
    RoomUse.OUTDOOR: 0.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What a use asks for: maintained average from and to [lx] on a plane [m], and who says so."""

    use: str
    low_lx: float
    high_lx: float
    plane_m: float
    source: str
    certainty: str
    is_own: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """All targets, by use; a use without one asks for nothing."""

    by_use: tuple[Target, ...]

    def of(self, use: str) -> Target | None:
        return next((each for each in self.by_use if each.use == use), None)

    def plane_m(self, use: str) -> float:
        """The height at which the light of a use is counted [m]."""
        found = self.of(use)
        return PLANES_M.get(use, PLANE_M) if found is None else found.plane_m


def guide(use: str) -> Target | None:
    """The guide that the house starts with."""
    name = GUIDE_OF_USE.get(use)
    if name is None:
        return None
    found = LIGHT_GUIDES[name]
    told = ", ".join(
        part for part in (found.source.work, found.source.edition, found.source.place) if part
    )
    return Target(
        use=use,
        low_lx=found.low_lx,
        high_lx=found.high_lx,
        plane_m=PLANES_M.get(use, PLANE_M),
        source=told,
        certainty=str(found.source.certainty),
    )


def read_targets() -> Targets:
    """The targets of all uses: one query."""
    own = {row.use: row for row in TargetLevel.objects.all()}
    found = []
    for use in RoomUse.values:
        row = own.get(use)
        if row is None:
            usual = guide(use)
            if usual is not None:
                found.append(usual)
            continue
        plane = PLANES_M.get(use, PLANE_M) if row.plane_m is None else float(row.plane_m)
        found.append(
            Target(
                use=use,
                low_lx=float(row.low_lx),
                high_lx=float(row.high_lx),
                plane_m=plane,
                source=row.source,
                certainty=row.certainty,
                is_own=True,
            )
        )
    return _as_one(Targets(by_use=tuple(found)))


@lru_cache(maxsize=16)
def _as_one(targets: Targets) -> Targets:
    """Equal targets as one and the same object."""
    return targets


GUIDES = Targets(by_use=tuple(found for use in RoomUse.values if (found := guide(use)) is not None))
"""What the house starts with."""
