"""How long a search takes in a catalogue of 100,000 products: p50 and p95, by the clock and by the CPU.

    DATABASE_PATH=<an empty file> python -m tests.bench.bench_catalogue_search [products]

The names are put together from words of the trade, with invented references, from a fixed seed.
"""

import os
import random
import sys
import time
from collections.abc import Callable

import django

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
            for n in range(start, start + 2000)
        ]
        Product.objects.bulk_create(made)
        search.index(Product.objects.with_everything().filter(pk__in=[p.pk for p in made]))


def measure(name: str, call: Callable[[str], object]) -> None:
    wall, cpu = [], []
    for word in ASKED * 6:
        before, before_cpu = time.perf_counter(), time.process_time()
        call(word)
        wall.append((time.perf_counter() - before) * 1000)
        cpu.append((time.process_time() - before_cpu) * 1000)
    slowest = max(zip(cpu, ASKED * 6, strict=True))
    for label, values in (("clock", sorted(wall)), ("CPU", sorted(cpu))):
        print(
            f"{name:22} {label:6} p50 {values[len(values) // 2]:6.1f} ms   p95 {values[int(len(values) * 0.95)]:6.1f} ms"
        )
    print(f"{'':22} slowest by CPU: {slowest[1]!r} {slowest[0]:.1f} ms")


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "showroom.settings_test")
    django.setup()
    from django.core.management import call_command
    from django.test import Client

    from base.models import Person
    from catalogue import search
    from catalogue.models import Product, SearchWord

    call_command("migrate", verbosity=0)
    if not Product.objects.exists():
        fill(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
    print(f"{Product.objects.count()} products, {SearchWord.objects.count()} words")
    measure("search.find", lambda words: search.find(words))
    measure("with a kind", lambda words: search.find(words, kinds=["fitting"]))
    person = Person.objects.first() or Person.objects.create_user("b@x.example", "x", name="B")
    client = Client(headers={"host": "localhost"})
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    measure("list page", lambda words: client.get("/catalogue/", {"q": words}))
    measure("suggestions", lambda words: client.get("/catalogue/suggest/", {"q": words}))
    measure(
        "list without words", lambda words: client.get("/catalogue/", {"page": len(words) * 90})
    )


if __name__ == "__main__":
    main()
