"""What kept wiring asks of new fittings and receivers, and which work may need notifying.

Prompts only: an electrician inspects and tests what is there, and local law decides on notification.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from engineering import refusal
from engineering.control_plan import Reason, Value
from engineering.efficacy import Nation
from engineering.published import Certainty, Source

NOTIFIABLE_SOURCE = Source(
    work="Approved Document P (England)", edition="2013", certainty=Certainty.QUOTED
)


class NeutralAt(StrEnum):
    """How the neutral of an existing lighting circuit runs."""

    SWITCH = "switch"
    ROSE = "rose"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingWiring:
    """What is known of wiring that is kept; None is 'not known'."""

    has_earth: bool | None = None
    neutral_at: NeutralAt = NeutralAt.UNKNOWN
    has_test_report: bool | None = None

    def __post_init__(self) -> None:
        NeutralAt(self.neutral_at)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnKeptWiring:
    """What the design puts on it.

    `class_one` and `metal_plates` count Class I fittings and metal wall plates; `receivers_at_switch`
    counts receivers that need a neutral in a switch box; `switches_left` old switches no longer used.
    """

    class_one: int = 0
    metal_plates: int = 0
    receivers_at_switch: int = 0
    switches_left: int = 0

    def __post_init__(self) -> None:
        for name in ("class_one", "metal_plates", "receivers_at_switch", "switches_left"):
            refusal.count(name, getattr(self, name), at_least=0)


def kept_wiring_codes(*, wiring: ExistingWiring, design: OnKeptWiring) -> tuple[Reason, ...]:
    """Return what to check where new fittings and receivers go on kept wiring.

    Codes: 'class-one-without-earth', 'metal-plate-without-earth' (and each with '-not-known'),
    'receiver-without-neutral' (and '-not-known'), 'no-test-report', 'old-switches-to-link-out'.

    >>> [each.code for each in kept_wiring_codes(
    ...     wiring=ExistingWiring(has_earth=False, has_test_report=True),
    ...     design=OnKeptWiring(class_one=2))]
    ['class-one-without-earth']
    """
    found: list[Reason] = []
    for code, pieces in (
        ("class-one-without-earth", design.class_one),
        ("metal-plate-without-earth", design.metal_plates),
    ):
        found += _stands(code, pieces, is_there=wiring.has_earth)
    at_switch = {NeutralAt.SWITCH: True, NeutralAt.ROSE: False, NeutralAt.UNKNOWN: None}
    has_neutral = at_switch[NeutralAt(wiring.neutral_at)]
    found += _stands("receiver-without-neutral", design.receivers_at_switch, is_there=has_neutral)
    if not wiring.has_test_report:
        found.append(Reason(code="no-test-report"))
    if design.switches_left:
        values: dict[str, Value] = {"pieces": design.switches_left}
        found.append(Reason(code="old-switches-to-link-out", values=values))
    return tuple(found)


def _stands(code: str, pieces: int, *, is_there: bool | None) -> list[Reason]:
    if is_there or not pieces:
        return []
    known = code if is_there is False else f"{code}-not-known"
    return [Reason(code=known, values={"pieces": pieces})]


class Work(StrEnum):
    """Electrical work, as far as notification in England tells it apart."""

    NEW_CIRCUIT = "new-circuit"
    CONSUMER_UNIT = "consumer-unit"
    ALTERATION = "alteration"
    ALTERATION_IN_SPECIAL_LOCATION = "alteration-in-special-location"


NOTIFIABLE = frozenset({Work.NEW_CIRCUIT, Work.CONSUMER_UNIT, Work.ALTERATION_IN_SPECIAL_LOCATION})
"""Notifiable in England (NOTIFIABLE_SOURCE). A special location: bath or shower zones, pool, sauna.

A new circuit is one from the consumer unit: a circuit of the lighting design is usually not one.
"""


def notification_codes(*, nation: Nation, works: Iterable[Work]) -> tuple[Reason, ...]:
    """Return what to ask about notifying some work; never that none is needed.

    >>> [each.code for each in notification_codes(
    ...     nation=Nation.ENGLAND, works=[Work.CONSUMER_UNIT])]
    ['likely-notifiable', 'ask-local-authority-or-registered-electrician']
    """
    wanted = sorted({Work(work) for work in works})
    found: list[Reason] = []
    if Nation(nation) is not Nation.ENGLAND:
        found.append(Reason(code="rules-of-nation-not-held", values={"nation": nation.value}))
    else:
        found += [
            Reason(code="likely-notifiable", values={"work": work.value})
            for work in wanted
            if work in NOTIFIABLE
        ]
    found.append(Reason(code="ask-local-authority-or-registered-electrician"))
    return tuple(found)
