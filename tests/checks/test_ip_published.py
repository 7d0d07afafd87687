"""IP codes against IEC 60529 as quoted in public texts; the standard itself was not read."""

import pytest

from engineering import bathroom
from engineering.ingress import SOLIDS, WATER, ip_meets, read_ip


def test_what_each_numeral_means():
    # IEC 60529 as quoted: first numeral 50 / 12.5 / 2.5 / 1.0 mm, dust-protected, dust-tight.
    assert [SOLIDS[n] for n in range(1, 7)] == [
        "50-mm", "12.5-mm", "2.5-mm", "1-mm", "dust-protected", "dust-tight",
    ]  # fmt: skip
    # Second numeral: drip, 15°, 60° spray, splash, jets, strong jets, 1 m for 30 min, continuous,
    # hot jets.
    assert [WATER[n] for n in range(1, 10)] == [
        "drip", "drip-15-degrees", "spray-60-degrees", "splash", "jets", "strong-jets",
        "immersion-1-m-30-min", "continuous-immersion", "hot-jets",
    ]  # fmt: skip


def test_numerals_up_to_six_imply_the_lower_ones():
    # IEC 60529 as quoted: up to 6 implies lower.
    for has in range(7):
        for needs in range(10):
            expected = needs <= has
            assert ip_meets(code=f"IPX{has}", needs=f"IPX{needs}") is expected, (has, needs)
    for has in range(7):
        for needs in range(7):
            assert ip_meets(code=f"IP{has}0", needs=f"IP{needs}0") is (needs <= has)


@pytest.mark.parametrize("immersed", ["IP67", "IP68", "IPX7", "IPX8"])
@pytest.mark.parametrize("jets", ["IPX5", "IPX6"])
def test_seven_and_eight_do_not_imply_jets(immersed, jets):
    # IEC 60529 as quoted: 7 and 8 do NOT imply 5 and 6.
    assert not ip_meets(code=immersed, needs=jets)


@pytest.mark.parametrize("immersed", ["IP67", "IP68"])
def test_seven_and_eight_still_meet_splash(immersed):
    # IEC 60529 as quoted takes only jets from them.
    assert ip_meets(code=immersed, needs="IPX4")


def test_a_double_code_meets_both():
    # The standard's way to state both, as quoted.
    assert read_ip(code="IP65/IP67").water == {5, 7}
    for needs in ("IPX4", "IPX5", "IPX7"):
        assert ip_meets(code="IP65/IP67", needs=needs)
        assert bathroom.ip_meets(code="IP65/IP67", needs=needs)
    assert not ip_meets(code="IP65/IP67", needs="IPX6")
