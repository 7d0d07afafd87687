"""IES LM-63 files as they come: versions, wrapping, encodings, other goniometers, and bad ones."""

import math
import pickle

import numpy as np
import pytest

from engineering.photometry import PhotometryError, read_file, read_ies
from engineering.photometry.ies_head import REQUIRED_FROM_2002
from engineering.photometry.text import MAX_BYTES

GOOD = """IESNA:LM-63-2002
[TEST] 1
[TESTLAB] none
[ISSUEDATE] today
[MANUFAC] none
[LUMINAIRE] Round downlight
[MORE] with a frosted glass
TILT=NONE
1 1000 1 3 2 1 2 0.1 0.2 0
1 1 9.5
0 45 90
0 90
100 80 10
100 60 5
"""


def changed(old: str, new: str) -> bytes:
    assert old in GOOD
    return GOOD.replace(old, new, 1).encode()


def refusal(content: bytes) -> PhotometryError:
    with pytest.raises(PhotometryError) as caught:
        read_ies(content)
    error = caught.value
    assert str(error) == f"line {error.line}: {error.reason}"
    assert isinstance(error, ValueError)
    return error


def test_it_reads_what_is_there() -> None:
    lamp = read_ies(content=GOOD.encode())
    assert lamp.name == "Round downlight\nwith a frosted glass"
    assert dict(lamp.keywords)["MANUFAC"] == "none"
    assert set(REQUIRED_FROM_2002) <= dict(lamp.keywords).keys()
    assert (lamp.watts, lamp.lamp_flux_lm, lamp.edition) == (9.5, 1000.0, "LM-63-2002")
    assert lamp.c_deg.tolist() == [0, 90, 180, 270]
    assert lamp.gamma_deg.tolist() == [0, 45, 90]
    assert lamp.intensity_cd[1].tolist() == [100, 60, 5]
    assert lamp.symmetry == "quadrant"
    assert lamp.warnings == ()


@pytest.mark.parametrize(
    "content",
    [
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        GOOD.replace("\n", "\r\r\n").encode(),
        b"\xef\xbb\xbf" + GOOD.encode(),
        GOOD.encode("utf-16"),
        GOOD.encode() + b"\x1a\x00\x00",
        GOOD.encode() + b"\n\n  \n",
        GOOD.replace("TILT=NONE", "  tilt = none ").encode(),
        GOOD.replace("0 45 90\n0 90\n100 80 10\n", "0\n45\n\n90 0,90,100 80\t10 ").encode(),
        GOOD.replace("100 80 10", "1e2, 80., +10").encode(),
        bytearray(GOOD.encode()),
        memoryview(GOOD.encode()),
    ],
    ids=[
        "windows",
        "old mac",
        "doubled returns",
        "utf-8 mark",
        "utf-16",
        "end-of-file character",
        "blank lines at the end",
        "loose tilt line",
        "free wrapping and commas",
        "other ways to write numbers",
        "bytearray",
        "memoryview",
    ],
)
def test_how_it_is_written_does_not_matter(content: bytes) -> None:
    assert read_ies(content).intensity_cd.tolist() == read_ies(GOOD.encode()).intensity_cd.tolist()


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "utf-8"])
def test_names_keep_their_accents(encoding: str) -> None:
    content = GOOD.replace("Round downlight", "Spot à 38° für Gänge").encode(encoding)
    assert read_ies(content).name.startswith("Spot à 38° für Gänge")


@pytest.mark.parametrize(
    ("first", "edition"),
    [
        ("IESNA86", "LM-63-1986"),
        ("IESNA91", "LM-63-1991"),
        ("IESNA:LM-63-1991", "LM-63-1991"),
        ("iesna:lm-63-1995", "LM-63-1995"),
        ("IESNA: LM-63-1995", "LM-63-1995"),
        ("IES:LM-63-2019", "LM-63-2019"),
        ("IES file of an old test", "LM-63-1986"),
        ("some label of 1986", "LM-63-1986"),
    ],
)
def test_the_first_line_names_the_edition(first: str, edition: str) -> None:
    lamp = read_ies(changed("IESNA:LM-63-2002", first))
    assert lamp.edition == edition
    assert not lamp.warnings


