"""The value that both readers return: a luminaire's light in every direction."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from engineering.photometry import beam, flux
from engineering.photometry.errors import Remark
from engineering.photometry.opening import LuminousOpening
from engineering.photometry.symmetry import SYMMETRIES, Floats, bilinear

_ROUNDING_DEG = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSet:
    """One set of lamps that a file was measured with.

    Parameters
    ----------
    pieces : number of lamps, 1 or more
    flux_lm : of all lamps of the set together [lm], above 0
    watts : with control gear [W], 0 (not given) or more
    kind, colour_temperature, colour_rendering : as written in the file
    """

    pieces: int
    flux_lm: float
    watts: float
    kind: str = ""
    colour_temperature: str = ""
    colour_rendering: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TiltTable:
    """How the lamps' flux changes when the luminaire is tilted.

    Parameters
    ----------
    lamp_geometry : 1 lamp base up or down, 2 lamp level and staying so, 3 lamp level and tilting
        with the luminaire (LM-63)
    angles_deg : tilt angles [degrees]
    factors : factor on the intensities for each
    """

    lamp_geometry: int
    angles_deg: tuple[float, ...]
    factors: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Luminaire:
    """Luminous intensity of a luminaire in every direction, and what else its file tells.

    Parameters
    ----------
    c_deg : angles of the C-planes [degrees], rising from 0 to below 360, symmetry expanded.
        Hanging level, C0 points along x and C90 along y.
    gamma_deg : vertical angles [degrees], rising from 0 (down) to 180 (up); may cover a part
    intensity_cd : absolute intensity [cd], [C, gamma], 0 or more, not all 0
    lamp_flux_lm : flux of the lamps [lm], above 0; of the luminaire itself when `is_absolute`
    watts : input power [W], 0 when not given
    is_absolute : absolute photometry, so that the lamps have no flux of their own
    symmetry : one of `symmetry.SYMMETRIES`, as stored in the file
    opening : shape and size of what shines
    lamp_sets, tilt, keywords, name, edition : as in the file
    warnings : what is odd about the file, each a sentence with a `.code`

    Raises
    ------
    ValueError : tables that do not fit each other, or values out of range

    >>> lamp = Luminaire(
    ...     c_deg=[0.0], gamma_deg=[0.0, 90.0, 180.0], intensity_cd=[[1000.0] * 3],
    ...     lamp_flux_lm=12600.0,
    ... )
    >>> lamp.intensity(30.0, 45.0), round(lamp.flux_lm(), 2)
    (1000.0, 12566.37)
    """

    c_deg: Floats
    gamma_deg: Floats
    intensity_cd: Floats
    lamp_flux_lm: float
    watts: float = 0.0
    is_absolute: bool = False
    symmetry: str = "none"
    opening: LuminousOpening = field(default_factory=LuminousOpening)
    lamp_sets: tuple[LampSet, ...] = ()
    tilt: TiltTable | None = None
    keywords: tuple[tuple[str, str], ...] = ()
    name: str = ""
    edition: str = ""
    warnings: tuple[Remark, ...] = ()
    _round_deg: Floats = field(init=False, repr=False)
    _round_cd: Floats = field(init=False, repr=False)

    def __post_init__(self) -> None:
        for name in ("c_deg", "gamma_deg", "intensity_cd"):
            object.__setattr__(self, name, _sealed(getattr(self, name)))
        _check_angles("c_deg", self.c_deg, 0.0, 360.0 - _ROUNDING_DEG)
        _check_angles("gamma_deg", self.gamma_deg, 0.0, 180.0)
        if self.intensity_cd.shape != (len(self.c_deg), len(self.gamma_deg)):
            raise ValueError(
                f"intensity_cd must be {len(self.c_deg)} planes of {len(self.gamma_deg)} values, "
                f"got {self.intensity_cd.shape}"
            )
        if not (np.isfinite(self.intensity_cd).all() and (self.intensity_cd >= 0).all()):
            raise ValueError("intensity_cd must be 0 or more in every direction")
        if not self.intensity_cd.any():
            raise ValueError("intensity_cd must not be 0 in every direction")
        if not 0 < self.lamp_flux_lm < math.inf:
            raise ValueError(f"lamp_flux_lm must be above 0, got {self.lamp_flux_lm!r}")
        if not 0 <= self.watts < math.inf:
            raise ValueError(f"watts must be 0 or more, got {self.watts!r}")
        if self.symmetry not in SYMMETRIES:
            raise ValueError(f"symmetry must be one of {SYMMETRIES}, got {self.symmetry!r}")
        # One more plane at each end, so that a direction between the last and the first
        # interpolates like any other.
        turn = [self.c_deg[-1:] - 360.0, self.c_deg, self.c_deg[:1] + 360.0]
        rows = [self.intensity_cd[-1:], self.intensity_cd, self.intensity_cd[:1]]
        object.__setattr__(self, "_round_deg", _sealed(np.concatenate(turn)))
        object.__setattr__(self, "_round_cd", _sealed(np.concatenate(rows)))

    def intensity(self, c_deg: ArrayLike, gamma_deg: ArrayLike) -> float | Floats:
        """Intensity in a direction, linear between the angles of the table.

        Parameters
        ----------
        c_deg : any angle [degrees], number or array
        gamma_deg : from 0 (down) to 180 (up) [degrees], number or array that fits the other

        Returns
        -------
        intensity [cd], float for two numbers, else an array; 0 beyond the measured angles

        Raises
        ------
        ValueError : gamma outside 0 to 180, or an angle that is no number
        """
        c, gamma = np.broadcast_arrays(
            np.asarray(c_deg, dtype=float), np.asarray(gamma_deg, dtype=float)
        )
        if not np.isfinite(c).all():
            raise ValueError("c_deg must be finite")
        if not ((gamma >= -_ROUNDING_DEG) & (gamma <= 180.0 + _ROUNDING_DEG)).all():
            raise ValueError("gamma_deg must be from 0 to 180")
        first, last = self.gamma_deg[0], self.gamma_deg[-1]
        is_lit = (gamma >= first - _ROUNDING_DEG) & (gamma <= last + _ROUNDING_DEG)
        found = bilinear(
            self._round_deg,
            self.gamma_deg,
            self._round_cd,
            np.mod(c, 360.0),
            np.clip(gamma, first, last),
        )
        shown: Floats = np.where(is_lit, found, 0.0)
        return float(shown) if shown.ndim == 0 else shown

    def flux_lm(self) -> float:
        """Flux of the luminaire by the zonal method [lm]. See `flux.zonal_flux_lm`."""
        return float(self.zonal_flux_lm((0.0, 180.0))[0])

    def zonal_flux_lm(
        self, edges_deg: Sequence[float] = (0.0, 30.0, 40.0, 60.0, 90.0, 120.0, 150.0, 180.0)
    ) -> Floats:
        """Flux between vertical angles [lm], one value per zone. See `flux.zonal_flux_lm`."""
        return flux.zonal_flux_lm(self.c_deg, self.gamma_deg, self.intensity_cd, edges_deg)

    def interpolated_flux_lm(self) -> float:
        """Flux of the table as `intensity` interpolates it [lm]."""
        return flux.interpolated_flux_lm(self.c_deg, self.gamma_deg, self.intensity_cd)

    def light_output_ratio(self) -> float:
        """Share of the lamps' flux that leaves the luminaire, 0 or more.

        1 for absolute photometry; above 1 only in a file that is odd, which then warns.
        """
        return self.flux_lm() / self.lamp_flux_lm

    def downward_share(self) -> float:
        """Share of the luminaire's flux that goes below the horizontal, 0 to 1."""
        down, up = self.zonal_flux_lm((0.0, 90.0, 180.0))
        return float(down / (down + up))

    def peak_cd(self) -> float:
        """Greatest intensity in the table [cd]."""
        return float(self.intensity_cd.max())

    def profile(self, c_deg: float = 0.0) -> tuple[Floats, Floats]:
        """Intensity right round in the plane through `c_deg` and its opposite.

        Returns
        -------
        directions from -180 to below 180 [degrees], positive towards `c_deg`; intensities [cd].
        Directions that were not measured are dark.
        """
        # A hair beyond the last measured angle the light is gone: the step is kept as a step.
        beyond = np.array([self.gamma_deg[0] - 1e-4, self.gamma_deg[-1] + 1e-4, 0.0, 180.0])
        side = np.union1d(self.gamma_deg, beyond[(beyond >= 0) & (beyond <= 180)])
        directions = np.union1d(side[side < 180.0], -side)
        c = np.where(directions < 0, c_deg + 180.0, c_deg)
        values = self.intensity(c, np.abs(directions))
        return directions, np.asarray(values)

    def beam_angle_deg(self, c_deg: float = 0.0) -> float:
        """Full angle within which half the peak of the plane is met [degrees].

        See `beam.beam_width_deg` for what counts.
        """
        return beam.beam_width_deg(*self.profile(c_deg), 0.5)

    def field_angle_deg(self, c_deg: float = 0.0) -> float:
        """Full angle within which a tenth of the peak of the plane is met [degrees]."""
        return beam.beam_width_deg(*self.profile(c_deg), 0.1)

    def efficacy_lm_w(self) -> float | None:
        """Flux of the luminaire over its input power [lm/W]; None without a power."""
        return self.flux_lm() / self.watts if self.watts > 0 else None


def _sealed(values: ArrayLike) -> Floats:
    array = np.array(values, dtype=float)
    array.setflags(write=False)
    return array


def _check_angles(name: str, angles: Floats, low: float, high: float) -> None:
    if angles.ndim != 1 or not len(angles):
        raise ValueError(f"{name} must be a list of angles")
    if not ((angles >= low) & (angles <= high)).all():
        raise ValueError(f"{name} must be from {low:g} to {high:g}")
    if not (np.diff(angles) > 0).all():
        raise ValueError(f"{name} must rise")
