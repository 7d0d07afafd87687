"""The light of every room of a house: worked out after the request, with its progress and a stop.

What has been done is kept beside the light itself, so every process sees it. Nothing is lost by a
stop or by a worker that ends: what is worked out is kept, and the next run begins after it.
"""

import contextlib
import time
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from django.core.cache import caches

from consult.derived import KEPT_S, read_house
from consult.design import RoomPart
from consult.light.figures import PlaneFigures
from consult.light.for_client import wanted
from consult.light.problem import RoomProblem, room_problem
from consult.light.solving import at_hand, solved
from consult.light.targets import Target, Targets, read_targets
from consult.light.words import JUDGED, lacks
from consult.models import Project
from consult.pieces import House
from consult.room_light import full_figures

# A run that has told nothing for so long has lost its worker [s].
LOST_S = 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run over a house. `state`: "waiting", "running", "stopped" or "done"."""

    token: str
    state: str
    done: int
    of: int
    at: float  # when it was told, in seconds of the clock

    @property
    def is_busy(self) -> bool:
        """Whether it goes on, or will."""
        return self.state in ("waiting", "running") and time.time() - self.at < LOST_S

    @property
    def share(self) -> int:
        """What is done, in percent."""
        return round(100 * self.done / self.of) if self.of else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRow:
    """A room with everything on: its figures, what is asked for, and how it stands to that."""

    part: RoomPart
    figures: PlaneFigures | None
    target: Target | None
    lack: str

    @property
    def judged(self) -> tuple[str, str] | None:
        """State and words; None where there is nothing to compare."""
        if self.figures is None or self.target is None:
            return None
        average = self.figures.average_lx
        if average < self.target.low_lx * 0.9:
            code = "low"
        else:
            code = "within" if average <= self.target.high_lx * 1.5 else "above"
        state, words = JUDGED[code]
        return state, str(words)


def run_of(project_id: object) -> Run | None:
    """The last run over a project, where one is known of."""
    found: Run | None = caches["drawn"].get(_key(project_id))
    return found


def begin(project_id: object, *, enqueue: Callable[[str, str], object]) -> Run:
    """Begin a run, unless one is under way. `enqueue` takes the project's key and the run's token."""
    under_way = run_of(project_id)
    if under_way is not None and under_way.is_busy:
        return under_way
    run = Run(token=uuid.uuid4().hex, state="waiting", done=0, of=0, at=time.time())
    _tell(project_id, run)
    enqueue(str(project_id), run.token)
    return run


def stop(project_id: object) -> None:
    """Let the run end after the room it is at."""
    run = run_of(project_id)
    if run is not None and run.is_busy:
        caches["drawn"].set(_stop_key(run.token), True, KEPT_S)
        if run.state == "waiting":
            _tell(project_id, replace(run, state="stopped"))


def work(project_id: str, token: str) -> None:
    """Work out every room and draw its pictures. Ends early when stopped, or when another began."""
    project = Project.objects.filter(pk=project_id).first()
    if project is None:
        return
    steps = list(_steps(read_house(project)))
    run = Run(token=token, state="running", done=0, of=len(steps), at=time.time())
    for step in steps:
        if _is_stopped(project_id, token):
            _tell(project_id, replace(run, state="stopped", at=time.time()))
            return
        _tell(project_id, run)
        with contextlib.suppress(ValueError):  # refused by the core: the room's page says why
            step()
        run = replace(run, done=run.done + 1, at=time.time())
    _tell(project_id, replace(run, state="done"))


def _steps(house: House) -> Iterator[Callable[[], object]]:
    """The light of every room, which people wait for; then the pictures, room by room."""
    for _part, stated in _stated(house, read_targets()):
        if stated.problem is not None:
            yield partial(solved, stated.problem)
    for each in sorted(wanted(house), key=lambda picture: picture.room):
        yield each.drawing.png


def _is_stopped(project_id: str, token: str) -> bool:
    run = run_of(project_id)
    is_another = run is not None and run.token != token
    return is_another or bool(caches["drawn"].get(_stop_key(token)))


def _stated(house: House, targets: Targets) -> Iterator[tuple[RoomPart, RoomProblem]]:
    for part in house.design.rooms:
        yield part, room_problem(house, part, targets.plane_m(part.use))


def rows(house: House) -> list[RoomRow]:
    """Every room, with its light where that is at hand: one query, and a look at a file for each."""
    targets = read_targets()
    found = []
    for part, stated in _stated(house, targets):
        light = at_hand(stated.problem) if stated.problem else None
        found.append(
            RoomRow(
                part=part,
                figures=full_figures(stated, light) if light else None,
                target=targets.of(part.use),
                lack=lacks(stated.lacks) if stated.lacks else "",
            )
        )
    return found


def _key(project_id: object) -> str:
    return f"house-light-{project_id}"


def _stop_key(token: str) -> str:
    return f"house-light-stop-{token}"


def _tell(project_id: object, run: Run) -> None:
    caches["drawn"].set(_key(project_id), run, KEPT_S)