def test_a_file_of_1986_has_labels_for_a_name() -> None:
    old = b"Wall light\nsecond label\nTILT=NONE\n1 9 1 2 1 1 2 0 0 0 1 1 5\n0 90\n0\n1 1"
    assert read_ies(old).name == "Wall light"


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("IESNA:LM-63-2002", "IESNA:LM-63-2099", "edition_unknown", 1),
        ("IESNA:LM-63-2002", "IESNA LM-63 (2002)", "edition_unknown", 1),
        ("1 1 9.5", "1 0.7 9.5", "future_use_ignored", 10),
        ("1 1 9.5", "1 1 0", "no_watts", 10),
        ("TILT=NONE", "TILT=lamp.tlt", "tilt_file_missing", 8),
        ("1 1000 1", "1 100 1", "flux_above_lamps", 9),
        ("0.1 0.2 0", "0.1 -0.2 0", "opening_unknown", 9),
        ("100 60 5\n", "100 60 5\nEND\n", "text_left_over", 15),
        ("0 45 90\n", "0 45 85\n", "vertical_range_short", 11),
        ("100 60 5", "50 60 5", "nadir_differs", 9),
    ],
)
def test_what_is_odd_is_said_and_read_all_the_same(
    old: str, new: str, code: str, line: int
) -> None:
    remarks = read_ies(changed(old, new)).warnings
    assert [(remark.code, remark.line) for remark in remarks] == [(code, line)]
    assert str(remarks[0]) == remarks[0] != ""


def test_a_kind_of_file_of_2019_is_no_factor() -> None:
    content = changed("IESNA:LM-63-2002", "IES:LM-63-2019").replace(b"1 1 9.5", b"1 1.10010 9.5")
    lamp = read_ies(content)
    assert lamp.intensity(0, 0) == 100.0
    assert not lamp.warnings


def test_a_full_turn_that_does_not_close_is_said() -> None:
    content = b"TILT=NONE\n1 999 1 2 3 1 2 0 0 0 1 1 5\n0 90\n0 180 360\n5 1 5 2 5 3"
    lamp = read_ies(content)
    assert lamp.c_deg.tolist() == [0, 180]
    assert [remark.code for remark in lamp.warnings] == ["full_turn_differs", "planes_gap"]


def test_tilt_is_kept_and_not_applied() -> None:
    content = changed("TILT=NONE", "TILT=INCLUDE\n2 3\n0 45 90\n1 0.95 0.8")
    lamp = read_ies(content)
    assert lamp.tilt is not None
    assert lamp.tilt.factors == (1.0, 0.95, 0.8)
    assert lamp.tilt.lamp_geometry == 2
    assert lamp.intensity(0, 0) == 100.0
    assert [remark.code for remark in lamp.warnings] == ["tilt_not_applied"]
    plain = read_ies(changed("TILT=NONE", "TILT=INCLUDE\n1 2 0 90 1 1"))
    assert plain.warnings == ()


def test_several_lamps_add_their_lumens() -> None:
    lamp = read_ies(changed("1 1000 1 3", "4 250 1 3"))
    assert lamp.lamp_flux_lm == 1000.0


