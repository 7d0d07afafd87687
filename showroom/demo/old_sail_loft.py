"""The house of the demo as plain values. Everything is invented.

A circuit is (name, layer, load kind, what hangs on it); what hangs is (reference, pieces) with a
length in metres for what is sold by the metre, and with more values where they differ.
"""

from decimal import Decimal
from typing import Any, NamedTuple


class RoomPlan(NamedTuple):
    floor: str
    name: str
    use: str
    size: tuple[str, str, str | None]
    group: str
    dampness: str = "dry"
    void_mm: int | None = 150
    enclosure: str | None = None
    idea: str = ""


class CircuitPlan(NamedTuple):
    name: str
    layer: str
    kind: str
    hangs: tuple[tuple[Any, ...], ...]
    enclosure: str | None = None
    cable_m: str | None = None
    drivers: str = ""  # where those after the output stand


FLOORS = (("Q", "Quay level"), ("L", "Loft"), ("T", "Terrace"))

ENCLOSURES = (
    {"name": "Under the stair", "kind": "cupboard", "modules": 60, "protective_device": "C10",
     "rcd_ma": 30, "rcd_type": "A", "fault_loop_ohm": Decimal("0.46")},
    {"name": "Library cupboard", "kind": "cupboard", "modules": 48, "protective_device": "C10"},
    {"name": "Workshop board", "kind": "board", "modules": 36, "protective_device": "C16",
     "rcd_ma": 30, "rcd_type": "A", "fault_loop_ohm": Decimal("0.38")},
)  # fmt: skip
FLOOR_ENCLOSURES = {"Q": "Under the stair", "L": "Library cupboard", "T": "Workshop board"}

LIVING = "Boat hall, galley and chart corner"

ROOMS = (
    RoomPlan("Q", "Boat hall", "living", ("7.2", "5.4", "4.1"), LIVING, void_mm=None),
    RoomPlan("Q", "Galley", "kitchen", ("4.4", "3.1", "2.5"), LIVING),
    RoomPlan("Q", "Chart corner", "dining", ("3.6", "3.1", "2.5"), LIVING),
    RoomPlan("Q", "Rope store", "utility", ("2.1", "1.8", "2.4"), "Rope store"),
    RoomPlan("Q", "Stair", "stair", ("2.4", "1.1", "5.0"), "Stair", void_mm=None),
    RoomPlan("Q", "Wet room", "bathroom", ("2.6", "1.9", "2.4"), "Wet room", dampness="wet"),
    RoomPlan("Q", "Workshop", "workshop", ("5.1", "3.0", "3.2"), "Workshop",
             enclosure="Workshop board", void_mm=None),
    RoomPlan("L", "Mezzanine library", "study", ("4.2", "2.8", "2.3"), "Mezzanine library", void_mm=120),
    RoomPlan("L", "Captain's room", "bedroom", ("4.0", "3.8", "2.6"), "Captain's room", void_mm=110),
    RoomPlan("L", "Twin berth", "child", ("3.2", "2.9", "2.3"), "Twin berth", void_mm=110),
    RoomPlan("T", "Slipway terrace", "outdoor", ("6.0", "3.5", None), "Slipway terrace",
             dampness="outdoor", void_mm=None),
)  # fmt: skip

# Where a ceiling slopes: the height at the lowest side [m].
EAVES = {"Captain's room": "1.4"}

