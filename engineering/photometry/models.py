"""Simple distributions for fittings that come without a photometric file.

Each returns a `Luminaire` sampled every half degree, so that everything that works for a file
works for it. They are rough on purpose and are to be shown as an estimate.
"""

import math
from collections.abc import Callable

import numpy as np

from engineering.photometry.luminaire import Luminaire
from engineering.photometry.opening import LuminousOpening
from engineering.photometry.symmetry import Floats
from engineering.refusal import above_zero

_GAMMA_DEG = np.linspace(0.0, 180.0, 361)
_AXIAL_C_DEG = np.array([0.0, 90.0, 180.0, 270.0])
_ROUND_C_DEG = np.arange(0.0, 360.0, 5.0)
_NARROWEST_DEG = 4.0
_WIDEST_DEG = 160.0


def cosine_exponent(beam_deg: float) -> float:
    """Return n so that cosⁿ has fallen to half at half the beam angle.

    Parameters
    ----------
    beam_deg : full angle at half the peak [degrees], from 4 to 160

    Returns
    -------
    n, above 0; 1 for 120 degrees

    Raises
    ------
    ValueError : a beam outside that range

    >>> round(cosine_exponent(120.0), 6), round(cosine_exponent(90.0), 6)
    (1.0, 2.0)
    """
    if not _NARROWEST_DEG <= beam_deg <= _WIDEST_DEG:
        raise ValueError(
            f"beam_deg must be from {_NARROWEST_DEG:g} to {_WIDEST_DEG:g}, got {beam_deg!r}"
        )
    return math.log(0.5) / math.log(math.cos(math.radians(beam_deg / 2.0)))


def spot(*, flux_lm: float, beam_deg: float, watts: float = 0.0) -> Luminaire:
    """Downward beam I(γ) = I₀ cosⁿ γ, with I₀ = Φ (n + 1) / 2π.

    Parameters
    ----------
    flux_lm : of the luminaire [lm], above 0
    beam_deg : full angle at half the peak [degrees], from 4 to 160
    watts : input power [W], 0 when unknown

    Raises
    ------
    ValueError : values out of range

    >>> round(spot(flux_lm=math.pi, beam_deg=120.0).intensity(0.0, 0.0), 6)
    1.0
    """
    return _axial(_beam(flux_lm, beam_deg), flux_lm, watts, "beam")


def tape(*, flux_lm: float, length_m: float, watts: float = 0.0) -> Luminaire:
    """Lambertian line that shines downwards, I(γ) = Φ/π cos γ, along C90-C270.

    Long pieces must be divided along their length before their light is worked out.

    >>> tape(flux_lm=600.0, length_m=1.0).opening.shape
    'line'
    """
    opening = LuminousOpening(shape="line", along_c90_m=length_m)
    return _axial(_beam(flux_lm, 120.0), flux_lm, watts, "Lambertian line", opening)


def globe(*, flux_lm: float, diameter_m: float = 0.0, watts: float = 0.0) -> Luminaire:
    """Opal globe: the same intensity Φ / 4π in every direction.

    >>> round(globe(flux_lm=800.0).intensity(10.0, 120.0), 4)
    63.662
    """
    opening = LuminousOpening(
        shape="sphere" if diameter_m else "point",
        along_c0_m=diameter_m,
        along_c90_m=diameter_m,
        height_m=diameter_m,
    )
    even = _even(flux_lm)
    return _axial(even, flux_lm, watts, "opal globe", opening)


