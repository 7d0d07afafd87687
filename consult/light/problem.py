"""A room's light as a problem of the core, in frozen values: its hash is what answers are kept under."""

from dataclasses import dataclass
from functools import lru_cache, partial

from base.once import Kept
from consult.design import CircuitPart, FittingPart, ObjectPart, RoomPart
from consult.light.bodies import bodies
from consult.light.laws import Law, Look, law_of, look_of
from consult.light.openings import openings_of
from consult.light.placing import Hanging, placements
from consult.pieces import FittingLoad, House
from consult.room_size import area_m2
from engineering.arrangement import Placement
from engineering.box import BoxRoom
from engineering.colour import linear_rgb_of_cct
from engineering.furniture import furnish
from engineering.light_basis import MOST_CIRCUITS
from engineering.passage import passage
from engineering.room import FITTINGS_IN_ANY_ROOM, FITTINGS_PER_M2
from engineering.room_faces import Colour, Cuboid
from engineering.tone import WHITE_KELVIN
from engineering.tunable_white import tunable_rgb

# Where nobody has said: common practice, no source.
FLOOR, WALLS, CEILING = 0.25, 0.55, 0.75
WHITE_K = 2700.0
WARM_K = 2700.0
# Share of a colour piece's light by channel; luminances of the screen's own primaries (IEC 61966-2-1).
PRIMARIES: dict[str, tuple[Colour, float]] = {
    "red": ((1 / 0.2126, 0.0, 0.0), 0.2126),
    "green": ((0.0, 1 / 0.7152, 0.0), 0.7152),
    "blue": ((0.0, 0.0, 1 / 0.0722), 0.0722),
}
WHITE_SHARE = 0.4
SEEN_AS = {
    "seat": "sofa",
    "shelves": "shelf",
    "basin": "bath",
    "island": "worktop",
    "desk": "table",
}
STANDS_ON_FLOOR = frozenset({"worktop", "island"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """One piece at its place, for one channel of its circuit."""

    placement: Placement
    law: Law
    look: Look


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """One entry of the basis: a circuit, or one colour of it."""

    key: str
    colour: Colour
    hung: tuple[Hung, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Control:
    """A circuit as it is played: `kind` "plain", "tunable", "warms" or "colour", and its channels."""

    circuit: str
    code: str
    name: str
    kind: str
    keys: tuple[str, ...]
    from_k: float = 0.0
    to_k: float = 0.0
    curve: str = ""  # how light follows the level: see engineering.dimming_curve


@dataclass(frozen=True, slots=True, kw_only=True)
class LightProblem:
    """All that a room's light is worked out from."""

    room: BoxRoom
    plane_m: float
    channels: tuple[Channel, ...]
    cuboids: tuple[Cuboid, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomProblem:
    """A room's problem with the controls that play it; without a problem, the code of what lacks."""

    problem: LightProblem | None
    controls: tuple[Control, ...] = ()
    lacks: str = ""


class Lacks(Exception):
    """Something without which there is no answer: its code."""


def box_of(room: RoomPart) -> BoxRoom:
    """The room as a box. Raises `Lacks` without its size, or with one that no room has."""
    if not (room.length_m and room.width_m and room.height_m):
        raise Lacks("no_size")

    def share(typed: object, usual: float) -> float:
        return usual if typed is None else float(str(typed))

    try:
        return BoxRoom(
            length_m=float(room.length_m),
            width_m=float(room.width_m),
            height_m=float(room.height_m),
            floor=share(room.floor_reflectance, FLOOR),
            walls=share(room.walls_reflectance, WALLS),
            ceiling=share(room.ceiling_reflectance, CEILING),
            openings=openings_of(room),
        )
    except ValueError as error:
        raise Lacks("bad_size") from error


def most_pieces(room: RoomPart, space: BoxRoom) -> float:
    """How many pieces a room can hold, by its floor: as typed where it is no rectangle.

    The core bounds the box, which is never less.
    """
    floor_m2 = min(space.floor_m2, float(area_m2(room) or space.floor_m2))
    return FITTINGS_IN_ANY_ROOM + FITTINGS_PER_M2 * floor_m2


def room_problem(house: House, room: RoomPart, plane_m: float) -> RoomProblem:
    """The light of one room: every circuit of which a fitting hangs in it and shines."""
    hanging = house.hanging_in[room.id]
    named = [each for circuit in hanging for each in house.named_by(circuit)]
    return _problems.get((room, plane_m, *hanging, *named), lambda: _problem(house, room, plane_m))


# What hangs in a room and of which products is all that its problem is stated from.
_problems: Kept[RoomProblem] = Kept(4000)


def _problem(house: House, room: RoomPart, plane_m: float) -> RoomProblem:
    try:
        space = box_of(room)
        return _stated(house, room, space, plane_m)
    except Lacks as lack:
        return RoomProblem(problem=None, lacks=str(lack))


def _stated(house: House, room: RoomPart, space: BoxRoom, plane_m: float) -> RoomProblem:
    channels: list[Channel] = []
    controls: list[Control] = []
    for circuit in house.hanging_in[room.id]:
        made = _circuit(house, room, space, circuit)
        if made is not None:
            controls.append(made[0])
            channels += made[1]
    if not channels:
        raise Lacks("no_light")
    pieces = sum(len(each.hung) for each in channels)
    if pieces > most_pieces(room, space):
        raise Lacks("too_many")
    if len(channels) > MOST_CIRCUITS:
        raise Lacks("too_many_circuits")
    problem = LightProblem(
        room=space,
        plane_m=plane_m if plane_m < space.height_m else 0.0,
        channels=tuple(channels),
        cuboids=standing(space, room) + _open(space) + _held(space, channels),
    )
    return RoomProblem(problem=problem, controls=tuple(controls))


def _open(space: BoxRoom) -> tuple[Cuboid, ...]:
    """How the openings look."""
    return tuple(part for each in space.openings for part in passage(each, space))


def _held(space: BoxRoom, channels: list[Channel]) -> tuple[Cuboid, ...]:
    """What holds the lights: cords, stands, bodies."""
    return bodies(space, ((h.placement, h.look) for each in channels for h in each.hung))


def _circuit(
    house: House, room: RoomPart, space: BoxRoom, circuit: CircuitPart
) -> tuple[Control, list[Channel]] | None:
    if circuit.load_kind == "motor":
        return None
    hung: list[Hung] = []
    first: tuple[float, float, str] | None = None
    loads = house.loads[circuit.id].rows
    for fitting, load in zip(circuit.fittings, loads, strict=True):
        if fitting.room == room.id and load.piece_lm > 0:
            hung += _hung(house, room, space, fitting, load)
            first = first or (*_temperatures(house, fitting), _curve(house, fitting))
    if not hung or first is None:
        return None
    return _channels(circuit, tuple(hung), *first)


def _temperatures(house: House, fitting: FittingPart) -> tuple[float, float]:
    """Colour temperature from and to [K]; the same twice where it does not change."""
    product = house.product(fitting.product)
    lamp = house.product(fitting.lamp)
    feed = lamp.feed(None) if lamp is not None else product.feed(fitting.feed) if product else None
    if feed is None or feed.cct_k is None:
        return WHITE_K, WHITE_K
    return float(feed.cct_k), float(feed.cct_to_k or feed.cct_k)


def _curve(house: House, fitting: FittingPart) -> str:
    """The dimming curve of the lamp where one is fitted and has one, else of the fitting."""
    for product in (house.product(fitting.lamp), house.product(fitting.product)):
        if product is not None and product.fitting is not None and product.fitting.dimming_curve:
            return product.fitting.dimming_curve
    return ""


def _hung(
    house: House, room: RoomPart, space: BoxRoom, fitting: FittingPart, load: FittingLoad
) -> list[Hung]:
    if fitting.pieces > most_pieces(room, space):
        raise Lacks("too_many")
    law, look, hanging = as_hung(house, fitting, load)
    try:
        places = placements(space, room, hanging)
    except ValueError as error:
        raise Lacks("above_ceiling") from error
    return [Hung(placement=place, law=law, look=look) for place in places]


def as_hung(house: House, fitting: FittingPart, load: FittingLoad) -> tuple[Law, Look, Hanging]:
    """How a row of fittings shines, how it looks, and as what it is to be hung."""
    product, lamp = house.product(fitting.product), house.product(fitting.lamp)
    lumens = load.piece_lm * len(load.pieces_w)
    law = law_of(
        product,
        product.feed(fitting.feed) if product else None,
        lamp.feed(None) if lamp else None,
        lumens / fitting.pieces,
    )
    look = look_of(product, law, fitting.tilt_deg)
    runs: tuple[float, ...] = ()
    if product is not None and product.unit == "metre" and fitting.length_m:
        runs = (float(fitting.length_m),) * fitting.pieces
    shape = "tape" if runs else "globe" if look.shape == "globe" else "disc"
    return law, look, Hanging(part=fitting, look=shape, runs_m=runs)


def _share(hung: tuple[Hung, ...], share: float) -> tuple[Hung, ...]:
    """The same pieces with a share of their light."""
    return tuple(
        Hung(
            placement=each.placement,
            law=Law(
                flux_lm=each.law.flux_lm * share, beam_deg=each.law.beam_deg, file=each.law.file
            ),
            look=each.look,
        )
        for each in hung
    )


@lru_cache(maxsize=1024)
def white(kelvin: float) -> Colour:
    """The colour of a white light, as the eye in the room sees it; four decimals."""
    return _four_decimals(linear_rgb_of_cct(kelvin, adapted_to_k=WHITE_KELVIN))


@lru_cache(maxsize=1024)
def whites_of(low_k: float, high_k: float) -> tuple[Colour, Colour]:
    """The colours of the two whites that a light is mixed from, as the eye in the room sees them."""
    warm, cool = tunable_rgb(low_k, high_k, adapted_to_k=WHITE_KELVIN)
    return _four_decimals(warm), _four_decimals(cool)


def _four_decimals(colour: Colour) -> Colour:
    red, green, blue = (round(max(0.0, part), 4) for part in colour)
    return red, green, blue


def _channels(
    circuit: CircuitPart, hung: tuple[Hung, ...], from_k: float, to_k: float, curve: str
) -> tuple[Control, list[Channel]]:
    named = partial(Control, circuit=circuit.id, code=circuit.code, name=circuit.name, curve=curve)
    if circuit.load_kind in ("dc-rgb", "dc-rgbw", "dc-rgb-tunable"):
        has_white = circuit.load_kind != "dc-rgb"
        rest = 1 - WHITE_SHARE if has_white else 1.0
        made = [
            Channel(key=f"{circuit.id}.{name}", colour=colour, hung=_share(hung, rest * share))
            for name, (colour, share) in PRIMARIES.items()
        ]
        if has_white:
            whites = _share(hung, WHITE_SHARE)
            made.append(Channel(key=f"{circuit.id}.white", colour=white(from_k), hung=whites))
        keys = tuple(channel.key for channel in made)
        return named(kind="colour", keys=keys), made
    if to_k != from_k:
        low, high = min(from_k, to_k), max(from_k, to_k)
        made = [
            Channel(key=f"{circuit.id}.{name}", colour=colour, hung=hung)
            for name, colour in zip(("warm", "cool"), whites_of(low, high), strict=True)
        ]
        kind = "tunable" if circuit.load_kind == "dc-tunable" else "warms"
        keys = tuple(channel.key for channel in made)
        return named(kind=kind, keys=keys, from_k=low, to_k=high), made
    only = Channel(key=circuit.id, colour=white(from_k), hung=hung)
    return named(kind="plain", keys=(circuit.id,)), [only]


def standing(space: BoxRoom, room: RoomPart) -> tuple[Cuboid, ...]:
    """What stands in the room as plain boxes; what has no size or is outside is left out."""
    found: list[Cuboid] = []
    for each in room.objects:
        placed = _corner(each)
        if placed is None:
            continue
        corner, size = placed
        try:
            found += furnish(
                kind=SEEN_AS.get(each.kind, each.kind), corner_m=corner, size_m=size, room=space
            )
        except ValueError:
            continue
    return tuple(found)


def _corner(
    each: ObjectPart,
) -> tuple[tuple[float, float, float], tuple[float, float, float]] | None:
    sizes = (each.width_m, each.depth_m, each.height_m)
    if each.x_m is None or each.y_m is None or any(not size for size in sizes):
        return None
    width, depth, height = (float(size or 0) for size in sizes)
    low = float(each.z_m or 0)
    if each.kind in STANDS_ON_FLOOR:
        low, height = 0.0, low + height
    return (float(each.x_m), float(each.y_m), low), (width, depth, height)
