"""Reader of EULUMDAT files."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from engineering.photometry import judge
from engineering.photometry.errors import PhotometryError, Remark
from engineering.photometry.luminaire import LampSet, Luminaire
from engineering.photometry.opening import LuminousOpening
from engineering.photometry.records import Records
from engineering.photometry.symmetry import SYMMETRIES, Floats, expand
from engineering.photometry.text import MAX_ANGLES, MAX_BYTES, read_lines, rising, within

MAX_LAMP_SETS: Final = 20
_DIRECT_RATIOS = 10
_SYMMETRY_BY_INDICATOR: Final = {
    0: "none",
    1: "axial",
    2: "plane C0-C180",
    3: "plane C90-C270",
    4: "quadrant",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Head:
    company: str
    name: str
    symmetry: str
    planes: int
    plane_step: float
    angles: int
    angle_step: float
    opening: LuminousOpening
    stated_output_ratio: float
    warnings: tuple[Remark, ...]


def read_ldt(content: bytes, *, lamp_set: int = 1, max_bytes: int = MAX_BYTES) -> Luminaire:
    """Read a EULUMDAT file.

    Parameters
    ----------
    content : the file
    lamp_set : which of several lamp sets is in the luminaire, counted from 1
    max_bytes : largest file that is read, 2 MB by default

    Returns
    -------
    Luminaire, with what is odd about the file in `warnings`

    Raises
    ------
    PhotometryError : the file is wrong; with `.line`, `.reason` and `.code`

    Notes
    -----
    Intensity = table × flux of all lamps of the set / 1000. A negative number of lamps means
    absolute photometry: the flux given is then the luminaire's own. Decimal commas are read as
    points. The luminaire's length runs along C90-C270. The conversion factor is not applied, as
    in the general readers it was compared with.

    References
    ----------
    EULUMDAT as described by the field comments of a public renderer source under the Apache
    licence; the files of a lines count 26 + 6 n + 10 + Mc + Ng + planes × Ng.
    """
    records = Records(read_lines(content, max_bytes=max_bytes))
    head = _read_head(records)
    lamps, is_absolute, flux_line = _read_lamps(records, lamp_set)
    records.skip_numbers(_DIRECT_RATIOS, "direct ratios")
    planes, remarks = _read_planes(records, head)
    gamma, gamma_remarks = _read_gamma(records, head)
    stored = _stored_planes(head, planes, records.line)
    table = _read_table(records, len(stored), head.angles)
    chosen = lamps[lamp_set - 1]
    c_deg, full = expand(
        stored, table, head.symmetry, axial_deg=planes if len(planes) > 1 else None
    )
    absolute = full * (chosen.flux_lm / 1000.0)
    judge.refuse_dark(absolute, line=flux_line)
    remarks = [*head.warnings, *remarks, *gamma_remarks, *records.rest()]
    remarks += _lamp_remarks(lamps, lamp_set, flux_line)
    remarks += [] if head.symmetry == "axial" else judge.gap_remark(c_deg, line=flux_line)
    remarks += judge.light_remarks(
        c_deg,
        gamma,
        absolute,
        lamp_flux_lm=chosen.flux_lm,
        line=flux_line,
        stated_output_ratio=head.stated_output_ratio,
    )
    return Luminaire(
        c_deg=c_deg,
        gamma_deg=gamma,
        intensity_cd=absolute,
        lamp_flux_lm=chosen.flux_lm,
        watts=chosen.watts,
        is_absolute=is_absolute,
        symmetry=head.symmetry,
        opening=head.opening,
        lamp_sets=lamps,
        keywords=(("COMPANY", head.company),),
        name=head.name,
        edition="EULUMDAT",
        warnings=tuple(remarks),
    )


def _lamp_remarks(lamps: tuple[LampSet, ...], chosen: int, line: int) -> list[Remark]:
    remarks: list[Remark] = []
    if len(lamps) > 1:
        remarks.append(Remark("several_lamp_sets", line=line, count=len(lamps), chosen=chosen))
    if not lamps[chosen - 1].watts:
        remarks.append(Remark("no_watts", line=line))
    return remarks


def _read_head(records: Records) -> _Head:
    warnings: list[Remark] = []
    company = records.text("company")
    indicator = records.optional_number("type indicator")
    if indicator not in (1, 2, 3):
        warnings.append(Remark("type_indicator_odd", line=records.line, value=f"{indicator:g}"))
    symmetry = records.whole("symmetry indicator", low=0, high=len(SYMMETRIES) - 1)
    planes = records.count("number of C-planes", limit=MAX_ANGLES)
    plane_step = records.optional_number("distance between C-planes")
    angles = records.count("number of angles in each plane", limit=MAX_ANGLES)
    angle_step = records.optional_number("distance between angles")
    records.text("report number")
    name = records.text("luminaire name")
    for field in ("luminaire number", "file name", "date and user"):
        records.text(field)
    opening = _read_opening(records)
    records.optional_number("downward flux fraction")
    output_ratio = records.optional_number("light output ratio") / 100.0
    conversion = records.optional_number("conversion factor")
    if conversion not in (0, 1):
        warnings.append(Remark("conversion_factor_ignored", line=records.line, value=conversion))
    tilt = records.optional_number("tilt when measured")
    if tilt:
        warnings.append(Remark("tilt_when_measured", line=records.line, value=tilt))
    return _Head(
        company=company,
        name=name,
        symmetry=_SYMMETRY_BY_INDICATOR[symmetry],
        planes=planes,
        plane_step=plane_step,
        angles=angles,
        angle_step=angle_step,
        opening=opening,
        stated_output_ratio=max(output_ratio, 0.0),
        warnings=tuple(warnings),
    )


def _read_opening(records: Records) -> LuminousOpening:
    """Read the sizes of the luminaire and of its luminous opening, in millimetres."""
    for field in ("length", "width", "height"):
        records.size_m(f"{field} of the luminaire")
    length = records.size_m("length of the luminous opening")
    width = records.size_m("width of the luminous opening")
    height = max(
        records.size_m(f"height of the luminous opening in C{plane}") for plane in (0, 90, 180, 270)
    )
    if not length:
        return LuminousOpening()
    if not width:
        shape = "vertical cylinder" if height else "disc"
        return LuminousOpening(shape=shape, along_c0_m=length, along_c90_m=length, height_m=height)
    return LuminousOpening(
        shape="box" if height else "rectangle",
        along_c0_m=width,
        along_c90_m=length,
        height_m=height,
    )


def _read_lamps(records: Records, lamp_set: int) -> tuple[tuple[LampSet, ...], bool, int]:
    count = records.whole("number of lamp sets", low=1, high=MAX_LAMP_SETS)
    if not 1 <= lamp_set <= count:
        raise PhotometryError("lamp_set_missing", line=records.line, wanted=lamp_set, count=count)
    sets: list[LampSet] = []
    is_absolute, flux_line = False, records.line
    for number in range(1, count + 1):
        pieces = records.whole("number of lamps", low=-1000, high=1000, but=0)
        kind = records.text("lamp type")
        flux_lm = records.number("flux of the lamps")
        if number == lamp_set:
            is_absolute, flux_line = pieces < 0, records.line
        if not flux_lm > 0:
            raise PhotometryError(
                "number_out_of_range",
                line=records.line,
                field="flux of the lamps",
                allowed="above 0",
                value=flux_lm,
            )
        temperature = records.text("colour temperature")
        rendering = records.text("colour rendering group")
        watts = records.optional_number("watts with gear")
        within(watts, low=0, high=1e6, field="watts with gear", line=records.line)
        sets.append(
            LampSet(
                pieces=abs(pieces),
                flux_lm=flux_lm,
                watts=watts,
                kind=kind,
                colour_temperature=temperature,
                colour_rendering=rendering,
            )
        )
    return tuple(sets), is_absolute, flux_line


def _read_planes(records: Records, head: _Head) -> tuple[Floats, list[Remark]]:
    field = "C-angles"
    values, lines = records.numbers(head.planes, field)
    rising(values, lines, field=field)
    if values[0] < 0 or values[-1] > 360:
        raise _bad_span(values, field, "0 to 360", lines[-1])
    return np.array(values), _step_remark(values, head.plane_step, field, lines[0])


def _read_gamma(records: Records, head: _Head) -> tuple[Floats, list[Remark]]:
    field = "vertical angles"
    values, lines = records.numbers(head.angles, field)
    rising(values, lines, field=field)
    if values[0] not in (0, 90) or values[-1] > 180 or len(values) < 2:
        raise _bad_span(values, field, "0 to 90, 90 to 180 and 0 to 180", lines[-1])
    remarks = _step_remark(values, head.angle_step, field, lines[0])
    if values[-1] not in (90, 180):
        remarks.append(Remark("vertical_range_short", line=lines[-1], last=values[-1]))
    return np.array(values), remarks


def _bad_span(values: list[float], field: str, allowed: str, line: int) -> PhotometryError:
    return PhotometryError(
        "angles_bad_span",
        line=line,
        field=field,
        first=values[0],
        last=values[-1],
        allowed=allowed,
    )


def _step_remark(values: list[float], step: float, field: str, line: int) -> list[Remark]:
    if step <= 0 or len(values) < 2:
        return []
    if np.abs(np.diff(values) - step).max() <= 0.05 + 0.02 * step:
        return []
    return [Remark("spacing_differs", line=line, stated=step, field=field)]


def _stored_planes(head: _Head, planes: Floats, line: int) -> Floats:
    """Return the angles of the planes whose intensities the file holds, in its order.

    With symmetry to C90-C270 they start at C270 and run through C0 to C90; here as -90 to 90.
    """
    if head.symmetry == "axial":
        return planes[:1]
    if head.symmetry == "none":
        return planes
    parts = 4 if head.symmetry in {"quadrant", "plane C90-C270"} else 2
    if head.planes % parts:
        raise PhotometryError(
            "planes_do_not_fit", line=4, symmetry=head.symmetry, planes=head.planes
        )
    quarter = head.planes // 4
    if head.symmetry == "plane C90-C270":
        start = 3 * quarter
        stored = np.concatenate([planes[start:] - 360.0, planes[: quarter + 1]])
        ends = (-90.0, 90.0)
    elif head.symmetry == "quadrant":
        stored, ends = planes[: quarter + 1], (0.0, 90.0)
    else:
        stored, ends = planes[: head.planes // 2 + 1], (0.0, 180.0)
    for value, expected in zip((stored[0], stored[-1]), ends, strict=True):
        if abs(value - expected) > 1e-3:
            raise PhotometryError(
                "plane_at_wrong_angle",
                line=line,
                symmetry=head.symmetry,
                expected=expected % 360.0,
                value=float(value) % 360.0,
            )
    return stored


def _read_table(records: Records, planes: int, angles: int) -> Floats:
    values, lines = records.numbers(planes * angles, "intensities")
    table = np.array(values).reshape(planes, angles)
    if table.min() < 0:
        worst = int(np.argmin(table))
        raise PhotometryError("negative_intensity", line=lines[worst], value=values[worst])
    judge.refuse_dark(table, line=lines[0])
    return table
