"""Finding products by words: any order, parts of words, and words with a slip of the finger.

Every product has one line of normalised words (`SearchText`). A word of the question must stand in
it: anywhere when it begins with a letter and has three signs or more, else at the start of a word
("8w" finds "8w", not "18w"). A word that stands nowhere in the catalogue is taken for the nearest
ones that do. How the lines are indexed, and why so: docs/decisions/0006-find-products-by-trigrams.md.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from itertools import pairwise
from uuid import UUID

from django.db import connection
from django.db.models import Exists, Q

from catalogue.kinds import Kind
from catalogue.models import Product, SearchText, SearchWord
from catalogue.slips import is_plain, nearest

MOST = 250
"""Products that one search ranks and lists; past it the person is asked for another word."""
MOST_WORDS = 8
MENDED = 6
"""Words taken in place of one that is not known."""

# Signs that no typed word contains, three letters each, so that one trigram is the whole mark.
KIND_MARKS: dict[str, str] = {
    Kind.FITTING: "#fi",
    Kind.LAMP: "#la",
    Kind.TAPE: "#ta",
    Kind.PROFILE: "#pr",
    Kind.DRIVER: "#dr",
    Kind.RECEIVER: "#re",
    Kind.KEYPAD: "#ke",
    Kind.SENSOR: "#se",
    Kind.HUB: "#hu",
    Kind.REPEATER: "#rp",
    Kind.REMOTE: "#rm",
    Kind.SWITCH_PLATE: "#sw",
    Kind.DIMMER: "#di",
    Kind.OUTLET: "#ou",
    Kind.BLIND: "#bl",
    Kind.CABLE: "#ca",
    Kind.ACCESSORY: "#ac",
    Kind.SERVICE: "#sv",
}
DISCONTINUED_MARK = "#--"

_WORD = re.compile(r"\d+[.,]\d+[^\W_]*|[^\W_]+")
_UNITS = frozenset({"w", "k", "v", "m", "mm", "ma", "lm", "kg"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a search found, best first. `is_cut`: there are more than are listed.

    `mended` are words that were taken for others: (as typed, as taken).
    """

    ids: tuple[UUID, ...]
    is_cut: bool = False
    mended: tuple[tuple[str, tuple[str, ...]], ...] = ()


def find(words: str, *, kinds: Iterable[str] = (), limit: int = 20) -> list[Product]:
    """The sold products that the words mean, best first, with feeds and prices loaded.

    Without words: the first ones in the catalogue's order.
    """
    kinds = tuple(kinds)
    products = Product.objects.for_list()
    if not split(words):
        chosen = products.sold()
        return list((chosen.filter(kind__in=kinds) if kinds else chosen)[:limit])
    return products.in_order(search(words, kinds=kinds).ids[:limit])


def search(
    words: str,
    *,
    kinds: Sequence[str] = (),
    is_discontinued: bool = False,
    slips: Slips | None = None,
    is_mended: bool = True,
) -> Found:
    """The keys of the products that hold every word, best first.

    Without `is_mended` a word with a slip finds nothing. Many searches with words in common share
    `slips`, so that the catalogue is asked once for each word.
    """
    asked = [(word,) for word in split(words)[:MOST_WORDS]]
    if not asked:
        return Found(ids=())
    rows = _rows(asked, kinds=kinds, is_discontinued=is_discontinued)
    mended: list[tuple[str, tuple[str, ...]]] = []
    if not rows and is_mended:
        mended = (slips or Slips()).mended([word for (word,) in asked])
        if mended:
            other = dict(mended)
            asked = [other.get(word, (word,)) for (word,) in asked]
            rows = _rows(asked, kinds=kinds, is_discontinued=is_discontinued)
    if len(rows) >= MOST:  # else it is among them: its line holds its reference
        rows = _with_exact(rows, words, kinds=kinds, is_discontinued=is_discontinued)
    flat = [word for alternatives in asked for word in alternatives]
    rows.sort(key=lambda row: _rank(row, words=words, asked=flat))
    return Found(
        ids=tuple(row[0] for row in rows[:MOST]), is_cut=len(rows) >= MOST, mended=tuple(mended)
    )


def split(words: str) -> list[str]:
    """The words in one form: no accents, small letters, a point in decimals, no marks.

    >>> split("Ferrow’s TAPE, 4,8 W/m – Café")
    ['ferrow', 's', 'tape', '4.8', 'w', 'm', 'cafe']
    """
    plain = unicodedata.normalize("NFKD", words.replace("\x00", " "))
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign)).casefold()
    return [word.replace(",", ".")[:40] for word in _WORD.findall(plain)]


