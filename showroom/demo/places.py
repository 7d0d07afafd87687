"""Where the fittings of the demo hang, and which way they aim. Everything is invented.

By room and circuit: arrangement, wall, distance from it, mounting height, tilt from straight down.
A circuit that is not here hangs in a grid or in a row over the room.
"""

from typing import NamedTuple


class Hang(NamedTuple):
    arrangement: str
    wall: str = ""
    offset_m: str | None = None
    height_m: str | None = None
    tilt_deg: int | None = None


PLACES: dict[tuple[str, str], Hang] = {
    ("Boat hall", "Truss downlights"): Hang("grid", height_m="3.55"),
    ("Boat hall", "Wall lights, upward"): Hang("along-wall", "back", "0.12", "1.9", 180),
    ("Boat hall", "Wall lights, downward"): Hang("along-wall", "back", "0.12", "1.9"),
    ("Boat hall", "Shelf tape"): Hang("along-wall", "right", "0.4", "2.2"),
    ("Boat hall", "Cove along the ridge"): Hang("row", height_m="3.5", tilt_deg=180),
    ("Boat hall", "Picture lights"): Hang("along-wall", "left", "0.22", "2.15", 20),
    ("Boat hall", "Table-lamp sockets"): Hang("perimeter", offset_m="1.1", height_m="0.85"),
    ("Galley", "Under the wall cupboards"): Hang("along-wall", "front", "0.3", "1.42"),
    ("Galley", "Island pendants"): Hang("over-object", height_m="1.75"),
    ("Galley", "Plinth glow"): Hang("along-wall", "front", "0.66", "0.09"),
    ("Chart corner", "Pendant over the table"): Hang("over-object", height_m="1.5"),
    ("Chart corner", "Wall washers"): Hang("along-wall", "back", "0.8", None, 25),
    ("Chart corner", "Chart picture lights"): Hang("along-wall", "left", "0.2", "2.0", 15),
    ("Rope store", "Shelf tape"): Hang("along-wall", "back", "0.35", "1.9"),
    ("Stair", "Step lights"): Hang("along-wall", "back", "0.03", "0.3"),
    ("Stair", "Stairwell cluster"): Hang("points", height_m="3.4"),
    ("Wet room", "Mirror"): Hang("along-wall", "front", "0.1", "2.05", 20),
    ("Wet room", "Niche glow"): Hang("along-wall", "back", "0.12", "1.35"),
    ("Workshop", "Bench light"): Hang("along-wall", "front", "0.6", "2.4"),
    ("Workshop", "Display track, first circuit"): Hang("along-wall", "back", "0.9", "2.9", 35),
    ("Workshop", "Display track, second circuit"): Hang("along-wall", "back", "0.9", "2.9", 35),
    ("Mezzanine library", "Bookshelf tape"): Hang("along-wall", "left", "0.36", "2.05"),
    ("Mezzanine library", "Desk"): Hang("over-object", height_m="2.28"),
    ("Mezzanine library", "Reading-chair socket"): Hang("points", "right", "0.6", "1.25"),
    ("Captain's room", "Bedside wall lights"): Hang("along-wall", "back", "0.16", "1.15"),
    ("Captain's room", "Reading lights"): Hang("along-wall", "back", "0.14", "1.1", 25),
    ("Captain's room", "Headboard glow"): Hang("along-wall", "back", "0.06", "1.05", 180),
    ("Captain's room", "Wardrobe"): Hang("along-wall", "left", "0.5", "2.15"),
    ("Twin berth", "Berth colour"): Hang("along-wall", "back", "0.08", "2.1", 170),
}
