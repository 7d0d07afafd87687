"""Plain boxes that stand for what is in a room, so that its picture has scale and shadows.

Shapes and colours are our own and deliberately plain: they say 'a table stands here', no more.
"""

from __future__ import annotations

from collections.abc import Sequence

from engineering.box import BoxRoom
from engineering.refusal import above_zero
from engineering.room_faces import Colour, Cuboid

OAK: Colour = (0.36, 0.25, 0.16)
LINEN: Colour = (0.68, 0.65, 0.60)
MOSS: Colour = (0.24, 0.27, 0.21)
SAGE: Colour = (0.33, 0.36, 0.30)
DARK: Colour = (0.10, 0.09, 0.08)
BRONZE: Colour = (0.13, 0.105, 0.08)
CHART: Colour = (0.66, 0.63, 0.55)
STONE: Colour = (0.62, 0.60, 0.57)
PAINT: Colour = (0.66, 0.64, 0.60)
WOOL: Colour = (0.46, 0.42, 0.37)
GLASS: Colour = (0.05, 0.06, 0.08)
DUSK: Colour = (0.0045, 0.0078, 0.0130)
UNLIT: Colour = (0.0, 0.0, 0.0)
CUSHION: Colour = (0.47, 0.27, 0.14)
THROW: Colour = (0.30, 0.33, 0.34)
THIN_M = 0.03
CHAIR_M = 0.75
# Doors of furniture: how wide, how far apart by half, how proud, and how many at most on a side.
FRONT_M, FRONT_GAP_M, FRONT_PROUD_M, MOST_FRONTS = 0.6, 0.004, 0.012, 5
FREE_M = 0.4

Parts = list[Cuboid]
Span = tuple[float, float]

# The tints of a room's surfaces, each of mean 1 in luminance: timber, plaster, a warm paint.
FLOOR_TINT: Colour = (1.30, 0.952, 0.59)
CEILING_TINT: Colour = (1.03, 0.998, 0.93)
WALL_TINT: Colour = (1.04, 0.9965, 0.92)


def surface_colours(room: BoxRoom) -> tuple[Colour, ...]:
    """Return the reflectance of red, green, blue of a room's six surfaces.

    The luminance of each is the reflectance that the light was worked out with.

    >>> len(surface_colours(BoxRoom(length_m=4, width_m=3, height_m=2.5)))
    6
    """

    def tinted(share: float, tint: Colour) -> Colour:
        red, green, blue = (min(1.0, share * part) for part in tint)
        return red, green, blue

    walls = tinted(room.walls, WALL_TINT)
    floor, ceiling = tinted(room.floor, FLOOR_TINT), tinted(room.ceiling, CEILING_TINT)
    return (floor, ceiling, walls, walls, walls, walls)


def _box(
    x: tuple[float, float], y: tuple[float, float], z: tuple[float, float], colour: Colour
) -> Cuboid:
    """A box; what is flat or thin both ways throws no shadow worth its cost."""
    sides = sorted(high - low for low, high in (x, y, z))
    is_flat = sides[0] <= THIN_M + 1e-9 or sides[1] <= 0.07
    return Cuboid(
        low_m=(x[0], y[0], z[0]), high_m=(x[1], y[1], z[1]), colour=colour, casts=not is_flat
    )


def _table(x: tuple[float, float], y: tuple[float, float], top: float) -> Parts:
    leg = 0.06
    parts = [_box(x, y, (top - 0.04, top), OAK)]
    for one in (x[0] + 0.05, x[1] - 0.05 - leg):
        for other in (y[0] + 0.05, y[1] - 0.05 - leg):
            parts.append(_box((one, one + leg), (other, other + leg), (0.0, top - 0.04), OAK))
    return parts


