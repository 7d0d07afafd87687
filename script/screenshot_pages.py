"""The pages that script/screenshots takes pictures of. One line adds a page.

A page is named by its URL name, and what of the demo it shows is looked up in the database:
`Page("room", "consult:room", lambda: [first("consult.Room", name="Galley").pk])`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.urls import reverse


@dataclass(frozen=True, slots=True)
class Page:
    """A page to take pictures of.

    `name` goes into the file names; `args` gives the URL's arguments, and `address` the whole
    path instead where no URL name leads to it (a link's secret). A `guest` page is opened logged
    out, and `status` is what it must answer.
    """

    name: str
    url_name: str = ""
    args: Callable[[], Sequence[object]] = tuple
    address: Callable[[], str] | None = None
    guest: bool = False
    status: int = 200

    def path(self) -> str:
        """The page's path on the server. Reads the database."""
        if self.address is not None:
            return self.address()
        return reverse(self.url_name, args=list(self.args()))


def first(label: str, **wanted: object) -> Any:
    """The first row of the model `label` ("consult.Room") that fits, by primary key."""
    found = apps.get_model(label).objects.filter(**wanted).order_by("pk").first()
    if found is None:
        raise LookupError(f"The demo has no {label} with {wanted}.")
    return found


PAGES: tuple[Page, ...] = (
    Page("login", "account_login", guest=True),
    Page("password-reset", "account_reset_password", guest=True),
    Page("not-found", address=lambda: "/no-such-page/", status=404),
    Page("home", "home"),
)
