"""One typed line, taken apart: how many, of what, for which layer, how driven. No Django, no database.

The words may stand in any order. What a line says is read; what it does not say stays unsaid, and
what may be meant in two ways is named in `unsure` and never guessed. The grammar is told in
docs/quick-line.md.

>>> read_line("4.2m tape under shelf night").length_m
Decimal('4.2')
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal

MOST_SIGNS = 200
MOST_WORDS = 24
MOST_PIECES = 9999
MOST_LENGTH_M = Decimal(500)

LAYERS = {
    "ambient": "ambient", "general": "ambient",
    "task": "task", "work": "task",
    "accent": "accent", "highlight": "accent",
    "decorative": "decorative", "deco": "decorative",
    "night": "night",
}  # fmt: skip

# Where light is put says what it is for. Common practice, no source.
LAYER_BY_WORD = {
    "downlight": "ambient", "downlights": "ambient", "ceiling": "ambient", "cove": "ambient",
    "worktop": "task", "worktops": "task", "cupboard": "task", "cupboards": "task",
    "desk": "task", "bench": "task", "wardrobe": "task", "mirror": "task", "bedside": "task", "reading": "task", "workshop": "task",
    "picture": "accent", "pictures": "accent", "shelf": "accent", "shelves": "accent",
    "bookshelf": "accent", "bookshelves": "accent", "blind": "ambient", "blinds": "ambient",
    "niche": "accent", "spike": "accent", "spikes": "accent", "art": "accent",
    "pendant": "decorative", "pendants": "decorative", "chandelier": "decorative",
    "socket": "decorative", "sockets": "decorative", "table-lamp": "decorative",
    "step": "night", "steps": "night", "plinth": "night", "skirting": "night",
}  # fmt: skip

# "dim" asks for any way of dimming; the others name one.
DRIVEN = {
    "dim": "dim", "dimmed": "dim", "dimmable": "dim", "dimming": "dim",
    "switched": "switched", "switch": "switched", "on/off": "switched", "onoff": "switched",
    "phase": "phase-dimmed", "mains-dimmed": "phase-dimmed",
    "tunable": "dc-tunable",
    "rgb": "dc-rgb", "rgbw": "dc-rgbw",
    "analogue": "analogue-dimmed", "1-10v": "analogue-dimmed",
    "digital": "digital-dimmed",
    "motor": "motor",
}  # fmt: skip
# These also describe the thing itself, and so help to find it.
ALSO_A_WORD = frozenset({"tunable", "rgb", "rgbw", "digital", "motor"})

PLACE_BEGINS = frozenset(
    {
        "under", "over", "above", "below", "behind", "beside", "along", "in", "on", "at", "by",
        "round", "around", "inside", "outside", "near", "between", "across", "to", "for",
    }
)  # fmt: skip
NUMBERS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "twelve": 12, "pair": 2,
}  # fmt: skip
FILLERS = frozenset({"of", "a", "an", "the", "with", "and", "pcs", "pieces", "no", "off", "x"})

_NUMBER = r"\d{1,7}(?:\.\d{1,3})?"
_JOINED = (
    (re.compile(r"(\d),(\d)"), r"\1.\2"),
    (re.compile(r"[×✕]"), "x"),
    (re.compile(r"\b1\s*[-–]\s*10\s*v\b"), "1-10v"),
    (re.compile(r"\bon\s*[/-]\s*off\b"), "on/off"),
    (re.compile(r"\btable\s+lamps?\b"), "table-lamp"),
    (re.compile(r"\bmains\s+dimmed\b"), "mains-dimmed"),
    (re.compile(rf"({_NUMBER})\s*(?:w|watts?)\s*(?:/|per\s+)\s*m(?:et(?:re|er))?\b"), r"\1w"),
    (re.compile(rf"({_NUMBER})\s*(?:metres?|meters?)\b"), r"\1m"),
    (re.compile(rf"({_NUMBER})\s+(w|k|m|cm|mm|lm)\b"), r"\1\2"),
    (re.compile(rf"({_NUMBER})\s*watts?\b"), r"\1w"),
    (re.compile(rf"({_NUMBER})\s*(?:kelvin)\b"), r"\1k"),
    (re.compile(rf"({_NUMBER})\s*(?:°|deg(?:rees?)?\b)"), r"\1°"),
    (re.compile(r"\b(\d{1,7})\s*x\s*(?=\d)"), r"\1x "),
    (re.compile(r"\b(\d{1,7})\s+x\b"), r"\1x"),
    (re.compile(r"\bx\s*(\d{1,7})\b"), r"\1x"),
)  # fmt: skip
_SIZED = re.compile(rf"^({_NUMBER})(w|k|m|cm|mm|°|x)$")
_BARE = re.compile(r"^\d{1,7}$")
_SAME = re.compile(
    r"\b(?:the\s+)?(?:same(?:\s+(?:pieces|ones|fittings))?\s+as|(?:other|second|third)\s+feed\s+of)"
    r"\s+(?:circuit\s+)?([^\W_]*\d+\.\d+|\d{1,3})(?=[\s,;:.!?]|$)"
)
_SIDES = re.compile(r"\b(?:on\s+|at\s+)?(?:each|both|either)\s+(?:sides?|ends?)\b")


class LineRefused(ValueError):
    """A line that cannot be read at all. `code` says why: empty, long, or too_many."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickLine:
    """What a line says. None or empty where it does not say.

    `words` name the product; `place` says where it goes; `driven` is a load kind, or "dim" for any
    way of dimming. `unsure` holds codes of what may be meant in two ways: each_side, pieces, length;
    the choices hold what each may be. `same_as` is the code or number of a circuit whose pieces have
    another part that this one feeds.
    """

    pieces: int | None
    piece_choices: tuple[int, ...]
    length_m: Decimal | None
    length_choices: tuple[Decimal, ...]
    words: tuple[str, ...]
    place: str
    watts: Decimal | None
    cct_k: int | None
    beam_deg: int | None
    layer: str
    layer_is_said: bool
    driven: str
    is_each_side: bool
    unsure: tuple[str, ...]
    same_as: str = ""


