"""What the demo's showroom has tried on its bench. Invented."""

import datetime

from base.models import Person
from catalogue import bench_services
from catalogue.models import Product

# What was tried, on which receiver, edge, pieces on one output, steady down to [%], flicker, note.
TRIED = (
    ("DN-0809-WH", "RC-2208", "trailing", 12, 4, "none", "Steady after a minute."),
    ("DN-0810-WH", "RC-2208", "trailing", 8, 4, "none", ""),
    ("DN-0812-WH", "RC-2208", "trailing", 12, 5, "none", ""),
    ("DN-0813-WH", "RC-2208", "trailing", 6, 4, "none", ""),
    ("DN-0814-WH", "RC-2208", "trailing", 8, 2, "none", "Warms evenly down to the last step."),
    ("WL-3101-BZ", "RC-2208", "trailing", 4, 6, "none", ""),
    ("WL-3102-BR", "RC-2208", "trailing", 4, 8, "none", ""),
    ("WL-3103-BR", "RC-2208", "trailing", 4, 8, "below", "Shimmers under 8 %."),
    ("LA-7102", "RC-2208", "trailing", 6, 3, "none", ""),
    ("LA-7103", "RC-2208", "trailing", 10, 5, "none", ""),
)


def build_bench(*, by: Person, today: datetime.date) -> None:
    products = {product.reference: product for product in Product.objects.all()}
    for number, (load, receiver, edge, pieces, lowest, flicker, note) in enumerate(TRIED):
        if load not in products or receiver not in products:
            continue
        fields = {
            "load": products[load],
            "receiver": products[receiver],
            "edge": edge,
            "pieces": pieces,
            "lowest_level": lowest,
            "flicker": flicker,
            "tried_on": today - datetime.timedelta(days=20 + 7 * number),
            "note": note,
        }
        bench_services.add_bench_test(by=by, fields=fields, today=today)
