"""The light worked out once for each input, and kept under its hash.

Bytes for the browser and the figures are kept for every process; the basis itself, from which pictures
are drawn, in this process. A choice of options or an undo comes back to what is there already.
"""

import threading
from collections import OrderedDict
from dataclasses import dataclass

from django.core.cache import caches

from consult.derived import KEPT_S, fingerprint
from consult.light.problem import Channel, LightProblem
from engineering.furniture import surface_colours
from engineering.light_basis import RoomBasis
from engineering.light_code import solve_for_browser
from engineering.lit_circuits import LitCircuit, LitFitting

# Raised when the same problem would give other light than before.
ENGINE = 8
BASES_KEPT = 12
NEAREST_RUN_M = 0.3

_bases: OrderedDict[str, RoomBasis] = OrderedDict()
_lock = threading.Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """The light of a room: its key, the bytes for a browser, and the plane's light by channel [lx]."""

    key: str
    data: bytes
    keys: tuple[str, ...]
    plane_lx: tuple[tuple[tuple[float, ...], ...], ...]  # channel, row, column
    leaving_share: float  # of all the light at full level, through the openings of the walls


def key_of(problem: LightProblem) -> str:
    return f"light-{ENGINE}-{fingerprint(problem)}"


def at_hand(problem: LightProblem) -> Solved | None:
    """The light of a problem where it was worked out before, else None. Costs a look into the cache."""
    found: Solved | None = caches["drawn"].get(key_of(problem))
    return found


def solved(problem: LightProblem) -> Solved:
    """The light of a problem: kept, or worked out now (some 0.1 s). Raises ValueError if refused."""
    return at_hand(problem) or _work_out(problem)[0]


def basis_of(problem: LightProblem) -> RoomBasis:
    """The basis of a problem, for drawing; worked out again where this process has not kept it."""
    key = key_of(problem)
    with _lock:
        found = _bases.get(key)
        if found is not None:
            _bases.move_to_end(key)
            return found
    return _work_out(problem)[1]


def _work_out(problem: LightProblem) -> tuple[Solved, RoomBasis]:
    basis, data = solve_for_browser(
        room=problem.room,
        circuits=[_lit(channel, problem) for channel in problem.channels],
        plane_height_m=problem.plane_m,
        cuboids=problem.cuboids,
        colours=surface_colours(problem.room),
    )
    key = key_of(problem)
    plane = basis.plane_lx.round(3)
    answer = Solved(
        key=key,
        data=data,
        keys=tuple(circuit.key for circuit in basis.circuits),
        plane_lx=tuple(tuple(map(tuple, rows)) for rows in plane.tolist()),
        leaving_share=_leaving_share(basis),
    )
    caches["drawn"].set(key, answer, KEPT_S)
    with _lock:
        _bases[key] = basis
        while len(_bases) > BASES_KEPT:
            _bases.popitem(last=False)
    return answer, basis


def _leaving_share(basis: RoomBasis) -> float:
    flux = sum(each.flux_lm for circuit in basis.circuits for each in circuit.fittings)
    return round(float(basis.leaving_lm.sum()) / flux, 4)


def _lit(channel: Channel, problem: LightProblem) -> LitCircuit:
    return LitCircuit(
        key=channel.key,
        colour=channel.colour,
        fittings=tuple(
            LitFitting(
                placement=each.placement,
                intensity_cd=each.law.intensity(),
                flux_lm=each.law.flux_lm,
                shape=each.look.shape,
                size_m=each.look.size_m,
                nearest_m=NEAREST_RUN_M,
            )
            for each in channel.hung
        ),
    )
