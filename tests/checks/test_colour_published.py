"""Colour of light against published values.

[1] EN 12464-1 / ISO 8995-1, clause 4.6.1, as reprinted publicly.
[2] two colour libraries that agree, colour-science 0.4.7 and luxpy 1.12.5; colour-science again by
    tests/checks/recipes/colour_references.py, which stored the chromaticities.
"""

import json
from pathlib import Path

import pytest

from engineering import colour

STORED = json.loads(
    (Path(__file__).parent / "data" / "colour_references.json").read_text(encoding="utf-8")
)
LIGHTS = STORED["lights"]


@pytest.mark.parametrize(
    ("kelvin", "group"),
    [
        (2700, "warm"),
        (3299.9, "warm"),
        (3300, "intermediate"),
        (4000, "intermediate"),
        (5300, "intermediate"),
        (5300.1, "cool"),
        (6500, "cool"),
    ],
)
def test_colour_groups(kelvin: float, group: str) -> None:
    # [1] warm below 3300 K, intermediate 3300 to 5300 K, cool above 5300 K
    assert colour.colour_group(kelvin) == group


def test_rendering_where_people_stay() -> None:
    # [1] Ra of 80 or more where people stay long
    assert colour.RENDERING_WHERE_PEOPLE_STAY == 80


@pytest.mark.parametrize(
    ("name", "kelvin"),
    [
        # [2] tolerance 10 K as between the libraries
        ("A", 2855.5),
        ("FL2", 4224.5),
        ("FL4", 2938),
        ("FL7", 6495),
        ("FL11", 3998.6),
        ("D65", 6503.7),
        ("LED-B1", 2733),
        ("LED-B3", 4102),
    ],
)
def test_colour_temperature_of_standard_lights(name: str, kelvin: float) -> None:
    assert colour.cct_k(LIGHTS[name]["x"], LIGHTS[name]["y"]) == pytest.approx(kelvin, abs=1.5)


@pytest.mark.parametrize("name", LIGHTS)
def test_colour_temperature_agrees_with_the_library(name: str) -> None:
    light = LIGHTS[name]
    assert colour.cct_k(light["x"], light["y"]) == pytest.approx(light["cct_k"], abs=2.0)


@pytest.mark.parametrize(
    ("x", "y", "kelvin"),
    [
        # [2] McCamy on A 2857.2, D65 6504.4, F2 4229.9
        (0.44757, 0.40744, 2857.2),
        (0.31271, 0.32901, 6504.4),
        (LIGHTS["FL2"]["x"], LIGHTS["FL2"]["y"], 4229.9),
    ],
)
def test_mccamy(x: float, y: float, kelvin: float) -> None:
    assert colour.mccamy_cct_k(x, y) == pytest.approx(kelvin, abs=0.1)


def test_black_body_of_standard_light_a() -> None:
    # [2] A: x .44757, y .40744
    assert colour.black_body_xy(2855.5) == pytest.approx((0.44757, 0.40744), abs=2e-5)


def test_daylight_of_d65() -> None:
    # [2] D65: x .31271, y .32901; the locus is a parabola laid near it, so not exact
    x, y = colour.daylight_xy(6504.0)
    assert x == pytest.approx(0.31271, abs=2e-5)
    assert y == pytest.approx(0.32901, abs=1.5e-4)


def test_the_locus_is_the_stored_one() -> None:
    # [2] colour-science, every 10 mired and between
    for mired, u, v in STORED["locus_mired_u_v"] + STORED["between_mired_u_v"]:
        x, y = colour.black_body_xy(1e6 / mired)
        below = -2 * x + 12 * y + 3
        assert (4 * x / below, 6 * y / below) == pytest.approx((u, v), abs=2e-5)
