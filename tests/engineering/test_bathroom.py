"""Laws, edges and refusals of bathroom zones."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering import bathroom, bathroom_needs
from engineering.bathroom import Partition
from engineering.bathroom_needs import Product, Supply

STRICT = {"0": 0, "1": 1, "2": 2, "outside": 3}
NEAR = st.floats(-3, 5)
POINTS = st.tuples(NEAR, NEAR, st.floats(0, 3))
PLACES = st.sampled_from(
    [
        {"kind": "bath", "origin_m": (0.5, 0.2), "size_m": (1.7, 0.7)},
        {"kind": "tray", "origin_m": (0.0, 0.0, 0.02), "size_m": (0.9, 0.9, 0.1)},
        {"kind": "no_tray", "origin_m": (1.0, 1.0)},
    ]
)
WALLS = st.lists(
    st.builds(
        Partition,
        start_m=st.tuples(NEAR, NEAR),
        end_m=st.tuples(NEAR, NEAR),
        height_m=st.just(2.6),
    ),
    max_size=3,
)


@given(place=PLACES, point_m=POINTS, walls=WALLS)
def test_a_partition_never_makes_a_zone_stricter(place, point_m, walls):
    free = bathroom.zone(**place, point_m=point_m)
    walled = bathroom.zone(**place, point_m=point_m, partitions=walls)
    assert STRICT[walled] >= STRICT[free]


@given(place=PLACES, point_m=POINTS, outlet_m=st.floats(0.5, 3))
def test_a_fixed_head_never_makes_a_zone_less_strict(place, point_m, outlet_m):
    free = bathroom.zone(**place, point_m=point_m)
    raised = bathroom.zone(**place, point_m=point_m, outlet_height_m=outlet_m)
    assert STRICT[raised] <= STRICT[free]


@given(place=PLACES, point_m=POINTS, move=st.tuples(NEAR, NEAR))
def test_moving_room_and_point_together_changes_nothing(place, point_m, move):
    if place["kind"] != "no_tray":
        moved_origin = (place["origin_m"][0] + move[0], place["origin_m"][1] + move[1])
        moved_origin += tuple(place["origin_m"][2:])
    else:
        moved_origin = (place["origin_m"][0] + move[0], place["origin_m"][1] + move[1])
    moved_point = (point_m[0] + move[0], point_m[1] + move[1], point_m[2])
    here = bathroom.zone(**place, point_m=point_m)
    there = bathroom.zone(**(place | {"origin_m": moved_origin}), point_m=moved_point)
    if here != there:  # only a point on a boundary may flip, by rounding
        away = [bathroom.zone(**place, point_m=(point_m[0] + d, point_m[1] + d, point_m[2]))
                for d in (-1e-4, 1e-4)]  # fmt: skip
        assert len(set(away)) == 2 or here in away


def test_a_low_partition_limits_nothing():
    place = {"kind": "bath", "origin_m": (0, 0), "size_m": (1.7, 0.7)}
    point_m = (0.8, 1.0, 1.0)
    for height_m, expected in ((1.4, "2"), (2.25, "outside")):
        screen = Partition(start_m=(-1, 0.7), end_m=(3, 0.7), height_m=height_m)
        assert bathroom.zone(**place, point_m=point_m, partitions=[screen]) == expected


def test_the_way_goes_round_a_partition_by_the_shorter_end():
    outlet = {"kind": "no_tray", "origin_m": (0, 0)}
    wall = Partition(start_m=(-5, 0.3), end_m=(0.4, 0.3), height_m=2.5)
    # Round the end at (0.4, 0.3): 0.5 m, and on to the point.
    assert bathroom.zone(**outlet, point_m=(0.4, 0.95, 1), partitions=[wall]) == "1"
    assert bathroom.zone(**outlet, point_m=(0.4, 1.05, 1), partitions=[wall]) == "outside"
    assert bathroom.zone(**outlet, point_m=(0.4, 1.05, 1)) == "1"


def test_a_tray_on_a_high_base_takes_its_height_from_the_base():
    # From memory: a base more than 0.15 m above the floor.
    point_m = (0.4, 0.4, 2.40)
    for base_m, expected in ((0.15, "outside"), (0.20, "1")):
        found = bathroom.zone(
            kind="tray", origin_m=(0, 0, base_m), size_m=(0.9, 0.9), point_m=point_m
        )
        assert found == expected


def test_strictest_of_several():
    assert bathroom.strictest(zones=["outside", "outside"]) == "outside"
    assert bathroom.strictest(zones=["2", "0"]) == "0"
    for bad in ([], ["3"]):
        with pytest.raises(ValueError, match="zones"):
            bathroom.strictest(zones=bad)


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("kind", "pool"),
        ("kind", "sauna"),
        ("origin_m", (0,)),
        ("origin_m", (0, math.nan)),
        ("size_m", None),
        ("size_m", (0, 0.7)),
        ("size_m", (1.7, -0.7)),
        ("size_m", (1.7, 0.7, 0)),
        ("size_m", (1.7, math.inf)),
        ("point_m", (1, 1)),
        ("point_m", (1, 1, -0.1)),
        ("point_m", (1, 1, math.nan)),
        ("outlet_height_m", 0),
        ("outlet_height_m", math.nan),
    ],
)
def test_zone_refuses_bad_values(field, bad):
    good = {"kind": "bath", "origin_m": (0, 0), "size_m": (1.7, 0.7), "point_m": (1, 1, 1)}
    with pytest.raises(ValueError, match=field):
        bathroom.zone(**(good | {field: bad}))


def test_a_product_that_fails_is_named_with_its_values():
    prompts = bathroom_needs.check(
        zone="1", product=Product.LUMINAIRE, supply=Supply.MAINS, supply_v=230, ip="IP20"
    )
    assert prompts[0].code == "ip-too-low"
    assert dict(prompts[0].values) == {"zone": "1", "ip": "IP20", "needs": "IPX4"}
    assert prompts[0].source.place == "section 701"


def test_an_unknown_ip_is_not_a_pass():
    for ip, code in ((None, "ip-not-known"), ("IP67", "rcd-30-ma")):
        prompts = bathroom_needs.check(
            zone="2", product=Product.LUMINAIRE, supply=Supply.MAINS, supply_v=230, ip=ip
        )
        assert prompts[0].code == code


def test_immersion_alone_is_not_enough_where_jets_are_used():
    prompts = bathroom_needs.check(
        zone="1",
        product=Product.LUMINAIRE,
        supply=Supply.MAINS,
        supply_v=230,
        ip="IP67",
        has_jets=True,
    )
    assert prompts[0].code == "ip-too-low"


def test_power_sources_and_sockets_are_named_in_every_zone():
    for zone in ("0", "1", "2"):
        for product, code in (
            (Product.POWER_SOURCE, "power-source-in-zone"),
            (Product.SOCKET, "socket-in-zone"),
        ):
            prompts = bathroom_needs.check(
                zone=zone, product=product, supply=Supply.MAINS, supply_v=230, ip="IP68"
            )
            assert code in [prompt.code for prompt in prompts]


def test_a_socket_at_an_unknown_distance_is_asked_for():
    prompts = bathroom_needs.check(
        zone="outside", product=Product.SOCKET, supply=Supply.MAINS, supply_v=230, ip=None
    )
    assert prompts[0].code == "socket-distance-not-known"


@pytest.mark.parametrize(
    ("field", "bad"), [("zone", "3"), ("supply_v", 0), ("ip", "IP"), ("from_zone_1_m", -1)]
)
def test_check_refuses_bad_values(field, bad):
    good = {
        "zone": "1",
        "product": Product.SOCKET,
        "supply": Supply.MAINS,
        "supply_v": 230,
        "ip": "IP44",
        "from_zone_1_m": 3,
    }
    with pytest.raises(ValueError, match=field if field != "ip" else "IP code"):
        bathroom_needs.check(**(good | {field: bad}))
