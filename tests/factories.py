"""Rows for tests, valid by default. Names are invented."""

import datetime
import io
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory
from PIL import Image

from base.models import Business, Person
from catalogue import search
from catalogue.models import (
    Feed,
    FittingData,
    KeypadData,
    LabourNorm,
    LabourRate,
    Product,
    ProductPrice,
    ReceiverData,
    ReceiverLimit,
    Supplier,
    TaxRate,
)
from consult.models import Circuit, Client, Project, Room, Scene
from consult.services import circuits, house, keypads, people, scenes
from quoting.models import Quote
from quoting.services import quotes

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
    given = {
        "kind": "fitting",
        "reference": f"TST-{number:04d}",
        "name": "Fixed downlight",
        **values,
    }
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
    search.index_one(product)
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
            by=by,
            floor=floor,
            name=f"Room {number}",
            use="living",
            length_m=Decimal("5"),
            width_m=Decimal("4"),
            height_m=Decimal("2.5"),
        )
        made = [a_circuit(by=by, room=room, product=product) for _ in range(circuits_each)]
        scenes.scene_add(
            by=by,
            project=project,
            group=room.group,
            name="Evening",
            levels=dict.fromkeys(made, 40),
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


# --- quoting ------------------------------------------------------------------------------------
def with_rates(*, from_day: datetime.date = PRICED_FROM) -> None:
    """Tax rates, labour rates and a few norms, so that a bill can be priced."""
    TaxRate.objects.create(tax_class="standard", from_day=from_day, share=Decimal("0.2"))
    LabourRate.objects.create(
        grade="electrician", from_day=from_day, cost=Decimal("31.10"), sell=Decimal("52.00")
    )
    LabourNorm.objects.create(
        operation="second-fix", kind="fitting", per="piece", minutes=Decimal(20)
    )


def a_receiver(
    *,
    outputs: int = 4,
    kinds: tuple[str, ...] = ("switched", "phase-dimmed"),
    max_w: str = "150",
    cost: str = "93.21",
    sell: str = "171.00",
    **values: Any,
) -> Product:
    number = Product.objects.count() + 1
    product = Product.objects.create(
        kind="receiver", reference=f"REC-{number:04d}", name=f"Receiver, {outputs} outputs"
    )
    receiver = ReceiverData.objects.create(product=product, outputs=outputs, **values)
    for kind in kinds:
        ReceiverLimit.objects.create(
            receiver=receiver, load_kind=kind, min_w=Decimal(0), max_w=Decimal(max_w)
        )
    ProductPrice.objects.create(
        product=product, from_day=PRICED_FROM, cost=Decimal(cost), sell=Decimal(sell)
    )
    return product


def a_quote(*, by: Person | None = None, **values: Any) -> Quote:
    """A draft quote of a project with one room, one circuit of six downlights and a receiver."""
    by = by or PersonFactory()
    if not TaxRate.objects.exists():
        with_rates()
    a_receiver()
    project = a_project(by=by, **values)
    quote: Quote = quotes.quote_start(by=by, project=project)
    return quote


# --- documents ----------------------------------------------------------------------------------
def a_picture() -> bytes:
    """The bytes of a small PNG."""
    content = io.BytesIO()
    Image.new("RGB", (24, 12), "#72386b").save(content, format="PNG")
    return content.getvalue()


def a_keypad(*, cost: str = "7.77", sell: str = "88.00") -> Product:
    """A keypad with six buttons."""
    number = Product.objects.count() + 1
    product = Product.objects.create(
        kind="keypad", reference=f"KPD-{number:04d}", name="Keypad, six buttons", finish="white"
    )
    KeypadData.objects.create(product=product, scene_buttons=6, gangs=1, back_box_mm=35)
    ProductPrice.objects.create(
        product=product, from_day=PRICED_FROM, cost=Decimal(cost), sell=Decimal(sell)
    )
    return product


def a_furnished_quote(*, by: Person) -> Quote:
    """A draft with three circuits in a scene, an engraved keypad, a supplier, a discount, a deposit."""
    quote = a_quote(by=by, circuits_each=0)
    room = Room.objects.get(project=quote.project)
    house.room_change(by=by, room=room, name="Morning room")
    product = a_product(supplier=SupplierFactory(), name="Quiet downlight")
    made = {
        name: a_circuit(by=by, room=Room.objects.get(pk=room.pk), product=product, name=name)
        for name in ("Ceiling", "Shelf", "Cove")
    }
    Scene.objects.filter(project=quote.project).delete()
    evening = scenes.scene_add(
        by=by,
        project=Project.objects.get(pk=quote.project_id),
        group=room.group,
        name="Evening",
        levels={made["Ceiling"]: 0, made["Shelf"]: 40, made["Cove"]: 15},
    )
    a_keypad()
    position = keypads.position_add(
        by=by, room=Room.objects.get(pk=room.pk), name="Inside the door", is_engraved=True
    )
    keypads.buttons_fill(by=by, row=position, scenes=[evening])
    Business.objects.update(terms="We plan, supply and fit. Nothing is ours until it is paid.")
    quotes.quote_change(
        by=by, quote=quote, discount_share=Decimal("0.0333"), deposit_share=Decimal("0.4")
    )
    return Quote.objects.get(pk=quote.pk)
