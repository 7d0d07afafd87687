"""The polar curve of a luminaire: numbers to draw, and a drawing of them."""

import math
from dataclasses import dataclass
from html import escape
from typing import Final

import numpy as np

from engineering.photometry import Luminaire

_STEP_DEG: Final = 1.0
_NICE: Final = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PolarCurve:
    """One closed curve: the intensity right round in a plane and its opposite.

    Attributes
    ----------
    c_deg : the plane that is drawn to the right [degrees]
    angles_deg : directions from -180 to 180, straight down 0, positive to the right [degrees]
    intensity_cd : in each direction [cd]
    points : x to the right and y down, with `limit_cd` at distance 1
    limit_cd : the outer ring [cd], a round number not below the peak
    """

    c_deg: float
    angles_deg: tuple[float, ...]
    intensity_cd: tuple[float, ...]
    points: tuple[tuple[float, float], ...]
    limit_cd: float


def round_limit(peak_cd: float, *, rings: int = 4) -> float:
    """Return a round outer value so that each ring is a round number too.

    Parameters
    ----------
    peak_cd : greatest value to be shown [cd], above 0
    rings : 1 or more

    >>> round_limit(1536.0), round_limit(90.0, rings=2)
    (2000.0, 100.0)
    """
    if not 0 < peak_cd < math.inf:
        raise ValueError(f"peak_cd must be above 0, got {peak_cd!r}")
    if rings < 1:
        raise ValueError(f"rings must be 1 or more, got {rings!r}")
    ring = peak_cd / rings
    power = 10.0 ** math.floor(math.log10(ring))
    step = next((n for n in _NICE if n * power >= ring * (1 - 1e-9)), _NICE[-1]) * power
    return step * rings


def curve(*, luminaire: Luminaire, c_deg: float = 0.0, limit_cd: float | None = None) -> PolarCurve:
    """Return the polar curve in the plane through `c_deg` and its opposite.

    Parameters
    ----------
    luminaire : the light
    c_deg : the plane drawn to the right [degrees], any number
    limit_cd : the outer ring [cd], not below the peak; a round number when left out

    Raises
    ------
    ValueError : a limit below the luminaire's peak

    >>> from engineering.photometry.models import globe
    >>> shown = curve(luminaire=globe(flux_lm=4 * math.pi))
    >>> len(shown.points), shown.limit_cd
    (361, 1.0)
    """
    peak = luminaire.peak_cd()
    limit = round_limit(peak) if limit_cd is None else limit_cd
    if not peak * (1 - 1e-9) <= limit < math.inf:
        raise ValueError(f"limit_cd must not be below the peak of {peak:g} cd, got {limit!r}")
    angles = np.arange(-180.0, 180.0 + _STEP_DEG / 2, _STEP_DEG)
    planes = np.where(angles < 0, c_deg + 180.0, c_deg)
    values = np.asarray(luminaire.intensity(planes, np.abs(angles)))
    turn = np.radians(angles)
    x, y = np.sin(turn) * values / limit, np.cos(turn) * values / limit
    return PolarCurve(
        c_deg=c_deg,
        angles_deg=tuple(angles.tolist()),
        intensity_cd=tuple(values.tolist()),
        points=tuple(zip(x.tolist(), y.tolist(), strict=True)),
        limit_cd=limit,
    )


def svg(
    *,
    luminaire: Luminaire,
    title: str,
    planes_deg: tuple[float, ...] = (0.0, 90.0),
    rings: int = 4,
    size: int = 320,
) -> str:
    """Draw the polar curve as SVG, styled by the page through its classes.

    Rings carry their candela, rays their angle. Two planes are told apart by the stroke, not by
    colour alone. A plane whose curve is the same as the first is left out.

    Parameters
    ----------
    luminaire : the light
    title : what a screen reader says; escaped here
    planes_deg : planes to draw [degrees], one or two
    rings : rings of equal candela, 1 to 10
    size : width and height [px], 100 to 2000

    Raises
    ------
    ValueError : values out of range

    >>> from engineering.photometry.models import globe
    >>> svg(luminaire=globe(flux_lm=800.0), title="Globe")[:20]
    '<svg class="polar" x'
    """
    if not 1 <= len(planes_deg) <= 2:
        raise ValueError(f"planes_deg must be one or two planes, got {planes_deg!r}")
    if not 1 <= rings <= 10:
        raise ValueError(f"rings must be from 1 to 10, got {rings!r}")
    if not 100 <= size <= 2000:
        raise ValueError(f"size must be from 100 to 2000, got {size!r}")
    limit = round_limit(luminaire.peak_cd(), rings=rings)
    curves = [curve(luminaire=luminaire, c_deg=c, limit_cd=limit) for c in planes_deg]
    if len(curves) == 2 and np.allclose(
        curves[0].intensity_cd, curves[1].intensity_cd, atol=limit * 1e-3
    ):
        curves.pop()
    radius = size * 0.42
    body = [*_rings(limit, rings, radius), *_rays(radius)]
    body += [_path(drawn, radius, number) for number, drawn in enumerate(curves, start=1)]
    half = size / 2
    return (
        f'<svg class="polar" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'viewBox="{-half:g} {-half:g} {size} {size}" width="{size}" height="{size}">'
        f"<title>{escape(title)}</title>{''.join(body)}</svg>"
    )


def _rings(limit_cd: float, rings: int, radius: float) -> list[str]:
    drawn = []
    for ring in range(1, rings + 1):
        r = radius * ring / rings
        drawn.append(
            f'<circle class="polar-ring" r="{r:.2f}" fill="none" stroke="currentColor" '
            f'stroke-opacity="0.25" stroke-width="0.75"/>'
            f'<text class="polar-value" x="3" y="{r - 3:.2f}" font-size="10" '
            f'fill="currentColor" fill-opacity="0.7">{limit_cd * ring / rings:g}</text>'
        )
    return drawn


def _rays(radius: float) -> list[str]:
    drawn = []
    for angle in range(-150, 181, 30):
        x, y = math.sin(math.radians(angle)), math.cos(math.radians(angle))
        drawn.append(
            f'<line class="polar-ray" x2="{x * radius:.2f}" y2="{y * radius:.2f}" '
            f'stroke="currentColor" stroke-opacity="0.25" stroke-width="0.75"/>'
            f'<text class="polar-angle" x="{x * radius * 1.1:.2f}" '
            f'y="{y * radius * 1.1 + 3.5:.2f}" font-size="10" text-anchor="middle" '
            f'fill="currentColor" fill-opacity="0.7">{abs(angle)}°</text>'
        )
    return drawn


def _path(drawn: PolarCurve, radius: float, number: int) -> str:
    points = " ".join(f"{x * radius:.2f},{y * radius:.2f}" for x, y in drawn.points)
    dashes = ' stroke-dasharray="6 4"' if number == 2 else ""
    return (
        f'<polygon class="polar-curve polar-curve-{number}" points="{points}" '
        f'fill="currentColor" fill-opacity="{0.12 if number == 1 else 0}" '
        f'stroke="currentColor" stroke-width="1.75" stroke-linejoin="round"{dashes}/>'
    )
