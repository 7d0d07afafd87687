"""The lumen method: average illuminance from flux, area and two factors.

The quick answer to 'how many fittings?'. It says nothing about where the light falls; `room` does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from engineering.refusal import above_zero


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingCount:
    """How many fittings reach a target, and what they then give.

    `exact` is the unrounded number, `count` the next whole one, `illuminance_lx` the average
    that `count` fittings give.
    """

    exact: float
    count: int
    illuminance_lx: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """Spacing of a row of equal gaps: `spacing_m` between centres, `end_gap_m` to the walls."""

    spacing_m: float
    end_gap_m: float


def _share(name: str, value: float, most: float = 1.0) -> float:
    """Return a factor above 0 and at most `most`, or refuse it by name."""
    if not (0 < value <= most):
        raise ValueError(f"{name} must be above 0 and at most {most:g}, got {value!r}")
    return float(value)


def room_index(*, length_m: float, width_m: float, mounting_height_m: float) -> float:
    """Return the room index K = L·W / (Hm·(L + W)).

    Parameters
    ----------
    length_m, width_m : [m], above 0; the room's plan.
    mounting_height_m : [m], above 0; of the luminaires **above the work plane**.

    Returns
    -------
    float, no unit. Low for tall narrow rooms, high for wide low ones.

    Raises
    ------
    ValueError : a size is not a finite number above 0.

    References
    ----------
    EN 12665 (terms): room index. Any lumen-method text gives the same formula.

    >>> round(room_index(length_m=10, width_m=8, mounting_height_m=2.2), 3)
    2.02
    """
    length = above_zero("length_m", length_m)
    width = above_zero("width_m", width_m)
    height = above_zero("mounting_height_m", mounting_height_m)
    return length * width / (height * (length + width))


def average_illuminance(
    *, flux_lm: float, area_m2: float, utilisation: float, maintenance: float
) -> float:
    """Return the maintained average illuminance E = Φ·UF·MF / A.

    Parameters
    ----------
    flux_lm : [lm], above 0; of all fittings together.
    area_m2 : [m²], above 0; of the plane.
    utilisation : share of the flux that reaches the plane, above 0. May exceed 1: in a bright room
        light passes the plane more than once. Above 2 it is refused as a slip of the pen.
    maintenance : share of the first light that is left before servicing, above 0, at most 1.

    Returns
    -------
    float [lx].

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    EN 12665 (terms): utilisation factor, maintenance factor.

    >>> average_illuminance(flux_lm=7300, area_m2=9, utilisation=0.5, maintenance=1)
    405.55555555555554
    """
    flux = above_zero("flux_lm", flux_lm)
    area = above_zero("area_m2", area_m2)
    factor = _share("utilisation", utilisation, most=2.0) * _share("maintenance", maintenance)
    return flux * factor / area


def fittings_needed(
    *, target_lx: float, area_m2: float, flux_lm: float, utilisation: float, maintenance: float
) -> FittingCount:
    """Return how many fittings reach a target: N = E·A / (Φ·UF·MF), rounded up.

    Parameters
    ----------
    target_lx : [lx], above 0; maintained average on the plane.
    area_m2 : [m²], above 0.
    flux_lm : [lm], above 0; of **one** fitting.
    utilisation, maintenance : as for `average_illuminance`.

    Returns
    -------
    FittingCount : `.exact`, `.count` (whole, rounded up), `.illuminance_lx` that the count gives.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    A number within one part in 10⁹ above a whole one counts as that whole one: it is rounding of
    the sum, not a need for another fitting.

    References
    ----------
    EN 12665 (terms); worked examples in tests/checks/test_light_published.py.

    >>> fittings_needed(target_lx=300, area_m2=20, flux_lm=3000, utilisation=0.6,
    ...                 maintenance=0.8).count
    5
    """
    target = above_zero("target_lx", target_lx)
    each = average_illuminance(
        flux_lm=flux_lm, area_m2=area_m2, utilisation=utilisation, maintenance=maintenance
    )
    exact = target / each
    if not exact < 1e9:
        raise ValueError(f"more than 1e9 fittings would be needed ({exact!r}): check the flux")
    count = max(1, math.ceil(exact * (1 - 1e-9)))
    return FittingCount(exact=exact, count=count, illuminance_lx=count * each)


def row_spacing(*, length_m: float, count: int) -> Spacing:
    """Return the even spacing of `count` fittings along a length, half a space at each wall.

    Parameters
    ----------
    length_m : [m], above 0.
    count : whole number, at least 1.

    Returns
    -------
    Spacing [m].

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    Public M&E services guide: distance from wall to luminaire at most half the spacing.

    >>> row_spacing(length_m=4, count=2)
    Spacing(spacing_m=2.0, end_gap_m=1.0)
    """
    length = above_zero("length_m", length_m)
    if count < 1:
        raise ValueError(f"count must be at least 1, got {count!r}")
    return Spacing(spacing_m=length / count, end_gap_m=length / (2 * count))


def is_spacing_within(
    *, spacing_m: float, mounting_height_m: float, spacing_to_height_max: float
) -> bool:
    """Tell whether a spacing keeps the luminaire's greatest spacing-to-height ratio (SHRmax).

    Parameters
    ----------
    spacing_m, mounting_height_m : [m], above 0; height above the work plane.
    spacing_to_height_max : above 0; the luminaire's published SHRmax.

    Returns
    -------
    bool : True where S / Hm ≤ SHRmax.

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    EN 12665 (terms): spacing to height ratio.

    >>> is_spacing_within(spacing_m=2, mounting_height_m=1.6, spacing_to_height_max=1.5)
    True
    """
    ratio = above_zero("spacing_m", spacing_m) / above_zero("mounting_height_m", mounting_height_m)
    return ratio <= above_zero("spacing_to_height_max", spacing_to_height_max) * (1 + 1e-12)
