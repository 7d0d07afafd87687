"""Photometric files against published values and against independent programs.

Sources, named again beside each value:
[1] ANSI/IESNA LM-63-02, as reprinted publicly: layout and meaning of the fields.
[2] EULUMDAT: field comments in a public renderer source (Apache-2.0).
[3] Independent programs, stored by tests/checks/recipes/photometry_cross_read.py: luxpy 1.12.5,
    eulumdat-py 1.0.0, Radiance (pyradiance 1.3.1).
[4] Closed formulas, worked out where they stand.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from engineering.photometry import PhotometryError, read_file, read_ies, read_ldt
from engineering.photometry.models import cosine_exponent, spot

FOLDER = Path(__file__).parent / "data" / "photometry"
CROSS_READ = json.loads((FOLDER / "cross_read.json").read_text())["intensities"]


def ies(*, first: str = "IESNA:LM-63-1995", head: str, gamma: str, c: str, table: str) -> bytes:
    return "\n".join([first, "TILT=NONE", head, gamma, c, table]).encode()


def ldt(
    *, isym: int, planes: list[float], gammas: list[float], table: list[float], flux: float = 1000
) -> bytes:
    fields = ["x", "1", isym, len(planes), 0, len(gammas), 0, "", "", "", "", ""]
    fields += [100, 0, 50, 90, 0, 0, 0, 0, 0, 100, 0, 1, 0, 1, 1, "LED", flux, "3000", "1B", 10]
    fields += [*[0.5] * 10, *planes, *gammas, *table]
    return "\r\n".join(str(field) for field in fields).encode()


# --- flux ------------------------------------------------------------------------------------


def test_isotropic_thousand_candela_give_4_pi_thousand_lumens() -> None:
    # [4] Φ = 4π I = 12 566.37 lm
    lamp = read_ies(ies(head="1 13000 1 3 1 1 2 0 0 0 1 1 9", gamma="0 90 180", c="0",
                        table="1000 1000 1000"))  # fmt: skip
    assert lamp.flux_lm() == pytest.approx(12_566.37, abs=0.01)
    assert lamp.interpolated_flux_lm() == pytest.approx(12_566.37, abs=0.01)


def test_lambertian_thousand_lumens_by_both_methods() -> None:
    # [3] a table of 1000/π cos γ every 5°: 1000.0 lm zonal, 999.4 lm linear between the angles
    gammas = list(range(0, 91, 5))
    values = " ".join(f"{1000 / math.pi * math.cos(math.radians(g)):.6f}" for g in gammas)
    lamp = read_ies(ies(head="1 1100 1 19 1 1 2 0 0 0 1 1 9", gamma=" ".join(map(str, gammas)),
                        c="0", table=values))  # fmt: skip
    assert lamp.flux_lm() == pytest.approx(1000.0, abs=0.05)
    assert lamp.interpolated_flux_lm() == pytest.approx(999.4, abs=0.05)


# --- rules of LM-63 --------------------------------------------------------------------------


def test_multiplier_and_ballast_factor_scale_the_table() -> None:
    # [3] Radiance: 100 cd, multiplier 2.0, ballast factor 0.9, at 2 m: 45.0 lx
    lamp = read_ies(ies(head="1 3000 2.0 2 1 1 2 0 0 0 0.9 1 9", gamma="0 90", c="0",
                        table="100 100"))  # fmt: skip
    assert lamp.intensity(0, 0) / 2.0**2 == pytest.approx(45.0, rel=1e-9)


@pytest.mark.parametrize(
    ("first", "factor"),
    [
        ("a label", 0.5),
        ("IESNA91", 0.5),
        ("IESNA:LM-63-1995", 1.0),
        ("IESNA:LM-63-2002", 1.0),
        ("IES:LM-63-2019", 1.0),
    ],
)
def test_ballast_lamp_factor_counts_before_1995_only(first: str, factor: float) -> None:
    # [1] the field is "future use" from 1995; the first line of 2019 is from memory
    lamp = read_ies(ies(first=first, head="1 3000 1 2 1 1 2 0 0 0 1 0.5 9", gamma="0 90", c="0",
                        table="100 100"))  # fmt: skip
    assert lamp.intensity(0, 0) == pytest.approx(100 * factor)


@pytest.mark.parametrize(("units", "metres"), [(1, 0.3048), (2, 1.0)])
def test_units_change_the_opening_and_not_the_light(units: int, metres: float) -> None:
    # [1] units 1 feet, 2 metres; [3] Radiance lays the length along C0 and the width along C90
    lamp = read_ies(ies(head=f"1 3000 1 2 1 1 {units} 1 2 0 1 1 9", gamma="0 90", c="0",
                        table="100 100"))  # fmt: skip
    assert lamp.opening.along_c0_m == pytest.approx(2 * metres)
    assert lamp.opening.along_c90_m == pytest.approx(1 * metres)
    assert lamp.intensity(0, 0) == 100.0


@pytest.mark.parametrize(
    ("horizontals", "rows", "expanded"),
    [
        ("0", [1], {0: 1, 77: 1, 180: 1, 270: 1}),
        ("0 90", [1, 2], {0: 1, 90: 2, 180: 1, 270: 2, 45: 1.5, 315: 1.5}),
        ("0 90 180", [1, 2, 3], {0: 1, 90: 2, 180: 3, 270: 2}),
        ("90 180 270", [1, 2, 3], {90: 1, 180: 2, 270: 3, 0: 2}),
        ("90 180", [1, 2], {90: 1, 180: 2, 270: 1, 0: 2}),
        ("0 90 180 270 360", [1, 2, 3, 4, 1], {0: 1, 90: 2, 180: 3, 270: 4, 315: 2.5}),
        ("0 90 180 270", [1, 2, 3, 4], {0: 1, 90: 2, 180: 3, 270: 4, 315: 2.5}),
    ],
)
def test_last_horizontal_angle_names_the_symmetry(
    horizontals: str, rows: list[int], expanded: dict[int, float]
) -> None:
    # [1] last angle 0 axial, 90 quadrant, 180 one plane, above 180 none; 90 to 270 from memory
    count = len(rows)
    table = "\n".join(f"{row} {row}" for row in rows)
    lamp = read_ies(ies(head=f"1 3000 1 2 {count} 1 2 0 0 0 1 1 9", gamma="0 90", c=horizontals,
                        table=table))  # fmt: skip
    found = {c: lamp.intensity(c, 45) for c in expanded}
    assert found == pytest.approx(expanded)


@pytest.mark.parametrize(
    ("first", "sizes", "shape"),
    [
        # [3] what Radiance's ies2rad calls each, by edition
        ("IESNA91", "0 0 0", "point"),
        ("IESNA91", "1 2 0", "rectangle"),
        ("IESNA91", "1 2 .1", "box"),
        ("IESNA91", "-1 0 0", "disc"),
        ("IESNA91", "-1 0 .5", "vertical cylinder"),
        ("IESNA91", "-1 2 0", "ellipse"),
        ("IESNA:LM-63-1995", "-1 2 -1", "ellipsoid"),
        ("IESNA:LM-63-1995", "1 -2 -1", "ellipsoid"),
        ("IESNA:LM-63-1995", "0 2 -1", "cylinder along C0"),
        ("IESNA:LM-63-1995", "1 0 -1", "cylinder along C90"),
        ("IESNA:LM-63-2002", "-1 0 0", "disc"),
        ("IESNA:LM-63-2002", "-1 -1 0", "disc"),
        ("IESNA:LM-63-2002", "-1 -2 0", "ellipse"),
        ("IESNA:LM-63-2002", "-1 -1 .5", "vertical cylinder"),
        ("IESNA:LM-63-2002", "-1 -2 .5", "vertical elliptical cylinder"),
        ("IESNA:LM-63-2002", "-1 -1 -1", "sphere"),
        ("IESNA:LM-63-2002", "-1 -2 -1", "ellipsoid"),
        ("IESNA:LM-63-2002", "-1 2 -1", "cylinder along C0"),
        ("IESNA:LM-63-2002", "1 -2 -1", "cylinder along C90"),
        ("IESNA:LM-63-2002", "0 -1 -1", "vertical disc"),
    ],
)
def test_signs_of_the_opening_name_its_shape(first: str, sizes: str, shape: str) -> None:
    lamp = read_ies(ies(first=first, head=f"1 3000 1 2 1 1 2 {sizes} 1 1 9", gamma="0 90", c="0",
                        table="100 100"))  # fmt: skip
    assert lamp.opening.shape == shape
    assert not lamp.warnings


def test_lumens_of_minus_one_mean_absolute_photometry() -> None:
    # [1] lumens -1: the lamps have no flux of their own
    lamp = read_ies(ies(head="1 -1 1 3 1 1 2 0 0 0 1 1 9", gamma="0 90 180", c="0",
                        table="5 5 5"))  # fmt: skip
    assert lamp.is_absolute
    assert lamp.lamp_flux_lm == pytest.approx(4 * math.pi * 5)
    assert lamp.light_output_ratio() == pytest.approx(1.0)


# --- rules of EULUMDAT -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("isym", "stored", "expanded"),
    [
        (0, [1, 2, 3, 4], [1, 2, 3, 4]),
        (1, [1], [1, 1, 1, 1]),  # [3] eulumdat-py and luxpy agree
        (2, [1, 2, 3], [1, 2, 3, 2]),  # [3] eulumdat-py and luxpy agree
        (3, [1, 2, 3], [2, 3, 2, 1]),  # [2] stored from C270 through C0 to C90
        (4, [1, 2], [1, 2, 1, 2]),  # [3] eulumdat-py and luxpy agree
    ],
)
def test_each_symmetry_expands_to_all_planes(
    isym: int, stored: list[int], expanded: list[int]
) -> None:
    table = [value for plane in stored for value in (plane, plane)]
    lamp = read_ldt(ldt(isym=isym, planes=[0, 90, 180, 270], gammas=[0, 90], table=table))
    assert lamp.c_deg.tolist() == [0, 90, 180, 270]
    assert lamp.intensity_cd[:, 1].tolist() == expanded


def test_a_large_file_has_3644_lines_and_not_one_more_or_less() -> None:
    # [2] 26 + 6n + 10 + Mc + Ng + planes × Ng; n 1, Mc 144, Ng 91, Isym 4 (checked on a real file)
    content = ldt(
        isym=4,
        planes=[n * 2.5 for n in range(144)],
        gammas=list(range(91)),
        table=[100.0] * (37 * 91),
    )
    lines = content.split(b"\r\n")
    assert len(lines) == 3644
    assert read_ldt(content).intensity_cd.shape == (144, 91)
    with pytest.raises(PhotometryError, match="ends before") as short:
        read_ldt(b"\r\n".join(lines[:-1]))
    assert short.value.line == 3643
    with pytest.raises(PhotometryError, match="left over") as long:
        read_ldt(b"\r\n".join([*lines, b"100.0"]))
    assert long.value.line == 3645


def test_table_is_per_thousand_lumens_of_the_lamps() -> None:
    # [2] absolute cd = table × flux of all lamps of the set / 1000
    lamp = read_ldt(
        ldt(isym=1, planes=[0, 90, 180, 270], gammas=[0, 90], table=[200, 0], flux=1500)
    )
    assert lamp.intensity(0, 0) == pytest.approx(300.0)
    assert lamp.lamp_flux_lm == 1500.0


# --- beams -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("exponent", "flux_per_peak", "beam_deg"),
    [
        # [4] Φ = 2π I₀ / (n+1); full width at half maximum = 2 acos(0.5^(1/n))
        (1, math.pi, 120.0),
        (2, 2.0944, 90.0),
        (3, 1.5708, 74.93),
        (5, 1.0472, 58.95),
        (10, 0.57120, 42.17),
    ],
)
def test_cosine_powers_have_their_flux_and_width(
    exponent: int, flux_per_peak: float, beam_deg: float
) -> None:
    assert cosine_exponent(beam_deg) == pytest.approx(exponent, rel=1e-3)
    lamp = spot(flux_lm=flux_per_peak * 1000, beam_deg=beam_deg)
    assert lamp.intensity(0, 0) == pytest.approx(1000.0, rel=1e-3)
    assert lamp.flux_lm() == pytest.approx(flux_per_peak * 1000, rel=3e-4)
    assert lamp.beam_angle_deg() == pytest.approx(beam_deg, abs=0.02)


def test_polar_curve_of_a_textbook_gives_its_illuminance() -> None:
    # Power System Engineering, 2nd ed., ex. 4.6: intensities every 10°, lamp 6 m up
    intensities = "500 560 600 520 400 300 150 50"
    lamp = read_ies(ies(head="1 3000 1 8 1 1 2 0 0 0 1 1 9", gamma="0 10 20 30 40 50 60 70", c="0",
                        table=intensities))  # fmt: skip
    distances = np.array([0, 1.058, 2.184, 3.464, 5.035, 7.151, 10.392, 16.485])
    gamma = np.degrees(np.arctan(distances / 6.0))
    lux = lamp.intensity(0.0, np.minimum(gamma, 70.0)) * np.cos(np.radians(gamma)) ** 3 / 36.0
    expected = [13.889, 14.857, 13.829, 9.382, 4.995, 2.213, 0.521, 0.056]
    assert lux.tolist() == pytest.approx(expected, rel=0.01)
    assert [remark.code for remark in lamp.warnings] == ["vertical_range_short"]


# --- independent programs --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "program"), [(name, program) for name, read in CROSS_READ.items() for program in read]
)
def test_independent_programs_read_the_same(name: str, program: str) -> None:
    # [3] luxpy and eulumdat-py at the nodes; Radiance between them too, as a point 20 m away
    lamp = read_file((FOLDER / name).read_bytes())
    told = CROSS_READ[name][program]
    assert len(told) >= 30
    directions = np.array([[float(part) for part in key.split(",")] for key in told])
    ours = lamp.intensity(directions[:, 0], directions[:, 1])
    tolerance = lamp.peak_cd() * (1e-4 if program == "radiance" else 1e-6)
    assert np.abs(ours - list(told.values())).max() < tolerance


def test_every_sample_is_read_by_at_least_one_other_program() -> None:
    samples = {path.name for path in FOLDER.iterdir() if path.suffix in {".ies", ".ldt"}}
    assert samples == set(CROSS_READ)
    assert sum(len(read) for read in CROSS_READ.values()) >= 20
