"""Guide levels of light by use of a room: where each figure comes from, and how sure it is.

Figures for work places come from reprints of a European standard. For homes no authoritative
table was found: those are working defaults that the business edits.
"""

from __future__ import annotations

from dataclasses import dataclass

from engineering.published import COMMON_PRACTICE, Certainty, Source
from engineering.refusal import above_zero

LUX_A_FOOT_CANDLE = 10.7639


@dataclass(frozen=True, slots=True, kw_only=True)
class LightGuide:
    """What a use of a room asks for.

    `low_lx`, `high_lx` : maintained average [lx], above 0 (equal where one figure is given);
    `glare_limit` (UGR), `uniformity` (0 to 1) and `colour_rendering` (Ra) are None where the
    source gives none.
    """

    use: str
    low_lx: float
    high_lx: float
    source: Source
    glare_limit: float | None = None
    uniformity: float | None = None
    colour_rendering: float | None = None

    def __post_init__(self) -> None:
        above_zero("low_lx", self.low_lx)
        if not self.low_lx <= self.high_lx:
            raise ValueError(f"high_lx must not be below low_lx, got {self.high_lx!r}")


_REPRINT = Source(
    work="EN 12464-1, as reprinted in the SLL Code for Lighting",
    edition="2012",
    place="tables 2.5 and 2.6",
    certainty=Certainty.QUOTED,
)
_OFFICES = Source(work="EN 12464-1", edition="2011", certainty=Certainty.MEMORY)
_WASHROOMS = Source(
    work="SLL Lighting Handbook (extract)", edition="2018", certainty=Certainty.READ
)

# use: (level, glare limit, uniformity, colour rendering)
_WORK_PLACES: dict[str, tuple[float, float, float, float]] = {
    "circulation": (100, 28, 0.40, 40),
    "stairs at work": (100, 25, 0.40, 40),
    "lift": (100, 25, 0.40, 40),
    "canteen": (200, 22, 0.40, 80),
    "rest room": (100, 22, 0.40, 80),
    "washroom at work": (200, 25, 0.40, 80),
    "medical attention": (500, 16, 0.60, 90),
    "plant room": (200, 25, 0.40, 60),
}
_OFFICE_TASKS: dict[str, tuple[float, float | None, float | None, float | None]] = {
    "office writing": (500, 19, 0.60, 80),
    "office filing": (300, 19, None, None),
    "technical drawing": (750, 16, None, None),
    "meeting": (500, 19, None, None),
    "reception": (300, 22, None, None),
    "archive": (200, 25, None, None),
    "commercial kitchen": (500, 22, None, None),
}
_HOMES: dict[str, tuple[float, float]] = {
    "hall": (100, 100),
    "landing": (100, 100),
    "stairs": (100, 100),
    "living": (50, 200),
    "living, reading": (300, 300),
    "dining": (150, 200),
    "kitchen": (150, 300),
    "kitchen, worktop": (300, 500),
    "bathroom": (150, 150),
    "bathroom, mirror": (300, 500),
    "bedroom": (50, 150),
    "bedroom, bedhead": (300, 300),
    "study": (300, 500),
    "utility": (150, 200),
    "wc": (100, 100),
    "garage": (50, 100),
}


def _table() -> dict[str, LightGuide]:
    guides = [
        LightGuide(
            use=use,
            low_lx=level,
            high_lx=level,
            glare_limit=glare,
            uniformity=even,
            colour_rendering=ra,
            source=source,
        )
        for rows, source in ((_WORK_PLACES, _REPRINT), (_OFFICE_TASKS, _OFFICES))
        for use, (level, glare, even, ra) in rows.items()
    ]
    guides.append(
        LightGuide(use="washroom floor", low_lx=100, high_lx=100, uniformity=0.4, source=_WASHROOMS)
    )
    for use, level in (("washroom basin", 200.0), ("washroom cubicle", 100.0)):
        guides.append(LightGuide(use=use, low_lx=level, high_lx=level, source=_WASHROOMS))
    guides += [
        LightGuide(use=use, low_lx=low, high_lx=high, source=COMMON_PRACTICE)
        for use, (low, high) in _HOMES.items()
    ]
    return {guide.use: guide for guide in guides}


LIGHT_GUIDES = _table()
"""All guides by use."""


def light_guide(*, use: str) -> LightGuide:
    """Return the guide for a use.

    Raises
    ------
    ValueError : no guide for that use.

    >>> light_guide(use="canteen").low_lx
    200
    """
    if use not in LIGHT_GUIDES:
        raise ValueError(f"no guide for {use!r}; there are: {', '.join(sorted(LIGHT_GUIDES))}")
    return LIGHT_GUIDES[use]
