"""Rooms against Radiance, a physically based simulator that follows rays at random.

Its results are fixed in data/radiance_rooms.json; recipes/radiance_rooms.py made them. Radiance's
own scatter is about 0.1 to 0.3 % on an average.
"""

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from engineering.arrangement import Placement
from engineering.light_basis import solve_circuits
from engineering.light_sources import CosinePower, Globe, lambertian, line
from engineering.lit_circuits import LitCircuit, LitFitting
from engineering.room import BoxRoom, Source, solve
from engineering.wall_opening import WallOpening

DATA = json.loads((Path(__file__).parent / "data" / "radiance_rooms.json").read_text())


def lobes(flux_lm):
    def intensity(c_deg, gamma_deg):
        lobe = 1 + 0.5 * np.cos(2 * np.radians(c_deg))
        return flux_lm / math.pi * np.maximum(0, np.cos(np.radians(gamma_deg))) * lobe

    return intensity


def law_of(source):
    flux = source["flux_lm"]
    if source["kind"] == "cosine":
        n = source["power"]
        return CosinePower(peak_cd=flux * (n + 1) / (2 * math.pi), power=n)
    if source["kind"] == "strip":
        return lambertian(flux_lm=flux)
    return lobes(flux) if source["kind"] == "lobes" else Globe(flux_lm=flux)


def sources_of(room):
    for source in room["sources"]:
        flux = source["flux_lm"]
        if source["kind"] == "strip":
            start, end = source["from_m"], source["to_m"]
            yield from line(start_m=start, end_m=end, flux_lm=flux, nearest_m=0.3)
            continue
        yield Source(
            position_m=tuple(source["position_m"]),
            intensity_cd=law_of(source),
            flux_lm=flux,
            aim=tuple(source["aim"]),
        )


def circuits_of(room):
    """Each source as a circuit of its own, as a room's page has them."""
    for number, source in enumerate(room["sources"]):
        if source["kind"] == "strip":
            ends = tuple(source["from_m"]), tuple(source["to_m"])
            place = Placement(position_m=ends[0], end_m=ends[1])
        else:
            place = Placement(position_m=tuple(source["position_m"]), aim=tuple(source["aim"]))
        lit = LitFitting(placement=place, intensity_cd=law_of(source), flux_lm=source["flux_lm"])
        yield LitCircuit(key=str(number), fittings=(replace(lit, nearest_m=0.3),))


def space_of(room):
    floor, walls, ceiling = room["reflectances"]
    length, width, height = room["size_m"]
    return BoxRoom(
        length_m=length,
        width_m=width,
        height_m=height,
        floor=floor,
        walls=walls,
        ceiling=ceiling,
        openings=tuple(WallOpening(**each) for each in room.get("openings", ())),
    )


def test_there_are_rooms_enough_to_mean_something():
    rooms = DATA["rooms"].values()
    assert len(rooms) >= 6
    assert len({tuple(room["size_m"]) for room in rooms}) >= 6
    assert len({tuple(room["reflectances"]) for room in rooms}) >= 5
    assert sum(len(room.get("openings", ())) for room in rooms) >= 3


@pytest.mark.parametrize("name", DATA["rooms"])
def test_a_room_agrees_with_the_simulator(name):
    room = DATA["rooms"][name]
    light = solve(
        room=space_of(room),
        sources=list(sources_of(room)),
        plane_height_m=room["plane_height_m"],
        grid=tuple(room["grid"]),
    )
    assert light.average_lx == pytest.approx(room["average_lx"], rel=0.01)
    # A single simulated point scatters more than the average of a hundred.
    assert light.maximum_lx == pytest.approx(room["maximum_lx"], rel=0.06)
    assert light.minimum_lx == pytest.approx(room["minimum_lx"], rel=0.08)
    assert light.energy_error < 1e-3


@pytest.mark.parametrize("name", DATA["rooms"])
def test_a_rooms_page_shows_the_light_that_was_held_against_the_simulator(name):
    # Circuit by circuit, and long pieces cut by their distance: another way than the test above.
    room = DATA["rooms"][name]
    basis = solve_circuits(
        room=space_of(room),
        circuits=list(circuits_of(room)),
        plane_height_m=room["plane_height_m"],
    )
    plane = basis.plane_lx.sum(axis=0)
    light = solve(
        room=space_of(room),
        sources=list(sources_of(room)),
        plane_height_m=room["plane_height_m"],
        grid=(plane.shape[1], plane.shape[0]),
    )
    np.testing.assert_allclose(plane, light.total_lx, rtol=1e-3)
