"""How much light a room gets, by the lumen method: a first answer while talking.

Utilisation is taken as 0.5 and maintenance as 0.8, both common practice, no source; the answer is an
estimate and says so.
"""

from dataclasses import dataclass

from consult.design import RoomPart
from consult.pieces import House
from engineering.lumen import average_illuminance

UTILISATION = 0.5
MAINTENANCE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomLight:
    """Light of all fittings [lm], area [m²] and average [lx]; None where it cannot be worked out."""

    lumens: float
    area_m2: float | None
    average_lx: float | None


def room_light(house: House, room: RoomPart) -> RoomLight:
    """The light of all circuits of a room at full level, from fittings that hang in it."""
    lumens = 0.0
    for circuit in house.design.circuits:
        load = house.loads[circuit.id]
        for fitting, row in zip(circuit.fittings, load.rows, strict=True):
            if fitting.room == room.id:
                lumens += row.piece_lm * len(row.pieces_w)
    area = float(room.length_m * room.width_m) if room.length_m and room.width_m else None
    return RoomLight(
        lumens=lumens,
        area_m2=area,
        average_lx=(
            average_illuminance(
                flux_lm=lumens, area_m2=area, utilisation=UTILISATION, maintenance=MAINTENANCE
            )
            if area and lumens > 0
            else None
        ),
    )
