"""EULUMDAT files as they come, and bad ones."""

import pytest

from engineering.photometry import PhotometryError, read_file, read_ldt

FIELDS = {
    1: "none", 2: "1", 3: "4", 4: "8", 5: "45", 6: "3", 7: "45", 8: "", 9: "Pendant", 10: "",
    11: "", 12: "", 13: "1200", 14: "80", 15: "60", 16: "1180", 17: "60", 18: "0", 19: "0",
    20: "0", 21: "0", 22: "100", 23: "0", 24: "1", 25: "0", 26: "1", 27: "2", 28: "LED",
    29: "2000", 30: "3000", 31: "1B", 32: "25,5",
}  # fmt: skip
PLANES = [str(n * 45) for n in range(8)]
STORED = ["100", "80", "10", "100", "60", "5", "100", "40", "2.5"]


def lines(**changes: str) -> list[str]:
    numbered = {**FIELDS, **{int(key[1:]): value for key, value in changes.items()}}
    return [*numbered.values(), *["0.5"] * 10, *PLANES, "0", "45", "90", *STORED]


def joined(fields: list[str], end: str = "\r\n") -> bytes:
    return end.join(fields).encode("latin-1")


def refusal(content: bytes) -> PhotometryError:
    with pytest.raises(PhotometryError) as caught:
        read_ldt(content)
    return caught.value


def test_it_reads_what_is_there() -> None:
    lamp = read_ldt(content=joined(lines()))
    assert lamp.name == "Pendant"
    assert (lamp.lamp_flux_lm, lamp.watts, lamp.symmetry) == (2000.0, 25.5, "quadrant")
    assert lamp.c_deg.tolist() == [0, 45, 90, 135, 180, 225, 270, 315]
    assert lamp.intensity_cd[0].tolist() == [200, 160, 20]
    assert lamp.intensity_cd[2].tolist() == [200, 80, 5]
    assert lamp.intensity_cd[3].tolist() == lamp.intensity_cd[1].tolist()
    assert (lamp.opening.shape, lamp.opening.along_c90_m, lamp.opening.along_c0_m) == (
        "rectangle",
        1.18,
        0.06,
    )
    assert lamp.warnings == ()
    assert read_file(joined(lines())).edition == "EULUMDAT"


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n", "\r\r\n"])
def test_line_ends_of_every_system(end: str) -> None:
    assert read_ldt(joined(lines(), end) + end.encode()).intensity(0, 0) == 200.0


def test_decimal_commas_everywhere() -> None:
    comma = [field.replace(".", ",") for field in lines(l9="Pendant")]
    assert read_ldt(joined(comma)).intensity(90, 90) == 5.0


def test_names_keep_their_accents() -> None:
    assert read_ldt(joined(lines(l9="Hängeleuchte"))).name == "Hängeleuchte"


def test_a_negative_number_of_lamps_is_absolute_photometry() -> None:
    lamp = read_ldt(joined(lines(l27="-1")))
    assert lamp.is_absolute
    assert lamp.lamp_flux_lm == 2000.0
    assert lamp.intensity(0, 0) == 200.0


def two_sets() -> list[str]:
    fields = lines(l26="2")
    return [*fields[:32], "1", "brighter", "4000", "4000", "1B", "45", *fields[32:]]


def test_one_of_several_lamp_sets_is_chosen() -> None:
    first = read_ldt(joined(two_sets()))
    second = read_ldt(joined(two_sets()), lamp_set=2)
    assert (first.lamp_flux_lm, first.watts, first.intensity(0, 0)) == (2000.0, 25.5, 200.0)
    assert (second.lamp_flux_lm, second.watts, second.intensity(0, 0)) == (4000.0, 45.0, 400.0)
    assert [one.kind for one in first.lamp_sets] == ["LED", "brighter"]
    assert [remark.code for remark in first.warnings] == ["several_lamp_sets"]


def test_a_lamp_set_that_is_not_there_is_refused() -> None:
    with pytest.raises(PhotometryError, match="lamp set 3 was asked for"):
        read_ldt(joined(two_sets()), lamp_set=3)


@pytest.mark.parametrize(
    ("changes", "shape"),
    [
        ({"l16": "0", "l17": "0"}, "point"),
        ({"l17": "0"}, "disc"),
        ({"l17": "0", "l19": "40"}, "vertical cylinder"),
        ({"l20": "40"}, "box"),
        ({"l16": "", "l17": "", "l18": ""}, "point"),
    ],
)
def test_sizes_name_the_opening(changes: dict[str, str], shape: str) -> None:
    assert read_ldt(joined(lines(**changes))).opening.shape == shape


@pytest.mark.parametrize(
    ("changes", "code", "line"),
    [
        ({"l2": "7"}, "type_indicator_odd", 2),
        ({"l5": "30"}, "spacing_differs", 43),
        ({"l7": "5"}, "spacing_differs", 51),
        ({"l23": "95"}, "output_ratio_differs", 29),
        ({"l24": "0.9"}, "conversion_factor_ignored", 24),
        ({"l25": "10"}, "tilt_when_measured", 25),
        ({"l32": "0"}, "no_watts", 29),
        ({"l32": ""}, "no_watts", 29),
    ],
)
def test_what_is_odd_is_said_and_read_all_the_same(
    changes: dict[str, str], code: str, line: int
) -> None:
    remarks = read_ldt(joined(lines(**changes))).warnings
    assert [(remark.code, remark.line) for remark in remarks] == [(code, line)]


