"""From a typed line to a circuit: what the catalogue has for its words, what is still to be chosen.

Nothing is written here; the deed is `circuits.circuit_add`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from catalogue.kinds import DIMMED_KINDS, Kind, LoadKind, Unit
from catalogue.models import Feed, Product
from catalogue.search import MOST_WORDS, Slips, search
from consult.kinds import Layer
from consult.models import CircuitFitting, Room
from consult.quick_line import ALSO_A_WORD, QuickLine, read_line
from consult.services import same_pieces

HANGS = (Kind.FITTING, Kind.TAPE, Kind.OUTLET, Kind.BLIND)
MOST_SHOWN = 6
RANKED = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing to choose between: a field, its options (value, product or words), whether it is open.

    The first option is the one taken where nothing else is chosen.
    """

    field: str
    options: tuple[tuple[str, Any], ...]
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A line with what the catalogue says to it. `problems` are codes of what keeps it back.

    `own_words` name a placeholder, whatever the catalogue has for them. Where nothing is named
    there is nothing to choose.
    """

    line: QuickLine
    name: str
    product: Product | None
    choices: tuple[Choice, ...]
    problems: tuple[str, ...]
    same: CircuitFitting | None = None
    own_words: str = ""

    @property
    def is_sure(self) -> bool:
        return not self.problems and not any(choice.is_open for choice in self.choices)

    def settled(self, chosen: Mapping[str, str]) -> dict[str, str]:
        """The value of every choice: what was chosen where it was offered, else the first."""
        values = {}
        for choice in self.choices:
            offered = [value for value, _shown in choice.options]
            given = chosen.get(choice.field, "")
            values[choice.field] = given if given in offered else offered[0]
        return values


def read(text: str, chosen: Mapping[str, str] | None = None, *, room: Room) -> Reading:
    """Read a line and look its words up. Raises `consult.quick_line.LineRefused`.

    `chosen` holds the product picked already, on which the other choices hang. `room` is where the
    line is typed: a circuit that is named by its number alone is one of this room.
    """
    line = read_line(text)
    if line.same_as:
        return _read_same(line, chosen or {}, room)
    words, candidates, is_guess, is_mended = _candidates(line)
    fit = [product for product in candidates if fits(product, line)]
    shown = (fit or candidates)[:MOST_SHOWN]
    picked = (chosen or {}).get("product", "")
    product = next((p for p in shown if str(p.pk) == picked), shown[0] if shown else None)
    if product is not None and picked == "none":
        product = None
    feed = _feed(product, (chosen or {}).get("feed", ""))
    left = " ".join(word for word in line.words if word not in words)
    own_words = _named(" ".join(line.words), line.place)
    name = _named(product.shown_name, line.place) if product and is_mended else own_words
    problems = _problems(line, product)
    choices = [
        _product_choice(shown, product, is_open=is_guess or len(fit) != 1 or bool(left)),
        *_pieces(line),
        *_length(line, product),
        *_feeds(product, feed),
        _layer(line),
        _driven(line, product, feed),
    ]
    return Reading(
        line=line,
        name=name or (product.shown_name if product else ""),
        product=product,
        choices=() if "nothing_named" in problems else tuple(choices),
        problems=tuple(problems),
        own_words=own_words,
    )


def _named(thing: str, place: str) -> str:
    """What a circuit is called: the thing and its place, with a capital, within the field."""
    name = " ".join(filter(None, [thing, place]))
    return (name[:1].upper() + name[1:])[:120]


def _read_same(line: QuickLine, chosen: Mapping[str, str], room: Room) -> Reading:
    """A line about another part of pieces that hang already: "same pieces as Q01.2 down"."""
    rows = same_pieces.rows_of(line.same_as, room)
    row = next((r for r in rows if str(r.pk) == chosen.get("same")), rows[0] if rows else None)
    feeds = same_pieces.free_feeds(row, line.words) if row else []
    feed = next((f for f in feeds if str(f.pk) == chosen.get("feed")), feeds[0] if feeds else None)
    choices = [
        Choice(field="same", options=tuple((str(r.pk), r) for r in rows), is_open=len(rows) > 1),
        Choice(
            field="feed",
            options=tuple((str(f.pk), str(f.name or f.number)) for f in feeds),
            is_open=len(feeds) > 1,
        ),
        _layer(line, first=row.circuit.layer if row else ""),
        _driven(line, row.product if row else None, feed),
    ]
    return Reading(
        line=line,
        name=same_pieces.name_of(row, feed, line)[:120] if row else "",
        product=row.product if row else None,
        choices=tuple(choices) if feed else (),
        problems=same_pieces.problems(line, row, feed),
        same=row,
    )


def _candidates(line: QuickLine) -> tuple[list[str], list[Product], bool, bool]:
    """The words that found something, what they found; whether that is a guess, and by a slip.

    Figures narrow the search where they stand in the catalogue as typed. The thing is mostly the
    last word: where not all words are found, the last ones are asked alone; then words at the end
    are left out one by one until something is found.
    """
    words = [_stem(word) for word in line.words]
    figures = [f"{line.watts.normalize():f}w"] if line.watts else []
    figures += [f"{line.cct_k}k"] if line.cct_k else []
    things = [word for word in words if word not in ALSO_A_WORD]
    roots = [_root(word) for word in words]
    ways = dict.fromkeys(map(tuple, ([*words, *figures], words, things, roots)))
    for asked in filter(None, ways):
        found = search(" ".join(asked), kinds=HANGS, is_mended=False)
        if found.ids:
            return list(line.words), _ranked(found.ids, line), False, False
    slips = Slips()
    if words and (found := search(" ".join(words), kinds=HANGS, slips=slips)).ids:
        return list(line.words), _ranked(found.ids, line), True, True
    for count in (2, 1):
        if count < len(words):
            found = search(" ".join(words[-count:]), kinds=HANGS, is_mended=False)
            if found.ids:
                return list(line.words[-count:]), _ranked(found.ids, line), True, False
    for count in range(min(len(words) - 1, MOST_WORDS), 0, -1):
        found = search(" ".join(words[:count]), kinds=HANGS, slips=slips)
        if found.ids:
            return list(line.words[:count]), _ranked(found.ids, line), True, bool(found.mended)
    return [], [], True, True


def _stem(word: str) -> str:
    """Without the s of a plural: the search finds the word inside the longer one."""
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def _root(word: str) -> str:
    """Without -ing: who says "warming" means what "warms"."""
    return word[:-3] if len(word) > 6 and word.endswith("ing") else word


def _ranked(ids: Sequence[Any], line: QuickLine) -> list[Product]:
    products = Product.objects.in_order_with_feeds(ids[:RANKED])
    return sorted(products, key=lambda product: _distance(product, line))


def _distance(product: Product, line: QuickLine) -> float:
    feed = _feed(product, "")
    if feed is None:
        return 9.0
    far = 0.0
    for said, has in ((line.watts, feed.watts), (line.beam_deg, feed.beam_deg)):
        if said:
            far += abs(float(has) - float(said)) / float(said) if has else 2.0
    if line.cct_k:
        far += 0.0 if feed.cct_k == line.cct_k else 1.0
    return far


def fits(product: Product, line: QuickLine) -> bool:
    """Whether a product is what the line says: watts as rounded in speech, and driven as said."""
    feed = _feed(product, "")
    if line.length_m is not None and product.unit != Unit.METRE:
        return False
    if feed is None:
        return not (line.watts or line.cct_k or line.beam_deg)
    if line.driven and feed.load_kinds and not _meant(line, feed.load_kinds):
        return False
    watts = not line.watts or (
        feed.watts is not None and abs(feed.watts - line.watts) < Decimal("0.5")
    )
    colour = not line.cct_k or feed.cct_k == line.cct_k
    beam = not line.beam_deg or (
        feed.beam_deg is not None and abs(feed.beam_deg - line.beam_deg) <= 5
    )
    return watts and colour and beam


def _feed(product: Product | None, picked: str) -> Feed | None:
    feeds = sorted(product.feeds.all(), key=lambda feed: feed.number) if product else []
    return next((f for f in feeds if str(f.pk) == picked), feeds[0] if feeds else None)


def _product_choice(shown: Sequence[Product], product: Product | None, *, is_open: bool) -> Choice:
    ordered = sorted(shown, key=lambda each: each != product)
    options: list[tuple[str, Any]] = [(str(each.pk), each) for each in ordered]
    if is_open:
        options.insert(0 if product is None else len(options), ("none", None))
    return Choice(field="product", options=tuple(options), is_open=is_open)


def _pieces(line: QuickLine) -> list[Choice]:
    counts = line.piece_choices or (1,)
    is_open = bool({"each_side", "pieces"} & set(line.unsure))
    return [Choice(field="pieces", options=tuple((str(n), n) for n in counts), is_open=is_open)]


def _length(line: QuickLine, product: Product | None) -> list[Choice]:
    if not line.length_choices or (product is not None and product.unit != Unit.METRE):
        return []
    options = tuple((str(length), length) for length in line.length_choices)
    return [Choice(field="length_m", options=options, is_open="length" in line.unsure)]


def _feeds(product: Product | None, feed: Feed | None) -> list[Choice]:
    feeds = sorted(product.feeds.all(), key=lambda each: each.number) if product else []
    if len(feeds) < 2:
        return []
    ordered = sorted(feeds, key=lambda each: each != feed)
    options = tuple((str(each.pk), str(each.name or each.number)) for each in ordered)
    return [Choice(field="feed", options=options, is_open=True)]


def _layer(line: QuickLine, *, first: str = "") -> Choice:
    """The layer; where nothing tells it, all are offered, and `first` before the others."""
    names = dict(Layer.choices)
    if line.layer_is_said or line.layer:
        return Choice(field="layer", options=((line.layer, names[line.layer]),), is_open=False)
    options = sorted(Layer.choices, key=lambda option: option[0] != first)
    return Choice(field="layer", options=tuple(options), is_open=True)


def _driven(line: QuickLine, product: Product | None, feed: Feed | None) -> Choice:
    """How it is driven: what was said where the product allows it, else what it allows."""
    allowed = list(feed.load_kinds) if feed and feed.load_kinds else []
    if not allowed:
        allowed = [LoadKind.PHASE_DIMMED, LoadKind.SWITCHED] if product is None else ["switched"]
    allowed.sort(key=lambda kind: kind not in DIMMED_KINDS)
    meant = _meant(line, allowed)
    kinds = meant or allowed
    names = dict(LoadKind.choices)
    options = tuple((str(kind), names.get(kind, kind)) for kind in kinds)
    return Choice(field="load_kind", options=options, is_open=len(kinds) > 1 or not meant)


def _meant(line: QuickLine, allowed: Sequence[str]) -> list[str]:
    """Of the ways a product may be driven, those that the line means; all where it says none."""
    if line.driven == "dim":
        return [kind for kind in allowed if kind in DIMMED_KINDS]
    return [kind for kind in allowed if not line.driven or kind == line.driven]


def _problems(line: QuickLine, product: Product | None) -> list[str]:
    if product is None:
        return [] if line.words or line.place else ["nothing_named"]
    if product.unit == Unit.METRE and line.length_m is None:
        return ["length_missing"]
    return []


def values_of(reading: Reading, chosen: Mapping[str, str]) -> dict[str, Any]:
    """What `circuits.circuit_add` is given for a line whose choices are made."""
    settled = reading.settled(chosen)
    common = {name: settled[name] for name in ("layer", "load_kind")} | {"name": reading.name}
    if (same := reading.same) is not None and same.product is not None:
        feed = next(f for f in same.product.feeds.all() if str(f.pk) == settled["feed"])
        same_feed = {"same_pieces_as": same, "feed": feed, "room": same.room}
        return {**common, "fitting": same_feed}
    product = reading.product if settled["product"] != "none" else None
    fitting: dict[str, Any] = {
        "pieces": int(settled["pieces"]),
        "length_m": Decimal(settled["length_m"]) if "length_m" in settled else None,
    }
    if product is None:
        fitting |= {"placeholder": reading.name, "placeholder_w": reading.line.watts}
    else:
        fitting |= {"product": product, "feed": _feed(product, settled.get("feed", ""))}
    return {**common, "fitting": fitting}
