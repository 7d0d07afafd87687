"""What the light of a whole house takes in a year, room by room and in the form of EN 15193."""

import math
from dataclasses import dataclass

from consult.design import RoomPart
from consult.light.energy import RoomEnergy, room_energy
from consult.pieces import House
from consult.room_size import area_m2
from engineering.energy import DAYS_A_YEAR, leni


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseEnergy:
    """Energy of a year in all [kWh] and by room; for each square metre [kWh/m²] over a floor [m²].

    The floor is that of rooms that are lit and have a size; without any there is no figure for it.
    `left_out` counts rooms that are lit but have no size.
    """

    rooms: tuple[tuple[RoomPart, RoomEnergy], ...]
    kwh_a_year: float
    leni_kwh_m2: float | None
    floor_m2: float
    left_out: int


def house_energy(house: House) -> HouseEnergy | None:
    """The figures of a house; None where nothing is lit."""
    told = ((room, room_energy(house, room)) for room in house.design.rooms)
    rooms = tuple((room, energy) for room, energy in told if energy.uses)
    if not rooms:
        return None
    sized = [(float(area), energy) for room, energy in rooms if (area := area_m2(room))]
    floor = math.fsum(area for area, _ in sized)
    return HouseEnergy(
        rooms=rooms,
        kwh_a_year=math.fsum(energy.kwh_a_year for _, energy in rooms),
        leni_kwh_m2=_leni([energy for _, energy in sized], floor) if sized else None,
        floor_m2=floor,
        left_out=len(rooms) - len(sized),
    )


def _leni(rooms: list[RoomEnergy], floor_m2: float) -> float:
    return math.fsum(
        leni(
            power_w=use.watts,
            area_m2=floor_m2,
            day_hours=0,  # no daylight is taken off
            night_hours=use.hours_a_day * DAYS_A_YEAR,
        )
        for room in rooms
        for use in room.uses
    )
