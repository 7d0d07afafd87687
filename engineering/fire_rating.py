"""What evidence is on file for a recessed fitting in a ceiling that resists fire.

30, 60 or 90 minutes belong to fitting, board and joist together, as they were tested. Nothing here
says that a ceiling passes: the best answer is that the evidence on file covers what is typed.
"""

from dataclasses import dataclass
from typing import Literal

from engineering import refusal
from engineering.control_plan import Reason
from engineering.published import Certainty, Source

FIRE_SOURCE = Source(work="trade texts on fire-rated downlights", certainty=Certainty.READ)
MINUTES = (30, 60, 90)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ceiling:
    """A ceiling: joist kind, centres [m] and board layers, each None where not known."""

    joists: Literal["solid", "i-joist", "metal-web", "concrete"] | None = None
    centres_m: float | None = None
    board_layers: int | None = None

    def __post_init__(self) -> None:
        if self.centres_m is not None:
            refusal.above_zero("centres_m", self.centres_m)
        if self.board_layers is not None:
            refusal.count("board_layers", self.board_layers)


@dataclass(frozen=True, slots=True, kw_only=True)
class FireTest:
    """A test report of a fitting in one ceiling: minutes reached and the ceiling as tested."""

    minutes: int
    ceiling: Ceiling

    def __post_init__(self) -> None:
        if self.minutes not in MINUTES:
            raise ValueError(f"minutes must be one of {MINUTES}, got {self.minutes!r}")


def evidence_codes(
    *, needed_minutes: int, ceiling: Ceiling, tests: tuple[FireTest, ...]
) -> tuple[Reason, ...]:
    """Return what the evidence on file says about a fitting in a ceiling.

    Parameters: needed_minutes, one of MINUTES; ceiling, as built; tests, reports on file.
    Returns: codes; 'evidence-not-on-file' where no test covers the ceiling for the minutes,
    'evidence-to-be-checked' where one does; 'ceiling-not-known' beside them where something is.
    Notes: a test covers the same joists, at the same or wider centres than built, with the same
    or fewer board layers.

    >>> tested = Ceiling(joists="solid", centres_m=0.6, board_layers=1)
    >>> report = FireTest(minutes=30, ceiling=tested)
    >>> [each.code for each in evidence_codes(needed_minutes=60, ceiling=tested, tests=(report,))]
    ['evidence-not-on-file']
    """
    if needed_minutes not in MINUTES:
        raise ValueError(f"needed_minutes must be one of {MINUTES}, got {needed_minutes!r}")
    found: list[Reason] = []
    if None in (ceiling.joists, ceiling.centres_m, ceiling.board_layers):
        found.append(Reason(code="ceiling-not-known"))
    is_covered = any(
        test.minutes >= needed_minutes and _covers(test.ceiling, ceiling) for test in tests
    )
    code = "evidence-to-be-checked" if is_covered else "evidence-not-on-file"
    found.append(Reason(code=code, values={"minutes": needed_minutes}))
    return tuple(found)


def _covers(tested: Ceiling, built: Ceiling) -> bool:
    if tested.joists is None or tested.centres_m is None or tested.board_layers is None:
        return False
    if built.joists is None or built.centres_m is None or built.board_layers is None:
        return False
    return (
        tested.joists == built.joists
        and tested.centres_m >= built.centres_m
        and tested.board_layers <= built.board_layers
    )
