"""How long a search takes in a large catalogue: p50 and p95, by the clock and by the CPU.

    script/bench catalogue_search --long        # 100,000 products, on SQLite
    script/with-postgres bash -c 'BENCH_DATABASE_URL=$DATABASE_URL script/bench catalogue_search --long'

A plain run has 5,000 products. The names are put together from words of the trade, with invented
references, from a fixed seed.
"""

import random
import time
from collections.abc import Callable, Iterator

Row = tuple[str, float, str, float | None]
LIMIT_MS = 50.0

THINGS = [
    "downlight", "pendant", "wall light", "spotlight", "step light", "picture light", "track",
    "floor lamp", "bollard", "lantern", "chandelier", "batten", "panel", "strip", "cylinder",
]  # fmt: skip
LOOKS = [
    "white", "black", "bronze", "brass", "chrome", "graphite", "linen", "smoke", "amber", "copper",
    "nickel", "ivory", "sand", "slate", "walnut",
]  # fmt: skip
WAYS = [
    "fixed", "tilting", "sealed", "trimless", "surface", "recessed", "adjustable", "shielded",
    "dimmable", "fire tested", "square", "round", "narrow beam", "wide beam", "tunable",
]  # fmt: skip
ASKED = [
    "downlight", "tilting downlight brass", "REF-004711", "pendnat amber", "12w", "white", "shielded",
    "brass batten narrow", "li", "chandelier 2700k", "gu10", "nickel wall light", "zzzz", "lanten",
    "s-0815", "8", "ivory sand slate", "light",
]  # fmt: skip


def fill(count: int) -> None:
    from catalogue import search
    from catalogue.models import Product

    rng = random.Random(7)
    syllables = [
        "bra",
        "ven",
        "tor",
        "lim",
        "osk",
        "rid",
        "fal",
        "mer",
        "dun",
        "hal",
        "wick",
        "gar",
    ]
    series = ["".join(rng.sample(syllables, 3)) for _ in range(800)]
    for start in range(0, count, 2000):
        made = [
            Product(
                kind=rng.choice(list(search.KIND_MARKS)),
                reference=f"REF-{n:06d}",
                name=f"{rng.choice(WAYS)} {rng.choice(THINGS)} {rng.choice(series)}, {rng.choice(LOOKS)}",
                description=f"{rng.randint(2, 60)} W, {rng.choice(['2700', '3000', '4000'])} K",
                supplier_code=f"s-{rng.randint(0, 99999):05d}",
                is_discontinued=rng.random() < 0.1,
            )
            for n in range(start, min(start + 2000, count))
        ]
        Product.objects.bulk_create(made)
        search.index(Product.objects.for_search().filter(pk__in=[p.pk for p in made]))


def measure(name: str, call: Callable[[str], object], limit: float | None) -> Iterator[Row]:
    wall, cpu = [], []
    for word in ASKED * 6:
        before, before_cpu = time.perf_counter(), time.process_time()
        call(word)
        wall.append((time.perf_counter() - before) * 1000)
        cpu.append((time.process_time() - before_cpu) * 1000)
    for label, values in (("clock", sorted(wall)), ("CPU", sorted(cpu))):
        yield f"{name}, {label}, median", values[len(values) // 2], "ms", None
        p95 = values[int(len(values) * 0.95)]
        yield f"{name}, {label}, p95", p95, "ms", limit if label == "clock" else None


def main(is_long: bool = False) -> Iterator[Row]:
    from django.test import Client

    from base.models import Person
    from catalogue import search
    from catalogue.models import Product, SearchWord

    wanted = 100_000 if is_long else 5_000
    fill(wanted - Product.objects.count())
    yield "products", Product.objects.count(), "", None
    yield "words", SearchWord.objects.count(), "", None
    yield from measure("search", lambda words: search.find(words), None)
    yield from measure("of a kind", lambda words: search.find(words, kinds=["fitting"]), None)
    client = Client()
    person = Person.objects.get(role="designer")
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    yield from measure(
        "suggestions", lambda words: client.get("/catalogue/suggest/", {"q": words}), LIMIT_MS
    )
    yield from measure("list", lambda words: client.get("/catalogue/", {"q": words}), None)
    yield from measure(
        "list without words",
        lambda words: client.get("/catalogue/", {"page": len(words) * 90}),
        None,
    )
