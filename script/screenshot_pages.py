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


def _project() -> list[object]:
    return [first("consult.Project", name="Old Sail Loft").pk]


def _room(name: str) -> list[object]:
    return [first("consult.Room", name=name, project__name="Old Sail Loft").pk]


def _client_link() -> str:
    """The path of the client's link. Only its hash is stored, so a new secret is made for it."""
    from showroom.demo.build import client_link

    project = first("consult.Project", name="Old Sail Loft")
    return reverse("quoting:offer", args=[client_link(project)])


def _draft() -> list[object]:
    return [first("quoting.Quote", revisions=None).pk]


QUOTING: tuple[Page, ...] = (
    Page("quote-unfolded", address=lambda: reverse("quoting:quote", args=_draft()) + "?open=all"),
    Page("quotes-by-month", "quoting:by_month"),
    Page("design-fee", "quoting:fee", _project),
    Page("quoting-rules", "quoting:rules"),
    Page("letter-wording", "quoting:wording", lambda: ["offer"]),
    Page("options", "quoting:options", _project),
    Page("option-prices", "quoting:option_prices", _project),
    Page("hours-as-worked", "quoting:hours", _project),
    Page("link-over", address=lambda: "/o/no-such-link/", guest=True, status=404),
)


def _visit_form() -> str:
    """The path of the form before the visit, with a new secret."""
    from consult.services import visits

    secret = visits.new_secret()
    visits.visit_link_remake(by=None, link=first("consult.VisitLink"), secret=secret)
    return reverse("consult:visit_form", args=[secret])


def _pattern() -> list[object]:
    """A room of the demo saved as a pattern, and the room into which it is to be put."""
    from consult.services import patterns

    galley = first("consult.Room", name="Galley", project__name="Old Sail Loft")
    found = patterns.patterns().filter(name="Quiet galley").first()
    if found is None:
        found = patterns.save_as_pattern(
            by=first("base.Person", role="designer"), room=galley, name="Quiet galley"
        )
    return [*_room("Rope store"), found.pk]


def _hung(reference: str) -> list[object]:
    """What hangs in the demo of the product with this reference."""
    return [first("consult.CircuitFitting", product__reference=reference).pk]


PAGES: tuple[Page, ...] = (
    Page("login", "account_login", guest=True),
    Page("password-reset", "account_reset_password", guest=True),
    Page("not-found", address=lambda: "/no-such-page/", status=404),
    Page("home", "home"),
    Page("clients", "consult:clients"),
    Page("client", "consult:client", lambda: [first("consult.Client").pk]),
    Page("projects", "consult:projects"),
    Page("project", "consult:project", _project),
    Page("brief", "consult:brief", _project),
    Page("notes", "consult:notes", _project),
    Page("appointments", "consult:appointments"),
    Page("appointment", "consult:appointment", lambda: [first("consult.Appointment").pk]),
    Page("visit-answers", "consult:visit_answers", lambda: [first("consult.VisitLink").pk]),
    Page("appointment-add", "consult:appointment_add", _project),
    Page("room-notes", "consult:room_notes", lambda: _room("Boat hall")),
    Page("note", "consult:note_change", lambda: [first("consult.Note").pk]),
    Page("visit-form", address=_visit_form, guest=True),
    Page("client-add", "consult:client_add"),
    Page("project-begin", "consult:project_begin"),
    Page("project-change", "consult:project_change", _project),
    Page("floor", "consult:floor_change", lambda: [first("consult.Floor").pk]),
    Page("room-add", "consult:room_add", lambda: [first("consult.Floor").pk]),
    Page("room-change", "consult:room_change", lambda: _room("Boat hall")),
    Page("object-add", "consult:object_add", lambda: _room("Galley")),
    Page("opening-add", "consult:opening_add", lambda: _room("Galley")),
    Page("opening", "consult:opening_change", lambda: [first("consult.Opening").pk]),
    Page("object", "consult:object_change", lambda: [first("consult.RoomObject").pk]),
    Page("group", "consult:group_change", lambda: [first("consult.RoomGroup").pk]),
    Page("enclosure", "consult:enclosure_change", lambda: [first("consult.Enclosure").pk]),
    Page("copying", "consult:room_copying", lambda: _room("Boat hall")),
    Page("pattern", "consult:pattern", _pattern),
    Page("swap", "consult:swap", lambda: _hung("DN-0812-WH")),
    Page("position", "consult:position_change", lambda: [first("consult.KeypadPosition").pk]),
    Page("position-add", "consult:position_add", _project),
    Page("search", address=lambda: "/search/?q=loft"),
    Page("room", "consult:room", lambda: _room("Boat hall")),
    Page("room-wet", "consult:room", lambda: _room("Wet room")),
    Page("places", "consult:places", _project),
    Page("scenes", "consult:scenes", _project),
    Page("light", "consult:light_sheet", _project),
    Page("light-house", "consult:light_house", _project),
    Page("room-light", "consult:room_light", lambda: _room("Boat hall")),
    Page("light-targets", "consult:targets"),
    Page("light-target", "consult:target", lambda: ["kitchen"]),
    Page("photometric-files", "catalogue:photometric"),
    Page("controls", "consult:controls", _project),
    Page("plan", "consult:plan", _project),
    Page("diagram", "consult:diagram", _project),
    Page("findings", "consult:findings", _project),
    Page("comparison", "consult:comparison", _project),
    Page("history", "consult:history", _project),
    Page("quotes", "quoting:quotes"),
    Page("quotes-of-project", "quoting:of_project", _project),
    Page("quote-issued", "quoting:quote", lambda: [first("quoting.Revision").quote_id]),
    Page("quote-draft", "quoting:quote", lambda: [first("quoting.Quote", revisions=None).pk]),
    Page("revision", "quoting:revision", lambda: [first("quoting.Revision").pk]),
    Page("offer", address=_client_link, guest=True),
    *QUOTING,
    Page("products", "catalogue:products"),
    Page("product", "catalogue:product", lambda: [first("catalogue.Product", kind="fitting").pk]),
    Page("product-add", "catalogue:product_add", lambda: ["fitting"]),
    Page("product-kinds", "catalogue:product_kinds"),
    Page(
        "product-edit",
        "catalogue:product_edit",
        lambda: [first("catalogue.Product", kind="fitting").pk],
    ),
    Page("tested-pairs", "catalogue:bench"),
    Page("tested-pair-add", "catalogue:bench_add"),
    Page("tested-pair", "catalogue:bench_change", lambda: [first("catalogue.BenchTest").pk]),
    Page("suppliers", "catalogue:suppliers"),
    Page("families", "catalogue:families"),
    Page("business", "base:business"),
    Page("people", "base:people"),
)
