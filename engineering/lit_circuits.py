"""The circuits of a room as they shine: fittings at their places, with what they send and look like."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from engineering.arrangement import Placement
from engineering.direct_light import Source
from engineering.light_sources import CosinePower, line_parts
from engineering.points import IntensityFunction
from engineering.refusal import above_zero
from engineering.room_faces import Colour

SHAPES = ("disc", "globe", "bar", "none")
WHITE = (1.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scaled:
    """A share of another intensity law, for one part of a long luminaire."""

    intensity_cd: IntensityFunction
    share: float

    def __call__(self, c_deg: Any, gamma_deg: Any) -> Any:
        """Return the intensity [cd] of the part."""
        return self.intensity_cd(c_deg, gamma_deg) * self.share


@dataclass(frozen=True, slots=True, kw_only=True)
class LitFitting:
    """A fitting at its place, with what it sends and how it looks.

    Parameters
    ----------
    placement : where it hangs and where it aims; with a length for tape and profiles.
    intensity_cd : function (c_deg, gamma_deg) → [cd], of the whole piece.
    flux_lm : [lm], above 0; of the whole piece.
    shape : "disc" (a flat opening), "globe", "bar" or "none" (hidden, as tape in a cove).
    size_m : [m], above 0; diameter of the opening, the globe or the bar.
    nearest_m : [m], above 0; a long piece is cut into parts of a fifth of this.
    """

    placement: Placement
    intensity_cd: IntensityFunction
    flux_lm: float
    shape: str = "disc"
    size_m: float = 0.08
    nearest_m: float = 0.5

    def __post_init__(self) -> None:
        above_zero("flux_lm", self.flux_lm)
        above_zero("size_m", self.size_m)
        above_zero("nearest_m", self.nearest_m)
        if self.shape not in SHAPES:
            raise ValueError(f"shape must be one of {', '.join(SHAPES)}, got {self.shape!r}")

    @property
    def sources(self) -> tuple[Source, ...]:
        """The fitting as point sources: one, or a row of parts where it has a length."""
        return self.in_parts(self.parts)

    @property
    def parts(self) -> int:
        """Into how many parts it is cut: 1 without a length."""
        if self.placement.end_m is None:
            return 1
        return line_parts(length_m=self.placement.length_m, nearest_m=self.nearest_m)

    def in_parts(self, parts: int) -> tuple[Source, ...]:
        """Return the fitting as a row of point sources; without a length as one, whatever is asked."""
        place = self.placement
        if place.end_m is None:
            return (self._source(place.position_m, self.intensity_cd, 1),)
        law: IntensityFunction
        if isinstance(self.intensity_cd, CosinePower):
            law = replace(self.intensity_cd, peak_cd=self.intensity_cd.peak_cd / parts)
        else:
            law = Scaled(intensity_cd=self.intensity_cd, share=1 / parts)
        start, end = np.array(place.position_m), np.array(place.end_m)
        middles = start + (np.arange(parts)[:, None] + 0.5) / parts * (end - start)
        return tuple(self._source((x, y, z), law, parts) for x, y, z in middles.tolist())

    def _source(
        self, position_m: tuple[float, float, float], law: IntensityFunction, parts: int
    ) -> Source:
        return Source(
            position_m=position_m,
            intensity_cd=law,
            flux_lm=self.flux_lm / parts,
            aim=self.placement.aim,
            turn_deg=self.placement.turn_deg,
            part=1 / parts,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LitCircuit:
    """A circuit, or one colour channel of a circuit, with its fittings at full level.

    `colour` is the linear sRGB colour of luminance 1 of its light (`colour.linear_rgb_of_cct`, adapted to `tone.WHITE_KELVIN`). A
    tunable white circuit is two of these, a colour circuit one for each channel; their `key`s
    tell them apart.
    """

    key: str
    fittings: tuple[LitFitting, ...]
    colour: Colour = WHITE

    def __post_init__(self) -> None:
        if not self.fittings:
            raise ValueError(f"circuit {self.key!r} has no fitting")
        if not all(0 <= part < math.inf for part in self.colour):
            raise ValueError(f"colour must be three numbers of 0 or more, got {self.colour!r}")

    @property
    def sources(self) -> tuple[Source, ...]:
        """All its point sources."""
        return tuple(source for fitting in self.fittings for source in fitting.sources)