def _bed(x: tuple[float, float], y: tuple[float, float], top: float, room: BoxRoom) -> Parts:
    """A base, a mattress, and pillows at the end that is nearest a wall."""
    parts = [
        _box(x, y, (0.08, top * 0.55), OAK),
        _box((x[0] + 0.02, x[1] - 0.02), (y[0] + 0.02, y[1] - 0.02), (top * 0.55, top), LINEN),
    ]
    gaps = {"x0": x[0], "x1": room.length_m - x[1], "y0": y[0], "y1": room.width_m - y[1]}
    long_way = ("x0", "x1") if x[1] - x[0] > y[1] - y[0] else ("y0", "y1")
    head = min(long_way, key=lambda end: gaps[end])
    deep, gap = 0.38, 0.08
    along, across = (x, y) if head[0] == "x" else (y, x)
    near = (along[0] + gap, along[0] + gap + deep)
    far = (along[1] - gap - deep, along[1] - gap)
    where = near if head[1] == "0" else far
    middle = (across[0] + across[1]) / 2
    end = 0.0 if head[1] == "0" else (room.length_m if head[0] == "x" else room.width_m)
    is_for_two = across[1] - across[0] > 1.2
    if gaps[head] < 0.3 and is_for_two:
        board = (end, end + 0.05) if head[1] == "0" else (end - 0.05, end)
        wide = (across[0] - 0.1, across[1] + 0.1)
        parts.append(_box(*((board, wide) if head[0] == "x" else (wide, board)), (0.1, 1.0), MOSS))
    left, right = across[0] + gap, across[1] - gap
    for side in ((left, middle - 0.04), (middle + 0.04, right)) if is_for_two else ((left, right),):
        spans = (where, side) if head[0] == "x" else (side, where)
        parts.append(_box(*spans, (top, top + 0.13), (0.74, 0.72, 0.68)))
    foot = (
        (along[1] - 0.75, along[1] - 0.2) if head[1] == "0" else (along[0] + 0.2, along[0] + 0.75)
    )
    wide = across[0] + 0.01, across[1] - 0.01
    if along[1] - along[0] > 1.6:
        parts.append(
            _box(*((foot, wide) if head[0] == "x" else (wide, foot)), (top, top + 0.02), THROW)
        )
    return parts


def _sofa(x: tuple[float, float], y: tuple[float, float], top: float, room: BoxRoom) -> Parts:
    """A seat, a back along the side nearest a wall, and two arms."""
    seat = top * 0.52
    gaps = {"x0": x[0], "x1": room.length_m - x[1], "y0": y[0], "y1": room.width_m - y[1]}
    sides = ("y0", "y1") if x[1] - x[0] >= y[1] - y[0] else ("x0", "x1")
    back = min(sides, key=lambda side: gaps[side])
    deep, arm = 0.22, 0.16
    along, across = (x, y) if back[0] == "y" else (y, x)
    rest = (across[0], across[0] + deep) if back[1] == "0" else (across[1] - deep, across[1])
    front = (across[0] + deep, across[1]) if back[1] == "0" else (across[0], across[1] - deep)

    def part(one: tuple[float, float], other: tuple[float, float], high: float) -> Cuboid:
        spans = (one, other) if back[0] == "y" else (other, one)
        return _box(*spans, (0.06, high), MOSS)

    found = [
        part((along[0] + arm, along[1] - arm), front, seat),
        part(along, rest, top),
        part((along[0], along[0] + arm), front, top * 0.72),
        part((along[1] - arm, along[1]), front, top * 0.72),
    ]
    # A cushion in each corner, against the back.
    lean = (rest[1], rest[1] + 0.13) if back[1] == "0" else (rest[0] - 0.13, rest[0])
    high = min(top - 0.03, seat + 0.36)
    wide = min(0.44, (along[1] - along[0] - 2 * arm) / 2.4)
    if wide < 0.25 or high - seat < 0.1:
        return found
    for one in (along[0] + arm + 0.03, along[1] - arm - 0.03 - wide):
        spans = (one, one + wide), lean
        x_span, y_span = spans if back[0] == "y" else (spans[1], spans[0])
        found.append(
            Cuboid(
                low_m=(x_span[0], y_span[0], seat),
                high_m=(x_span[1], y_span[1], high),
                colour=CUSHION,
                casts=False,
            )
        )
    return found


def _units(x: Span, y: Span, top: float, room: BoxRoom) -> Parts:
    """Units with doors on a plinth that stands back, under a top that stands out."""
    back = 0.05
    inner = (min(x[0] + back, x[1]), max(x[1] - back, x[0])), (y[0] + back, y[1] - back)
    body = (x[0] + 0.02, x[1] - 0.02), (y[0] + 0.02, y[1] - 0.02)
    fronts = _fronts(body, (0.13, top - 0.07), room, SAGE, is_free=_is_free(x, y, room))
    return [
        _box(*inner, (0.0, 0.1), DARK),
        _box(*body, (0.1, top - 0.04), SAGE),
        _box(x, y, (top - 0.04, top), STONE),
        *fronts,
    ]


