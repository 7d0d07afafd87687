"""The room in a scene, and the light map, as PNG: for print, for links, and for pages without a script."""

import io
from dataclasses import dataclass

import numpy as np
from django.core.cache import caches
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from consult.derived import KEPT_S, fingerprint
from consult.design import RoomPart
from consult.light.figures import scene_plane
from consult.light.problem import LightProblem, RoomProblem, room_problem
from consult.light.room_plan import outlines
from consult.light.scenes import RoomScene, scenes_of, weights
from consult.light.solving import basis_of, key_of, solved
from consult.light.targets import read_targets
from consult.pieces import House
from engineering.light_map import BANDS_LX, band_colours, contours, shades
from engineering.room_view import camera, picture

# Raised when the same light would be drawn otherwise than before.
DRAWING = 7
WIDTH_PX = 720
SMOOTH = 2
MOST_PX = 1_600_000
MAP_CELL_PX = 26
NEAR_M = 0.7
HIDES = 2.0
VIEWS = ("front", "right", "back", "left")


def view_of(problem: LightProblem, asked: str = "") -> str:
    """The wall to look from: as asked, else the one with the most open wall before the eye.

    What stands or hangs near a wall is seen from behind when one looks from it.
    """
    if asked in VIEWS:
        return asked
    return max(VIEWS, key=lambda view: _open_m2(problem, view))


def _open_m2(problem: LightProblem, view: str) -> float:
    """The area of a wall [m²] less what is near it; each fitting counts as half a square metre."""
    axis = 1 if view in ("front", "back") else 0
    along, size = 1 - axis, problem.room.size_m
    is_near_end = view in ("front", "left")
    free = size[along] * size[2]
    for box in problem.cuboids:
        gap = box.low_m[axis] if is_near_end else size[axis] - box.high_m[axis]
        if gap < NEAR_M:
            sides = (box.high_m[along] - box.low_m[along]) * (box.high_m[2] - box.low_m[2])
            free -= sides * HIDES
    for channel in problem.channels:
        for hung in channel.hung:
            place = hung.placement
            ends = (place.position_m[axis], (place.end_m or place.position_m)[axis])
            gap = max(ends) if is_near_end else size[axis] - min(ends)
            if gap < NEAR_M:
                free -= 0.5
    return free


def room_png(
    stated: RoomProblem, scene: RoomScene, *, view: str = "", width_px: int = WIDTH_PX
) -> bytes:
    """The room in a scene as PNG. Raises ValueError where the room has no light to work out."""
    if stated.problem is None:
        raise ValueError(f"no picture without {stated.lacks}")
    return sketch(stated.problem, weights(stated.controls, scene.levels), view, width_px).png()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """A picture that can be drawn; `key` names all that it is drawn from, and nothing else."""

    problem: LightProblem
    weights: dict[str, float]
    view: str
    width_px: int
    key: str

    def at_hand(self) -> bytes | None:
        """The picture where it was drawn before. Costs one look at a file."""
        found: bytes | None = caches["drawn"].get(self.key)
        return found

    @property
    def is_at_hand(self) -> bool:
        """Whether it was drawn before; the picture itself is not read."""
        return self.key in caches["drawn"]

    def png(self) -> bytes:
        """The picture: kept, or drawn now (half a second). Raises ValueError if it is refused."""
        found = self.at_hand()
        if found is None:
            found = png(_drawn(self.problem, self.weights, self.view, self.width_px))
            caches["drawn"].set(self.key, found, KEPT_S)
        return found


def sketch(
    problem: LightProblem, shown: dict[str, float], view: str = "", width_px: int = WIDTH_PX
) -> Sketch:
    """A picture of a problem under weights; without a view, from where most is seen."""
    seen = view_of(problem, view)
    return Sketch(
        problem=problem,
        weights=shown,
        view=seen,
        width_px=width_px,
        key=f"png-{DRAWING}-{key_of(problem)}-{fingerprint(shown, seen, width_px)}",
    )


