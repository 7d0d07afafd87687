"""What the page of a product shows of its light: polar curve, beam by height, where it comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from catalogue.models import Feed, PhotometricFile, Product
from catalogue.photometric import read_kept
from engineering import polar
from engineering.beams import Pool, pool, scallop_outline, scallop_top
from engineering.photometry import Luminaire
from engineering.photometry.models import globe, spot

HEIGHTS_M = (1.0, 1.5, 2.0, 2.5, 3.0)
# A usual ceiling and usual distances of a row from its wall [m]: common practice, no source.
CEILING_M = 2.4
OFFSETS_M = (0.1, 0.2, 0.3, 0.5, 0.8)
# The drawn wall, where the section beside it stands, and what a label takes [cm].
WALL_CM, SECTION_CM, LABEL_CM = 260.0, 160.0, 17.0
# The drawing of a beam: units a metre, half its frame, and what a line of words takes.
CONE_SCALE, CONE_HALF, CONE_TEXT = 40.0, 105.0, 11.0
WIDEST_POOL_DEG = 150.0
GLOBE_FROM_DEG = 176.0
NARROWEST_DEG, WIDEST_DEG = 4.0, 160.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ConeLine:
    """One height of a drawn beam: how far down, half its width, and what is told of it."""

    y: float
    half: float
    pool: Pool
    is_told: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WallLine:
    """The scallop of one distance from the wall [m], drawn in centimetres from the ceiling down."""

    offset_m: float
    top_m: float
    outline: str
    stands_at: float
    down: float
    label_y: float


def _outline(edge: Sequence[tuple[float, float]]) -> str:
    """The edge of a scallop as a path, cut off at the drawn wall, closed along the floor."""
    half = WALL_CM / 2
    points = [
        (min(half, max(-half, x * 100)), min(CEILING_M * 100, (CEILING_M - z) * 100))
        for x, z in edge
    ]
    points = [(points[0][0], CEILING_M * 100), *points, (points[-1][0], CEILING_M * 100)]
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + "Z"


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedLight:
    """The light of one feed: its curve as SVG, the pools of its beam, the file it comes from."""

    number: int
    name: str
    curve: SafeString
    pools: tuple[Pool, ...]
    beam_deg: float | None
    file: PhotometricFile | None
    flux_lm: float

    @property
    def scallops(self) -> list[tuple[float, float]]:
        """How far off a wall [m], and how high its scallop then reaches under a usual ceiling [m].

        Empty for a beam so wide, or so narrow, that there is none to speak of.
        """
        if not self.pools or self.beam_deg is None:
            return []
        tops = [
            (off, scallop_top(mounting_height_m=CEILING_M, offset_m=off, beam_deg=self.beam_deg))
            for off in OFFSETS_M
        ]
        return [(off, top) for off, top in tops if top > 0]

    @property
    def cone(self) -> list[ConeLine]:
        """The pools for a drawing to one scale, as large as its frame takes."""
        widest = max((each.diameter_m / 2 for each in self.pools), default=0.0)
        scale = min(CONE_SCALE, CONE_HALF / widest) if widest else CONE_SCALE
        step = scale * (HEIGHTS_M[1] - HEIGHTS_M[0])
        return [
            ConeLine(
                y=each.distance_m * scale,
                half=each.diameter_m / 2 * scale,
                pool=each,
                # Where lines are close, only the last is told; the table tells them all.
                is_told=step >= CONE_TEXT or each is self.pools[-1],
            )
            for each in self.pools
        ]

    @property
    def wall(self) -> list[WallLine]:
        """The scallops for a drawing in centimetres, from the highest: its outline and its label."""
        found: list[WallLine] = []
        for off, top in self.scallops:
            edge = scallop_outline(
                mounting_height_m=CEILING_M, offset_m=off, beam_deg=self.beam_deg or 0
            )
            above = found[-1].label_y if found else -1.0
            down = (CEILING_M - top) * 100
            found.append(
                WallLine(
                    offset_m=off,
                    top_m=top,
                    outline=_outline(edge),
                    stands_at=SECTION_CM + off * 100,
                    down=down,
                    label_y=max(down, above + LABEL_CM),
                )
            )
        return found


def feed_lights(product: Product) -> list[FeedLight]:
    """The light of every feed that shines: two queries beyond the product's own."""
    files = {row.feed_number: row for row in product.photometric_files.select_related("file")}
    found = []
    for feed in product.feeds.all():
        file = files.get(feed.number)
        luminaire = read_kept(file.format, file.file.sha256) if file else _estimated(feed)
        if luminaire is not None and product.unit == "piece":
            found.append(_light(product, feed, file, luminaire))
    return found


def _estimated(feed: Feed) -> Luminaire | None:
    flux = float(feed.luminaire_lm or feed.source_lm or 0)
    if flux <= 0 or not feed.beam_deg:
        return None
    if feed.beam_deg >= GLOBE_FROM_DEG:
        return globe(flux_lm=flux)
    return spot(flux_lm=flux, beam_deg=min(WIDEST_DEG, max(NARROWEST_DEG, float(feed.beam_deg))))


def _light(
    product: Product, feed: Feed, file: PhotometricFile | None, luminaire: Luminaire
) -> FeedLight:
    beam = _beam_deg(luminaire)
    pools: tuple[Pool, ...] = ()
    if beam is not None and beam <= WIDEST_POOL_DEG:
        pools = tuple(
            pool(intensity_cd=luminaire.intensity, beam_deg=beam, distance_m=height)
            for height in HEIGHTS_M
        )
    title = _("Polar curve of %(product)s, candela") % {"product": product.name}
    return FeedLight(
        number=feed.number,
        name=feed.name,
        curve=mark_safe(polar.svg(luminaire=luminaire, title=title)),  # noqa: S308  escaped there
        pools=pools,
        beam_deg=beam,
        file=file,
        flux_lm=luminaire.flux_lm(),
    )


def _beam_deg(luminaire: Luminaire) -> float | None:
    """The beam angle in the plane of C0; None where the light has no beam."""
    try:
        beam = luminaire.beam_angle_deg(0.0)
    except ValueError:
        return None
    return beam if 0 < beam < 180 else None
