"""The share of its light that a product gives at a level: its dimming curve."""

from __future__ import annotations

LINEAR, LOGARITHMIC = "", "logarithmic"
CURVES = (LINEAR, LOGARITHMIC)
HIGHEST_LEVEL = 254


def arc_power(level: float) -> float:
    """Return the share of the light at an arc power level of the standard digital curve.

    Parameters
    ----------
    level : 1 to 254; need not be whole.

    Returns
    -------
    float : 0.001 at 1 to 1 at 254, by 10^((level − 1)/(253/3) − 3).

    Raises
    ------
    ValueError : the level is out of its range.

    References
    ----------
    IEC 62386-102, standard dimming curve (its formula in percent ends in − 1).

    >>> arc_power(254)
    1.0
    """
    if not 1 <= level <= HIGHEST_LEVEL:
        raise ValueError(f"level must be from 1 to {HIGHEST_LEVEL}, got {level!r}")
    return float(10 ** ((level - 1) / (253 / 3) - 3))


def light_share(level: float, curve: str = LINEAR) -> float:
    """Return the share of the light that a product gives at a level.

    Parameters
    ----------
    level : 0 to 1; where the control stands. 0 is off on every curve.
    curve : "" (linear: the level is the share) or "logarithmic": the level counts as that share of
        the 254 arc power levels, never below the first.

    Returns
    -------
    float : 0 to 1.

    Raises
    ------
    ValueError : the level is out of its range, or no such curve is known.

    >>> light_share(0.5), round(light_share(0.5, "logarithmic"), 4)
    (0.5, 0.0312)
    """
    if not 0 <= level <= 1:
        raise ValueError(f"level must be from 0 to 1, got {level!r}")
    if curve not in CURVES:
        raise ValueError(f"curve must be '' or 'logarithmic', got {curve!r}")
    if curve == LINEAR or level == 0:
        return level
    return arc_power(max(1.0, HIGHEST_LEVEL * level))


def light_by_percent(curve: str) -> tuple[float, ...]:
    """Return the share of the light at 0, 1, … 100 percent, to eight decimals.

    Raises ValueError for a curve that is not known.

    >>> light_by_percent("")[40]
    0.4
    """
    return tuple(round(light_share(percent / 100, curve), 8) for percent in range(101))
