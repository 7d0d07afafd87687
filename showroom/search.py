"""One field over everything: clients, projects, rooms, quotes and products."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from base.models import Person
from catalogue import search as catalogue
from catalogue.models import Product
from consult.models import Client, Project, Room
from quoting.models import Quote

EACH = 8
"""Rows that one kind shows; past it the list says that there are more."""
MOST_SIGNS = 200
MOST_WORDS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    title: str
    beside: str
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What was found of one kind. `more_url` leads to all of it where there is more than is shown."""

    title: Promise
    hits: tuple[Hit, ...]
    more_url: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the words found, kind by kind, without the kinds that hold nothing.

    `mended` are words taken for others, products only: (as typed, as taken).
    """

    kinds: tuple[Kind, ...] = ()
    mended: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def count(self) -> int:
        """How many are shown."""
        return sum(len(kind.hits) for kind in self.kinds)


def find(words: str, *, user: Person) -> Found:
    """Everything in which each of the words stands, in a constant number of queries.

    Parameters
    ----------
    words:
        As typed; the first 200 signs and eight words count. Without a word nothing is found.
    user:
        Who asks. Somebody who no longer works here finds nothing.
    """
    asked = words.replace("\x00", " ")[:MOST_SIGNS].split()[:MOST_WORDS]
    if not asked or not user.is_active:
        return Found()
    typed = " ".join(asked)
    products, mended = _products(typed)
    kinds = (
        _kind(_("Projects"), _projects(asked, user), _list("consult:projects", typed)),
        _kind(_("Clients"), _clients(asked, user), _list("consult:clients", typed)),
        _kind(_("Rooms"), _rooms(asked, user), ""),
        _kind(_("Quotes"), _quotes(asked, user), ""),
        _kind(_("Products"), products, _list("catalogue:products", typed)),
    )
    return Found(kinds=tuple(kind for kind in kinds if kind.hits), mended=mended)


def _kind(title: Promise, hits: Iterable[Hit], more_url: str) -> Kind:
    found = tuple(hits)
    has_more = len(found) > EACH
    return Kind(title=title, hits=found[:EACH], more_url=more_url if has_more else "")


def _list(page: str, words: str) -> str:
    return reverse(page, query={"q": words})


def _standing_in[Row: models.Model](
    rows: "models.QuerySet[Row]", words: list[str], *fields: str
) -> "models.QuerySet[Row]":
    """Rows in which every word stands in one of the fields; one more than are shown."""
    for word in words:
        anywhere = Q()
        for field in fields:
            anywhere |= Q(**{f"{field}__icontains": word})
        rows = rows.filter(anywhere)
    return rows[: EACH + 1]


def _projects(words: list[str], user: Person) -> Iterator[Hit]:
    rows = Project.objects.for_user(user).jobs().select_related("client")
    for row in _standing_in(rows, words, "name", "client__name", "site_address"):
        yield Hit(title=row.name, beside=str(row.client), url=row.get_absolute_url())


def _clients(words: list[str], user: Person) -> Iterator[Hit]:
    # Distinct, since a household of several people would come once for each.
    rows = Client.objects.for_user(user).distinct()
    for row in _standing_in(rows, words, "name", "email", "phone", "address", "people__name"):
        yield Hit(title=row.name, beside=row.email or row.phone, url=row.get_absolute_url())


def _rooms(words: list[str], user: Person) -> Iterator[Hit]:
    rows = Room.objects.for_user(user).filter(project__is_library=False)
    rows = rows.select_related("project", "floor").order_by("-project__changed_at", "position")
    for row in _standing_in(rows, words, "name", "project__name"):
        beside = f"{row.project}, {row.floor}"
        yield Hit(title=row.name, beside=beside, url=row.get_absolute_url())


def _quotes(words: list[str], user: Person) -> Iterator[Hit]:
    rows = Quote.objects.for_user(user).select_related("project__client")
    fields = ("number", "title", "project__name", "project__client__name")
    for row in _standing_in(rows, words, *fields):
        name = f"{row} {row.title}".strip()
        yield Hit(title=name, beside=str(row.project), url=row.get_absolute_url())


def _products(words: str) -> tuple[list[Hit], tuple[tuple[str, tuple[str, ...]], ...]]:
    """By the catalogue's own search, which forgives a slip. No price: clients may be looking."""
    found = catalogue.search(words)
    keys = found.ids[: EACH + 1]
    rows = Product.objects.only("pk", "name", "reference", "finish").in_bulk(list(keys))
    hits = [
        Hit(
            title=rows[key].name,
            beside=f"{rows[key].reference} {rows[key].finish}".strip(),
            url=reverse("catalogue:product", args=[key]),
        )
        for key in keys
        if key in rows
    ]
    return hits, found.mended
