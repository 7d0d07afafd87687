"""Pieces that are fed in several parts: which part of them another circuit can feed."""

from collections.abc import Sequence

from django.db.models import Q

from catalogue.models import Feed
from consult.models import CircuitFitting, Room
from consult.quick_line import QuickLine


def rows_of(said: str, room: Room) -> list[CircuitFitting]:
    """The rows on a circuit, by its code or by its number in the room, whose pieces are products.

    Those with a part that nobody feeds; all where there is none. A row that itself feeds a part of
    other pieces stands for those.
    """
    named = Q(circuit__code__iexact=said)
    if said.isdigit():
        named = Q(circuit__room=room, circuit__number=int(said))
    found = (
        CircuitFitting.objects.filter(named, project=room.project_id, product__isnull=False)
        .select_related("circuit", "room", "product", "same_pieces_as__circuit")
        .select_related("same_pieces_as__room", "same_pieces_as__product")
        .prefetch_related("product__feeds", "other_feeds", "same_pieces_as__other_feeds")
        .prefetch_related("same_pieces_as__product__feeds")
        .order_by("position")
    )
    rows = list(dict.fromkeys(row.same_pieces_as or row for row in found))
    return [row for row in rows if free_feeds(row, ())] or rows


def free_feeds(row: CircuitFitting, words: Sequence[str]) -> list[Feed]:
    """The parts of the pieces that no circuit feeds; where words name some of them, only those."""
    assert row.product is not None
    taken = {row.feed_id, *(other.feed_id for other in row.other_feeds.all())}
    feeds = sorted(row.product.feeds.all(), key=lambda feed: feed.number)
    free = [feed for feed in feeds if feed.pk not in taken]
    meant = [f for f in free if words and all(word in f.name.casefold() for word in words)]
    return meant or free


def name_of(row: CircuitFitting, feed: Feed | None, line: QuickLine) -> str:
    """What the circuit is called: the words of the line, or what hangs there and its part."""
    is_named = line.words and not (feed and all(w in feed.name.casefold() for w in line.words))
    thing = " ".join(line.words) if is_named else row.circuit.name
    part = f"{thing}, {feed.name}" if feed and feed.name and not is_named else thing
    name = " ".join(filter(None, [part, line.place]))
    return name[:1].upper() + name[1:]


def problems(line: QuickLine, row: CircuitFitting | None, feed: Feed | None) -> tuple[str, ...]:
    """Codes of what keeps the line back."""
    if row is None:
        return ("no_such_circuit",)
    if feed is None:
        return ("all_fed",)
    return ("pieces_are_those",) if line.pieces or line.length_m else ()
