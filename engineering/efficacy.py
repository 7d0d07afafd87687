"""Efficacy of lighting in homes: light-source lumens per circuit-watt, beside a setting.

The figures are those that public texts quote from the guidance for England. Guidance differs between
nations and changes: the setting is the business's, and the answer is a prompt, never a clearance.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from engineering import refusal
from engineering.control_plan import Reason
from engineering.published import Certainty, Figure, Source

DWELLINGS_SOURCE = Source(
    work="Approved Document L, volume 1 (England)",
    edition="2021",
    place="paragraphs 6.57 to 6.60",
    certainty=Certainty.QUOTED,
)
OTHER_BUILDINGS_SOURCE = Source(
    work="Approved Document L, volume 2 (England)",
    edition="2021",
    certainty=Certainty.QUOTED,
)


class Nation(StrEnum):
    """Nation of the site, as building regulations tell them apart."""

    ENGLAND = "england"
    WALES = "wales"
    SCOTLAND = "scotland"
    NORTHERN_IRELAND = "northern-ireland"
    OTHER = "other"


DWELLINGS_LM_PER_W: Mapping[Nation, float] = MappingProxyType({Nation.ENGLAND: 75.0})
"""Least light-source lumens per circuit-watt of each internal fitting; other nations not held."""

GENERAL_LUMINAIRE_LM_PER_W = Figure(value=95.0, unit="lm/W", source=OTHER_BUILDINGS_SOURCE)
"""Buildings other than homes: luminaire lumens per circuit-watt, general lighting."""
DISPLAY_LM_PER_W = Figure(value=80.0, unit="lm/W", source=OTHER_BUILDINGS_SOURCE)
"""Buildings other than homes: light-source lumens per circuit-watt, display lighting."""
DISPLAY_W_PER_M2 = Figure(value=0.3, unit="W/m²", source=OTHER_BUILDINGS_SOURCE)
"""The other way for display lighting: watts per square metre at most."""
SATURATED_COLOUR_LM_PER_W = Figure(value=65.0, unit="lm/W", source=OTHER_BUILDINGS_SOURCE)
"""Light sources of high excitation purity: light-source lumens per circuit-watt."""


def least_for_dwelling(*, nation: Nation) -> Figure | None:
    """Return the least efficacy of an internal fitting in a home, or None where none is held.

    >>> least_for_dwelling(nation=Nation.ENGLAND).value
    75.0
    """
    value = DWELLINGS_LM_PER_W.get(Nation(nation))
    if value is None:
        return None
    return Figure(value=value, unit="light-source lm per circuit-W", source=DWELLINGS_SOURCE)


def circuit_efficacy(*, source_lm: float, circuit_w: float) -> float:
    """Return light-source lumens per circuit-watt.

    Parameters: source_lm [lm], 0 or more, of the light sources and not of the luminaire; circuit_w
    [W], above 0, with the loss of driver or gear.

    >>> circuit_efficacy(source_lm=750, circuit_w=10)
    75.0
    """
    return refusal.not_negative("source_lm", source_lm) / refusal.above_zero("circuit_w", circuit_w)


@dataclass(frozen=True, slots=True, kw_only=True)
class EfficacyVerdict:
    """Efficacy of a fitting [lm/W] beside the setting; None where lumens or watts are not known."""

    lm_per_w: float | None
    setting_lm_per_w: float
    is_met: bool | None


def against_setting(
    *, source_lm: float | None, circuit_w: float | None, setting_lm_per_w: float
) -> EfficacyVerdict:
    """Return whether a fitting reaches the business's setting; unknown stays unknown.

    Parameters: as `circuit_efficacy`, or None where not known; setting_lm_per_w [lm/W], above 0.

    >>> against_setting(source_lm=700, circuit_w=10, setting_lm_per_w=75).is_met
    False
    """
    refusal.above_zero("setting_lm_per_w", setting_lm_per_w)
    if source_lm is None or circuit_w is None:
        return EfficacyVerdict(lm_per_w=None, setting_lm_per_w=setting_lm_per_w, is_met=None)
    lm_per_w = circuit_efficacy(source_lm=source_lm, circuit_w=circuit_w)
    # A fitting at exactly the setting meets it, whatever the last binary digit says.
    is_met = lm_per_w >= setting_lm_per_w * (1 - 1e-12)
    return EfficacyVerdict(lm_per_w=lm_per_w, setting_lm_per_w=setting_lm_per_w, is_met=is_met)


def external_codes(
    *, lm_per_w: float | None, has_daylight_off: bool, has_presence_off: bool
) -> tuple[Reason, ...]:
    """Return what to check about a fixed outside fitting of a home in England.

    Notes: off in daylight always; off without presence too, where the efficacy is 75 or less.
    Raises: ValueError for an efficacy under 0.

    >>> [reason.code for reason in external_codes(
    ...     lm_per_w=60, has_daylight_off=True, has_presence_off=False)]
    ['needs-presence-off']
    """
    reasons = []
    limit = DWELLINGS_LM_PER_W[Nation.ENGLAND]
    if not has_daylight_off:
        reasons.append(Reason(code="needs-daylight-off"))
    if has_presence_off:
        return tuple(reasons)
    if lm_per_w is None:
        reasons.append(Reason(code="presence-off-not-known", values={"limit_lm_per_w": limit}))
    elif refusal.not_negative("lm_per_w", lm_per_w) <= limit:
        values = {"lm_per_w": lm_per_w, "limit_lm_per_w": limit}
        reasons.append(Reason(code="needs-presence-off", values=values))
    return tuple(reasons)
