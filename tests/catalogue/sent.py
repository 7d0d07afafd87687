"""What the forms of a product send when somebody fills them in, and sheets for deeds."""

import datetime
from decimal import Decimal
from typing import Any

from catalogue import search, services
from catalogue.kinds import FED_KINDS
from catalogue.models import Product, ProductPrice
from catalogue.services import Price
from catalogue.sheet import ProductSheet

TODAY = datetime.date(2026, 3, 9)
DAY = datetime.timedelta(days=1)

BASICS: dict[str, Any] = {
    "reference": "QY-100",
    "name": "Quayside downlight",
    "unit": "piece",
    "pack_size": "1",
    "order_multiple": "1",
    "waste_share": "0",
    "phase": "second-fix",
    "tax_class": "standard",
}
FEED = {
    "load_kinds": ["switched", "phase-dimmed"],
    "is_dimmable": "on",
    "edge": "trailing",
    "load_nature": "led",
    "watts": "8.5",
    "source_lm": "800",
    "luminaire_lm": "720",
    "cct_k": "2700",
    "driver_place": "built-in",
}
BLOCKS: dict[str, dict[str, Any]] = {
    "fitting": {"ip_code": "IP44", "lamp_count": "0"},
    "driver": {"supply_v": "24", "rating_w": "60", "efficiency": "88", "ip_code": "IP20"},
    "receiver": {"outputs": "4", "unit_max_w": "800", "ip_code": "20", "modules": "6"},
    "keypad": {"scene_buttons": "4", "gangs": "1", "back_box_mm": "35", "engraving_chars": "12"},
}
LIMIT = {"load_kind": "phase-dimmed", "load_nature": "led", "min_w": "3", "max_w": "200"}


def rows(prefix: str, values: list[dict[str, Any]], *, stored: int = 0) -> dict[str, Any]:
    sent: dict[str, Any] = {
        f"{prefix}-TOTAL_FORMS": len(values),
        f"{prefix}-INITIAL_FORMS": stored,
    }
    for index, row in enumerate(values):
        sent |= {f"{prefix}-{index}-{name}": value for name, value in row.items()}
    return sent


def sent(kind: str = "fitting", **changes: Any) -> dict[str, Any]:
    """What the form of a kind sends; changes by field, such as feeds=[…] or technical={…}."""
    feeds = changes.pop("feeds", [FEED])
    limits = changes.pop("limits", [LIMIT])
    parts = changes.pop("parts", [])
    stored = changes.pop("stored", 0)
    block = "fitting" if kind in FED_KINDS else kind
    technical = {**BLOCKS.get(block, {}), **changes.pop("technical", {})}
    data = {**BASICS, **changes}
    data |= {f"technical-{name}": value for name, value in technical.items()}
    if kind in FED_KINDS:
        data |= rows("feeds", feeds, stored=stored)
    if kind == "receiver":
        data |= rows("limits", limits)
    return data | rows("parts", parts)


def a_sheet(**basics: Any) -> ProductSheet:
    """A downlight with one feed, as the forms would have read it."""
    given = {
        **BASICS,
        "pack_size": 1,
        "order_multiple": 1,
        "waste_share": Decimal(0),
        **basics,
    }
    feed = {
        **FEED,
        "watts": Decimal("8.5"),
        "source_lm": Decimal(800),
        "luminaire_lm": Decimal(720),
    }
    return ProductSheet(
        kind="fitting",
        basics=given,
        technical={"ip_code": "44", "lamp_cap": "", "lamp_count": 0},
        feeds=[{**feed, "cct_k": 2700}],
    )


def made(*, cost: str = "31.74", sell: str = "66.50", **basics: Any) -> Product:
    """A stored downlight with a price since the beginning of 2026."""
    product = services.add_product(by=None, sheet=a_sheet(**basics))
    ProductPrice.objects.create(
        product=product,
        from_day=datetime.date(2026, 1, 5),
        cost=Decimal(cost),
        sell=Decimal(sell),
    )
    return product


def accessories(count: int, **values: Any) -> list[Product]:
    """Many simple products with their search lines, quickly."""
    found = [
        Product(kind="accessory", reference=f"ACC-{n:06d}", name=f"Bracket {n}", **values)
        for n in range(count)
    ]
    Product.objects.bulk_create(found)
    search.index(found)
    return found


def a_price(day: datetime.date, cost: str = "40.17", sell: str = "80") -> Price:
    return Price(from_day=day, cost=Decimal(cost), sell=Decimal(sell))