def line(product: Product) -> str:
    """The line that the search reads. Reads the product's feeds and fitting: fetch for_search()."""
    words = split(
        " ".join(
            [
                product.name,
                product.client_name,
                product.reference,
                product.supplier_code,
                product.finish,
                product.series,
                # Not get_kind_display(): it words every kind to find one.
                str(Kind(product.kind).label),
                product.description,
            ]
        )
    )
    # "8 W" is found as "8w", "AB-12/3" as "ab123", as people type them.
    words += [number + unit for number, unit in pairwise(words) if unit in _UNITS]
    words += ["".join(split(code)) for code in (product.reference, product.supplier_code)]
    words += _technical_words(product)
    marks = [KIND_MARKS[product.kind]] + [DISCONTINUED_MARK] * product.is_discontinued
    return " ".join(["", *dict.fromkeys(word for word in words if word), *marks, ""])


def index(products: Iterable[Product]) -> None:
    """Write the lines of these products and their words. Fetch them for_search() first."""
    lines = [SearchText(product=product, text=line(product)) for product in products]
    SearchText.objects.bulk_create(
        lines,
        batch_size=500,
        update_conflicts=True,
        unique_fields=["product"],
        update_fields=["text"],
    )
    words = {word for each in lines for word in each.text.split() if is_plain(word)}
    known = set(SearchWord.objects.filter(word__in=words).values_list("word", flat=True))
    SearchWord.objects.bulk_create(
        [SearchWord(word=word) for word in sorted(words - known)],
        batch_size=500,
        ignore_conflicts=True,
    )


def index_one(product: Product) -> None:
    """Write the line of a product, now or when `postponed` ends."""
    waiting = _postponed.get()
    if waiting is None:
        index([Product.objects.for_search().get(pk=product.pk)])
    else:
        waiting.add(product.pk)


@contextmanager
def postponed() -> Iterator[None]:
    """Write the lines of what changes inside all at once at the end: a load of many products."""
    waiting: set[UUID] = set()
    token = _postponed.set(waiting)
    try:
        yield
    finally:
        _postponed.reset(token)
    index(Product.objects.for_search().filter(pk__in=waiting))


_postponed: ContextVar[set[UUID] | None] = ContextVar("postponed_search_lines", default=None)


def rebuild() -> int:
    """Make every line anew, and return how many there are."""
    SearchText.objects.all().delete()
    SearchWord.objects.all().delete()
    count = 0
    keys = list(Product.objects.order_by("pk").values_list("pk", flat=True))
    for start in range(0, len(keys), 1000):
        chunk = list(Product.objects.for_search().filter(pk__in=keys[start : start + 1000]))
        index(chunk)
        count += len(chunk)
    return count


Row = tuple[UUID, str, str]


def _technical_words(product: Product) -> list[str]:
    words = []
    for feed in product.feeds.all():
        words += [f"{float(feed.watts):g}w"] if feed.watts else []
        words += [f"{feed.cct_k}k"] if feed.cct_k else []
    if fitting := getattr(product, "fitting", None):
        words += [f"ip{fitting.ip_code.lower()}", *split(fitting.lamp_cap)]
    return words


def _rows(
    asked: Sequence[Collection[str]], *, kinds: Sequence[str], is_discontinued: bool
) -> list[Row]:
    """(key, name, reference) of at most MOST products that hold one word of every group."""
    if _has_index():
        return _indexed(asked, kinds=kinds, is_discontinued=is_discontinued)
    lines = SearchText.objects.filter(product__is_discontinued=is_discontinued)
    if kinds:
        lines = lines.filter(product__kind__in=kinds)
    for alternatives in asked:
        some = Q()
        for word in alternatives:
            some |= Q(text__contains=_pattern(word))
        lines = lines.filter(some)
    return list(lines.values_list("product_id", "product__name", "product__reference")[:MOST])


def _pattern(word: str) -> str:
    return word if len(word) >= 3 and word[0].isalpha() else f" {word}"


def _indexed(
    asked: Sequence[Collection[str]], *, kinds: Sequence[str], is_discontinued: bool
) -> list[Row]:
    """The rows by the trigram index of SQLite, which stops at the first MOST.

    A pattern of fewer than three signs has no trigram: it is compared line by line.
    """
    groups = [[_pattern(word) for word in alternatives] for alternatives in asked]
    matches = [_any(group) for group in groups if all(len(each) >= 3 for each in group)]
    if kinds:
        matches.append(_any([KIND_MARKS[kind] for kind in kinds if kind in KIND_MARKS] or ["#no"]))
    short = [group[0] for group in groups if any(len(each) < 3 for each in group)]
    conditions, values = [], []
    if is_discontinued:
        matches.append(_any([DISCONTINUED_MARK]))
    if matches:
        expression = " AND ".join(matches)
        if not is_discontinued:
            expression = f'({expression}) NOT "{DISCONTINUED_MARK}"'
        conditions.append("catalogue_search_index MATCH %s")
        values.append(expression)
    elif not is_discontinued:
        conditions.append("text NOT LIKE %s")
        values.append(f"%{DISCONTINUED_MARK}%")
    conditions += ["text LIKE %s" for _ in short]
    values += [f"%{pattern}%" for pattern in short]
    with connection.cursor() as cursor:
        # In this order: SQLite would otherwise begin with the index of what is sold.
        cursor.execute(
            "SELECT line.product_id, product.name, product.reference FROM "  # noqa: S608 (ours)
            f"(SELECT rowid AS id FROM catalogue_search_index WHERE {' AND '.join(conditions)}"
            f" LIMIT {MOST}) AS found"
            " CROSS JOIN catalogue_searchtext AS line ON line.id = found.id"
            " CROSS JOIN catalogue_product AS product ON product.id = line.product_id",
            values,
        )
        return [(UUID(key), name, reference) for key, name, reference in cursor.fetchall()]


