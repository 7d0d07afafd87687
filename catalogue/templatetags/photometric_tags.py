"""The light of a product for its page."""

from django import template

from catalogue.light_shown import FeedLight, feed_lights
from catalogue.models import Product

register = template.Library()


@register.simple_tag
def lights_of(product: Product) -> list[FeedLight]:
    """The light of every feed of a product."""
    return feed_lights(product)