def _is_free(x: Span, y: Span, room: BoxRoom) -> bool:
    """Tell whether something stands free of all walls, so that it has fronts on both long sides."""
    gaps = x[0], y[0], room.length_m - x[1], room.width_m - y[1]
    return min(gaps) > FREE_M


def _fronts(
    body: tuple[Span, Span], z: Span, room: BoxRoom, colour: Colour, *, is_free: bool
) -> Parts:
    """Return doors of some 0.6 m along the long sides of a body that face the room, just proud of it."""
    (x, y), found = body, []
    gaps = {"x0": x[0], "x1": room.length_m - x[1], "y0": y[0], "y1": room.width_m - y[1]}
    long_way = ("y0", "y1") if x[1] - x[0] >= y[1] - y[0] else ("x0", "x1")
    back = min(long_way, key=lambda side: gaps[side])
    for side in long_way:
        if side == back and not is_free:
            continue
        along, across = (x, y) if side[0] == "y" else (y, x)
        count = max(1, min(MOST_FRONTS, round((along[1] - along[0]) / FRONT_M)))
        step = (along[1] - along[0]) / count
        deep = (
            (across[0] - FRONT_PROUD_M, across[0])
            if side[1] == "0"
            else (across[1], across[1] + FRONT_PROUD_M)
        )
        if deep[0] < 0 or step < 0.1 or z[1] - z[0] < 0.1:
            continue
        for number in range(count):
            start = along[0] + number * step
            span = start + FRONT_GAP_M, start + step - FRONT_GAP_M
            found.append(_box(*((span, deep) if side[0] == "y" else (deep, span)), z, colour))
    return found


def _closed(x: Span, y: Span, z: Span, room: BoxRoom) -> Parts:
    """A wardrobe or a wall cupboard: a body with doors on the side that faces the room."""
    foot = 0.08 if z[0] < 0.01 else 0.02
    fronts = _fronts((x, y), (z[0] + foot, z[1] - 0.02), room, PAINT, is_free=False)
    return [_box(x, y, z, PAINT), *fronts]


def _chair(x: tuple[float, float], y: tuple[float, float], top: float, room: BoxRoom) -> Parts:
    """A seat on legs, with its back on the side that is nearest a wall."""
    seat, leg = min(0.46, top * 0.56), 0.04
    gaps = {"x0": x[0], "x1": room.length_m - x[1], "y0": y[0], "y1": room.width_m - y[1]}
    back = min(gaps, key=lambda side: gaps[side])
    along, across = (x, y) if back[0] == "x" else (y, x)
    rest = (along[0], along[0] + leg) if back[1] == "0" else (along[1] - leg, along[1])
    spans = (rest, across) if back[0] == "x" else (across, rest)
    parts = [_box(x, y, (seat - 0.05, seat), WOOL), _box(*spans, (seat + 0.12, top), WOOL)]
    for one in (x[0] + 0.02, x[1] - 0.02 - leg):
        for other in (y[0] + 0.02, y[1] - 0.02 - leg):
            is_back = rest[0] - 0.03 <= (one if back[0] == "x" else other) <= rest[1]
            high = top if is_back else seat - 0.05
            parts.append(_box((one, one + leg), (other, other + leg), (0.0, high), OAK))
    return parts


def _picture(spans: Sequence[tuple[float, float]], room: BoxRoom) -> Parts:
    """A framed picture on the wall nearest to it."""
    panel = _panel(spans[0], spans[1], spans[2], room)
    frame = _box(*panel, OAK)
    return [frame, *_panes(frame, _inside(panel, 0.035), room, colour=CHART, own=UNLIT, panes=1)]


def _inside(spans: Sequence[tuple[float, float]], margin: float) -> tuple[tuple[float, float], ...]:
    return tuple((low + margin, high - margin) for low, high in spans)


def _panel(
    x: tuple[float, float],
    y: tuple[float, float],
    z: tuple[float, float],
    room: BoxRoom,
) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
    """Return a flat panel on the wall nearest to an opening's outline."""
    gaps = {
        "front": (y[0] + y[1]) / 2,
        "back": room.width_m - (y[0] + y[1]) / 2,
        "left": (x[0] + x[1]) / 2,
        "right": room.length_m - (x[0] + x[1]) / 2,
    }
    wall = min(gaps, key=lambda side: gaps[side])
    if wall == "front":
        return x, (0.0, THIN_M), z
    if wall == "back":
        return x, (room.width_m - THIN_M, room.width_m), z
    if wall == "left":
        return (0.0, THIN_M), y, z
    return (room.length_m - THIN_M, room.length_m), y, z


