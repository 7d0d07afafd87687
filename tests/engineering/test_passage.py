"""How openings look: flat on their wall, within the room, a floor where one can walk through."""

import pytest

from engineering.box import BoxRoom
from engineering.passage import FLOOR_BEYOND, passage
from engineering.wall_opening import WALL_SURFACES, WallOpening

ROOM = BoxRoom(length_m=4, width_m=3, height_m=2.5)


@pytest.mark.parametrize("wall", WALL_SURFACES)
@pytest.mark.parametrize("low_m", [0.0, 0.9])
def test_it_lies_on_its_wall_and_throws_no_shadow(wall, low_m):
    parts = passage(WallOpening(wall=wall, from_m=0.5, width_m=1, low_m=low_m, height_m=1.5), ROOM)
    axis, at = {"front": (1, 0), "back": (1, 3), "left": (0, 0), "right": (0, 4)}[wall]
    for part in parts:
        assert not part.casts
        ends = part.low_m[axis], part.high_m[axis]
        assert min(abs(end - at) for end in ends) <= 0.031
        assert part.low_m[1 - axis] >= 0.5 - 1e-9
        assert part.high_m[1 - axis] <= 1.5 + 1e-9
        assert (part.low_m[2] >= low_m - 1e-9) and (part.high_m[2] <= low_m + 1.5 + 1e-9)
    assert any(part.colour == FLOOR_BEYOND for part in parts) == (low_m == 0)


def test_one_as_wide_as_its_wall_has_no_lining_at_the_corners():
    whole = WallOpening(wall="right", from_m=0, width_m=3, height_m=2.5)
    beyond = passage(whole, ROOM)[1]
    assert (beyond.low_m[1], beyond.high_m[1], beyond.high_m[2]) == (0, 3, 2.5)


def test_a_very_small_one_is_drawn_all_the_same():
    for part in passage(WallOpening(wall="left", from_m=1, width_m=0.05, height_m=0.02), ROOM):
        assert all(high > low for low, high in zip(part.low_m, part.high_m, strict=True))