def wall_washer(
    *, flux_lm: float, beam_deg: float = 60.0, aim_deg: float = 35.0, watts: float = 0.0
) -> Luminaire:
    """Beam leaning towards C0, cut off at the horizontal.

    Parameters
    ----------
    flux_lm : of the luminaire [lm], above 0
    beam_deg : full angle at half the peak [degrees], from 4 to 160
    aim_deg : from straight down towards C0 [degrees], from 0 to 80
    watts : input power [W], 0 when unknown

    Raises
    ------
    ValueError : values out of range

    >>> washer = wall_washer(flux_lm=1000.0)
    >>> washer.intensity(0.0, 35.0) > washer.intensity(180.0, 35.0)
    True
    """
    if not 0 <= aim_deg <= 80:
        raise ValueError(f"aim_deg must be from 0 to 80, got {aim_deg!r}")
    exponent = cosine_exponent(beam_deg)
    c, gamma = np.meshgrid(np.radians(_ROUND_C_DEG), np.radians(_GAMMA_DEG), indexing="ij")
    aim = math.radians(aim_deg)
    towards = np.cos(gamma) * math.cos(aim) + np.sin(gamma) * np.cos(c) * math.sin(aim)
    shape = np.where(gamma <= math.pi / 2 + 1e-9, np.clip(towards, 0.0, None) ** exponent, 0.0)
    return _scaled(_ROUND_C_DEG, shape, flux_lm, watts, "wall washer", "plane C0-C180")


def up_down(
    *, flux_lm: float, up_share: float = 0.5, beam_deg: float = 60.0, watts: float = 0.0
) -> Luminaire:
    """Wall light with one beam up and one down, both alike.

    Parameters
    ----------
    flux_lm : of the luminaire [lm], above 0
    up_share : of the flux that goes up, 0 to 1
    beam_deg : full angle of each beam at half its peak [degrees], from 4 to 160
    watts : input power [W], 0 when unknown

    Raises
    ------
    ValueError : values out of range

    >>> round(up_down(flux_lm=600.0, up_share=0.25).downward_share(), 3)
    0.75
    """
    if not 0 <= up_share <= 1:
        raise ValueError(f"up_share must be from 0 to 1, got {up_share!r}")
    lobe = _beam(flux_lm, beam_deg)

    def both(gamma: Floats) -> Floats:
        return (1.0 - up_share) * lobe(gamma) + up_share * lobe(math.pi - gamma)

    return _axial(both, flux_lm, watts, "up and down")


def _beam(flux_lm: float, beam_deg: float) -> Callable[[Floats], Floats]:
    exponent = cosine_exponent(beam_deg)
    peak_cd = flux_lm * (exponent + 1.0) / (2.0 * math.pi)

    def intensity(gamma: Floats) -> Floats:
        beam: Floats = peak_cd * np.clip(np.cos(gamma), 0.0, None) ** exponent
        return beam

    return intensity


def _even(flux_lm: float) -> Callable[[Floats], Floats]:
    return lambda gamma: np.full(gamma.shape, flux_lm / (4.0 * math.pi))


def _axial(
    intensity: Callable[[Floats], Floats],
    flux_lm: float,
    watts: float,
    name: str,
    opening: LuminousOpening | None = None,
) -> Luminaire:
    above_zero("flux_lm", flux_lm)
    values = intensity(np.radians(_GAMMA_DEG))
    return Luminaire(
        c_deg=_AXIAL_C_DEG,
        gamma_deg=_GAMMA_DEG,
        intensity_cd=np.repeat(values[np.newaxis], len(_AXIAL_C_DEG), axis=0),
        lamp_flux_lm=flux_lm,
        watts=watts,
        is_absolute=True,
        symmetry="axial",
        opening=opening or LuminousOpening(),
        name=name,
        edition="model",
    )


def _scaled(
    c_deg: Floats, shape: Floats, flux_lm: float, watts: float, name: str, symmetry: str
) -> Luminaire:
    """Scale a shape so that its flux is the one wanted."""
    above_zero("flux_lm", flux_lm)
    drawn = Luminaire(c_deg=c_deg, gamma_deg=_GAMMA_DEG, intensity_cd=shape, lamp_flux_lm=1.0)
    return Luminaire(
        c_deg=c_deg,
        gamma_deg=_GAMMA_DEG,
        intensity_cd=shape * (flux_lm / drawn.flux_lm()),
        lamp_flux_lm=flux_lm,
        watts=watts,
        is_absolute=True,
        symmetry=symmetry,
        name=name,
        edition="model",
    )
