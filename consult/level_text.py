"""What is typed into a cell of the scenes grid: a level, and where a circuit has it a colour. Pure.

>>> read_level("40 2700k", white=True)
Level(level=40, cct_k=2700, colour='')
>>> write_level(Level(level=40, cct_k=2700))
'40 2700K'
"""

import re
from dataclasses import dataclass

WORDS = {
    "open": 100, "up": 100, "on": 100, "full": 100,
    "closed": 0, "close": 0, "shut": 0, "down": 0, "off": 0,
    "half": 50,
}  # fmt: skip
# The primaries and their mixtures, as red, green and blue in two hexadecimal digits each.
COLOURS = {
    "red": "ff0000", "green": "00ff00", "blue": "0000ff", "yellow": "ffff00", "cyan": "00ffff",
    "magenta": "ff00ff", "white": "ffffff", "amber": "ffbf00", "orange": "ff8000",
    "pink": "ff80c0", "violet": "8000ff",
}  # fmt: skip
CCT_K = (1000, 10_000)
_KELVIN = re.compile(r"^(\d{4,5})k$")
_HEX = re.compile(r"^#?([0-9a-f]{6})$")
_PERCENT = re.compile(r"^(\d{1,3})%?$")


class LevelRefused(ValueError):
    """What was typed is no level. `code`: level, cct, colour, not_white or not_coloured."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True, slots=True)
class Level:
    """A level [%], a colour temperature [K] or None, a colour or nothing."""

    level: int
    cct_k: int | None = None
    colour: str = ""


def read_level(text: str, *, white: bool = False, coloured: bool = False) -> Level | None:
    """A cell as typed; empty or a dash leaves the circuit as it is: None.

    `white` says that the circuit's white can be tuned, `coloured` that it has colours.
    Raises LevelRefused.
    """
    parts = re.sub(r"(\d)\s*(k\b|%)", r"\1\2", text.strip().casefold()).split()
    if not parts or parts in (["-"], ["–"]):
        return None
    level, cct_k, colour = None, None, ""
    for part in parts[:4]:
        if found := _KELVIN.match(part):
            cct_k = _kelvin(int(found[1]), white=white)
        elif found := _HEX.match(COLOURS.get(part, part)):
            if not coloured:
                raise LevelRefused("not_coloured")
            colour = found[1]
        else:
            level = _percent(part)
    # A colour alone means that colour at full.
    return Level(100 if level is None else level, cct_k, colour)


def _kelvin(cct_k: int, *, white: bool) -> int:
    if not white:
        raise LevelRefused("not_white")
    if not CCT_K[0] <= cct_k <= CCT_K[1]:
        raise LevelRefused("cct")
    return cct_k


def _percent(part: str) -> int:
    if part in WORDS:
        return WORDS[part]
    found = _PERCENT.match(part)
    if found is None or int(found[1]) > 100:
        raise LevelRefused("level")
    return int(found[1])


def write_level(level: Level | None) -> str:
    """A cell as it is shown."""
    if level is None:
        return ""
    name = next((n for n, value in COLOURS.items() if value == level.colour), level.colour)
    white = f"{level.cct_k}K" if level.cct_k else ""
    return " ".join(part for part in (str(level.level), white, name) if part)


def lower(level: int, percent: int) -> int:
    """A level lower by a share of itself, halves rounded up; what shines stays at 1 % at least.

    >>> lower(50, 30), lower(1, 30), lower(0, 30)
    (35, 1, 0)
    """
    if level == 0:
        return 0
    return max(1, (level * (100 - percent) * 2 + 100) // 200)
