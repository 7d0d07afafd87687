"""A product that somebody chose, with what a form asks of it."""

import uuid
from dataclasses import dataclass

from base.asked import Asked, by_key
from catalogue.models import Feed, Product

_FEEDS = Asked(
    lambda key: (
        Feed.objects.filter(product=key).select_related("product__fitting").order_by("number")
    )
)


@dataclass(frozen=True, slots=True)
class Chosen:
    """A product with its feeds in order, and its fitting data at hand; or no product."""

    product: Product | None = None
    feeds: tuple[Feed, ...] = ()

    @property
    def first(self) -> Feed | None:
        return self.feeds[0] if self.feeds else None


def chosen(key: uuid.UUID | None) -> Chosen:
    """The product of this key, or none: one query, two where it has no feed."""
    if key is None:
        return Chosen()
    if feeds := tuple(_FEEDS.all(key)):
        return Chosen(feeds[0].product, feeds)
    return Chosen(by_key(Product, "fitting").first(key))
