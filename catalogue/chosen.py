"""A product that somebody chose, with what a form asks of it."""

import uuid
from dataclasses import dataclass

from catalogue.models import Feed, Product


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
    rows = Feed.objects.filter(product=key).select_related("product__fitting")
    if feeds := tuple(rows.order_by("number")):
        return Chosen(feeds[0].product, feeds)
    return Chosen(Product.objects.filter(pk=key).select_related("fitting").first())
