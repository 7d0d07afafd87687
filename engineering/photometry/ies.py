"""Reader of IES LM-63 files, editions 1986, 1991, 1995, 2002 and 2019."""

from dataclasses import dataclass

import numpy as np

from engineering.photometry import flux, judge
from engineering.photometry.errors import PhotometryError, Remark
from engineering.photometry.goniometry import mirror_horizontal, type_a_to_c, type_b_to_c
from engineering.photometry.ies_head import (
    Head,
    Heading,
    read_head,
    read_heading,
    read_tilt,
    tilt_remarks,
)
from engineering.photometry.luminaire import LampSet, Luminaire, TiltTable
from engineering.photometry.symmetry import Floats, expand
from engineering.photometry.text import MAX_BYTES, Words, is_number, read_lines, rising


def read_ies(content: bytes, *, max_bytes: int = MAX_BYTES) -> Luminaire:
    """Read an IES LM-63 file.

    Parameters
    ----------
    content : the file
    max_bytes : largest file that is read, 2 MB by default

    Returns
    -------
    Luminaire, with what is odd about the file in `warnings`

    Raises
    ------
    PhotometryError : the file is wrong; with `.line`, `.reason` and `.code`

    Notes
    -----
    Intensity = table × multiplier × ballast factor, and × the ballast-lamp photometric factor in
    the editions before 1995; later that field is reserved (2019: kind of file) and not applied.
    Units change the size of the luminous opening only. Lumens of -1 mean absolute photometry.
    Tilt tables are kept but not applied: the intensities hold for the level position. Types A and
    B are converted to C-planes.

    References
    ----------
    ANSI/IESNA LM-63-02, as reprinted publicly (layout, key definitions, symmetry by the last
    horizontal angle); the paid text was not read.

    >>> flat = b"TILT=NONE 1 -1 1 3 1 1 2 0 0 0 1 1 10 0 90 180 0 5 5 5"
    >>> read_ies(flat.replace(b"NONE ", b"NONE\\n")).intensity(0.0, 30.0)
    5.0
    """
    lines = read_lines(content, max_bytes=max_bytes)
    heading = read_heading(lines)
    words = Words(lines, start=heading.tilt_line)
    tilt = read_tilt(words) if heading.tilt.upper() == "INCLUDE" else None
    head = read_head(words, heading.edition)
    gamma, gamma_lines = words.numbers(head.verticals, "vertical angles")
    horizontal, horizontal_lines = words.numbers(head.horizontals, "horizontal angles")
    rising(gamma, gamma_lines, field="vertical angles")
    rising(horizontal, horizontal_lines, field="horizontal angles")
    table = _read_table(words, head)
    remarks = [*heading.warnings, *tilt_remarks(heading, tilt), *head.warnings, *_rest(words)]
    distribution = _distribution(
        head, np.array(horizontal), np.array(gamma), table, horizontal_lines[-1], gamma_lines[-1]
    )
    return _assemble(heading, head, tilt, distribution, remarks)


def _read_table(words: Words, head: Head) -> Floats:
    values, lines = words.numbers(head.verticals * head.horizontals, "intensities")
    table = np.array(values).reshape(head.horizontals, head.verticals)
    if table.min() < 0:
        worst = int(np.argmin(table))
        raise PhotometryError("negative_intensity", line=lines[worst], value=values[worst])
    judge.refuse_dark(table, line=lines[0])
    scaled: Floats = table * (head.multiplier * head.factor)
    judge.refuse_dark(scaled, line=head.line)
    return scaled


def _rest(words: Words) -> list[Remark]:
    for line, word in words.rest():
        if is_number(word):
            raise PhotometryError("surplus_numbers", line=line)
        return [Remark("text_left_over", line=line)]
    return []


@dataclass(frozen=True, slots=True, kw_only=True)
class _Distribution:
    c_deg: Floats
    gamma_deg: Floats
    intensity_cd: Floats
    symmetry: str
    remarks: list[Remark]


