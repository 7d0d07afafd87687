"""Electricity that lighting takes in a year."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from engineering.refusal import above_zero, not_negative

DAYS_A_YEAR = 365
HOURS_A_YEAR = 8760
# Constants of the dwelling method (SAP 10.2, Appendix L), read in a public implementation.
LUMEN_HOURS = 59.73
BASE_PER_LUMEN_HOUR = 11.2
AREA_AND_PEOPLE_POWER = 0.4714
REFERENCE_LM_PER_M2 = 330.0
DEFAULT_FIXED_LM_PER_M2 = 185.0
PORTABLE_LM_PER_W = 21.3


def _unit_share(name: str, value: float) -> float:
    """Return a share from 0 to 1, or refuse it."""
    if not (0 <= value <= 1):
        raise ValueError(f"{name} must be from 0 to 1, got {value!r}")
    return value


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneHours:
    """A scene in use: `watts` it takes and `hours_a_day` it burns.

    >>> SceneHours(watts=60, hours_a_day=4).hours_a_day
    4
    """

    watts: float
    hours_a_day: float

    def __post_init__(self) -> None:
        not_negative("watts", self.watts)
        if not (0 <= self.hours_a_day <= 24):
            raise ValueError(f"hours_a_day must be from 0 to 24, got {self.hours_a_day!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayedLoad:
    """A load as a scene plays it: `watts` [W] at full light, gear included, and the share of them.

    >>> PlayedLoad(watts=60, share=0.4).drawn_w
    24.0
    """

    watts: float
    share: float

    def __post_init__(self) -> None:
        not_negative("watts", self.watts)
        _unit_share("share", self.share)

    @property
    def drawn_w(self) -> float:
        """What it takes in the scene [W]."""
        return self.watts * self.share


def scene_hours(*, loads: Iterable[PlayedLoad], hours_a_day: float) -> SceneHours:
    """Return a scene in use, of the loads that it plays.

    Parameters
    ----------
    loads : each with its power and the share of it; none is a scene in the dark.
    hours_a_day : [h], 0 to 24.

    Returns
    -------
    SceneHours : Σ W · share [W], for so many hours a day.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    A share is of the power. Taken from a level it says that power follows the level in step: an
    assumption. Where light falls faster than the level the power falls faster too, so the year
    comes out high; a driver's loss that does not fall with its load makes it come out low.

    >>> evening = scene_hours(
    ...     loads=[PlayedLoad(watts=60, share=0.4), PlayedLoad(watts=20, share=1)], hours_a_day=4)
    >>> evening.watts, scenes_kwh(scenes=[evening])
    (44.0, 64.24)
    """
    watts = math.fsum(load.drawn_w for load in loads)
    return SceneHours(watts=watts, hours_a_day=hours_a_day)


def annual_kwh(*, watts: float, hours_a_day: float, dim_share: float = 1.0) -> float:
    """Return the energy of a year: W · h · 365 · share / 1000.

    Parameters
    ----------
    watts : [W], 0 or more; at full light, gear included.
    hours_a_day : [h], 0 to 24.
    dim_share : 0 to 1; average share of the full power.

    Returns
    -------
    float [kWh].

    Raises
    ------
    ValueError : a value is out of its range.

    >>> annual_kwh(watts=300, hours_a_day=4)
    438.0
    """
    use = SceneHours(watts=watts, hours_a_day=hours_a_day)
    return use.watts * use.hours_a_day * DAYS_A_YEAR * _unit_share("dim_share", dim_share) / 1000


def scenes_kwh(*, scenes: Iterable[SceneHours], standby_w: float = 0.0) -> float:
    """Return the energy of a year of scenes, with what control units draw all the time.

    Parameters
    ----------
    scenes : at most 24 hours a day in all.
    standby_w : [W], 0 or more.

    Returns
    -------
    float [kWh].

    Raises
    ------
    ValueError : the scenes burn more than 24 hours a day, or a value is out of its range.

    >>> scenes_kwh(scenes=[SceneHours(watts=300, hours_a_day=4)], standby_w=1)
    446.76
    """
    used = tuple(scenes)
    if not sum(scene.hours_a_day for scene in used) <= 24 + 1e-9:
        raise ValueError("the scenes of one room cannot burn more than 24 hours a day")
    lit = sum(annual_kwh(watts=s.watts, hours_a_day=s.hours_a_day) for s in used)
    return lit + not_negative("standby_w", standby_w) * HOURS_A_YEAR / 1000


def leni(
    *,
    power_w: float,
    area_m2: float,
    day_hours: float,
    night_hours: float,
    constant_light: float = 1.0,
    occupancy: float = 1.0,
    daylight: float = 1.0,
    parasitic_kwh_m2: float = 0.0,
) -> float:
    """Return the lighting energy numeric indicator.

    Parameters
    ----------
    power_w : Pn [W], 0 or more.
    area_m2 : A [m²], above 0.
    day_hours, night_hours : tD, tN [h a year], 0 or more, at most 8760 together.
    constant_light, occupancy, daylight : Fc, Fo, FD, each 0 to 1.
    parasitic_kwh_m2 : [kWh/m² a year], 0 or more; emergency and standby.

    Returns
    -------
    float [kWh/m² a year] : Pn·Fc·(tD·Fo·FD + tN·Fo)/1000/A + parasitic.

    Raises
    ------
    ValueError : a value is out of its range.

    References
    ----------
    EN 15193-1.

    >>> round(leni(power_w=300, area_m2=30, day_hours=2250, night_hours=250, constant_light=0.9,
    ...            occupancy=0.9, daylight=0.8), 3)
    16.605
    """
    day, night = not_negative("day_hours", day_hours), not_negative("night_hours", night_hours)
    if day + night > HOURS_A_YEAR:
        raise ValueError(f"a year has {HOURS_A_YEAR} hours, got {day + night!r}")
    present = _unit_share("occupancy", occupancy)
    hours = day * present * _unit_share("daylight", daylight) + night * present
    power = not_negative("power_w", power_w) * _unit_share("constant_light", constant_light)
    parasitic = not_negative("parasitic_kwh_m2", parasitic_kwh_m2)
    return power * hours / 1000 / above_zero("area_m2", area_m2) + parasitic


@dataclass(frozen=True, slots=True, kw_only=True)
class DwellingLighting:
    """A dwelling's lighting by the standard assessment: persons, lumen-hours [klmh], [kWh]."""

    people: float
    base: float
    required: float
    provided: float
    fixed_kwh: float
    top_up_kwh: float
    portable_kwh: float

    @property
    def total_kwh(self) -> float:
        """All three kinds together [kWh a year]."""
        return self.fixed_kwh + self.top_up_kwh + self.portable_kwh


