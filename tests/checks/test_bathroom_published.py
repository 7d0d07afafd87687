"""Bathroom zones against BS 7671 section 701 (IEC 60364-7-701), as quoted in Approved Document P and
four texts; neither standard was read. What comes from elsewhere says so."""

import pytest

from engineering import bathroom, bathroom_needs
from engineering.bathroom_needs import Product, Supply
from engineering.published import Certainty

BATH = {"kind": "bath", "origin_m": (1.0, 0.5), "size_m": (1.7, 0.7, 0.55)}
TRAY = {"kind": "tray", "origin_m": (0.0, 0.0), "size_m": (0.9, 0.9, 0.1)}
OPEN = {"kind": "no_tray", "origin_m": (2.0, 1.0)}


@pytest.mark.parametrize(
    ("point_m", "zone"),
    [
        ((1.5, 0.8, 0.3), "0"),  # inside the bath
        ((1.5, 0.8, 0.55), "0"),  # on its rim: the stricter
        ((1.5, 0.8, 1.0), "1"),
        ((1.5, 0.8, 2.25), "1"),  # up to 2.25 m
        ((1.5, 0.8, 2.26), "outside"),
        ((1.5, 1.79, 1.0), "2"),  # 0.59 m beyond
        ((1.5, 1.80, 1.0), "2"),  # 0.60 m: on the line
        ((1.5, 1.81, 1.0), "outside"),
        ((1.5, 1.5, 2.26), "outside"),
        ((1.5, 1.5, 0.0), "2"),
        ((0.5, 0.1, 1.0), "outside"),  # 0.64 m from the corner, though 0.5 and 0.4 along
        ((0.6, 0.1, 1.0), "2"),  # 0.57 m from the corner
    ],
)
def test_zones_of_a_bath(point_m, zone):
    assert bathroom.zone(**BATH, point_m=point_m) == zone


@pytest.mark.parametrize(
    ("point_m", "zone"),
    [
        ((0.4, 0.4, 0.05), "0"),
        ((0.4, 0.4, 2.0), "1"),
        ((1.4, 0.4, 2.0), "2"),
        ((1.51, 0, 2), "outside"),
    ],
)
def test_zones_of_a_tray(point_m, zone):
    assert bathroom.zone(**TRAY, point_m=point_m) == zone


@pytest.mark.parametrize(
    ("point_m", "zone"),
    [
        ((2.0, 2.2, 1.0), "1"),  # 1.2 m from the outlet
        ((2.0, 2.21, 1.0), "outside"),  # and there is no zone 2
        ((2.0, 1.5, 2.25), "1"),
        ((2.0, 1.5, 2.3), "outside"),
        ((2.0, 2.1, 0.10), "0"),  # without a tray zone 0 is 0.10 m high (secondary public pages)
        ((2.0, 2.1, 0.11), "1"),
    ],
)
def test_zones_of_a_shower_without_a_tray(point_m, zone):
    assert bathroom.zone(**OPEN, point_m=point_m) == zone


def test_a_fixed_head_above_2_25_m_raises_zone_1_and_zone_2():
    # Zone 1 to the head if higher; zone 2 too, from secondary public pages.
    high = {"outlet_height_m": 2.4}
    assert bathroom.zone(**TRAY, point_m=(0.4, 0.4, 2.35), **high) == "1"
    assert bathroom.zone(**TRAY, point_m=(1.2, 0.4, 2.35), **high) == "2"
    assert bathroom.zone(**OPEN, point_m=(2.0, 1.1, 2.35), **high) == "1"
    assert bathroom.zone(**TRAY, point_m=(0.4, 0.4, 2.41), **high) == "outside"
    # A lower head changes nothing.
    assert bathroom.zone(**TRAY, point_m=(0.4, 0.4, 2.2), outlet_height_m=1.9) == "1"


def test_under_a_bath_is_zone_1_unless_it_opens_only_with_a_tool():
    # Secondary public pages.
    raised = {"kind": "bath", "origin_m": (0, 0, 0.12), "size_m": (1.7, 0.7, 0.5)}
    assert bathroom.zone(**raised, point_m=(0.5, 0.3, 0.05)) == "1"
    under = bathroom.zone(**raised, point_m=(0.5, 0.3, 0.05), opens_only_with_tool=True)
    assert under == "outside"


def test_a_fixed_partition_limits_the_zone():
    # Secondary public pages. A screen on the long edge of the bath, 0.8 m long: a point 0.2 m behind
    # its middle is 0.4 m and more round its end.
    screen = bathroom.Partition(start_m=(1.0, 1.2), end_m=(2.5, 1.2), height_m=2.3)
    point_m = (1.6, 1.4, 1.0)
    assert bathroom.zone(**BATH, point_m=point_m) == "2"
    assert bathroom.zone(**BATH, point_m=point_m, partitions=[screen]) == "outside"
    near_its_end = (2.4, 1.4, 1.0)
    assert bathroom.zone(**BATH, point_m=near_its_end, partitions=[screen]) == "2"


def test_needed_ip():
    # X7 in zone 0, X4 in zones 1 and 2, X5 if jets.
    needs = {zone: bathroom_needs.needed_ip(zone=zone) for zone in ("0", "1", "2", "outside")}
    assert needs == {"0": "IPX7", "1": "IPX4", "2": "IPX4", "outside": None}
    assert bathroom_needs.needed_ip(zone="1", has_jets=True) == "IPX5"


def codes(**asked):
    given = {"product": Product.LUMINAIRE, "supply": Supply.MAINS, "supply_v": 230, "ip": "IP65"}
    return [prompt.code for prompt in bathroom_needs.check(**(given | asked))]


def test_zone_0_takes_separated_extra_low_voltage_of_12_v_ac_or_30_v_dc():
    tight = {"zone": "0", "ip": "IP67"}
    assert "zone-0-needs-separated-extra-low-voltage" in codes(**tight)
    assert "zone-0-voltage-too-high" not in codes(**tight, supply=Supply.SEPARATED_AC, supply_v=12)
    assert "zone-0-voltage-too-high" in codes(**tight, supply=Supply.SEPARATED_AC, supply_v=24)
    assert "zone-0-voltage-too-high" not in codes(**tight, supply=Supply.SEPARATED_DC, supply_v=30)
    assert "zone-0-voltage-too-high" in codes(**tight, supply=Supply.SEPARATED_DC, supply_v=36)
    # The 30 V DC is from memory.
    assert bathroom_needs.ZONE_0_DC_SOURCE.certainty is Certainty.MEMORY


def test_switches_stand_outside_the_zones_but_for_pull_cords():
    for zone in ("0", "1", "2"):
        assert "switch-in-zone" in codes(zone=zone, product=Product.SWITCH)
        assert "switch-in-zone" not in codes(zone=zone, product=Product.PULL_CORD)
    assert "switch-in-zone" not in codes(zone="outside", product=Product.SWITCH)


def test_sockets_stand_2_5_m_from_zone_1():
    # Clause 701.512.3 of the draft of A2:2022, as quoted; 3 m before it.
    socket = {"zone": "outside", "product": Product.SOCKET}
    assert "socket-too-near" in codes(**socket, from_zone_1_m=2.49)
    assert "socket-too-near" not in codes(**socket, from_zone_1_m=2.5)
    assert bathroom.SOCKET_SOURCE.edition == "2018+A2:2022"


def test_every_answer_asks_for_a_30_ma_device_and_for_a_person():
    assert codes(zone="1")[-2:] == ["rcd-30-ma", "verify-on-site"]
    assert codes(zone="outside")[-2:] == ["rcd-30-ma", "verify-on-site"]