# Kind, x, y, z, width, depth, height [m]. The wet room has no tray.
OBJECTS: dict[str, tuple[tuple[Any, ...], ...]] = {
    "Boat hall": (
        ("door", "0", "2.2", "0", "0.1", "0.95", "2.05"),
        ("window", "1.2", "0", "0.9", "4.8", "0.2", "2.6"),
        ("seat", "2.3", "1.15", "0", "2.4", "0.95", "0.8"),
        ("seat", "5.2", "2.5", "0", "0.85", "0.85", "0.78"),
        ("table", "2.85", "2.65", "0", "1.3", "0.65", "0.38"),
        ("rug", "1.9", "1.5", "0", "3.5", "2.5", "0.012"),
        ("picture", "0", "0.85", "1.05", "0.05", "1.0", "0.8"),
        ("picture", "0", "3.55", "1.05", "0.05", "1.0", "0.8"),
        ("shelves", "6.85", "1.2", "0", "0.35", "3.0", "2.4"),
    ),
    "Galley": (
        ("worktop", "0.6", "0", "0.9", "3.2", "0.62", "0.04"),
        ("cupboard", "0.6", "0", "1.46", "3.2", "0.34", "0.72"),
        ("island", "1.1", "1.5", "0.9", "2.0", "0.9", "0.04"),
    ),
    "Chart corner": (
        ("table", "0.9", "0.95", "0", "1.8", "0.95", "0.74"),
        ("seat", "1.1", "1.95", "0", "0.44", "0.46", "0.86"),
        ("seat", "2.0", "1.95", "0", "0.44", "0.46", "0.86"),
        ("seat", "1.1", "0.42", "0", "0.44", "0.46", "0.86"),
        ("seat", "2.0", "0.42", "0", "0.44", "0.46", "0.86"),
        ("picture", "0", "0.5", "1.05", "0.05", "0.55", "0.75"),
        ("picture", "0", "2.05", "1.05", "0.05", "0.55", "0.75"),
    ),
    "Wet room": (
        ("door", "0", "0.2", "0", "0.1", "0.8", "2.0"),
        ("shower-outlet", "2.25", "0.95", "2.1", None, None, None),
        ("mirror", "0.9", "0", "1.1", "0.8", "0.05", "0.9"),
        ("basin", "0.95", "0", "0.85", "0.7", "0.45", "0.15"),
    ),
    "Captain's room": (
        ("bed", "1.1", "1.7", "0", "1.8", "2.05", "0.5"),
        ("wardrobe", "0", "0.8", "0", "0.45", "2.2", "2.1"),
        ("table", "0.58", "3.35", "0", "0.42", "0.4", "0.5"),
        ("table", "3.0", "3.35", "0", "0.42", "0.4", "0.5"),
        ("rug", "0.7", "0.9", "0", "2.6", "1.7", "0.012"),
    ),
    "Twin berth": (
        ("bed", "0", "0.4", "0", "0.95", "2.0", "0.45"),
        ("bed", "2.25", "0.4", "0", "0.95", "2.0", "0.45"),
    ),
    "Mezzanine library": (
        ("desk", "1.4", "0.2", "0", "1.4", "0.7", "0.74"),
        ("shelves", "0", "0.3", "0", "0.32", "2.2", "2.1"),
        ("seat", "1.85", "0.92", "0", "0.46", "0.46", "0.86"),
    ),
    "Workshop": (("worktop", "0.2", "0", "0.92", "4.4", "0.7", "0.05"),),
}

# What is open to what: room and wall, from its corner; the other room, its wall, from there; width, height [m].
OPENINGS = (
    ("Boat hall", "back", "1.05", "Galley", "left", "0.9", "1.5", "2.25"),
    ("Boat hall", "back", "4.65", "Chart corner", "right", "0.8", "1.5", "2.25"),
)

