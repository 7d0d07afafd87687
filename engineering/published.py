"""Where a published figure comes from, carried as a value so that a document can print it.

Wiring rules are revised every few years. A figure therefore never travels alone: the edition it was
quoted from goes with it, and a document says which edition is in force by the business's setting.
"""

from dataclasses import dataclass
from enum import StrEnum


class Certainty(StrEnum):
    """How sure we are of a figure."""

    READ = "read"
    """Read in a public text that is named."""

    QUOTED = "quoted"
    """Read in public texts that quote a paid standard; the standard itself was not read."""

    MEMORY = "memory"
    """Written down from memory and not looked up."""

    COMMON_PRACTICE = "common-practice"
    """What the trade does; no source stands behind it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A public text, the edition of it, and the place in it.

    >>> Source(work="IEC 60529", place="table 3", certainty=Certainty.QUOTED).edition
    ''
    """

    work: str
    certainty: Certainty
    edition: str = ""
    place: str = ""

    def __post_init__(self) -> None:
        if not self.work.strip():
            raise ValueError("a source needs the name of a work")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A published number with its unit and its source.

    >>> source = Source(work="a book", certainty=Certainty.READ)
    >>> Figure(value=29.0, unit="mV/A/m", source=source).value
    29.0
    """

    value: float
    unit: str
    source: Source


WIRING_RULES_EDITION = "2018"
"""The edition from which the figures of BS 7671 in this package are quoted.

Later amendments exist. The edition in force is a setting of the business, never assumed here.
"""


def wiring_rules(*, place: str, certainty: Certainty = Certainty.QUOTED) -> Source:
    """Name a place in BS 7671, in the edition from which it is quoted here.

    >>> wiring_rules(place="Table 41.3").edition
    '2018'
    """
    return Source(work="BS 7671", edition=WIRING_RULES_EDITION, place=place, certainty=certainty)


COMMON_PRACTICE = Source(work="common practice, no source", certainty=Certainty.COMMON_PRACTICE)
