"""One product in place of another: in a room, on a floor, or in the whole house."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from base.deeds import Refusal, deed
from base.models import Person
from catalogue.models import Feed, Product, ProductPrice
from consult.journal import apply, update
from consult.models import CircuitFitting, Project, Room

SCOPES = ("room", "floor", "house")


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapRow:
    """One row that would change: watts and light [lm] of all its pieces, what does not fit."""

    fitting: CircuitFitting
    watts: Decimal
    watts_after: Decimal
    lumens: Decimal
    lumens_after: Decimal
    amiss: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapPreview:
    rows: tuple[SwapRow, ...]
    price_difference: Decimal | None  # at sell prices, without tax

    @property
    def watts(self) -> tuple[Decimal, Decimal]:
        return (sum_of(row.watts for row in self.rows), sum_of(r.watts_after for r in self.rows))

    @property
    def lumens(self) -> tuple[Decimal, Decimal]:
        return (sum_of(row.lumens for row in self.rows), sum_of(r.lumens_after for r in self.rows))


def sum_of(values: Any) -> Decimal:
    return sum(values, Decimal(0))


def affected(*, project: Project, product: Product, scope: str, room: Room) -> QuerySet[Any]:
    """The rows of a product in a room, on its floor or in the house."""
    rows = CircuitFitting.objects.filter(project=project, product=product)
    if scope == "room":
        rows = rows.filter(room=room)
    elif scope == "floor":
        rows = rows.filter(room__floor=room.floor_id)
    return rows.select_related("circuit", "room", "product", "feed").order_by("circuit__code")


def preview(*, project: Project, old: Product, new: Product, scope: str, room: Room) -> SwapPreview:
    """What would change, before anything does."""
    feeds = {feed.number: feed for feed in new.feeds.all()}
    rows = tuple(
        _row(each, new, feeds)
        for each in affected(project=project, product=old, scope=scope, room=room)
    )
    prices = [_price(old), _price(new)]
    difference = None
    if None not in prices:
        counted = sum_of(_quantity(r.fitting) for r in rows if not r.fitting.same_pieces_as_id)
        difference = counted * ((prices[1] or Decimal(0)) - (prices[0] or Decimal(0)))
    return SwapPreview(rows=rows, price_difference=difference)


def _quantity(fitting: CircuitFitting) -> Decimal:
    return fitting.pieces * (fitting.length_m or Decimal(1))


def _row(fitting: CircuitFitting, new: Product, feeds: dict[int, Feed]) -> SwapRow:
    quantity = _quantity(fitting)
    old_feed, new_feed = fitting.feed, _like(fitting.feed, feeds)
    return SwapRow(
        fitting=fitting,
        watts=quantity * _figure(old_feed, "watts"),
        watts_after=quantity * _figure(new_feed, "watts"),
        lumens=quantity * _figure(old_feed, "luminaire_lm"),
        lumens_after=quantity * _figure(new_feed, "luminaire_lm"),
        amiss=tuple(_amiss(fitting, new, new_feed)),
    )


def _like(feed: Feed | None, feeds: dict[int, Feed]) -> Feed | None:
    """The part of the new product that stands where this one stood, else its first."""
    if feed is not None and feed.number in feeds:
        return feeds[feed.number]
    return feeds[min(feeds)] if feeds else None


def _figure(feed: Feed | None, name: str) -> Decimal:
    return (getattr(feed, name) or Decimal(0)) if feed else Decimal(0)


def _amiss(fitting: CircuitFitting, new: Product, feed: Feed | None) -> list[str]:
    """Codes of what does not fit: how it is driven, the void above it, what a row is sold by."""
    found = []
    if feed is not None and fitting.circuit.load_kind not in feed.load_kinds:
        found.append("driven")
    depth = getattr(getattr(new, "fitting", None), "recess_depth_mm", None)
    if depth and fitting.room.void_mm is not None and depth > fitting.room.void_mm:
        found.append("void")
    if fitting.product is not None and fitting.product.unit != new.unit:
        found.append("unit")
    return found


def _price(product: Product) -> Decimal | None:
    day = timezone.localdate()
    rows = ProductPrice.objects.filter(product=product, from_day__lte=day).order_by("-from_day")
    return rows.values_list("sell", flat=True).first()


@deed(locks="project")
def product_swap(
    *, by: Person, project: Project, old: Product, new: Product, scope: str, room: Room
) -> int:
    """Put one product in place of another. One act, however many rows. Returns how many."""
    if old == new:
        raise Refusal(_("That is the product that hangs there already."))
    if old.unit != new.unit:
        raise Refusal(
            _("One is sold by the piece, the other by the metre: change those rows one by one.")
        )
    feeds = {feed.number: feed for feed in new.feeds.all()}
    rows = list(affected(project=project, product=old, scope=scope, room=room))
    if not rows:
        raise Refusal(_("It hangs nowhere there any more. Nothing was changed."))
    changes = [
        update(row, product=new, feed=_like(row.feed, feeds), lamp=_lamp(row, new)) for row in rows
    ]
    apply(
        project=project,
        by=by,
        title="product_swap",
        about=f"{old.reference} → {new.reference}",
        changes=changes,
    )
    return len(rows)


def _lamp(row: CircuitFitting, new: Product) -> Product | None:
    """The lamp stays where the new fitting takes the same cap."""
    caps = [getattr(getattr(p, "fitting", None), "lamp_cap", "") for p in (row.product, new)]
    return row.lamp if caps[1] and caps[0] == caps[1] else None
