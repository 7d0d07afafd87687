"""Rows for tests, valid by default. Names are invented."""

import datetime
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from base.models import Business, Person
from catalogue.models import Feed, FittingData, Product, ProductPrice, Supplier
from consult.models import Circuit, Client, Project, Room
from consult.services import circuits, house, people, scenes

PRICED_FROM = datetime.date(2026, 1, 1)


# --- base ---------------------------------------------------------------------------------------
class PersonFactory(DjangoModelFactory):
    class Meta:
        model = Person
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Wren Aldous {n}")
    email = factory.Sequence(lambda n: f"wren{n}@showroom.example")
    role = Person.Role.DESIGNER
    password = factory.PostGenerationMethodCall("set_password", "a long pass phrase")

    @classmethod
    def _after_postgeneration(cls, instance: Any, create: bool, results: Any = None) -> None:
        instance.save()


class BusinessFactory(DjangoModelFactory):
    class Meta:
        model = Business

    name = "Pell & Orrin Lighting"


# --- catalogue ----------------------------------------------------------------------------------
class SupplierFactory(DjangoModelFactory):
    class Meta:
        model = Supplier

    name = factory.Sequence(lambda n: f"Brackwater Supplies {n}")


def a_product(
    *,
    watts: object = "8",
    lumens: object = "720",
    load_kinds: tuple[str, ...] = ("switched", "phase-dimmed"),
    cost: str = "21.37",
    sell: str = "44.00",
    feed: dict[str, Any] | None = None,
    fitting: dict[str, Any] | None = None,
    **values: Any,
) -> Product:
    """A product with one feed, fitting data and a price."""
    number = Product.objects.count() + 1
    given = {"kind": "fitting", "reference": f"TST-{number:04d}", "name": "Fixed downlight", **values}
    product = Product.objects.create(**given)
    FittingData.objects.create(product=product, **(fitting or {}))
    Feed.objects.create(
        product=product,
        watts=Decimal(str(watts)),
        source_lm=Decimal(str(lumens)),
        luminaire_lm=Decimal(str(lumens)),
        load_kinds=list(load_kinds),
        **(feed or {}),
    )
    ProductPrice.objects.create(
        product=product, from_day=PRICED_FROM, cost=Decimal(cost), sell=Decimal(sell)
    )
    return product


# --- consult ------------------------------------------------------------------------------------
class ClientFactory(DjangoModelFactory):
    class Meta:
        model = Client

    name = factory.Sequence(lambda n: f"Household Tamsett {n}")


def a_project(*, by: Person | None = None, rooms: int = 1, circuits_each: int = 1) -> Project:
    """A project with rooms, each with circuits of six downlights and one scene over them."""
    by = by or PersonFactory()
    Business.objects.current()
    project: Project = people.project_add(by=by, client=ClientFactory(), name="Granary Yard")
    floor = project_floor(project)
    product = a_product()
    for number in range(1, rooms + 1):
        room = house.room_add(
            by=by, floor=floor, name=f"Room {number}", use="living",
            length_m=Decimal("5"), width_m=Decimal("4"), height_m=Decimal("2.5"),
        )
        made = [a_circuit(by=by, room=room, product=product) for _ in range(circuits_each)]
        scenes.scene_add(
            by=by, project=project, group=room.group, name="Evening",
            levels={circuit: 40 for circuit in made},
        )
    return Project.objects.get(pk=project.pk)


def project_floor(project: Project) -> Any:
    from consult.models import Floor

    return Floor.objects.get(project=project)


def a_room(*, by: Person, project: Project, name: str = "Hall", **values: Any) -> Room:
    room: Room = house.room_add(by=by, floor=project_floor(project), name=name, **values)
    return room


def a_circuit(*, by: Person, room: Room, product: Product | None = None, **values: Any) -> Circuit:
    given: dict[str, Any] = {"name": "Ceiling", "load_kind": "phase-dimmed", **values}
    circuit: Circuit = circuits.circuit_add(
        by=by, room=room, fitting={"product": product or a_product(), "pieces": 6}, **given
    )
    return circuit
