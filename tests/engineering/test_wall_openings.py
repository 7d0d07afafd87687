"""Openings in walls: what meets them leaves, the balance stays closed, nothing is brighter for one."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.arrangement import Placement
from engineering.box import BoxRoom, box_of
from engineering.light_basis import solve_circuits
from engineering.light_sources import CosinePower, Globe
from engineering.lit_circuits import LitCircuit, LitFitting
from engineering.room import Source, solve
from engineering.wall_opening import WallOpening

SIZE = {"length_m": 4.0, "width_m": 3.0, "height_m": 2.5}
SHARES = {"floor": 0.3, "walls": 0.6, "ceiling": 0.8}
WHOLE_WALLS = {
    "front": {"width_m": 4.0, "height_m": 2.5},
    "right": {"width_m": 3.0, "height_m": 2.5},
    "back": {"width_m": 4.0, "height_m": 2.5},
    "left": {"width_m": 3.0, "height_m": 2.5},
}


def room(*openings, **shares):
    return BoxRoom(**SIZE, **(SHARES | shares), openings=openings)


def light(space, law=None, at=(1.7, 1.2, 2.3)):
    law = law or Globe(flux_lm=1000)
    lamp = Source(position_m=at, intensity_cd=law, flux_lm=1000)
    return solve(
        room=space, sources=[lamp], plane_height_m=0.75, grid=(8, 6), points_m=[(0.5, 0.5)]
    )


def whole(wall):
    return WallOpening(wall=wall, from_m=0, **WHOLE_WALLS[wall])


def test_the_share_of_a_patch_that_is_open_is_its_area():
    door = WallOpening(wall="back", from_m=0.37, width_m=1.13, height_m=2.07, low_m=0.11)
    box = box_of(room(door))
    assert float(box.open_shares @ box.areas_m2) == pytest.approx(door.area_m2, rel=1e-12)
    assert set(np.unique(box.surface[box.open_shares > 0]).tolist()) == {4}


def test_openings_that_overlap_are_open_once():
    one = WallOpening(wall="left", from_m=0.5, width_m=1, height_m=2)
    box = box_of(room(one, one))
    assert float(box.open_shares.max()) <= 1
    assert (box_of(room(whole("left"), one)).open_shares <= 1).all()


@pytest.mark.parametrize("wall", WHOLE_WALLS)
def test_a_wall_that_is_open_all_over_is_a_black_wall(wall):
    """The exchange of the same patches by `radiosity.exchange`, that wall's reflectance set to 0."""
    from engineering.direct_light import direct_on_patches
    from engineering.radiosity import exchange

    open_room, closed = room(whole(wall)), box_of(room())
    lamp = Source(position_m=(1.7, 1.2, 2.3), intensity_cd=Globe(flux_lm=1000), flux_lm=1000)
    shares = closed.reflectances.copy()
    shares[closed.span(whole(wall).surface)] = 0.0
    told = exchange(
        areas_m2=closed.areas_m2,
        reflectances=shares,
        form_factors=closed.exchange_m2 / closed.areas_m2[:, None],
        direct_lx=direct_on_patches(closed, [lamp]),
    )
    assert np.allclose(light(open_room).patches_lx, told, rtol=1e-9)
    assert not np.allclose(light(room()).patches_lx, told, rtol=1e-3)


def test_a_black_room_open_on_one_side_loses_what_the_lamp_sends_there():
    """Law: from the middle of a cube an even lamp sends a sixth of its light to each side."""
    cube = BoxRoom(
        length_m=3, width_m=3, height_m=3, floor=0, walls=0, ceiling=0,
        openings=(WallOpening(wall="right", from_m=0, width_m=3, height_m=3),),
    )  # fmt: skip
    lamp = Source(position_m=(1.5, 1.5, 1.5), intensity_cd=Globe(flux_lm=1200), flux_lm=1200)
    told = solve(room=cube, sources=[lamp], plane_height_m=0, grid=(6, 6))
    assert told.leaving_share == pytest.approx(1 / 6, rel=2e-3)


def test_all_walls_open_leave_floor_and_ceiling_alone():
    """Two parallel black-edged planes, by the closed form: E1 = (d1 + F·ρ2·d2) / (1 − F²·ρ1·ρ2)."""
    from engineering.form_factors import parallel
    from engineering.radiosity import exchange

    space = room(*map(whole, WHOLE_WALLS))
    factor = parallel(a_m=4.0, b_m=3.0, distance_m=2.5)
    assert factor == pytest.approx(0.292074, abs=1e-5)  # check value: box 4 × 3 × 2.5
    # Evenly lit patches of the whole ceiling: what the floor gets on average is F·ρ of it.
    box = box_of(space)
    direct = np.where(box.surface == 1, 100.0, 0.0)
    sent = exchange(
        areas_m2=box.areas_m2,
        reflectances=box.reflectances,
        form_factors=box.exchange_m2 / box.areas_m2[:, None],
        direct_lx=direct,
    )
    floor = float(np.average(sent[box.surface == 0], weights=box.areas_m2[box.surface == 0]))
    one_way = factor * 0.8 * 100
    assert floor == pytest.approx(one_way / (1 - factor**2 * 0.3 * 0.8), rel=5e-3)