@pytest.mark.parametrize(
    ("old", "new", "code", "line"),
    [
        ("TILT=NONE", "TILT NONE", "no_tilt", 15),
        ("TILT=NONE", "TILT=", "tilt_unknown", 8),
        ("TILT=NONE", "TILT=INCLUDE\n4 1 0 1", "number_out_of_range", 9),
        ("TILT=NONE", "TILT=INCLUDE\n1 2 0 0 1 1", "angles_not_rising", 9),
        ("1 1000 1 3 2", "0 1000 1 3 2", "number_out_of_range", 9),
        ("1 1000 1 3 2", "1.5 1000 1 3 2", "not_whole", 9),
        ("1 1000 1 3 2", "1 0 1 3 2", "number_out_of_range", 9),
        ("1 1000 1 3 2", "1 -2 1 3 2", "number_out_of_range", 9),
        ("1 1000 1 3 2", "1 1000 0 3 2", "number_out_of_range", 9),
        ("1 1000 1 3 2", "1 1000 1 0 2", "number_out_of_range", 9),
        ("1 1000 1 3 2", "1 1000 1 999999 2", "too_many_angles", 9),
        ("1 1000 1 3 2", "1 1000 1 3 1e9", "too_many_angles", 9),
        ("1 1000 1 3 2", "1 1000 1 nan 2", "not_a_number", 9),
        ("1 1000 1 3 2", "1 1_000 1 3 2", "not_a_number", 9),
        ("1 1000 1 3 2", "1 inf 1 3 2", "not_a_number", 9),
        ("1 1000 1 3 2", "1 1e99 1 3 2", "number_out_of_range", 9),
        ("3 2 1 2 0.1", "3 2 4 2 0.1", "number_out_of_range", 9),
        ("3 2 1 2 0.1", "3 2 1 3 0.1", "number_out_of_range", 9),
        ("1 1 9.5", "0 1 9.5", "number_out_of_range", 10),
        ("1 1 9.5", "1 1 -9.5", "number_out_of_range", 10),
        ("1 1 9.5", "1 1 ten", "not_a_number", 10),
        ("0 45 90", "0 90 45", "angles_not_rising", 11),
        ("0 45 90", "0 45 45", "angles_not_rising", 11),
        ("0 45 90", "5 45 90", "angles_bad_span", 11),
        ("0 45 90", "-90 0 90", "angles_bad_span", 11),
        ("0 45 90", "0 90 190", "angles_bad_span", 11),
        ("\n0 90\n", "\n0 80\n", "angles_bad_span", 12),
        ("\n0 90\n", "\n10 90\n", "angles_bad_span", 12),
        ("\n0 90\n", "\n0 361\n", "angles_bad_span", 12),
        ("\n0 90\n", "\n90 0\n", "angles_not_rising", 12),
        ("100 60 5\n", "100 60 -5\n", "negative_intensity", 14),
        ("100 60 5\n", "100 60\n", "ends_early", 15),
        ("100 60 5\n", "100 60 5\n\n7\n", "surplus_numbers", 16),
        ("100 60 5\n", "100 60 5x\n", "not_a_number", 14),
        ("100 80 10\n100 60 5", "0 0 0\n0 0 0", "no_light", 13),
        ("[TEST] 1", "[TEST] \x001", "binary", 2),
    ],
)
def test_what_is_wrong_is_refused_with_its_line(old: str, new: str, code: str, line: int) -> None:
    error = refusal(changed(old, new))
    assert (error.code, error.line) == (code, line)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "empty"),
        (b" \r\n\t", "empty"),
        (b"\x1aTILT=NONE", "empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x01", "binary"),
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\x01", "binary"),
        (b"\xff\xfe\x00\xd8", "binary"),
        (b"x" * (MAX_BYTES + 1), "too_large"),
        (b"hello", "no_tilt"),
        (GOOD, "not_bytes"),
        (None, "not_bytes"),
    ],
)
def test_what_is_no_such_file_is_refused(content: bytes, code: str) -> None:
    assert refusal(content).code == code


def test_the_size_limit_can_be_set() -> None:
    with pytest.raises(PhotometryError, match="at most 100"):
        read_ies(GOOD.encode(), max_bytes=100)


def test_a_refusal_survives_a_pickle() -> None:
    error = refusal(changed("1 1 9.5", "1 1 ten"))
    again = pickle.loads(pickle.dumps(error))
    assert (again.line, again.reason, again.values) == (error.line, error.reason, error.values)


def test_a_luminaire_survives_a_pickle() -> None:
    lamp = read_ies(changed("1 1 9.5", "1 1 0"))
    again = pickle.loads(pickle.dumps(lamp))
    assert again.intensity(33, 44) == lamp.intensity(33, 44)
    assert (again.warnings, again.warnings[0].code) == (lamp.warnings, "no_watts")


