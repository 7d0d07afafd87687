"""How long the light of a room takes: cold, warm, in bytes, as a picture, and for a whole house.

Run `python -m tests.bench.bench_light`. Times are of the processor's own clock where a row says
so: other work on the machine does not count. All of it runs on one core, in a process of its own:
the matrix library's threads, waiting for one another on a busy machine, cost more than they bring.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from engineering import box, emission, light_basis, room, room_view
from engineering.arrangement import grid
from engineering.box import BoxRoom
from engineering.light_basis import solve_circuits
from engineering.light_code import decoded, encoded, solve_for_browser
from engineering.light_sources import beam
from engineering.lit_circuits import LitCircuit, LitFitting
from engineering.room import Source, solve
from tests.checks import test_light_simulated as simulated

Row = tuple[str, float, str, float | None]


def forget() -> None:
    """Throw away all that was kept from rooms before."""
    box.box_of.cache_clear()
    light_basis._face_views.cache_clear()
    light_basis._plane_view.cache_clear()
    emission._spread_kept.cache_clear()
    room._plane_view_kept.cache_clear()
    room_view.stage.cache_clear()


def a_room(length_m: float = 4.0, flux_lm: float = 500.0) -> tuple[BoxRoom, list[LitCircuit]]:
    """Return a room of 3 × 2.5 m and some length, with 12 fittings on 4 circuits."""
    space = BoxRoom(length_m=length_m, width_m=3, height_m=2.5)
    law = beam(flux_lm=flux_lm, beam_deg=60)
    places = grid(length_m=length_m, width_m=3, columns=4, rows=3, height_m=2.48)
    fittings = [LitFitting(placement=p, intensity_cd=law, flux_lm=flux_lm) for p in places]
    circuits = [
        LitCircuit(key=str(number), fittings=tuple(fittings[3 * number : 3 * number + 3]))
        for number in range(4)
    ]
    return space, circuits


def median_ms(work: Callable[[int], Any], times: int, clock: Callable[[], float]) -> float:
    """Return the median time of a piece of work [ms]."""
    taken = []
    for number in range(times):
        started = clock()
        work(number)
        taken.append(clock() - started)
    return 1000 * statistics.median(taken)


def _cold(number: int) -> None:
    forget()
    space, circuits = a_room(flux_lm=400 + number)
    solve_circuits(room=space, circuits=circuits)


def _warm(number: int) -> None:
    # Another flux each time: nothing but the room itself is known from before.
    space, circuits = a_room(flux_lm=600 + number)
    solve_circuits(room=space, circuits=circuits)


def _house(_: int) -> None:
    forget()
    for number in range(60):
        space, circuits = a_room(length_m=2.0 + number * 0.1)
        solve_for_browser(room=space, circuits=circuits)


def _basis_rows() -> Iterable[Row]:
    _warm(0)
    own = time.process_time
    yield (
        "light of a room, 12 fittings, cold (processor time)",
        median_ms(_cold, 7, own),
        "ms",
        200.0,
    )
    _warm(0)
    yield "the same, warm (processor time)", median_ms(_warm, 15, own), "ms", 20.0
    yield "the same, warm (by the clock)", median_ms(_warm, 15, time.perf_counter), "ms", None
    space, circuits = a_room()
    basis, data = solve_for_browser(room=space, circuits=circuits)
    yield "bytes of a room for the browser", float(len(data)), "bytes", 30_000.0
    yield "packing them (processor time)", median_ms(lambda _: encoded(basis), 5, own), "ms", None
    held = decoded(data)
    levels = [0.1, 0.5, 0.9, 0.3]

    def mix(_: int) -> Any:
        return levels @ held.cells_lx

    yield "weighted sum of a scene's cells (processor time)", median_ms(mix, 50, own), "ms", 5.0


def _picture_rows() -> Iterable[Row]:
    space, circuits = a_room()
    basis = solve_circuits(room=space, circuits=circuits)
    scene = {circuit.key: 0.6 for circuit in circuits}

    def draw(_: int) -> None:
        room_view.picture(basis=basis, levels=scene, width_px=960)

    draw(0)
    taken = median_ms(draw, 3, time.process_time)
    yield "a further scene of a room as a picture, 960 px (processor time)", taken, "ms", None


def _simulator_rows() -> Iterable[Row]:
    """Our time for each test room against the time the simulator took when its results were fixed."""
    times, gaps = [], []
    for entry in simulated.DATA["rooms"].values():
        space, sources = simulated.space_of(entry), list(simulated.sources_of(entry))
        averages: list[float] = []

        def ours(
            _: int,
            entry: dict[str, Any] = entry,
            space: BoxRoom = space,
            sources: list[Source] = sources,
            averages: list[float] = averages,
        ) -> None:
            forget()
            light = solve(
                room=space,
                sources=sources,
                plane_height_m=entry["plane_height_m"],
                grid=tuple(entry["grid"]),
            )
            averages.append(light.average_lx)

        taken = median_ms(ours, 3, time.process_time)
        times.append(1000 * entry["seconds"] / taken)
        gaps.append(100 * abs(averages[0] / entry["average_lx"] - 1))
    rooms = f"{len(times)} rooms"
    yield f"largest difference from the simulator on an average, {rooms}", max(gaps), "%", 1.0
    stored = "the simulator's time (as stored with its results) over ours"
    yield f"{stored}: median of {rooms}", statistics.median(times), "×", None
    yield f"{stored}: least", min(times), "×", None
    yield f"{stored}: most", max(times), "×", None


def measure() -> Iterable[Row]:
    """Yield what was measured in this process: what, value, unit, limit."""
    yield from _basis_rows()
    seconds = median_ms(_house, 1, time.process_time) / 1000
    yield "light of a house of 60 rooms, cold (processor time)", seconds, "s", 8.0
    yield from _picture_rows()
    yield from _simulator_rows()


def main() -> Iterable[Row]:
    """Yield what was measured on one core: what, value, unit, limit."""
    root = Path(__file__).parent.parent.parent
    one_core = dict(os.environ, OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", MKL_NUM_THREADS="1")
    command = [sys.executable, "-m", "tests.bench.bench_light", "--rows"]
    with subprocess.Popen(
        command, cwd=root, env=one_core, stdout=subprocess.PIPE, text=True
    ) as process:
        for line in process.stdout or ():
            what, value, unit, limit = json.loads(line)
            yield what, value, unit, limit
    if process.returncode != 0:
        raise RuntimeError(f"the measurement ended with code {process.returncode}")


if __name__ == "__main__":
    if "--rows" in sys.argv:
        for row in measure():
            print(json.dumps(row), flush=True)
    else:
        for what, value, unit, limit in main():
            told = "" if limit is None else f"limit {limit:g}"
            print(f"{what:70} {value:10.2f} {unit:6} {told}")