CIRCUITS: dict[str, tuple[CircuitPlan, ...]] = {
    "Boat hall": (
        CircuitPlan("Truss downlights", "ambient", "phase-dimmed", (("DN-0812-WH", 8),), cable_m="16"),
        CircuitPlan("Wall lights, upward", "ambient", "phase-dimmed", (("WL-3101-BZ", 4),), cable_m="14"),
        CircuitPlan("Wall lights, downward", "accent", "phase-dimmed",
                    (("same", "Wall lights, upward", 2),), cable_m="14"),
        CircuitPlan("Shelf tape", "decorative", "dc-white",
                    (("TP-1102", 3, "2.8"), ("PF-1201", 6)), cable_m="11"),
        CircuitPlan("Cove along the ridge", "ambient", "dc-tunable",
                    (("TP-1104", 2, "6.8"),), cable_m="13"),
        CircuitPlan("Picture lights", "accent", "phase-dimmed", (("WL-3103-BR", 2),), cable_m="12"),
        CircuitPlan("Table-lamp sockets", "decorative", "phase-dimmed",
                    (("OU-5301-BR", 4), ("placeholder", 4, "Client's own table lamp", "6", "470")),
                    cable_m="15"),
        CircuitPlan("Quay window blind", "ambient", "motor", (("BL-8101", 1),), cable_m="9"),
    ),
    "Galley": (
        CircuitPlan("Ceiling downlights", "ambient", "phase-dimmed", (("DN-0810-WH", 6),), cable_m="12"),
        CircuitPlan("Under the wall cupboards", "task", "dc-white",
                    (("TP-1103", 1, "3.2"), ("PF-1203", 2)), cable_m="10"),
        CircuitPlan("Island pendants", "decorative", "phase-dimmed",
                    (("PD-2102-GR", 3, None, "LA-7102"),), cable_m="13"),
        CircuitPlan("Plinth glow", "night", "dc-white", (("TP-1101", 1, "4.1"),), cable_m="10"),
        CircuitPlan("Extractor fan", "task", "switched", (("EX-6202-WH", 1),), cable_m="8"),
    ),
    "Chart corner": (
        CircuitPlan("Pendant over the table", "decorative", "phase-dimmed",
                    (("PD-2103-BR", 1, None, "LA-7103"),), cable_m="12"),
        CircuitPlan("Wall washers", "accent", "digital-dimmed", (("DN-0816-WH", 3),), cable_m="14",
                    drivers="cut-out"),
        CircuitPlan("Chart picture lights", "accent", "phase-dimmed", (("WL-3102-BR", 2),), cable_m="13"),
    ),
    "Rope store": (
        CircuitPlan("Ceiling", "ambient", "switched", (("DN-0811-WH", 2),), cable_m="5"),
        CircuitPlan("Shelf tape", "task", "dc-white", (("TP-1101", 1, "1.8"),), cable_m="5"),
    ),
    "Stair": (
        CircuitPlan("Step lights", "night", "dc-white", (("ST-4101-BZ", 12),), cable_m="7"),
        CircuitPlan("Stairwell cluster", "decorative", "phase-dimmed",
                    (("PD-2104-SM", 1, None, "LA-7106"),), cable_m="9"),
        CircuitPlan("Landing downlights", "ambient", "phase-dimmed",
                    (("DN-0811-WH", 2), ("DN-0811-WH", 1, None, None, "Mezzanine library")), cable_m="10"),
    ),
    "Wet room": (
        CircuitPlan("Ceiling", "ambient", "phase-dimmed", (("DN-0813-WH", 4),), cable_m="8"),
        CircuitPlan("Mirror", "task", "switched", (("WL-3104-CH", 1),), cable_m="8"),
        CircuitPlan("Niche glow", "night", "dc-white", (("TP-1107", 1, "0.9"),), cable_m="9"),
        CircuitPlan("Fan", "task", "switched", (("EX-6202-WH", 1),), cable_m="8"),
    ),
    "Workshop": (
        CircuitPlan("Bench light", "task", "analogue-dimmed", (("LN-6301-WH", 3),), cable_m="9"),
        CircuitPlan("General light", "ambient", "switched", (("LN-6302-WH", 4),), cable_m="10"),
        CircuitPlan("Display track, first circuit", "accent", "phase-dimmed", (("TR-6101-BK", 1),),
                    cable_m="11"),
        CircuitPlan("Display track, second circuit", "accent", "phase-dimmed",
                    (("same", "Display track, first circuit", 2),), cable_m="11"),
    ),
    "Mezzanine library": (
        CircuitPlan("Ceiling downlights", "ambient", "phase-dimmed", (("DN-0814-WH", 4),), cable_m="7"),
        CircuitPlan("Bookshelf tape", "accent", "dc-tunable",
                    (("TP-1104", 4, "2.1"), ("PF-1202", 5)), cable_m="6"),
        CircuitPlan("Desk", "task", "phase-dimmed", (("DN-0812-WH", 1),), cable_m="7"),
        CircuitPlan("Reading-chair socket", "decorative", "phase-dimmed",
                    (("OU-5301-BR", 1), ("placeholder", 1, "Client's own reading lamp", "7", "600")),
                    cable_m="6"),
    ),
    "Captain's room": (
        CircuitPlan("Ceiling downlights", "ambient", "phase-dimmed", (("DN-0814-WH", 4),), cable_m="9"),
        CircuitPlan("Bedside wall lights", "task", "phase-dimmed",
                    (("WL-3106-LN", 2, None, "LA-7106"),), cable_m="10"),
        CircuitPlan("Reading lights", "task", "switched", (("WL-3105-BZ", 2),), cable_m="10"),
        CircuitPlan("Headboard glow", "decorative", "dc-white", (("TP-1101", 1, "2.4"),), cable_m="10"),
        CircuitPlan("Wardrobe", "task", "dc-white", (("TP-1102", 2, "1.1"),), cable_m="8"),
        CircuitPlan("Roof window blind", "ambient", "motor", (("BL-8101", 1),), cable_m="9"),
    ),
    "Twin berth": (
        CircuitPlan("Ceiling", "ambient", "phase-dimmed", (("DN-0810-WH", 4),), cable_m="11"),
        CircuitPlan("Berth colour", "decorative", "dc-rgbw", (("TP-1105", 1, "4.6"),), cable_m="12"),
        CircuitPlan("Fan with light: light", "ambient", "phase-dimmed", (("FN-6201-WH", 1),), cable_m="11"),
        CircuitPlan("Fan with light: fan", "ambient", "switched",
                    (("same", "Fan with light: light", 2),), cable_m="11"),
    ),
    "Slipway terrace": (
        CircuitPlan("Wall lights", "ambient", "switched", (("WL-5103-GP", 3),), cable_m="14"),
        CircuitPlan("Garden spikes", "accent", "dc-white", (("SP-5101-GP", 4),), cable_m="18"),
        CircuitPlan("Deck lights", "night", "dc-white", (("GR-5104-SS", 10),), cable_m="16"),
    ),
}  # fmt: skip

