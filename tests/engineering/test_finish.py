"""The grain of a room's picture: boards that keep the floor's mean, a skirting on every wall."""

import numpy as np
import pytest

from engineering.box import BoxRoom
from engineering.finish import (
    BOARD_LENGTH_M,
    BOARD_TONE,
    BOARD_WIDTH_M,
    board_tone,
    finish_of,
    skirting,
)
from engineering.room_faces import Cuboid, cuboid_faces, eye_height_m
from engineering.room_view import VIEWS, camera

ROOM = BoxRoom(length_m=4, width_m=3, height_m=2.5)


def test_boards_keep_the_mean_of_the_floor_and_stay_near_it():
    x, y = np.meshgrid(np.arange(0.05, 60, 0.1), np.arange(0.05, 60, 0.1))
    tone = board_tone(x, y)
    assert float(tone.mean()) == pytest.approx(1.0, abs=0.005)
    assert float(np.abs(tone - 1).max()) <= BOARD_TONE + 1e-12
    assert float(tone.std()) > BOARD_TONE / 3


def test_a_board_is_of_one_tone_and_its_neighbours_of_others():
    along = np.linspace(0.01, BOARD_LENGTH_M - 0.01, 20)
    tone = board_tone(along, np.full(20, BOARD_WIDTH_M / 2))
    assert np.ptp(tone) == 0
    across = np.arange(40) * BOARD_WIDTH_M + 0.01
    assert len(set(board_tone(np.full(40, 0.1), across).tolist())) > 30


def test_boards_run_along_the_longer_side():
    assert finish_of(ROOM).along == 0
    assert finish_of(BoxRoom(length_m=3, width_m=4, height_m=2.5)).along == 1


@pytest.mark.parametrize(("walls", "gain"), [(0.0, 1.7), (0.1, 1.7), (0.6, 1.3), (0.9, 1.0)])
def test_a_skirting_is_as_pale_on_any_wall_within_reason(walls, gain):
    room = BoxRoom(length_m=4, width_m=3, height_m=2.5, walls=walls)
    found = finish_of(room).skirting_gain
    assert found == pytest.approx(gain)
    assert skirting(np.array([0.0, 0.1, 0.2]), found).tolist() == [found, found, 1.0]


@pytest.mark.parametrize("low", [(1.0, 1.0, 0.4), (1.0, 1.0, 1.7)])
def test_only_faces_that_no_eye_sees_are_left_out(low):
    box = Cuboid(low_m=low, high_m=(low[0] + 1, low[1] + 1, low[2] + 0.3))
    kept = {(face.axis, face.is_far) for face in cuboid_faces(box, ROOM, 0.1)}
    assert len(kept) == 5
    left_out = ({(axis, far) for axis in range(3) for far in (True, False)} - kept).pop()
    # An eye sees a face that looks to the origin from below its place, another from above it.
    place = box.low_m[2] if left_out[1] else box.high_m[2]
    for view in VIEWS:
        eye = camera(ROOM, view).eye_m[left_out[0]]
        assert not (eye < place if left_out[1] else eye > place)
    assert eye_height_m(ROOM) == camera(ROOM, "front").eye_m[2]
