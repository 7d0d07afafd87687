"""Reading IP codes, and refusing what is none."""

import pytest

from engineering.ingress import Rating, ip_meets, read_ip


@pytest.mark.parametrize(
    ("code", "solids", "water"),
    [
        ("IP44", 4, {4}),
        ("ip65", 6, {5}),
        (" IP20 ", 2, {0}),
        ("IPX4", None, {4}),
        ("IP6X", 6, set()),
        ("IP65/67", 6, {5, 7}),
        ("IPX5/X7", None, {5, 7}),
        ("IP20C", 2, {0}),
        ("IP69K", 6, {9}),
    ],
)
def test_codes_that_are_read(code, solids, water):
    assert read_ip(code=code) == Rating(solids=solids, water=frozenset(water))


@pytest.mark.parametrize(
    "code", ["", "IP", "IP4", "44", "IP74", "IP4A", "XX", "IP445", "IP44 IP65", "IP44/", "IK08"]
)
def test_codes_that_are_refused(code):
    with pytest.raises(ValueError, match="code"):
        read_ip(code=code)
    with pytest.raises(ValueError, match="code"):
        ip_meets(code="IP44", needs=code)


def test_an_x_meets_nothing_and_asks_for_nothing():
    assert not ip_meets(code="IPX4", needs="IP20")
    assert not ip_meets(code="IP6X", needs="IPX1")
    assert ip_meets(code="IP00", needs="IPXX")
    assert ip_meets(code="IP6X", needs="IP40")


def test_eight_meets_seven_and_not_the_other_way():
    assert ip_meets(code="IPX8", needs="IPX7")
    assert not ip_meets(code="IPX7", needs="IPX8")


def test_hot_jets_say_nothing_of_jets_or_immersion():
    for needs in ("IPX5", "IPX6", "IPX7", "IPX8"):
        assert not ip_meets(code="IPX9", needs=needs)


def test_both_numerals_must_be_met():
    assert ip_meets(code="IP65", needs="IP54")
    assert not ip_meets(code="IP45", needs="IP54")
    assert not ip_meets(code="IP63", needs="IP54")
