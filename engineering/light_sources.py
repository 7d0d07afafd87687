"""Named simple light sources, for fittings without a photometric file.

Each is a luminous intensity law that can be asked for arrays of angles and, since all of them are
round, for the cosine of γ alone, which is quicker. They are estimates: a photometric file of the
fitting always goes before them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from engineering.direct_light import Source
from engineering.points import DOWN, unit_vector, vector
from engineering.refusal import above_zero

FloatArray = NDArray[np.float64]
Vector = tuple[float, float, float]

MOST_PARTS = 600
# A source counts as a point from five times its length; the error is then below 1 %.
FIVE_TIMES = 5.0
# A wash aimed a third of the way out from straight down covers a room-high wall evenly.
WASH_TILT_DEG = 30.0
WASH_BEAM_DEG = 70.0
LAMBERTIAN_BEAM_DEG = 120.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CosinePower:
    """I(γ) = I₀·cosⁿγ in the half sphere along the aim, none behind.

    Parameters
    ----------
    peak_cd : I₀ [cd], above 0.
    power : n, from 0 (even over the half sphere) to 20 000.

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    Flux 2π·I₀/(n + 1); width of half peak 2·acos(0.5^(1/n)) (both by integration).

    >>> CosinePower(peak_cd=100.0, power=1.0)(0.0, 60.0).round(9)
    np.float64(50.0)
    """

    peak_cd: float
    power: float

    def __post_init__(self) -> None:
        above_zero("peak_cd", self.peak_cd)
        if not (0 <= self.power <= 20_000):
            raise ValueError(f"power must be from 0 to 20000, got {self.power!r}")

    def of_cosine(self, cos_gamma: FloatArray) -> FloatArray:
        """Return the intensity [cd] for the cosine of γ."""
        if self.power == 0:
            return np.where(cos_gamma > 0, self.peak_cd, 0.0)
        forward = np.maximum(cos_gamma, 0.0)
        return np.asarray(self.peak_cd * (forward if self.power == 1 else forward**self.power))

    def __call__(self, c_deg: Any, gamma_deg: Any) -> FloatArray:
        """Return the intensity [cd] at γ [°], whatever C."""
        return self.of_cosine(np.cos(np.radians(gamma_deg)))

    @property
    def flux_lm(self) -> float:
        """Flux [lm]."""
        return 2 * math.pi * self.peak_cd / (self.power + 1)

    @property
    def beam_deg(self) -> float:
        """Beam angle [°]: full width at half the peak intensity."""
        if self.power == 0:
            return 180.0
        return math.degrees(2 * math.acos(math.pow(0.5, 1 / self.power)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Globe:
    """An opal globe: the same intensity every way.

    >>> round(Globe(flux_lm=1256.637)(0.0, 90.0).item(), 3)
    100.0
    """

    flux_lm: float

    def __post_init__(self) -> None:
        above_zero("flux_lm", self.flux_lm)

    def of_cosine(self, cos_gamma: FloatArray) -> FloatArray:
        """Return the intensity [cd] for the cosine of γ."""
        return np.full(np.shape(cos_gamma), self.flux_lm / (4 * math.pi))

    def __call__(self, c_deg: Any, gamma_deg: Any) -> FloatArray:
        """Return the intensity [cd] at γ [°], whatever C."""
        return self.of_cosine(np.asarray(gamma_deg, dtype=float))


@dataclass(frozen=True, slots=True, kw_only=True)
class EvenCone:
    """All flux spread evenly in a cone of full angle `beam_deg`, none beside it.

    >>> round(EvenCone(flux_lm=500, beam_deg=36)(0.0, 10.0).item(), 1)
    1625.9
    """

    flux_lm: float
    beam_deg: float

    def __post_init__(self) -> None:
        above_zero("flux_lm", self.flux_lm)
        if not (0 < self.beam_deg < 360):
            raise ValueError(f"beam_deg must be above 0 and below 360, got {self.beam_deg!r}")

    def of_cosine(self, cos_gamma: FloatArray) -> FloatArray:
        """Return the intensity [cd] for the cosine of γ."""
        edge = math.cos(math.radians(self.beam_deg / 2))
        return np.where(cos_gamma >= edge, self.flux_lm / (2 * math.pi * (1 - edge)), 0.0)

    def __call__(self, c_deg: Any, gamma_deg: Any) -> FloatArray:
        """Return the intensity [cd] at γ [°], whatever C."""
        return self.of_cosine(np.cos(np.radians(gamma_deg)))


def beam(*, flux_lm: float, beam_deg: float) -> CosinePower:
    """Return the cosine-power law of a flux and a beam angle.

    Parameters
    ----------
    flux_lm : [lm], above 0; of the luminaire.
    beam_deg : [°], 2 to 175; full width at half the peak.

    Returns
    -------
    CosinePower with n = ln 0.5 / ln cos(β/2).

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    Real beams have a sharper or a softer edge; the centre may be off by a third. Use the maker's
    photometric file where there is one.

    >>> round(beam(flux_lm=1000, beam_deg=120).peak_cd, 3)
    318.31
    """
    flux = above_zero("flux_lm", flux_lm)
    if not (2 <= beam_deg <= 175):
        raise ValueError(f"beam_deg must be from 2 to 175, got {beam_deg!r}")
    power = math.log(0.5) / math.log(math.cos(math.radians(beam_deg / 2)))
    return CosinePower(peak_cd=flux * (power + 1) / (2 * math.pi), power=power)


def lambertian(*, flux_lm: float) -> CosinePower:
    """Return the law of a flat diffuse source: I₀ = Φ/π, I = I₀·cos γ.

    >>> round(lambertian(flux_lm=math.pi).peak_cd, 9)
    1.0
    """
    return CosinePower(peak_cd=above_zero("flux_lm", flux_lm) / math.pi, power=1.0)


def line_parts(*, length_m: float, nearest_m: float) -> int:
    """Return into how many parts a line is cut so that the five-times rule holds (at most 600).

    >>> line_parts(length_m=1.0, nearest_m=0.5)
    10
    """
    if not length_m > 1e-6:
        raise ValueError("a line needs two ends that are apart")
    wanted = math.ceil(length_m * FIVE_TIMES / above_zero("nearest_m", nearest_m) * (1 - 1e-12))
    return min(MOST_PARTS, max(1, wanted))


def line(
    *,
    start_m: Vector,
    end_m: Vector,
    flux_lm: float,
    aim: Vector = DOWN,
    nearest_m: float = 0.5,
    beam_deg: float = LAMBERTIAN_BEAM_DEG,
) -> tuple[Source, ...]:
    """Return a tape or linear luminaire as a row of small sources.

    Parameters
    ----------
    start_m, end_m : [m]; the ends; not the same place.
    flux_lm : [lm], above 0; of the whole length.
    aim : the way it faces.
    nearest_m : [m], above 0; distance to the nearest surface that matters. Each part is at most a
        fifth of it (five-times rule), with at most 600 parts.
    beam_deg : [°]; 120 is Lambertian.

    Returns
    -------
    Sources of equal flux, at the middles of equal parts.

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    Five-times rule (CIE 84; any photometry text).

    >>> len(line(start_m=(0, 0, 2), end_m=(1, 0, 2), flux_lm=1000, nearest_m=0.5))
    10
    """
    start, end = vector("start_m", start_m), vector("end_m", end_m)
    length = float(np.linalg.norm(end - start))
    parts = line_parts(length_m=length, nearest_m=nearest_m)
    law = beam(flux_lm=above_zero("flux_lm", flux_lm) / parts, beam_deg=beam_deg)
    places = start + (np.arange(parts)[:, None] + 0.5) / parts * (end - start)
    return tuple(
        Source(
            position_m=(x, y, z),
            intensity_cd=law,
            flux_lm=flux_lm / parts,
            aim=aim,
            part=1 / parts,
        )
        for x, y, z in places.tolist()
    )


def globe(*, position_m: Vector, flux_lm: float) -> Source:
    """Return an opal globe as a source.

    >>> globe(position_m=(1, 1, 2), flux_lm=800).flux_lm
    800
    """
    return Source(position_m=position_m, intensity_cd=Globe(flux_lm=flux_lm), flux_lm=flux_lm)


def downlight(*, position_m: Vector, flux_lm: float, beam_deg: float, aim: Vector = DOWN) -> Source:
    """Return a downlight or spot as a source.

    >>> downlight(position_m=(1, 1, 2.4), flux_lm=500, beam_deg=36).aim
    (0.0, 0.0, -1.0)
    """
    law = beam(flux_lm=flux_lm, beam_deg=beam_deg)
    return Source(position_m=position_m, intensity_cd=law, flux_lm=flux_lm, aim=aim)


def wall_washer(*, position_m: Vector, flux_lm: float, towards: tuple[float, float]) -> Source:
    """Return a wall washer: a wide beam tilted 30° from straight down towards a wall.

    Parameters
    ----------
    position_m : [m].
    flux_lm : [lm], above 0.
    towards : (x, y) direction of the wall; any length above 0.

    Notes
    -----
    Tilt and beam are common practice, no source.

    >>> wall_washer(position_m=(1, 0.6, 2.4), flux_lm=900, towards=(0, -1)).flux_lm
    900
    """
    level = unit_vector("towards", (*towards, 0.0))
    tilt = math.radians(WASH_TILT_DEG)
    aim = (math.sin(tilt) * level[0], math.sin(tilt) * level[1], -math.cos(tilt))
    law = beam(flux_lm=flux_lm, beam_deg=WASH_BEAM_DEG)
    return Source(position_m=position_m, intensity_cd=law, flux_lm=flux_lm, aim=aim)


def up_down(
    *, position_m: Vector, up_lm: float, down_lm: float, beam_deg: float = 90.0
) -> tuple[Source, ...]:
    """Return an up/down wall light: one beam each way, either of which may be dark.

    Parameters
    ----------
    position_m : [m]; of the fitting; some 0.1 m off its wall.
    up_lm, down_lm : [lm], 0 or more; not both 0.
    beam_deg : [°], 2 to 175; of each.

    Raises
    ------
    ValueError : a flux is negative, or there is none.

    >>> len(up_down(position_m=(0.1, 1, 1.8), up_lm=400, down_lm=200))
    2
    """
    if not (0 <= up_lm < math.inf and 0 <= down_lm < math.inf and up_lm + down_lm > 0):
        raise ValueError(f"an up/down light needs light, got up {up_lm!r}, down {down_lm!r} lm")
    ways = (((0.0, 0.0, 1.0), up_lm), (DOWN, down_lm))
    return tuple(
        downlight(position_m=position_m, flux_lm=flux, beam_deg=beam_deg, aim=aim)
        for aim, flux in ways
        if flux > 0
    )