def test_more_light_than_the_lamps_give_is_said() -> None:
    fields = [*lines()[:-9], *[str(float(value) * 10) for value in STORED]]
    lamp = read_ldt(joined(fields))
    assert [remark.code for remark in lamp.warnings] == ["flux_above_lamps"]
    assert "more than the 2000 lm" in lamp.warnings[0]


@pytest.mark.parametrize(
    ("changes", "code", "line"),
    [
        ({"l3": "5"}, "number_out_of_range", 3),
        ({"l3": "x"}, "not_a_number", 3),
        ({"l3": ""}, "not_a_number", 3),
        ({"l4": "6"}, "angles_not_rising", 51),
        ({"l4": "0"}, "number_out_of_range", 4),
        ({"l4": "5000"}, "too_many_angles", 4),
        ({"l4": "8.5"}, "not_whole", 4),
        ({"l6": "-3"}, "number_out_of_range", 6),
        ({"l13": "wide"}, "not_a_number", 13),
        ({"l16": "-5"}, "number_out_of_range", 16),
        ({"l26": "0"}, "number_out_of_range", 26),
        ({"l26": "999999"}, "number_out_of_range", 26),
        ({"l27": "0"}, "number_out_of_range", 27),
        ({"l29": "0"}, "number_out_of_range", 29),
        ({"l29": "-2000"}, "number_out_of_range", 29),
        ({"l29": "1e400"}, "not_a_number", 29),
        ({"l32": "-1"}, "number_out_of_range", 32),
        ({"l3": "0"}, "ends_early", 62),
        ({"l3": "1"}, "surplus_numbers", 57),
    ],
)
def test_what_is_wrong_is_refused_with_its_line(
    changes: dict[str, str], code: str, line: int
) -> None:
    error = refusal(joined(lines(**changes)))
    assert (error.code, error.line) == (code, line)


def body(planes: list[str], gammas: list[str], stored: list[str], isym: str) -> bytes:
    fields = lines(l3=isym, l4=str(len(planes)), l5="0", l6=str(len(gammas)), l7="0")
    return joined([*fields[:42], *planes, *gammas, *stored])


@pytest.mark.parametrize(
    ("planes", "gammas", "isym", "code", "line"),
    [
        (["0", "120", "240"], ["0", "90"], "4", "planes_do_not_fit", 4),
        (["0", "80", "180", "270"], ["0", "90"], "4", "plane_at_wrong_angle", 48),
        (["0", "90", "170", "270"], ["0", "90"], "2", "plane_at_wrong_angle", 48),
        (["0", "90", "180", "260"], ["0", "90"], "3", "plane_at_wrong_angle", 48),
        (["-10", "90", "180", "270"], ["0", "90"], "0", "angles_bad_span", 46),
        (["0", "90", "180", "370"], ["0", "90"], "0", "angles_bad_span", 46),
        (["0", "90", "180", "270"], ["10", "90"], "0", "angles_bad_span", 48),
        (["0", "90", "180", "270"], ["0", "181"], "0", "angles_bad_span", 48),
        (["0", "90", "180", "270"], ["0"], "0", "angles_bad_span", 47),
    ],
)
def test_angles_that_cannot_be_are_refused(
    planes: list[str], gammas: list[str], isym: str, code: str, line: int
) -> None:
    stored = ["50"] * len(gammas) * len(planes)
    error = refusal(body(planes, gammas, stored, isym))
    assert (error.code, error.line) == (code, line)


def test_intensities_are_looked_at() -> None:
    planes, gammas = ["0", "90", "180", "270"], ["0", "90"]
    assert refusal(body(planes, gammas, ["1", "-1"], "1")).code == "negative_intensity"
    assert refusal(body(planes, gammas, ["0", "0"], "1")).code == "no_light"
    two_on_a_line = refusal(body(planes, gammas, ["1 1"], "1"))
    assert (two_on_a_line.code, two_on_a_line.line) == ("one_value_a_line", 49)
    with_its_unit = refusal(body(planes, gammas, ["1 cd", "1"], "1"))
    assert (with_its_unit.code, with_its_unit.values["text"]) == ("not_a_number", "1 cd")


def test_one_plane_goes_all_the_way_round() -> None:
    lamp = read_ldt(body(["0"], ["0", "90"], ["10", "10"], "1"))
    assert lamp.c_deg.tolist() == [0, 90, 180, 270]
    assert lamp.intensity(200, 45) == 20.0


@pytest.mark.parametrize("cut", [0, 1, 5, 26, 32, 43, 55, 61])
def test_a_file_that_ends_early_is_refused(cut: int) -> None:
    assert refusal(joined(lines()[:cut])).code in {"ends_early", "empty", "not_a_number"}