# Group → scene → (words, {circuit name or layer: level}). A layer gives its level to all its circuits.
SCENES: dict[str, dict[str, tuple[str, dict[str, int]]]] = {
    LIVING: {
        "Morning": ("The cove cool and high, the galley awake.",
                    {"ambient": 70, "task": 80, "decorative": 20, "Cove along the ridge": 90}),
        "Cooking": ("Bright on the worktop, the hall held back.",
                    {"Ceiling downlights": 90, "Under the wall cupboards": 100, "Truss downlights": 40,
                     "Island pendants": 60}),
        "Dinner": ("The table is the only island; the walls breathe.",
                   {"Pendant over the table": 55, "Wall washers": 35, "Chart picture lights": 50,
                    "Shelf tape": 25, "Table-lamp sockets": 40, "Truss downlights": 10,
                    "Island pendants": 15, "Plinth glow": 25, "Under the wall cupboards": 8}),
        "Evening": ("Low and warm, light from the edges of the room.",
                    {"Shelf tape": 40, "Table-lamp sockets": 60, "Wall lights, upward": 25,
                     "Picture lights": 50, "Cove along the ridge": 15, "Island pendants": 20,
                     "Plinth glow": 30, "Pendant over the table": 20, "Chart picture lights": 40}),
        "Film": ("One glow behind the sofa, nothing on the screen.",
                 {"Shelf tape": 10, "Plinth glow": 15, "Cove along the ridge": 5,
                  "Chart picture lights": 10}),
        "Night path": ("Enough to find the water glass.", {"Plinth glow": 20}),
    },
    "Stair": {
        "Up and down": ("Every step clear.", {"Step lights": 80, "Landing downlights": 60,
                                             "Stairwell cluster": 50}),
        "Night path": ("Only the steps.", {"Step lights": 15}),
    },
    "Wet room": {
        "Morning": ("Fresh and even.", {"Ceiling": 90, "Mirror": 100}),
        "Bath": ("Half light and warm.", {"Ceiling": 30, "Niche glow": 60}),
        "Night": ("The niche alone.", {"Niche glow": 20}),
    },
    "Mezzanine library": {
        "Read": ("Warm shelves, light on the page.", {"Bookshelf tape": 60, "Desk": 40,
                                                     "Reading-chair socket": 80}),
        "Work": ("Clear and cool at the desk.", {"Ceiling downlights": 80, "Desk": 100,
                                                 "Bookshelf tape": 50}),
    },
    "Captain's room": {
        "Wake": ("Slowly up.", {"Ceiling downlights": 60, "Headboard glow": 40}),
        "Dress": ("True colours at the wardrobe.", {"Ceiling downlights": 80, "Wardrobe": 100}),
        "Read": ("Only the two bedsides.", {"Bedside wall lights": 45, "Headboard glow": 10}),
        "Night": ("A line to walk by.", {"Headboard glow": 5}),
    },
    "Twin berth": {
        "Play": ("Bright to the corners.", {"Ceiling": 90, "Fan with light: light": 70}),
        "Story": ("Colour low, one light over the book.", {"Berth colour": 30, "Ceiling": 20}),
        "Sleep": ("A breath of colour.", {"Berth colour": 5}),
    },
    "Workshop": {
        "Bench": ("Full light on the bench.", {"Bench light": 100, "General light": 100}),
        "Show": ("The boats on the wall.", {"Display track, first circuit": 80,
                                           "Display track, second circuit": 60, "Bench light": 10}),
    },
    "Slipway terrace": {
        "Guests": ("Faces and the edge of the water.", {"Wall lights": 100, "Garden spikes": 60,
                                                        "Deck lights": 50}),
        "Late": ("The deck lights alone.", {"Deck lights": 30}),
    },
}  # fmt: skip

