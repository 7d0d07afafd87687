"""What a designer types to enter the demo's rooms, and what is to hang there afterwards."""

from decimal import Decimal
from typing import NamedTuple


class Line(NamedTuple):
    """A line, and the product, part, kind, layer, pieces and length that it stands for."""

    text: str
    reference: str
    feed: int
    load_kind: str
    layer: str
    pieces: int = 1
    length_m: str | None = None

    @property
    def hangs(self) -> tuple[object, ...]:
        length = None if self.length_m is None else Decimal(self.length_m)
        return self.layer, self.load_kind, self.reference, self.feed, self.pieces, length


LINES: dict[str, tuple[Line, ...]] = {
    "Boat hall": (
        Line("8 tilting downlight on the trusses", "DN-0812-WH", 1, "phase-dimmed", "ambient", 8),
        Line("4 wall light up and down ambient", "WL-3101-BZ", 1, "phase-dimmed", "ambient", 4),
        Line("4 wall light up and down accent", "WL-3101-BZ", 2, "phase-dimmed", "accent", 4),
        Line("3x 2.8m medium tape decorative in the shelves", "TP-1102", 1, "dc-white", "decorative", 3, "2.8"),
        Line("2x 6.8m tunable tape ambient along the ridge", "TP-1104", 1, "dc-tunable", "ambient", 2, "6.8"),
        Line("2 long picture lights", "WL-3103-BR", 1, "phase-dimmed", "accent", 2),
        Line("4 table lamp sockets brass dim", "OU-5301-BR", 1, "phase-dimmed", "decorative", 4),
        Line("1 blind quay window ambient", "BL-8101", 1, "motor", "ambient", 1),
    ),
    "Galley": (
        Line("6 fire tested downlights white dim", "DN-0810-WH", 1, "phase-dimmed", "ambient", 6),
        Line("3.2m strong tape under the wall cupboards", "TP-1103", 1, "dc-white", "task", 1, "3.2"),
        Line("3 dome pendants dim over the island", "PD-2102-GR", 1, "phase-dimmed", "decorative", 3),
        Line("4.1m soft tape along the plinth", "TP-1101", 1, "dc-white", "night", 1, "4.1"),
        Line("extractor fan task", "EX-6202-WH", 1, "switched", "task", 1),
    ),
    "Chart corner": (
        Line("bar pendant dim over the table", "PD-2103-BR", 1, "phase-dimmed", "decorative", 1),
        Line("3 wall-washing downlights digital accent", "DN-0816-WH", 1, "digital-dimmed", "accent", 3),
        Line("2 short picture lights dim", "WL-3102-BR", 1, "phase-dimmed", "accent", 2),
    ),
    "Rope store": (
        Line("2 thirty-minute downlights switched", "DN-0811-WH", 1, "switched", "ambient", 2),
        Line("1.8m soft tape task in the shelves", "TP-1101", 1, "dc-white", "task", 1, "1.8"),
    ),
    "Stair": (
        Line("12 step lights bronze", "ST-4101-BZ", 1, "dc-white", "night", 12),
        Line("glass cluster dim decorative", "PD-2104-SM", 1, "phase-dimmed", "decorative", 1),
        Line("2 thirty-minute downlights dim on the landing", "DN-0811-WH", 1, "phase-dimmed", "ambient", 2),
    ),
    "Wet room": (
        Line("4 sealed downlights white dim", "DN-0813-WH", 1, "phase-dimmed", "ambient", 4),
        Line("mirror light switched", "WL-3104-CH", 1, "switched", "task", 1),
        Line("0.9m sealed tape night in the niche", "TP-1107", 1, "dc-white", "night", 1, "0.9"),
        Line("fan task", "EX-6202-WH", 1, "switched", "task", 1),
    ),
    "Workshop": (
        Line("3 linear lights analogue over the bench", "LN-6301-WH", 1, "analogue-dimmed", "task", 3),
        Line("4 linear lights switched ambient", "LN-6302-WH", 1, "switched", "ambient", 4),
        Line("track dim accent first circuit", "TR-6101-BK", 1, "phase-dimmed", "accent", 1),
        Line("track dim accent second circuit", "TR-6101-BK", 2, "phase-dimmed", "accent", 1),
    ),
    "Mezzanine library": (
        Line("4 downlights that warm as they dim", "DN-0814-WH", 1, "phase-dimmed", "ambient", 4),
        Line("4x 2.1m tunable tape in the bookshelves", "TP-1104", 1, "dc-tunable", "accent", 4, "2.1"),
        Line("tilting downlight dim over the desk", "DN-0812-WH", 1, "phase-dimmed", "task", 1),
        Line("table lamp socket brass dim decorative by the reading chair", "OU-5301-BR", 1, "phase-dimmed", "decorative", 1),
    ),
    "Captain's room": (
        Line("4 warming downlights dim", "DN-0814-WH", 1, "phase-dimmed", "ambient", 4),
        Line("2 linen wall lights dim beside the bed task", "WL-3106-LN", 1, "phase-dimmed", "task", 2),
        Line("2 bedside reading lights", "WL-3105-BZ", 1, "switched", "task", 2),
        Line("2.4m soft tape decorative behind the headboard", "TP-1101", 1, "dc-white", "decorative", 1, "2.4"),
        Line("2x 1.1m medium tape task in the wardrobe", "TP-1102", 1, "dc-white", "task", 2, "1.1"),
        Line("roof window blind", "BL-8101", 1, "motor", "ambient", 1),
    ),
    "Twin berth": (
        Line("4 fire tested downlights white dim", "DN-0810-WH", 1, "phase-dimmed", "ambient", 4),
        Line("4.6m rgbw tape decorative along the berths", "TP-1105", 1, "dc-rgbw", "decorative", 1, "4.6"),
        Line("ceiling fan with a light, light dim", "FN-6201-WH", 1, "phase-dimmed", "ambient", 1),
        Line("ceiling fan with a light, fan switched", "FN-6201-WH", 2, "switched", "ambient", 1),
    ),
    "Slipway terrace": (
        Line("3 outdoor wall lights ambient", "WL-5103-GP", 1, "switched", "ambient", 3),
        Line("4 spikes low voltage", "SP-5101-GP", 1, "dc-white", "accent", 4),
        Line("10 deck lights night", "GR-5104-SS", 1, "dc-white", "night", 10),
    ),
}  # fmt: skip