def read_line(text: str) -> QuickLine:
    """Take one line apart.

    Raises
    ------
    LineRefused
        Where nothing is left to read, where the line is longer than 200 signs, or where a number
        of pieces or a length is beyond any room.
    """
    plain = _plain(text)
    if len(plain) > MOST_SIGNS:
        raise LineRefused("long")
    is_each_side = bool(_SIDES.search(plain))
    same = _SAME.search(plain)
    tokens = _SIDES.sub(" ", _SAME.sub(" ", plain)).split()
    if len(tokens) > MOST_WORDS:
        raise LineRefused("long")
    found = _Found(names_a_part=same is not None)
    for token in tokens:
        found.take(token)
    return found.line(is_each_side=is_each_side, same_as=same[1] if same else "")


class _Found:
    """What has been read of a line so far."""

    def __init__(self, *, names_a_part: bool) -> None:
        self.names_a_part = names_a_part  # "circuit two" is a part's name, and no quantity
        self.counts: list[int] = []
        self.lengths: list[Decimal] = []
        self.bare: list[int] = []
        self.words: list[str] = []
        self.place: list[str] = []
        self.sized: dict[str, Decimal] = {}
        self.layer = self.driven = ""

    def take(self, token: str) -> None:
        token = token.strip(",;:!?()[]'\"")
        if sized := _SIZED.match(token):
            self._take_size(Decimal(sized[1]), sized[2])
        elif _BARE.match(token):
            self.bare.append(int(token))
        elif token in LAYERS:
            self.layer = LAYERS[token]
        elif token in DRIVEN and not self.place:
            self.driven = DRIVEN[token]
            self.words += [token] if token in ALSO_A_WORD else []
        else:
            self._take_word(token)

    def _take_size(self, number: Decimal, unit: str) -> None:
        if unit == "x":
            self.counts.append(int(number))
        elif unit in {"m", "cm", "mm"}:
            self.lengths.append(number / {"m": 1, "cm": 100, "mm": 1000}[unit])
        else:
            self.sized[unit] = number

    def _take_word(self, token: str) -> None:
        word = token.strip(".,;:!?()[]'\"–-")
        if not any(sign.isalnum() for sign in word):
            return
        if self.place or word in PLACE_BEGINS:
            self.place += [word] if word else []
        elif word in NUMBERS and not self.names_a_part:
            self.bare.append(NUMBERS[word])
        elif word and word not in FILLERS:
            self.words.append(word)

    def line(self, *, is_each_side: bool, same_as: str) -> QuickLine:
        unsure = ["each_side"] if is_each_side else []
        counts = self.counts or self.bare
        if len(set(counts)) > 1:
            unsure.append("pieces")
        if len(set(self.lengths)) > 1:
            unsure.append("length")
        if is_each_side:
            counts = [each for count in counts or [1] for each in (count, 2 * count)]
        _check(counts, self.lengths)
        if not (self.words or self.place or same_as or "w" in self.sized):
            raise LineRefused("empty")
        return QuickLine(
            pieces=counts[0] if counts else None,
            piece_choices=tuple(dict.fromkeys(counts)),
            length_m=self.lengths[0] if self.lengths else None,
            length_choices=tuple(dict.fromkeys(self.lengths)),
            words=tuple(self.words),
            place=" ".join(self.place),
            watts=self.sized.get("w"),
            cct_k=int(self.sized["k"]) if "k" in self.sized else None,
            beam_deg=int(self.sized["°"]) if "°" in self.sized else None,
            layer=self.layer or _worked_out(self.words, self.place),
            layer_is_said=bool(self.layer),
            driven=self.driven,
            is_each_side=is_each_side,
            unsure=tuple(unsure),
            same_as=same_as,
        )


def _plain(text: str) -> str:
    """Small letters in one form; signs that cannot be seen are dropped, units joined to numbers."""
    if len(text) > 4 * MOST_SIGNS:
        raise LineRefused("long")
    kept = "".join(" " if s.isspace() else s for s in unicodedata.normalize("NFKC", text))
    kept = "".join(sign for sign in kept if unicodedata.category(sign)[0] != "C").casefold()
    for pattern, put in _JOINED:
        kept = pattern.sub(put, kept)
    return " ".join(kept.split())


def _worked_out(words: list[str], place: list[str]) -> str:
    """The layer that the place, else the thing, stands for; empty where nothing tells."""
    for word in (*place, *words):
        if word in LAYER_BY_WORD:
            return LAYER_BY_WORD[word]
    return ""


def _check(counts: list[int], lengths: list[Decimal]) -> None:
    if not all(1 <= count <= MOST_PIECES for count in counts):
        raise LineRefused("too_many")
    if not all(0 < length <= MOST_LENGTH_M for length in lengths):
        raise LineRefused("too_many")
