"""What the light of a whole house takes in a year, in the form of EN 15193: an orientation."""

import math
from dataclasses import dataclass

from consult.design import RoomPart
from consult.light.quick import burning
from consult.pieces import House
from consult.room_size import area_m2
from engineering.energy import DAYS_A_YEAR, leni


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseEnergy:
    """Energy for each square metre in a year [kWh/m²], over the floor of rooms that are lit [m²].

    `left_out` counts rooms that are lit but have no size.
    """

    leni_kwh_m2: float
    floor_m2: float
    left_out: int


def house_energy(house: House) -> HouseEnergy | None:
    """The figure of a house; None where no room that is lit has a size."""
    rooms = [(room, lit) for room in house.design.rooms if (lit := burning(house, room))]
    sized: list[tuple[RoomPart, float]] = [
        (room, float(area)) for room, _ in rooms if (area := area_m2(room))
    ]
    if not sized:
        return None
    floor = math.fsum(area for _, area in sized)
    known = {room.id for room, _ in sized}
    return HouseEnergy(
        leni_kwh_m2=math.fsum(
            leni(
                power_w=each.watts,
                area_m2=floor,
                day_hours=0,  # no daylight is taken off
                night_hours=each.hours_a_day * DAYS_A_YEAR,
                constant_light=each.share,
            )
            for room, lit in rooms
            if room.id in known
            for each in lit
        ),
        floor_m2=floor,
        left_out=len(rooms) - len(sized),
    )