# Group → scene → hours a day. The other groups' energy goes by layers.
HOURS: dict[str, dict[str, str]] = {
    LIVING: {"Morning": "1", "Cooking": "1.5", "Dinner": "1.5", "Evening": "2.5", "Film": "0.75",
             "Night path": "7"},
    "Stair": {"Up and down": "5", "Night path": "8"},
    "Workshop": {"Bench": "2", "Show": "0.5"},
}  # fmt: skip

# Room, where, engraved, group (empty: of the room).
# Of the keypads of a room: the place of receivers, metres, light walls, masonry walls, timber floors.
RADIO: dict[str, tuple[str, str, int, int, int]] = {
    "Boat hall": ("Under the stair", "6.5", 1, 0, 0),
    "Galley": ("Under the stair", "5", 1, 0, 0),
    "Chart corner": ("Under the stair", "8", 2, 0, 0),
    "Stair": ("Under the stair", "2", 1, 0, 0),
    "Wet room": ("Under the stair", "4", 1, 0, 0),
    "Mezzanine library": ("Library cupboard", "3.5", 1, 0, 0),
    "Captain's room": ("Library cupboard", "6", 2, 0, 0),
    "Twin berth": ("Library cupboard", "7", 2, 0, 0),
    "Workshop": ("Workshop board", "4", 0, 0, 0),
    "Slipway terrace": ("Workshop board", "14", 0, 2, 0),
}

OUTSIDE = "outside the door"
POSITIONS: tuple[tuple[str, str, bool, str], ...] = (
    ("Boat hall", "inside the quay door", True, ""),
    ("Boat hall", "by the sofa", True, ""),
    ("Galley", "beside the hob", True, ""),
    ("Chart corner", "by the window", True, ""),
    ("Stair", "at the foot", False, ""),
    ("Mezzanine library", "at the head of the stair", False, "Stair"),
    ("Mezzanine library", "by the desk", True, ""),
    ("Wet room", OUTSIDE, False, ""),
    ("Captain's room", "inside the door", True, ""),
    ("Captain's room", "left of the bed", True, ""),
    ("Twin berth", "inside the door", False, ""),
    ("Workshop", "inside the door", False, ""),
    ("Slipway terrace", "inside the terrace door", False, ""),
)

IDEA = (
    "By day the loft belongs to the water outside. After dark the light should come from the edges: "
    "the shelves, the ridge, the lamps on the tables, so that the room feels as large as it is and "
    "nobody ever sits under a spotlight."
)