def assumed_people(*, floor_m2: float) -> float:
    """Return how many people a dwelling of a floor area is assumed to house (SAP).

    >>> round(assumed_people(floor_m2=100), 4)
    2.7395
    """
    over = above_zero("floor_m2", floor_m2) - 13.9
    if over <= 0:
        return 1.0
    return 1 + 1.76 * (1 - math.exp(-0.000349 * over**2)) + 0.0013 * over


def dwelling_lighting(
    *,
    floor_m2: float,
    fixed_lm_per_w: float,
    daylight_factor: float = 1.0,
    fixed_lm: float | None = None,
) -> DwellingLighting:
    """Return a dwelling's yearly lighting energy by the standard assessment's form.

    Parameters
    ----------
    floor_m2 : TFA [m²], above 0.
    fixed_lm_per_w : [lm/W], above 0; of the fixed lighting.
    daylight_factor : Cday, above 0, at most 2.
    fixed_lm : [lm], 0 or more; 185 lm/m² where not told.

    Returns
    -------
    DwellingLighting.

    Raises
    ------
    ValueError : a value is out of its range.

    Notes
    -----
    An orientation only: assessments are made with approved software. The constants were read in
    a public implementation; the way they go together is from memory, the assessment's text was
    not read.

    References
    ----------
    SAP 10.2, Appendix L.

    >>> round(dwelling_lighting(floor_m2=100, fixed_lm_per_w=100, daylight_factor=0.96).total_kwh, 1)
    175.5
    """
    people = assumed_people(floor_m2=floor_m2)
    if not (0 < daylight_factor <= 2):
        raise ValueError(f"daylight_factor must be above 0 and at most 2, got {daylight_factor!r}")
    base: float = BASE_PER_LUMEN_HOUR * LUMEN_HOURS * (floor_m2 * people) ** AREA_AND_PEOPLE_POWER
    required = base * daylight_factor * 2 / 3
    fixed = DEFAULT_FIXED_LM_PER_M2 * floor_m2 if fixed_lm is None else fixed_lm
    reference = REFERENCE_LM_PER_M2 * floor_m2
    provided = required * not_negative("fixed_lm", fixed) / reference
    return DwellingLighting(
        people=people,
        base=base,
        required=required,
        provided=provided,
        fixed_kwh=provided / above_zero("fixed_lm_per_w", fixed_lm_per_w),
        top_up_kwh=max(0.0, required / 3 - provided) / PORTABLE_LM_PER_W,
        portable_kwh=required / 2 / PORTABLE_LM_PER_W,
    )


def dwelling_lighting_2012(
    *, floor_m2: float, low_energy_share: float, daylight_factor: float = 1.0
) -> float:
    """Return a dwelling's yearly lighting energy by the form of 2012.

    Parameters
    ----------
    floor_m2 : [m²], above 0.
    low_energy_share : 0 to 1; share of low-energy outlets.
    daylight_factor : C2, above 0, at most 2.

    Returns
    -------
    float [kWh a year] : 59.73·(TFA·N)^0.4714 · (1 − 0.5·share) · C2.

    References
    ----------
    SAP 2012, Appendix L (fraction read in a public implementation).

    >>> round(dwelling_lighting_2012(floor_m2=100, low_energy_share=1), 1)
    421.0
    """
    people = assumed_people(floor_m2=floor_m2)
    if not (0 < daylight_factor <= 2):
        raise ValueError(f"daylight_factor must be above 0 and at most 2, got {daylight_factor!r}")
    low = 1 - 0.5 * _unit_share("low_energy_share", low_energy_share)
    base: float = LUMEN_HOURS * (floor_m2 * people) ** AREA_AND_PEOPLE_POWER
    return base * low * daylight_factor


def efficacy(*, flux_lm: float, watts: float) -> float:
    """Return the luminous efficacy [lm/W] of a flux for a power.

    >>> efficacy(flux_lm=4000, watts=50)
    80.0
    """
    return above_zero("flux_lm", flux_lm) / above_zero("watts", watts)