# --- types A and B ---------------------------------------------------------------------------


def flood(kind: int, horizontal: str, vertical: str, table: list[list[float]]) -> bytes:
    rows = "\n".join(" ".join(f"{value:.6f}" for value in row) for row in table)
    counts = f"{len(vertical.split())} {len(horizontal.split())}"
    return (
        f"IESNA:LM-63-1995\nTILT=NONE\n1 90000 1 {counts} {kind} 2 0 0 0\n1 1 50\n"
        f"{vertical}\n{horizontal}\n{rows}\n"
    ).encode()


def test_type_a_is_renamed() -> None:
    lamp = read_ies(flood(3, "-90 0 90", "-90 0 90", [[1, 2, 1], [1, 9, 1], [1, 4, 1]]))
    assert lamp.intensity(0, 90) == 9.0  # straight ahead
    assert lamp.intensity(270, 90) == 4.0  # horizontal 90 lies clockwise, at C270
    assert lamp.intensity(90, 90) == 2.0
    assert lamp.intensity(180, 90) == 0.0  # behind nothing was measured
    assert lamp.intensity(0, 0) == 1.0
    assert [remark.code for remark in lamp.warnings] == ["converted", "nadir_differs"]


@pytest.mark.parametrize("kind", [3, 2])
def test_types_a_and_b_that_start_at_0_are_alike_on_both_sides(kind: int) -> None:
    lamp = read_ies(flood(kind, "0 90", "-90 0 90", [[1, 9, 1], [1, 4, 1]]))
    right, left = lamp.intensity(300, 70), lamp.intensity(60, 70)
    assert right == pytest.approx(left)
    assert right > 0


def test_type_b_keeps_peak_and_flux() -> None:
    # I = 100 cos²H cos²V over the half sphere; dΩ = cos H dH dV gives 100 · 4/3 · π/2
    angles = np.arange(-90, 91, 3)
    cosine = np.cos(np.radians(angles))
    table = 100 * np.outer(cosine**2, cosine**2)
    names = " ".join(str(angle) for angle in angles)
    lamp = read_ies(flood(2, names, names, table.tolist()))
    assert lamp.intensity(0, 0) == pytest.approx(100.0)
    assert lamp.intensity(0, 60) == pytest.approx(25.0, rel=0.01)  # vertical 60
    assert lamp.intensity(270, 60) == pytest.approx(25.0, rel=0.01)  # horizontal 60
    assert lamp.intensity(0, 120) == 0.0
    assert lamp.flux_lm() == pytest.approx(100 * 4 / 3 * math.pi / 2, rel=0.01)
    assert [remark.code for remark in lamp.warnings] == ["converted"]


def test_type_b_turns_clockwise() -> None:
    lamp = read_ies(flood(2, "-90 0 90", "-90 0 90", [[0, 0, 0], [0, 9, 0], [0, 9, 0]]))
    assert lamp.intensity(270, 45) == pytest.approx(9.0)
    assert lamp.intensity(90, 45) == pytest.approx(4.5)


@pytest.mark.parametrize(
    ("kind", "horizontal", "vertical", "code"),
    [
        (2, "-100 0 100", "-90 0 90", "angles_bad_span"),
        (3, "-90 0 90", "-90 0 100", "angles_bad_span"),
        (2, "0", "-90 0 90", "too_few_angles"),
        (3, "0", "-90 0 90", "too_few_angles"),
    ],
)
def test_impossible_angles_of_types_a_and_b_are_refused(
    kind: int, horizontal: str, vertical: str, code: str
) -> None:
    rows = [[1.0] * len(vertical.split())] * len(horizontal.split())
    assert refusal(flood(kind, horizontal, vertical, rows)).code == code


def test_the_content_tells_the_kind_of_file() -> None:
    assert read_file(GOOD.encode()).edition == "LM-63-2002"
    assert read_file(GOOD.encode("utf-16")).edition == "LM-63-2002"
    with pytest.raises(PhotometryError):
        read_file(b"neither")
