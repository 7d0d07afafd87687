"""Which products price the pieces of ordinary switching: for the whole business."""

import re

from base.deeds import deed
from base.models import Person
from catalogue.kinds import Kind
from catalogue.models import Product
from consult.models import SwitchingPiece

GANG_WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "six": 6}
KIND_CODES: dict[str, str] = {Kind.SWITCH_PLATE: "switch-plate", Kind.DIMMER: "dimmer-plate"}
_GANGS = re.compile(r"\b(one|two|three|four|six|[1-6]) gang", re.IGNORECASE)
_DEPTH = re.compile(r"\b(16|25|35|47) mm deep", re.IGNORECASE)


@deed()
def pieces_set(
    *, by: Person, products: dict[str, Product | None], led_w: int | None = None
) -> None:
    """Store the product of each code; None takes a code's product away."""
    for code, product in products.items():
        if product is None:
            SwitchingPiece.objects.filter(code=code).delete()
            continue
        SwitchingPiece.objects.update_or_create(
            code=code, defaults={"product": product, "led_w": led_w if "dimmer" in code else None}
        )


@deed()
def pieces_suggest(*, by: Person) -> None:
    """Take the products whose names say what they are, where nothing is chosen yet."""
    chosen = set(SwitchingPiece.objects.values_list("code", flat=True))
    for code, product in suggestions().items():
        if code not in chosen:
            SwitchingPiece.objects.create(code=code, product=product)


def suggestions() -> dict[str, Product]:
    """Products by the code that their names tell: a proposal that a person confirms.

    A plate or box says its gangs in words, a box its depth; the first by reference is proposed.
    """
    found: dict[str, Product] = {}
    kinds = (Kind.SWITCH_PLATE, Kind.DIMMER, Kind.ACCESSORY)
    for product in Product.objects.sold().filter(kind__in=kinds).order_by("reference"):
        if "intermediate" in product.name.lower():
            found.setdefault("intermediate-extra", product)
            continue
        gangs = _GANGS.search(product.name)
        if gangs is None:
            continue
        number = GANG_WORDS.get(gangs[1].lower()) or int(gangs[1])
        depth = _DEPTH.search(product.name)
        if product.kind in KIND_CODES:
            found.setdefault(f"{KIND_CODES[product.kind]}-{number}", product)
        elif depth is not None and "box" in product.name.lower():
            found.setdefault(f"box-{number}-{depth[1]}", product)
    return found
