"""What the page of a room's light shows, as values, and what the browser needs to play with it."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from consult.design import RoomPart
from consult.light.figures import PlaneFigures, figures, scene_plane
from consult.light.openings import OpenTo, open_to
from consult.light.pictures import VIEWS, view_of
from consult.light.problem import RoomProblem, room_problem
from consult.light.room_plan import outlines
from consult.light.scenes import ALL_OFF, ALL_ON, RoomScene, scenes_of, weights
from consult.light.sliders import Slider, sliders
from consult.light.solving import at_hand
from consult.light.targets import Target, Targets, read_targets
from consult.light.words import ALL_OFF as ALL_OFF_WORDS
from consult.light.words import ALL_ON as ALL_ON_WORDS
from consult.light.words import VIEWS as VIEW_WORDS
from consult.light.words import lacks
from consult.pieces import House
from engineering.dimming_curve import light_by_percent
from engineering.light_map import BANDS_LX, STOPS, band_colours
from engineering.maintenance import HOME

MAIN_ROOMS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneLink:
    scene: RoomScene
    url: str
    picture: str
    is_shown: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPage:
    """The page of one room: its scenes, the one shown, the one beside it, and its figures."""

    part: RoomPart
    stated: RoomProblem
    links: tuple[SceneLink, ...]
    scene: RoomScene | None
    other: RoomScene | None
    view: str
    views: tuple[tuple[str, str], ...]
    target: Target | None
    plane_m: float
    query: str
    other_query: str
    open_to: OpenTo

    @property
    def leaving_percent(self) -> float | None:
        """Of all the light with everything on, what leaves through openings, where that is at hand."""
        light = at_hand(self.stated.problem) if self.stated.problem else None
        return 100 * light.leaving_share if light else None

    @property
    def lack(self) -> str:
        return lacks(self.stated.lacks) if self.stated.lacks else ""

    @property
    def scenes(self) -> tuple[RoomScene, ...]:
        return tuple(link.scene for link in self.links)

    @property
    def levels(self) -> list[Slider]:
        """The sliders of every circuit as the scene shown sets them."""
        return sliders(self.stated.controls, self.scene)

    @property
    def kept_scenes(self) -> str:
        """The keys of the scenes in which levels can be kept, with blanks between."""
        return " ".join(each.key for each in self.scenes if each.key not in (ALL_ON, ALL_OFF))

    @property
    def may_keep(self) -> bool:
        return self.scene is not None and self.scene.key in self.kept_scenes.split()

    @property
    def figures(self) -> PlaneFigures | None:
        """The figures of the scene shown, where the light is at hand."""
        light = at_hand(self.stated.problem) if self.stated.problem else None
        if light is None or self.scene is None:
            return None
        return figures(scene_plane(light, weights(self.stated.controls, self.scene.levels)))

    @property
    def bands(self) -> list[tuple[float, str]]:
        """The legend: every other band is enough to read by."""
        wanted = (2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
        return [(low, colour) for low, colour in band_colours() if low in wanted]

    @property
    def for_browser(self) -> dict[str, Any]:
        return {
            "maintenance": HOME.value,
            "view": self.view,
            "scene": self.scene.key if self.scene else "",
            "other": self.other.key if self.other else "",
            "words": {scene.key: scene.words for scene in self.scenes},
            "bands": list(BANDS_LX),
            "standing": [
                [round(part, 3) for part in (each.x, each.y, each.width, each.depth)]
                for each in outlines(self.part)
                if not each.is_flat
            ],
            "stops": [[place, list(colour)] for place, colour in STOPS],
            "controls": [
                [c.circuit, c.kind, list(c.keys), c.from_k, c.to_k, c.curve]
                for c in self.stated.controls
            ],
            "curves": {
                curve: list(light_by_percent(curve))
                for curve in sorted({c.curve for c in self.stated.controls if c.curve})
            },
            "scenes": {
                scene.key: {
                    circuit: [level.share, level.cct_k or 0, level.colour]
                    for circuit, level in scene.levels.items()
                }
                for scene in self.scenes
            },
        }


def room_page(
    house: House, room_id: str, *, scene: str = "", other: str = "", view: str = ""
) -> RoomPage:
    """The page of a room; an unknown scene or wall falls back to the first."""
    return _page(house, house.design.room_of[room_id], read_targets(), scene, other, view)


def _page(
    house: House, part: RoomPart, targets: Targets, scene: str, other: str, view: str
) -> RoomPage:
    plane_m = targets.plane_m(part.use)
    stated = room_problem(house, part, plane_m)
    found = scenes_of(
        house.design, part, stated.controls, all_on=str(ALL_ON_WORDS), all_off=str(ALL_OFF_WORDS)
    )
    named = {each.key: each for each in found}
    shown = named.get(scene) or _first(found)
    seen = view_of(stated.problem, view) if stated.problem else "front"
    beside = named.get(other)
    return RoomPage(
        part=part,
        stated=stated,
        links=tuple(_link(part, each, seen, is_shown=each is shown) for each in found),
        scene=shown if stated.problem else None,
        other=beside if stated.problem else None,
        view=seen,
        views=tuple((key, str(VIEW_WORDS[key])) for key in VIEWS),
        target=targets.of(part.use),
        plane_m=plane_m,
        query=f"scene={shown.key}&view={seen}",
        other_query=f"scene={beside.key}&view={seen}" if beside else "",
        open_to=open_to(house, part),
    )


def _first(found: tuple[RoomScene, ...]) -> RoomScene:
    """The first scene in which something of this room is lit."""
    return next((each for each in found if each.is_lit), found[0])


def _link(part: RoomPart, scene: RoomScene, view: str, *, is_shown: bool) -> SceneLink:
    query = f"?scene={scene.key}&view={view}"
    return SceneLink(
        scene=scene,
        url=reverse("consult:room_light", args=[part.id]) + query,
        picture=reverse("consult:light_picture", args=[part.id]) + query,
        is_shown=is_shown,
    )


def main_rooms(house: House) -> list[RoomPage]:
    """The rooms with the most light to play with, in house order: four at most."""
    targets = read_targets()
    pages = [_page(house, part, targets, "", "", "") for part in house.design.rooms]
    lit = [each for each in pages if each.stated.problem is not None]
    chosen = sorted(lit, key=lambda each: -len(each.stated.controls) * len(each.links))[:MAIN_ROOMS]
    return [each for each in lit if each in chosen]


__all__ = ["ALL_OFF", "ALL_ON", "RoomPage", "main_rooms", "room_page"]
