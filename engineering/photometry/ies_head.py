"""What stands before the angles in an IES LM-63 file: edition, keywords, tilt, lamps, opening."""

import re
from dataclasses import dataclass
from typing import Final

from engineering.photometry.errors import PhotometryError, Remark
from engineering.photometry.luminaire import TiltTable
from engineering.photometry.opening import LuminousOpening, ies_opening
from engineering.photometry.text import MAX_ANGLES, Words, rising, within

METRES_PER_FOOT: Final = 0.3048
REQUIRED_FROM_2002: Final = ("TEST", "TESTLAB", "ISSUEDATE", "MANUFAC")

_EDITION = re.compile(r"IES(?:NA)?(?::?LM-?63-|:?)(?P<year>\d{2}(?:\d{2})?)", re.IGNORECASE)
# A line that means to name an edition, however it is spelt; an old file may begin with any words.
_NAMES_EDITION = re.compile(r"IES(?:NA)?[\s:_-]*LM", re.IGNORECASE)
_EDITIONS = {"86": 1986, "91": 1991, "95": 1995, "02": 2002, "19": 2019}
_KEYWORD = re.compile(r"\s*\[(?P<word>[^\]\s]{1,40})\]\s*(?P<text>.*)")
_TILT = re.compile(r"\s*TILT\s*=(?P<kind>.*)", re.IGNORECASE)
_MOST_KEYWORDS = 500
_TYPES = {1: "C", 2: "B", 3: "A"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Edition, keywords and the kind of tilt, and the line of the tilt."""

    edition: int
    keywords: tuple[tuple[str, str], ...]
    tilt: str
    tilt_line: int
    warnings: tuple[Remark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Counts, factors and lamps, and the line they start on."""

    lamps: int
    lumens: float
    multiplier: float
    verticals: int
    horizontals: int
    type: str
    opening: LuminousOpening
    factor: float
    watts: float
    line: int
    warnings: tuple[Remark, ...]

    @property
    def is_absolute(self) -> bool:
        """Whether the intensities are absolute, the lamps having no flux of their own."""
        return self.lumens == -1


def read_heading(lines: list[str]) -> Heading:
    """Read all up to the line with the tilt."""
    found = ((index, _TILT.fullmatch(text)) for index, text in enumerate(lines) if "=" in text)
    index, tilt = next(((index, tilt) for index, tilt in found if tilt), (len(lines) - 1, None))
    if tilt is None:
        raise PhotometryError("no_tilt", line=len(lines))
    kind = tilt["kind"].strip()
    if not kind:
        raise PhotometryError("tilt_unknown", line=index + 1)
    edition, warnings = _read_edition(lines[:index])
    return Heading(
        edition=edition,
        keywords=_read_keywords(lines[:index], edition),
        tilt=kind,
        tilt_line=index + 1,
        warnings=warnings,
    )


def _read_edition(lines: list[str]) -> tuple[int, tuple[Remark, ...]]:
    for number, text in enumerate(lines, start=1):
        if not text.strip():
            continue
        found = _EDITION.fullmatch("".join(text.split()))
        if not found and not _NAMES_EDITION.match(text.strip()):
            break
        year = found["year"] if found else ""
        edition = _EDITIONS.get(year[-2:])
        if edition is None or not str(edition).endswith(year):
            return 2002, (Remark("edition_unknown", line=number, text=text.strip()[:40]),)
        return edition, ()
    return 1986, ()


def _read_keywords(lines: list[str], edition: int) -> tuple[tuple[str, str], ...]:
    found: list[tuple[str, str]] = []
    told = [text for text in lines if text.strip()]
    for text in told[edition != 1986 :][:_MOST_KEYWORDS]:
        keyword = _KEYWORD.fullmatch(text)
        if keyword and keyword["word"].upper() == "MORE" and found:
            word, before = found[-1]
            found[-1] = (word, f"{before}\n{keyword['text'].strip()}")
        elif keyword:
            found.append((keyword["word"].upper(), keyword["text"].strip()))
        else:
            found.append(("LABEL", text.strip()))
    return tuple(found)


def read_tilt(words: Words) -> TiltTable:
    """Read the tilt table of TILT=INCLUDE."""
    geometry = words.whole("lamp to luminaire geometry")
    within(geometry, low=1, high=3, field="lamp to luminaire geometry", line=words.line)
    pairs = words.whole("number of tilt angles")
    within(pairs, low=1, high=MAX_ANGLES, field="number of tilt angles", line=words.line)
    angles, lines = words.numbers(pairs, "tilt angles")
    rising(angles, lines, field="tilt angles")
    factors, lines = words.numbers(pairs, "tilt factors")
    for factor, line in zip(factors, lines, strict=True):
        within(factor, low=0, high=10, field="tilt factors", line=line)
    return TiltTable(lamp_geometry=geometry, angles_deg=tuple(angles), factors=tuple(factors))


def tilt_remarks(heading: Heading, tilt: TiltTable | None) -> list[Remark]:
    """Remark on a tilt table that matters, or that is elsewhere."""
    line = heading.tilt_line
    if tilt:
        changes = any(factor != 1 for factor in tilt.factors)
        return [Remark("tilt_not_applied", line=line)] if changes else []
    if heading.tilt.upper() == "NONE":
        return []
    return [Remark("tilt_file_missing", line=line, text=heading.tilt[:80])]


def _above_zero(words: Words, field: str) -> float:
    value = words.number(field)
    if not value > 0:
        raise PhotometryError(
            "number_out_of_range", line=words.line, field=field, allowed="above 0", value=value
        )
    return value


def _read_count(words: Words, field: str) -> int:
    count = words.whole(field)
    within(count, low=1, high=float("inf"), field=field, line=words.line, allowed="1 or more")
    if count > MAX_ANGLES:
        raise PhotometryError(
            "too_many_angles", line=words.line, field=field, value=count, limit=MAX_ANGLES
        )
    return count


def read_head(words: Words, edition: int) -> Head:
    """Read the thirteen numbers before the angles."""
    lamps = words.whole("number of lamps")
    line = words.line
    within(lamps, low=1, high=1000, field="number of lamps", line=line)
    lumens = words.number("lumens per lamp")
    if not (lumens > 0 or lumens == -1):
        raise PhotometryError(
            "number_out_of_range",
            line=words.line,
            field="lumens per lamp",
            allowed="above 0, or -1 for absolute photometry",
            value=lumens,
        )
    multiplier = _above_zero(words, "candela multiplier")
    verticals = _read_count(words, "number of vertical angles")
    horizontals = _read_count(words, "number of horizontal angles")
    kind = words.whole("photometric type")
    within(kind, low=1, high=3, field="photometric type", line=words.line)
    opening, opening_remarks = _read_opening(words, edition)
    factor, factor_remarks = _read_ballast(words, edition)
    watts = words.number("input watts")
    within(watts, low=0, high=1e6, field="input watts", line=words.line)
    dark = [] if watts else [Remark("no_watts", line=words.line)]
    return Head(
        lamps=lamps,
        lumens=lumens,
        multiplier=multiplier,
        verticals=verticals,
        horizontals=horizontals,
        type=_TYPES[kind],
        opening=opening,
        factor=factor,
        watts=watts,
        line=line,
        warnings=(*opening_remarks, *factor_remarks, *dark),
    )


def _read_opening(words: Words, edition: int) -> tuple[LuminousOpening, list[Remark]]:
    units = words.whole("units type")
    within(units, low=1, high=2, field="units type", line=words.line)
    metres = METRES_PER_FOOT if units == 1 else 1.0
    sizes = []
    for field in ("width", "length", "height"):
        size = words.number(f"{field} of the luminous opening")
        within(
            size, low=-1000, high=1000, field=f"{field} of the luminous opening", line=words.line
        )
        sizes.append(size * metres)
    width, length, height = sizes
    opening = ies_opening(width_m=width, length_m=length, height_m=height, edition=edition)
    if opening:
        return opening, []
    box = LuminousOpening(
        shape="box", along_c0_m=abs(length), along_c90_m=abs(width), height_m=abs(height)
    )
    remark = Remark("opening_unknown", line=words.line, width=width, length=length, height=height)
    return box, [remark]


def _read_ballast(words: Words, edition: int) -> tuple[float, list[Remark]]:
    factor = _above_zero(words, "ballast factor")
    if edition < 1995:
        return factor * _above_zero(words, "ballast-lamp photometric factor"), []
    reserved = words.number("future use")
    if edition == 2019 or reserved in (0, 1):
        return factor, []
    return factor, [Remark("future_use_ignored", line=words.line, value=reserved)]