def _any(patterns: Sequence[str]) -> str:
    return "(" + " OR ".join(f'"{pattern}"' for pattern in patterns) + ")"


def _has_index() -> bool:
    """Whether SQLite has its trigram index. PostgreSQL's planner finds its own by itself."""
    if connection.vendor != "sqlite":
        return False
    if "catalogue_search_index" not in _seen_indexes:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1 FROM sqlite_master WHERE name = 'catalogue_search_index'")
            if cursor.fetchone() is None:
                return False
        _seen_indexes.add("catalogue_search_index")
    return True


_seen_indexes: set[str] = set()


def _with_exact(
    rows: list[Row], words: str, *, kinds: Sequence[str], is_discontinued: bool
) -> list[Row]:
    """The rows, and the product whose reference was typed in full even where the list was cut."""
    typed = words.strip()
    # By the reference alone, which has an index of its own: SQLite would rather walk all that are sold.
    exact = Product.objects.filter(reference__in={typed, typed.upper()})
    there = {row[0] for row in rows}
    more = [
        (key, name, reference)
        for key, name, reference, kind, is_old in exact.values_list(
            "pk", "name", "reference", "kind", "is_discontinued"
        )
        if key not in there and is_old == is_discontinued and (not kinds or kind in kinds)
    ]
    return more + rows


def _rank(row: Row, *, words: str, asked: Sequence[str]) -> tuple[int, int, int, str, str]:
    """Exact reference first, then names that begin so, then by how many words stand in the name,
    and of several words asked, by how little else stands there."""
    _key, name, reference = row
    # Not split(): it is the dearest part of a search that finds much, and accents hardly matter here.
    name_words = name.casefold().replace(",", " ").split()
    if reference.casefold() == words.strip().casefold():
        place = 0
    elif name_words and asked and name_words[0].startswith(asked[0]):
        place = 1
    else:
        place = 2
    missing = sum(not any(each.startswith(word) for each in name_words) for word in asked)
    beside = len(name_words) if len(asked) > 1 else 0
    return place, missing, beside, name, reference


class Slips:
    """What mistyped words were meant to be. Each word is looked up once, all words are read once."""

    def __init__(self) -> None:
        self._near: dict[str, tuple[str, ...]] = {}
        self._known: list[str] | None = None

    def mended(self, words: Sequence[str]) -> list[tuple[str, tuple[str, ...]]]:
        """Of these words those that stand nowhere, each with the known ones nearest to it."""
        new = [word for word in dict.fromkeys(words) if is_plain(word) and word not in self._near]
        standing = _standing(new)
        for word in new:
            self._near[word] = () if word in standing else nearest(word, self._words())[:MENDED]
        return [(word, near) for word in words if (near := self._near.get(word))]

    def _words(self) -> list[str]:
        if self._known is None:
            self._known = list(SearchWord.objects.values_list("word", flat=True))
        return self._known


def _standing(words: Sequence[str]) -> set[str]:
    """Of these words those that stand in some line. One query."""
    if not words:
        return set()
    if _has_index():
        one = (
            "SELECT * FROM (SELECT %s FROM catalogue_search_index"
            " WHERE catalogue_search_index MATCH %s LIMIT 1)"
        )
        with connection.cursor() as cursor:
            cursor.execute(
                " UNION ALL ".join([one] * len(words)),
                [value for word in words for value in (word, f'"{word}"')],
            )
            return {word for (word,) in cursor.fetchall()}
    if connection.vendor == "postgresql":
        # Planned for all lines of a word, and read to the first: for a word that stands nowhere the
        # planner would else go through every line, hoping to meet one soon.
        places = range(len(words))
        line = "w{} AS MATERIALIZED (SELECT 1 FROM catalogue_searchtext WHERE text LIKE %s)"
        stands = "EXISTS (TABLE w{})"
        with connection.cursor() as cursor:
            cursor.execute(
                f"WITH {', '.join(map(line.format, places))}"
                f" SELECT {', '.join(map(stands.format, places))}",
                [f"%{word}%" for word in words],  # plain words: nothing in them to escape
            )
            found = cursor.fetchone()
        return {word for word, is_there in zip(words, found, strict=True) if is_there}
    asked = {
        f"word_{number}": Exists(SearchText.objects.filter(text__contains=word))
        for number, word in enumerate(words)
    }
    found = SearchText.objects.values().annotate(**asked).values_list(*asked)[:1]
    return {word for row in found for word, stands in zip(words, row, strict=True) if stands}
