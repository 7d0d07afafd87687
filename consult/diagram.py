"""The wiring of one place as a one-line diagram, drawn here. No Django, no style attributes.

The permanent feed comes from the board on the left and is looped through the units; each output
runs to its circuit, with drivers where they stand, to its load. Symbols follow the conventions of
IEC 60617 drawings. Text is drawn 13 units high on a sheet 1000 wide: 2.5 mm on A4 across its 190 mm.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

from consult.design import CircuitPart, EnclosurePart
from consult.pieces import House
from consult.planning import PlannedHouse
from engineering.control_plan import Output, PowerSupply, Unit
from engineering.control_problem import CHANNELS

WIDTH = 1000
ROW = 30
HEAD = 48
GAP = 22
TOP = 70
BUS_X = 60
SUPPLY_X = 120
UNIT_X = 215
UNIT_WIDTH = 210
DRIVER_X = 505
LOAD_X = 590
ROWS_ON_A_SHEET = 36

SHAPES = {
    "breaker": '<path d="M-9 0h5l9 -7M9 0h-4"/><path d="M-1 -6l4 4M3 -6l-4 4" stroke-width="1"/>',
    "board": '<path d="M-11 -7h22v14h-22z"/><path d="M-11 0h22v7h-22z" fill="currentColor"/>',
    "receiver": '<path d="M-10 -4h20v10h-20zM-4 -4v-4M-7 -8a4 3 0 0 1 6 0"/>',
    "driver": '<path d="M-11 -9h22v18h-22zM11 -9L-11 9M-8 -3c1 -2 2 -2 3 0s2 2 3 0M2 4h7"/>',
    "luminaire": '<circle r="8"/><path d="M-5.7 -5.7L5.7 5.7M5.7 -5.7L-5.7 5.7"/>',
    "tape": '<path d="M-12 -4h24v8h-24zM-4 -4v8M4 -4v8"/>',
    "socket": '<path d="M-8 5a8 8 0 0 1 16 0M0 -3v-6M-8 -3h16"/>',
    "motor": '<circle r="9"/><path d="M-4 4v-8l4 5 4 -5v8"/>',
}
CHANNEL_NAMES = {
    "dc-tunable": ("warm", "cool"),
    "dc-rgb": ("R", "G", "B"),
    "dc-rgbw": ("R", "G", "B", "W"),
    "dc-rgb-tunable": ("R", "G", "B", "warm", "cool"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The words on a diagram, given by whoever draws it, so that they can be translated.

    `load` holds %(pieces)s and %(watts)s, `legend` names each symbol of SHAPES; `title` holds %(place)s, %(sheet)s and %(sheets)s.
    """

    title: str
    feed: str
    spare: str
    load: str
    legend: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One drawing: its title and its SVG."""

    title: str
    svg: str


def diagram(house: House, plan: PlannedHouse, enclosure_id: str, words: Words) -> tuple[Sheet, ...]:
    """The sheets of one place: units whole, as many as go on a sheet. None where it has no unit."""
    part = house.design.enclosure_of[enclosure_id]
    units = [unit for unit in plan.control.units if unit.enclosure == enclosure_id]
    sheets = _sheets(units)
    made = []
    for number, here in enumerate(sheets, start=1):
        values = {"place": part.name, "sheet": number, "sheets": len(sheets)}
        title = words.title % values
        drawing = _Drawing(house, part, words)
        made.append(
            Sheet(title=title, svg=drawing.draw(here, title, is_last=number == len(sheets)))
        )
    return tuple(made)


def _sheets(units: Sequence[Unit]) -> list[list[Unit]]:
    found: list[list[Unit]] = []
    rows = ROWS_ON_A_SHEET + 1
    for unit in units:
        needs = len(unit.outputs) + 2
        if rows + needs > ROWS_ON_A_SHEET:
            found.append([])
            rows = 0
        found[-1].append(unit)
        rows += needs
    return found


class _Drawing:
    def __init__(self, house: House, part: EnclosurePart, words: Words) -> None:
        self.house = house
        self.part = part
        self.words = words
        self.out: list[str] = []
        self.used: dict[str, None] = {}
        self.circuits = {circuit.code: circuit for circuit in house.design.circuits}

    def draw(self, units: Sequence[Unit], title: str, *, is_last: bool) -> str:
        y: float = TOP
        ends = []
        for unit in units:
            ends.append(y + HEAD / 2)
            y = self._unit(unit, y) + GAP
        self._feed(ends, is_last=is_last)
        bottom = self._legend(y + 6)
        name = f"one-line-{self.part.id}-{units[0].number}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="one-line" role="img" '
            f'aria-labelledby="{name}" viewBox="0 0 {WIDTH} {bottom:.0f}" fill="none" '
            f'stroke="currentColor" stroke-width="1.4" font-family="Barlow, Arial, sans-serif" '
            f'font-size="13"><title id="{name}">{escape(title)}</title>'
            + "".join(self.out)
            + "</svg>"
        )

    # --- pieces -----------------------------------------------------------------------------
    def _line(self, *points: tuple[float, float]) -> None:
        path = "L".join(f"{x:.0f} {y:.0f}" for x, y in points)
        self.out.append(f'<path d="M{path}"/>')

    def _text(
        self, x: float, y: float, words: str, *, bold: bool = False, end: bool = False
    ) -> None:
        weight = ' font-weight="600"' if bold else ""
        anchor = ' text-anchor="end"' if end else ""
        self.out.append(
            f'<text x="{x:.0f}" y="{y:.0f}" fill="currentColor" stroke="none"{weight}{anchor}>'
            f"{escape(words)}</text>"
        )

    def _symbol(self, name: str, x: float, y: float) -> None:
        self.used[name] = None
        self.out.append(f'<g transform="translate({x:.0f} {y:.0f})">{SHAPES[name]}</g>')

    def _dot(self, x: float, y: float) -> None:
        self.out.append(
            f'<circle cx="{x:.0f}" cy="{y:.0f}" r="3" fill="currentColor" stroke="none"/>'
        )

    # --- the feed ---------------------------------------------------------------------------
    def _feed(self, ends: Sequence[float], *, is_last: bool) -> None:
        if not ends:
            return
        self._symbol("board", BUS_X, 18)
        self._symbol("breaker", BUS_X, 46)
        self._line((BUS_X, 25), (BUS_X, 40))
        supply = f"{self.house.design.project.supply_v} V"
        device = self.part.protective_device
        named = ", ".join(x for x in (self.part.fed_from, device, supply) if x)
        self._text(BUS_X + 20, 23, f"{self.words.feed}: {named}", bold=True)
        stop = ends[-1] if is_last else ends[-1] + 40
        self._line((BUS_X, 50), (BUS_X, stop))
        for y in ends:
            self._dot(BUS_X, y)

    # --- a unit -----------------------------------------------------------------------------
    def _unit(self, unit: Unit, y: float) -> float:
        height = HEAD + ROW * max(len(unit.outputs), 1)
        middle = y + HEAD / 2
        if unit.supplies:
            self._line((BUS_X, middle), (SUPPLY_X + 14, middle))
            self._symbol("driver", SUPPLY_X + 25, middle)
            self._line((SUPPLY_X + 36, middle), (UNIT_X, middle))
            self._supply_text(unit.supplies, SUPPLY_X - 48, middle + 26)
        else:
            self._line((BUS_X, middle), (UNIT_X, middle))
        self.out.append(
            f'<rect x="{UNIT_X}" y="{y:.0f}" width="{UNIT_WIDTH}" height="{height:.0f}" '
            f'stroke-width="2"/>'
        )
        self._symbol("receiver", UNIT_X + 22, y + 20)
        name = self.house.by_reference[unit.reference].name
        self._text(UNIT_X + 40, y + 18, f"U{unit.number}", bold=True)
        for line, words in enumerate(_lines(name, 27)):
            self._text(UNIT_X + 40, y + 35 + 16 * line, words)
        for row, output in enumerate(unit.outputs):
            self._output(output, y + HEAD + ROW * row + ROW / 2)
        return y + height

    def _supply_text(self, supplies: Iterable[PowerSupply], x: float, y: float) -> None:
        for line, supply in enumerate(supplies):
            rating = f"{supply.count} × {supply.rating_w:g} W"
            volts = f", {supply.volts:g} V" if supply.volts else ""
            self._text(x, y + 16 * line, rating + volts)

    # --- an output --------------------------------------------------------------------------
    def _output(self, output: Output, y: float) -> None:
        edge = UNIT_X + UNIT_WIDTH
        self._text(edge - 8, y + 4, str(output.number), end=True)
        if not output.parts:
            self._line((edge, y), (edge + 26, y))
            self._text(edge + 32, y + 4, self.words.spare)
            return
        part = output.parts[0]
        circuit = self.circuits[part.circuit]
        if part.supplies:
            self._line((edge, y), (DRIVER_X - 11, y))
            self._symbol("driver", DRIVER_X, y)
            self._line((DRIVER_X + 11, y), (LOAD_X - 14, y))
            supply = part.supplies[0]
            self._text(edge + 6, y - 4, f"{supply.count} × {supply.rating_w:g} W")
        else:
            self._line((edge, y), (LOAD_X - 14, y))
        shape = self._shape(circuit)
        self._symbol(shape, LOAD_X, y)
        self._text(LOAD_X + 24, y + 4, circuit.code, bold=True)
        self._text(LOAD_X + 86, y + 4, _short(self._words(circuit, part.channel), 42))
        self._text(
            WIDTH - 6, y + 4, self._load(circuit, len(part.pieces), output.power_w), end=True
        )

    def _words(self, circuit: CircuitPart, channel: int) -> str:
        names = CHANNEL_NAMES.get(circuit.load_kind)
        room = self.house.design.room_of[circuit.room].name
        ending = f" · {names[channel - 1]}" if names and CHANNELS[circuit.load_kind] > 1 else ""
        return f"{circuit.name}, {room}{ending}"

    def _load(self, circuit: CircuitPart, pieces: int, watts: float) -> str:
        whole = len(self.house.loads[circuit.id].pieces_w)
        count = f"{pieces}/{whole}" if pieces != whole else f"{pieces}"
        return self.words.load % {"pieces": count, "watts": f"{watts:.1f}"}

    def _shape(self, circuit: CircuitPart) -> str:
        if circuit.load_kind == "motor":
            return "motor"
        kinds = [
            product.kind
            for fitting in circuit.fittings
            if (product := self.house.product(fitting.product))
        ]
        for kind, shape in (("tape", "tape"), ("outlet", "socket")):
            if kind in kinds:
                return shape
        natures = {feed.load_nature for feed in self.house.loads[circuit.id].feeds}
        return "motor" if natures == {"motor"} else "luminaire"

    # --- legend -----------------------------------------------------------------------------
    def _legend(self, y: float) -> float:
        """The symbols used on this sheet, in rows of four."""
        self.out.append(f'<path d="M20 {y:.0f}H{WIDTH - 20}" stroke-width="0.7"/>')
        for place, name in enumerate(list(self.used)):
            x, line = 40 + 240 * (place % 4), y + 26 + 30 * (place // 4)
            self._symbol(name, x, line)
            self._text(x + 22, line + 4, self.words.legend[name])
        return y + 26 + 30 * ((len(self.used) + 3) // 4)


def _lines(words: str, most: int) -> list[str]:
    """The words on one line or two, broken between words where they are longer."""
    if len(words) <= most:
        return [words]
    cut = words.rfind(" ", 0, most + 1)
    cut = cut if cut > 0 else most
    return [words[:cut], _short(words[cut:].strip(), most)]


def _short(words: str, most: int) -> str:
    return words if len(words) <= most else words[: most - 1] + "…"