def _drawn(
    problem: LightProblem, shown: dict[str, float], view: str, width_px: int
) -> NDArray[np.uint8]:
    basis = basis_of(problem)
    aspect = camera(basis.room, view).aspect
    # A tall narrow room would make a very tall picture: the width gives way.
    width = min(width_px, int((MOST_PX * aspect / SMOOTH**2 * 1.6) ** 0.5))
    return picture(basis=basis, levels=shown, view=view, width_px=width, smooth=SMOOTH)


def png(pixels: NDArray[np.uint8]) -> bytes:
    """Pixels [h, w, 3] as a PNG file."""
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, format="PNG", compress_level=5)
    return out.getvalue()


def scene_png(
    house: House, room: RoomPart, scene: str, *, width_px: int = WIDTH_PX
) -> bytes | None:
    """The picture of a room in a scene, to be frozen with an issue. None where there is none to draw.

    Parameters
    ----------
    house, room : the frozen design and one of its rooms.
    scene : the key of a scene of the room's group.
    width_px : the picture's width; its height follows from the room.
    """
    stated = room_problem(house, room, read_targets().plane_m(room.use))
    if stated.problem is None:
        return None
    found = scenes_of(house.design, room, stated.controls, all_on="", all_off="")
    wanted = next((each for each in found if each.key == scene), None)
    if wanted is None or not weights(stated.controls, wanted.levels):
        return None
    try:
        return room_png(stated, wanted, width_px=width_px)
    except ValueError:
        return None


def map_png(stated: RoomProblem, scene: RoomScene, room: RoomPart) -> bytes:
    """The light map of a scene as PNG, with isolines, values and what stands in the room."""
    if stated.problem is None:
        raise ValueError(f"no map without {stated.lacks}")
    answer = solved(stated.problem)
    plane = scene_plane(answer, weights(stated.controls, scene.levels))
    return png(_mapped(plane, stated.problem, room))


def _mapped(plane: NDArray[np.float64], problem: LightProblem, room: RoomPart) -> NDArray[np.uint8]:
    rows, columns = plane.shape
    scale = max(6, min(MAP_CELL_PX, round(900 / columns)))
    height = max(60, round(columns * scale * problem.room.width_m / problem.room.length_m))
    size = (columns * scale, height)
    # Row 0 lies at the front wall, which a plan shows at its foot.
    ground = Image.fromarray(shades(plane[::-1])).resize(size, Image.Resampling.BICUBIC)
    drawing = ImageDraw.Draw(ground)
    font = ImageFont.load_default(size=15)

    def at(x: float, y: float) -> tuple[float, float]:
        return (x + 0.5) / columns * size[0], size[1] - (y + 0.5) / rows * size[1]

    for level in BANDS_LX[1:]:
        for one, other in contours(plane, level):
            drawing.line([at(*one), at(*other)], fill=(16, 19, 22), width=2)
    for each in outlines(room):
        if not each.is_flat:
            scale_m = size[0] / problem.room.length_m
            ends = (each.x, each.y, each.x + each.width, each.y + each.depth)
            drawing.rectangle([end * scale_m for end in ends], outline=(70, 62, 50))
    for y, x, value in _values(plane):
        spot = at(x, y)
        colour = (16, 19, 22) if value > 60 else (232, 234, 231)
        drawing.text(spot, f"{value:.0f}", fill=colour, font=font, anchor="mm")
    return np.asarray(ground)


def _values(plane: NDArray[np.float64]) -> list[tuple[int, int, float]]:
    """Some twenty places with their value, evenly over the map: row, column, [lx]."""
    rows, columns = plane.shape
    down, across = min(4, max(2, rows // 4)), min(7, max(3, columns // 4))
    return [
        (y, x, float(plane[y, x]))
        for y in [int((i + 0.5) * rows / down) for i in range(down)]
        for x in [int((j + 0.5) * columns / across) for j in range(across)]
    ]


__all__ = [
    "Sketch",
    "band_colours",
    "map_png",
    "png",
    "room_png",
    "scene_png",
    "sketch",
    "view_of",
]
