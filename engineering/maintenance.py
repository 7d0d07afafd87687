"""The maintenance factor by its parts: how much of the first light is left before servicing."""

from __future__ import annotations

from engineering.published import COMMON_PRACTICE, Certainty, Figure, Source
from engineering.refusal import share


def maintenance_factor(
    *,
    lamp_flux: float,
    lamp_survival: float = 1.0,
    luminaire: float = 1.0,
    room_surfaces: float = 1.0,
) -> float:
    """Return MF = LLMF · LSF · LMF · RSMF.

    Parameters
    ----------
    lamp_flux : LLMF, above 0, at most 1; light left of the lamp's own.
    lamp_survival : LSF, above 0, at most 1; share of lamps alive; 1 where failures are replaced.
    luminaire : LMF, above 0, at most 1; dirt on the luminaire.
    room_surfaces : RSMF, above 0, at most 1; dirt on the room.

    Returns
    -------
    float, above 0, at most 1.

    Raises
    ------
    ValueError : a factor is out of its range.

    References
    ----------
    CIE 97:2005; EN 12665 (terms).

    >>> round(maintenance_factor(lamp_flux=0.9, luminaire=0.85, room_surfaces=0.95), 5)
    0.72675
    """
    product = share("lamp_flux", lamp_flux) * share("lamp_survival", lamp_survival)
    return product * share("luminaire", luminaire) * share("room_surfaces", room_surfaces)


_HANDBOOK = Source(
    work="trade lighting handbook quoting the European standard", certainty=Certainty.QUOTED
)

CLEAN_THREE_YEARS = Figure(value=0.67, unit="", source=_HANDBOOK)
"""Reference maintenance factor, modern equipment, clean surroundings, serviced every 3 years."""

VERY_DIRTY_THREE_YEARS = Figure(value=0.50, unit="", source=_HANDBOOK)
"""The same in very dirty surroundings."""

HOME = Figure(value=0.80, unit="", source=COMMON_PRACTICE)
"""What is taken for homes where nothing is known."""
