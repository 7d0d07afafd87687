"""What both readers look at last: whether the light of a file makes sense."""

import numpy as np

from engineering.photometry import flux
from engineering.photometry.errors import PhotometryError, Remark
from engineering.photometry.symmetry import Floats

_FLUX_TOLERANCE = 0.005
_NADIR_TOLERANCE = 0.05
_OUTPUT_RATIO_TOLERANCE = 0.05


def refuse_dark(intensity_cd: Floats, *, line: int) -> None:
    """Refuse a table without any light."""
    if not intensity_cd.any():
        raise PhotometryError("no_light", line=line)


def light_remarks(
    c_deg: Floats,
    gamma_deg: Floats,
    intensity_cd: Floats,
    *,
    lamp_flux_lm: float,
    line: int,
    stated_output_ratio: float = 0.0,
) -> list[Remark]:
    """Return remarks on a table of intensities.

    Parameters
    ----------
    c_deg, gamma_deg, intensity_cd : the table, symmetry expanded
    lamp_flux_lm : of the lamps [lm], above 0
    line : of the lamps' flux in the file
    stated_output_ratio : as the file states it, a share; 0 when it does not
    """
    remarks: list[Remark] = []
    own = float(flux.zonal_flux_lm(c_deg, gamma_deg, intensity_cd, (0.0, 180.0))[0])
    if own > lamp_flux_lm * (1 + _FLUX_TOLERANCE):
        remarks.append(Remark("flux_above_lamps", line=line, flux=own, lamps=lamp_flux_lm))
    found = own / lamp_flux_lm
    if stated_output_ratio > 0 and abs(found - stated_output_ratio) > _OUTPUT_RATIO_TOLERANCE:
        remarks.append(
            Remark(
                "output_ratio_differs",
                line=line,
                stated=stated_output_ratio * 100,
                found=found * 100,
            )
        )
    if gamma_deg[0] == 0:
        low, high = float(intensity_cd[:, 0].min()), float(intensity_cd[:, 0].max())
        if high - low > _NADIR_TOLERANCE * high:
            remarks.append(Remark("nadir_differs", line=line, low=low, high=high))
    return remarks


def gap_remark(c_deg: Floats, *, line: int) -> list[Remark]:
    """Remark on planes that leave out a quarter of the turn or more.

    >>> gap_remark(np.array([0.0, 10.0, 20.0]), line=9)[0].code
    'planes_gap'
    """
    if len(c_deg) < 2:
        return []
    following = np.concatenate([c_deg[1:], c_deg[:1] + 360.0])
    widest = int(np.argmax(following - c_deg))
    if following[widest] - c_deg[widest] <= 90.0 + 1e-6:
        return []
    return [
        Remark("planes_gap", line=line, first=float(c_deg[widest]), last=float(following[widest]))
    ]
