"""How wide a beam is in one plane."""

import numpy as np

from engineering.photometry.symmetry import Floats


def beam_width_deg(angles_deg: Floats, intensity_cd: Floats, share: float) -> float:
    """Full angle around the brightest direction within which a share of its intensity is met.

    Parameters
    ----------
    angles_deg : directions in one plane, from -180 to below 180 [degrees], rising; straight down
        is 0
    intensity_cd : intensity in each direction [cd]
    share : above 0 and below 1: 0.5 for the beam angle, 0.1 for the field angle

    Returns
    -------
    angle [degrees], 0 to 360; 0 for a dark plane, 360 where the intensity never falls so low

    Notes
    -----
    Walks from the peak to either side and stops at the first direction that falls below the
    share, interpolating linearly. A second beam beyond a dip is not counted in.

    >>> angles = np.array([-180.0, -90.0, -60.0, 0.0, 60.0, 90.0])
    >>> beam_width_deg(angles, np.array([0.0, 0.0, 50.0, 100.0, 50.0, 0.0]), 0.5)
    120.0
    """
    if not 0 < share < 1:
        raise ValueError(f"share must be above 0 and below 1, got {share!r}")
    peak = int(np.argmax(intensity_cd))
    limit = float(intensity_cd[peak]) * share
    if not limit > 0:
        return 0.0
    onward = np.roll(intensity_cd, -peak)
    onward_deg = np.mod(np.roll(angles_deg, -peak) - angles_deg[peak], 360.0)
    back = np.concatenate([onward[:1], onward[:0:-1]])
    back_deg = np.concatenate([onward_deg[:1], 360.0 - onward_deg[:0:-1]])
    right = _fall(onward_deg, onward, limit)
    left = _fall(back_deg, back, limit)
    return 360.0 if right is None or left is None else right + left


def _fall(angles_deg: Floats, intensity_cd: Floats, limit: float) -> float | None:
    """Return the angle at which the intensity first falls to the limit, or None if it never does.

    The first value is the peak; the next one below the limit is met by a straight line.
    """
    below = np.flatnonzero(intensity_cd < limit)
    if not len(below):
        return None
    index = int(below[0])
    high, low = float(intensity_cd[index - 1]), float(intensity_cd[index])
    start, end = float(angles_deg[index - 1]), float(angles_deg[index])
    return start + (end - start) * (high - limit) / (high - low)
