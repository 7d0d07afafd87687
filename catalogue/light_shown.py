"""What the page of a product shows of its light: polar curve, beam by height, where it comes from."""

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from catalogue.models import Feed, PhotometricFile, Product
from catalogue.photometric import read_kept
from engineering import polar
from engineering.beams import Pool, pool, scallop_top
from engineering.photometry import Luminaire
from engineering.photometry.models import globe, spot

HEIGHTS_M = (1.0, 1.5, 2.0, 2.5, 3.0)
# A usual ceiling and usual distances of a row from its wall [m]: common practice, no source.
CEILING_M = 2.4
OFFSETS_M = (0.1, 0.2, 0.3, 0.5, 0.8)
WIDEST_POOL_DEG = 150.0
GLOBE_FROM_DEG = 176.0
NARROWEST_DEG, WIDEST_DEG = 4.0, 160.0


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
    def cone(self) -> list[tuple[float, float, float, float]]:
        """For the drawing, 100 wide for 3 m: y, half width, and the lx and diameter told there."""
        return [
            (each.distance_m * 40, each.diameter_m * 20, each.centre_lx, each.diameter_m)
            for each in self.pools
        ]


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
