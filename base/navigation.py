"""Where the main navigation leads. An entry whose page does not exist yet is left out."""

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

# Label, the page's name, and the beginning of the names that belong to it.
ENTRIES: tuple[tuple[Promise, str, tuple[str, ...]], ...] = (
    (_("What waits"), "home", ("home", "consult:appointment")),
    (
        _("Projects"),
        "consult:projects",
        ("consult:project", "consult:room", "consult:brief", "consult:note", "consult:visit_"),
    ),
    (_("Clients"), "consult:clients", ("consult:client",)),
    (_("Quotes"), "quoting:quotes", ("quoting:",)),
    (_("Catalogue"), "catalogue:products", ("catalogue:",)),
    (_("Business"), "base:business", ("base:",)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    label: Promise
    url: str
    is_current: bool


def entries(request: HttpRequest) -> list[Entry]:
    """The entries whose pages exist, the one that the request is in marked as current."""
    match = request.resolver_match
    current = current_page(match.view_name if match else "")
    found = []
    for label, page, _within in ENTRIES:
        try:
            url = reverse(page)
        except NoReverseMatch:
            continue
        found.append(Entry(label=label, url=url, is_current=page == current))
    return found


def current_page(view_name: str) -> str:
    """The page of the entry that a view belongs to: the longest beginning wins; none is ''."""
    matches = [
        (len(beginning), page)
        for _label, page, within in ENTRIES
        for beginning in within
        if view_name.startswith(beginning)
    ]
    return max(matches)[1] if matches else ""