def furnish(
    *,
    kind: str,
    corner_m: tuple[float, float, float],
    size_m: tuple[float, float, float],
    room: BoxRoom,
) -> tuple[Cuboid, ...]:
    """Return the boxes that stand for an object of a room.

    Parameters
    ----------
    kind : "table", "bed", "sofa", "worktop", "wardrobe", "rug", "shelf", "door", "window",
        "mirror", "bath", "tray"; anything else is one plain box.
    corner_m : [m] x, y and z of its low corner.
    size_m : [m], above 0; width along x, depth along y, height.
    room : the room; boxes are cut off at its surfaces.

    Raises
    ------
    ValueError : a size is not above 0, or the object is outside the room.

    >>> room = BoxRoom(length_m=4, width_m=3, height_m=2.5)
    >>> len(furnish(kind="table", corner_m=(1, 1, 0), size_m=(1.6, 0.9, 0.75), room=room))
    5
    """
    for name, side in zip(("width", "depth", "height"), size_m, strict=True):
        above_zero(name, side)
    spans = [
        (max(0.0, low), min(size, low + side))
        for low, side, size in zip(corner_m, size_m, room.size_m, strict=True)
    ]
    if not all(low < high for low, high in spans):
        raise ValueError(f"{kind} at {corner_m!r} is outside the room")
    x, y, z = spans
    return tuple(part for part in _parts(kind, x, y, z, room) if _is_thick(part))


def _is_thick(part: Cuboid) -> bool:
    return all(high - low > 1e-3 for low, high in zip(part.low_m, part.high_m, strict=True))


def _parts(
    kind: str,
    x: tuple[float, float],
    y: tuple[float, float],
    z: tuple[float, float],
    room: BoxRoom,
) -> Sequence[Cuboid]:
    """Return the boxes of a kind of object."""
    turned = {"bed": _bed, "sofa": _sofa, "worktop": _units}
    plain = {
        "rug": WOOL,
        "shelf": OAK,
        "bath": STONE,
        "tray": STONE,
    }
    if kind == "table" and z[0] < 0.01:
        return _table(x, y, z[1])
    if kind in ("wardrobe", "cupboard"):
        return _closed(x, y, z, room)
    if kind == "sofa" and max(x[1] - x[0], y[1] - y[0]) < CHAIR_M:
        return _chair(x, y, z[1], room)
    if kind in turned and (kind != "worktop" or z[0] < 0.01):
        return turned[kind](x, y, z[1], room)
    if kind == "window":
        px, py, pz = _panel(x, y, z, room)
        frame = _box(px, py, pz, PAINT)
        inner = _inside((px, py, pz), 0.06)
        return [frame, *_panes(frame, inner, room, colour=GLASS, own=DUSK, panes=2)]
    if kind == "picture":
        return _picture((x, y, z), room)
    if kind in ("door", "mirror"):
        px, py, pz = _panel(x, y, z, room)
        return [_box(px, py, pz, PAINT if kind == "door" else GLASS)]
    return [_box(x, y, z, plain.get(kind, WOOL))]


def _panes(
    frame: Cuboid,
    inner: Sequence[tuple[float, float]],
    room: BoxRoom,
    *,
    colour: Colour,
    own: Colour,
    panes: int,
) -> Parts:
    """Return the panes of a window, or the sheet of a picture, just proud of its frame."""
    axis = 0 if frame.high_m[0] - frame.low_m[0] <= THIN_M + 1e-9 else 1
    across = 1 - axis
    is_low = frame.low_m[axis] <= 1e-9
    proud = 0.004
    flat = (THIN_M, THIN_M + proud)
    far = (room.size_m[axis] - THIN_M - proud, room.size_m[axis] - THIN_M)
    low, high = inner[across]
    middle = (low + high) / 2
    halves = ((low, middle - 0.025), (middle + 0.025, high))
    found = []
    for one, other in halves if panes == 2 else ((low, high),):
        if other - one < 0.02 or inner[2][1] - inner[2][0] < 0.02:
            continue
        spans = [(0.0, 0.0)] * 3
        spans[axis], spans[across], spans[2] = (flat if is_low else far), (one, other), inner[2]
        found.append(
            Cuboid(
                low_m=(spans[0][0], spans[1][0], spans[2][0]),
                high_m=(spans[0][1], spans[1][1], spans[2][1]),
                colour=colour,
                own=own,
                casts=False,
                shows_sky=any(own),
            )
        )
    return found