openings = st.builds(
    lambda wall, start, width, low, high: WallOpening(
        wall=wall,
        from_m=start * WHOLE_WALLS[wall]["width_m"],
        width_m=width * (1 - start) * WHOLE_WALLS[wall]["width_m"],
        low_m=low * 2.5,
        height_m=high * (1 - low) * 2.5,
    ),
    st.sampled_from(sorted(WHOLE_WALLS)),
    st.floats(0, 0.8),
    st.floats(0.1, 1),
    st.floats(0, 0.8),
    st.floats(0.1, 1),
)
lamps = st.builds(
    lambda x, y, z, n: ((4 * x, 3 * y, 2.5 * z), n),
    st.floats(0.1, 0.9),
    st.floats(0.1, 0.9),
    st.floats(0.3, 0.95),
    st.sampled_from([0.0, 1.0, 5.0]),
)


@settings(max_examples=40, deadline=None)
@given(openings, openings, lamps)
def test_the_balance_stays_closed_and_nothing_is_brighter_for_an_opening(one, two, lamp):
    at, power = lamp
    law = CosinePower(peak_cd=1000 * (power + 1) / (2 * math.pi), power=power)
    shut, ajar, wide = (light(room(*made), law, at) for made in ((), (one,), (one, two)))
    for told in (shut, ajar, wide):
        assert told.energy_error < 1e-3
    assert shut.leaving_share == 0 < ajar.leaving_share <= wide.leaving_share + 1e-12
    assert wide.leaving_share <= 1 + 1e-3
    for darker, brighter in ((ajar, shut), (wide, ajar)):
        assert (darker.patches_lx <= brighter.patches_lx * (1 + 1e-12)).all()
        assert darker.average_lx <= brighter.average_lx * (1 + 1e-12)
        # Direct light does not know of openings: the wall was none that it met before.
        assert np.array_equal(darker.direct_lx, brighter.direct_lx)


def test_the_same_opening_across_the_room_gives_the_mirrored_light():
    door = {"from_m": 0.4, "width_m": 1.0, "height_m": 2.1}
    left = light(room(WallOpening(wall="left", **door)), at=(2.0, 1.2, 2.3)).total_lx
    right = light(room(WallOpening(wall="right", **door)), at=(2.0, 1.2, 2.3)).total_lx
    assert np.allclose(left, right[:, ::-1], rtol=0.01)
    assert not np.allclose(left, right, rtol=0.01)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"wall": "roof"}, "wall must be one of"),
        ({"width_m": 0}, "width_m"),
        ({"height_m": -1}, "height_m"),
        ({"from_m": -0.1}, "from_m"),
        ({"low_m": math.nan}, "low_m"),
        ({"width_m": math.inf}, "width_m"),
    ],
)
def test_an_opening_that_cannot_be_is_refused(values, words):
    good = {"wall": "left", "from_m": 0.0, "width_m": 1.0, "height_m": 2.0}
    with pytest.raises(ValueError, match=words):
        WallOpening(**(good | values))


@pytest.mark.parametrize(
    ("opening", "words"),
    [
        (WallOpening(wall="left", from_m=2.5, width_m=1, height_m=2), "left wall ends at 3.5 m"),
        (WallOpening(wall="front", from_m=3.2, width_m=1, height_m=2), "front wall ends at 4.2 m"),
        (WallOpening(wall="back", from_m=0, width_m=1, low_m=1, height_m=2), "is high at 3 m"),
    ],
)
def test_an_opening_beyond_its_wall_is_refused(opening, words):
    with pytest.raises(ValueError, match=words):
        room(opening)


def test_the_light_by_circuit_tells_the_same_that_leaves():
    space = room(WallOpening(wall="back", from_m=1, width_m=2, height_m=2.1))
    at, law = (1.7, 1.2, 2.3), CosinePower(peak_cd=1000 / math.pi, power=1)
    lamp = LitFitting(placement=Placement(position_m=at), intensity_cd=law, flux_lm=1000)
    basis = solve_circuits(room=space, circuits=[LitCircuit(key="one", fittings=(lamp,))])
    (leaving,) = basis.leaving_lm
    assert 50 < leaving < 500
    assert leaving == pytest.approx(1000 * light(space, law, at).leaving_share, rel=1e-9)