def _distribution(
    head: Head, horizontal: Floats, gamma: Floats, table: Floats, h_line: int, v_line: int
) -> _Distribution:
    """Bring the table of any type to C-planes all the way round."""
    if head.type == "C":
        return _type_c(horizontal, gamma, table, h_line, v_line)
    limit_h, limit_v = (180.0, 90.0) if head.type == "A" else (90.0, 180.0)
    _check_span(horizontal, "horizontal angles", -limit_h, limit_h, h_line)
    _check_span(gamma, "vertical angles", -limit_v, limit_v, v_line)
    if len(horizontal) < 2 or len(gamma) < 2:
        raise PhotometryError("too_few_angles", line=h_line, kind=head.type)
    remark = Remark("converted", line=head.line, kind=head.type)
    is_one_sided = len(horizontal) > 1 and horizontal[0] == 0
    symmetry = "plane C0-C180" if is_one_sided else "none"
    if is_one_sided:
        horizontal, table = mirror_horizontal(horizontal, table)
    if head.type == "A":
        c_deg, gamma_deg, sampled = type_a_to_c(horizontal, gamma, table)
    else:
        c_deg, gamma_deg, sampled = type_b_to_c(horizontal, gamma, table)
    return _Distribution(
        c_deg=c_deg,
        gamma_deg=gamma_deg,
        intensity_cd=sampled,
        symmetry=symmetry,
        remarks=[remark],
    )


def _check_span(angles: Floats, field: str, low: float, high: float, line: int) -> None:
    if angles[0] < low or angles[-1] > high:
        raise PhotometryError(
            "angles_bad_span",
            line=line,
            field=field,
            first=float(angles[0]),
            last=float(angles[-1]),
            allowed=f"{low:g} to {high:g}",
        )


def _type_c(
    horizontal: Floats, gamma: Floats, table: Floats, h_line: int, v_line: int
) -> _Distribution:
    remarks: list[Remark] = []
    first, last = float(gamma[0]), float(gamma[-1])
    if first not in (0.0, 90.0) or last > 180.0 or len(gamma) < 2:
        raise PhotometryError(
            "angles_bad_span",
            line=v_line,
            field="vertical angles",
            first=first,
            last=last,
            allowed="0 to 90, 90 to 180 and 0 to 180",
        )
    if last not in (90.0, 180.0):
        remarks.append(Remark("vertical_range_short", line=v_line, last=last))
    symmetry = _symmetry(horizontal, h_line)
    if horizontal[-1] == 360.0 and not np.allclose(table[0], table[-1], rtol=0.01):
        remarks.append(Remark("full_turn_differs", line=h_line))
    c_deg, full = expand(horizontal, table, symmetry)
    if symmetry != "axial":
        remarks += judge.gap_remark(c_deg, line=h_line)
    return _Distribution(
        c_deg=c_deg, gamma_deg=gamma, intensity_cd=full, symmetry=symmetry, remarks=remarks
    )


def _symmetry(horizontal: Floats, line: int) -> str:
    first, last = float(horizontal[0]), float(horizontal[-1])
    if first == 0 and (last in (0, 90) or 180 <= last <= 360):
        named = {0.0: "axial", 90.0: "quadrant", 180.0: "plane C0-C180"}
        return named.get(last, "none")
    if first == 90 and last in (180, 270):
        return "quadrant" if last == 180 else "plane C90-C270"
    raise PhotometryError(
        "angles_bad_span",
        line=line,
        field="horizontal angles",
        first=first,
        last=last,
        allowed="0, 0 to 90, 0 to 180, 0 to 360, 90 to 180 and 90 to 270",
    )


def _assemble(
    heading: Heading,
    head: Head,
    tilt: TiltTable | None,
    distribution: _Distribution,
    remarks: list[Remark],
) -> Luminaire:
    c_deg, gamma_deg = distribution.c_deg, distribution.gamma_deg
    table = distribution.intensity_cd
    judge.refuse_dark(table, line=head.line)
    remarks = [*remarks, *distribution.remarks]
    if head.is_absolute:
        own = float(flux.zonal_flux_lm(c_deg, gamma_deg, table, (0.0, 180.0))[0])
        if not own > 0:
            raise PhotometryError("no_light", line=head.line)
        lamp_flux = own
    else:
        lamp_flux = head.lamps * head.lumens
    remarks += judge.light_remarks(c_deg, gamma_deg, table, lamp_flux_lm=lamp_flux, line=head.line)
    lamps = LampSet(pieces=head.lamps, flux_lm=lamp_flux, watts=head.watts)
    return Luminaire(
        c_deg=c_deg,
        gamma_deg=gamma_deg,
        intensity_cd=table,
        lamp_flux_lm=lamp_flux,
        watts=head.watts,
        is_absolute=head.is_absolute,
        symmetry=distribution.symmetry,
        opening=head.opening,
        lamp_sets=(lamps,),
        tilt=tilt,
        keywords=heading.keywords,
        name=_name(heading.keywords),
        edition=f"LM-63-{heading.edition}",
        warnings=tuple(remarks),
    )


def _name(keywords: tuple[tuple[str, str], ...]) -> str:
    by_word = dict(reversed(keywords))
    for word in ("LUMINAIRE", "LUMCAT", "LABEL"):
        if by_word.get(word):
            return by_word[word]
    return ""
