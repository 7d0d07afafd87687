"""A large house for the load: floors with an enclosure each, rooms, circuits, scenes, keypads."""

from decimal import Decimal
from itertools import cycle
from typing import Any

from catalogue.models import Product
from consult.models import Circuit, Client, Project, Room
from consult.services import circuits, house, keypads, people, scenes

FLOORS = 4
SCENES = (("Evening", 60), ("Late", 20), ("Guests", 85))


def make(*, by: Any, rooms: int, circuits_in_all: int) -> Project:
    """Made by the same deeds as by hand, of what the demo's catalogue has."""
    client = Client.objects.create(name="Household Tamsett")
    project = people.project_add(by=by, client=client, name="Granary Yard")
    things = cycle(_things())
    made: list[Room] = []
    for floor in _floors(by, project):
        for _number in range(rooms // FLOORS):
            room = house.room_add(
                by=by, floor=floor, name=f"Room {len(made) + 1}", use="living",
                length_m=Decimal("5.4"), width_m=Decimal("4.2"), height_m=Decimal("2.5"),
            )  # fmt: skip
            made.append(room)
    for number in range(circuits_in_all):
        product, kind = next(things)
        circuits.circuit_add(
            by=by, room=Room.objects.get(pk=made[number % rooms].pk), name=f"Circuit {number}",
            load_kind=kind, fitting={"product": product, "pieces": 2 + number % 5},
        )  # fmt: skip
    for room in made:
        _played(by, project, room)
    return Project.objects.get(pk=project.pk)


def _floors(by: Any, project: Project) -> list[Any]:
    found = []
    for number in range(FLOORS):
        place = house.enclosure_add(
            by=by, project=Project.objects.get(pk=project.pk), name=f"Board {number}", kind="board"
        )
        floor = house.floor_add(
            by=by, project=Project.objects.get(pk=project.pk), name=f"Level {number}",
            code=f"L{number}", default_enclosure=place,
        )  # fmt: skip
        found.append(floor)
    return found


def _things() -> list[tuple[Product, str]]:
    """Fittings of the catalogue that are sold by the piece, each with a way to drive it."""
    found = []
    sold = Product.objects.sold().filter(kind="fitting", unit="piece").prefetch_related("feeds")
    for product in sold.order_by("reference"):
        feeds = list(product.feeds.all())
        kinds = feeds[0].load_kinds if len(feeds) == 1 and feeds[0].watts else []
        wanted = [k for k in kinds if k in {"phase-dimmed", "switched", "digital-dimmed"}]
        if wanted and feeds[0].driver_place != "apart":
            found.append((product, wanted[0]))
    return found[:8]


def _played(by: Any, project: Project, room: Room) -> None:
    here = Circuit.objects.filter(room=room)
    for name, level in SCENES:
        scenes.scene_add(
            by=by, project=Project.objects.get(pk=project.pk), group=room.group, name=name,
            levels=dict.fromkeys(here.select_related("room"), level),
        )  # fmt: skip
    keypads.position_add(by=by, room=Room.objects.get(pk=room.pk), name="Inside the door")
