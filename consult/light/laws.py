"""Which way a fitting sends its light: its photometric file, else a simple shape from its figures."""

from dataclasses import dataclass
from typing import Any

from catalogue.photometric import read_kept
from catalogue.spec import FeedSpec, ProductSpec
from engineering.light_sources import Globe, beam, lambertian
from engineering.lit_circuits import Scaled
from engineering.points import IntensityFunction

# From this beam on a lamp counts as an opal globe: the half sphere of a beam ends at 180°.
GLOBE_FROM_DEG = 176.0
NARROWEST_DEG, WIDEST_DEG = 2.0, 175.0
# Sizes of what shines where nobody says: common practice, no source.
TAPE_M, DOWNLIGHT_M, PANEL_M, LAMP_M, SHADE_M = 0.014, 0.075, 0.24, 0.11, 0.2
PANEL_FROM_LM, PANEL_FROM_DEG = 1800.0, 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Law:
    """How one piece sends its flux [lm]; `beam_deg` 0 is an opal globe, `file` goes before it."""

    flux_lm: float
    beam_deg: float
    file: tuple[str, str] | None = None  # format, SHA-256

    def intensity(self) -> IntensityFunction:
        """The luminous intensity [cd] by C and gamma, of the whole piece."""
        if self.file is not None:
            luminaire = read_kept(*self.file)
            share = self.flux_lm / luminaire.interpolated_flux_lm()
            return Scaled(intensity_cd=luminaire.intensity, share=share)
        if self.beam_deg == 0:
            return Globe(flux_lm=self.flux_lm)
        if self.beam_deg == 120:
            return lambertian(flux_lm=self.flux_lm)
        return beam(flux_lm=self.flux_lm, beam_deg=self.beam_deg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a piece looks: `shape` as in `engineering.light_basis.SHAPES`, and its size [m]."""

    shape: str
    size_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Upwards:
    """A law turned over: what went down goes up."""

    law: IntensityFunction

    def __call__(self, c_deg: Any, gamma_deg: Any) -> Any:
        """The intensity [cd]."""
        return self.law(c_deg, 180.0 - gamma_deg)


def law_of(
    product: ProductSpec | None, feed: FeedSpec | None, lamp: FeedSpec | None, flux_lm: float
) -> Law:
    """The law of one piece of a product; of a placeholder an opal globe."""
    if product is None:
        return Law(flux_lm=flux_lm, beam_deg=0)
    if feed is not None:
        for number, kind, sha256 in product.photometric:
            if number == feed.number:
                return Law(flux_lm=flux_lm, beam_deg=120, file=(kind, sha256))
    source = lamp or feed
    told = float(source.beam_deg) if source is not None and source.beam_deg else 120.0
    if told >= GLOBE_FROM_DEG:
        return Law(flux_lm=flux_lm, beam_deg=0)
    return Law(flux_lm=flux_lm, beam_deg=min(WIDEST_DEG, max(NARROWEST_DEG, told)))


def look_of(product: ProductSpec | None, law: Law, tilt_deg: int | None) -> Look:
    """How a piece looks. Tape that shines up stands behind its edge and is not seen itself."""
    if product is not None and product.unit == "metre":
        return Look(shape="none" if (tilt_deg or 0) >= 90 else "bar", size_m=TAPE_M)
    if law.beam_deg == 0:
        return Look(shape="globe", size_m=SHADE_M if product is None else LAMP_M)
    if law.flux_lm >= PANEL_FROM_LM and law.beam_deg >= PANEL_FROM_DEG:
        return Look(shape="disc", size_m=PANEL_M)
    return Look(shape="disc", size_m=DOWNLIGHT_M)
