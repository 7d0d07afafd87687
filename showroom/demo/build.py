"""Builds the demo by the same deeds a person uses. Done once: a second run changes nothing."""

from decimal import Decimal
from typing import Any

from django.core.management import call_command
from django.db import transaction
from django.utils import timezone

from base.models import Business, Person
from catalogue.models import Product
from consult.derived import read_house
from consult.light import for_client
from consult.models import (
    Circuit,
    CircuitFitting,
    Client,
    Enclosure,
    Floor,
    KeypadPosition,
    Option,
    Project,
    Room,
    RoomGroup,
    Scene,
    SwitchingPiece,
)
from consult.services import (
    circuits,
    house,
    keypads,
    openings,
    people,
    radio,
    scenes,
    switching,
)
from quoting.models import Link, Quote, QuotingRules
from quoting.services import links, options, quotes
from showroom.demo import old_sail_loft as plan
from showroom.demo.bench import build_bench
from showroom.demo.places import PLACES
from showroom.demo.visits import build_visits

PASSWORD = "lamp over the quay"  # noqa: S105  shown to whoever starts the demo
PEOPLE = (
    ("Odile Ferrow", "odile@ferrow-lyle.example", Person.Role.MANAGER),
    ("Bram Achterberg", "bram@ferrow-lyle.example", Person.Role.DESIGNER),
    ("Sunniva Lyle", "sunniva@ferrow-lyle.example", Person.Role.OFFICE),
)
TERMS = """1. The quote holds until the day printed on it.
2. Prices include delivery to the site address. Making good and decoration are not included.
3. Work is done by qualified electricians to the wiring rules in force.
4. A deposit is due with the order, a part on delivery of the goods, the balance on completion.
5. Engraved plates and pieces made to order cannot be returned."""
PROJECT = "Old Sail Loft"
DIMMER_LED_W = 60  # a gang of the demo's three and four gang dimmers


@transaction.atomic
def build(*, pictures: bool = False) -> tuple[Project, bool]:
    """The demo's project, and whether it was made now. All of it, or nothing.

    With ``pictures`` the rooms are drawn for the issued quote, which takes some 20 s.
    """
    found = Project.objects.filter(name=PROJECT).first()
    if found is not None:
        return found, False
    _business()
    everybody = {name: _person(name, email, role) for name, email, role in PEOPLE}
    call_command("load_catalogue", verbosity=0)
    switching.pieces_suggest(by=everybody["Odile Ferrow"])
    dimmers = {
        row.code: row.product for row in SwitchingPiece.objects.filter(code__contains="dimmer")
    }
    switching.pieces_set(by=everybody["Odile Ferrow"], products=dimmers, led_w=DIMMER_LED_W)
    designer = everybody["Bram Achterberg"]
    build_bench(by=designer, today=timezone.localdate())
    project = _project(designer)
    _house(project, designer)
    _openings(project, designer)
    for room in Room.objects.filter(project=project).select_related("floor", "project"):
        _circuits(room, designer)
    _scenes(project, designer)
    _positions(project, designer)
    _options(project, designer)
    _quotes(project, everybody["Sunniva Lyle"], pictures=pictures)
    build_visits(project, designer=designer, office=everybody["Sunniva Lyle"])
    return Project.objects.get(pk=project.pk), True


def client_link(project: Project) -> str:
    """A fresh secret for the client's first link of the issued quote: people may have made more."""
    secret = links.new_secret()
    rows = Link.objects.filter(revision__quote__project=project, audience="client")
    link = rows.order_by("created_at", "pk")[0]
    links.link_remake(by=None, link=link, secret=secret)
    return secret


def _business() -> None:
    business = Business.objects.current()
    business.name = "Ferrow & Lyle Lighting Rooms"
    business.address = "4 Capstan Row\nSaltwick"
    business.email = "rooms@ferrow-lyle.example"
    business.phone = "01632 960 417"
    business.tax_number = "GB 000 1234 56"
    business.terms = TERMS
    business.deposit_share = Decimal("0.4")
    business.version += 1
    business.save()
    QuotingRules.objects.update_or_create(defaults={"delivery_share": Decimal("0.4")})


def _person(name: str, email: str, role: str) -> Person:
    found = Person.objects.filter(email=email).first()
    return found or Person.objects.create_user(email, PASSWORD, name=name, role=role)


def _project(by: Person) -> Project:
    client: Client = people.client_add(
        by=by, name="Imani Calloway and Joss Pereira", email="imani.calloway@post.example",
        phone="01632 960 122", address="The Old Sail Loft\nLedger Quay\nSaltwick",
    )  # fmt: skip
    for name in ("Imani Calloway", "Joss Pereira"):
        people.client_person_add(by=by, client=client, name=name)
    made: Project = people.project_add(
        by=by, client=client, name=PROJECT, kind_of_work="conversion", stage="design",
        site_address=client.address, idea=plan.IDEA,
    )  # fmt: skip
    return made


def _house(project: Project, by: Person) -> None:
    """Floors, enclosures, groups, rooms and what stands in them."""
    first_floor = Floor.objects.get(project=project)
    first_place = Enclosure.objects.get(project=project)
    first, *others = plan.ENCLOSURES
    house.enclosure_change(by=by, enclosure=first_place, **first)
    for values in others:
        house.enclosure_add(by=by, project=project, **values)
    places = {row.name: row for row in Enclosure.objects.filter(project=project)}
    house.floor_change(by=by, floor=first_floor, name=plan.FLOORS[0][1], code=plan.FLOORS[0][0])
    for code, name in plan.FLOORS[1:]:
        place = places[plan.FLOOR_ENCLOSURES[code]]
        house.floor_add(by=by, project=project, name=name, code=code, default_enclosure=place)
    floors = {row.code: row for row in Floor.objects.filter(project=project)}
    for spec in plan.ROOMS:
        room = _room(project, by, spec, floors[spec.floor], places)
        for kind, x, y, z, width, depth, height in plan.OBJECTS.get(spec.name, ()):
            house.object_add(
                by=by, room=room, kind=kind, x_m=_metres(x), y_m=_metres(y), z_m=_metres(z),
                width_m=_metres(width), depth_m=_metres(depth), height_m=_metres(height),
            )  # fmt: skip


def _openings(project: Project, by: Person) -> None:
    rooms = {row.name: row for row in Room.objects.filter(project=project)}
    for here, wall, start, there, other_wall, other_start, width, height in plan.OPENINGS:
        openings.opening_add(
            by=by, room=rooms[here], other=rooms[there], wall=wall, from_m=_metres(start),
            other_wall=other_wall, other_from_m=_metres(other_start), width_m=_metres(width),
            height_m=_metres(height),
        )  # fmt: skip


def _metres(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def _room(
    project: Project, by: Person, spec: plan.RoomPlan, floor: Floor, places: dict[str, Enclosure]
) -> Room:
    group = RoomGroup.objects.filter(project=project, name=spec.group).first()
    if group is None:
        group = house.group_add(by=by, project=project, name=spec.group)
    length, width, height = spec.size
    made: Room = house.room_add(
        by=by, floor=floor, name=spec.name, group=group, use=spec.use, dampness=spec.dampness,
        length_m=_metres(length), width_m=_metres(width), height_m=_metres(height),
        eaves_m=_metres(plan.EAVES.get(spec.name)), void_mm=spec.void_mm, enclosure=places[spec.enclosure] if spec.enclosure else None,
    )  # fmt: skip
    return made


def _circuits(room: Room, by: Person) -> None:
    for spec in plan.CIRCUITS.get(room.name, ()):
        circuit = circuits.circuit_add(
            by=by, room=Room.objects.select_related("floor", "project").get(pk=room.pk),
            name=spec.name, layer=spec.layer, load_kind=spec.kind, cable_length_m=_metres(spec.cable_m),
            driver_place=spec.drivers, driver_has_access=True if spec.drivers else None,
        )  # fmt: skip
        for hangs in spec.hangs:
            values = _hanging(room, hangs) | _placed(room, spec.name)
            circuits.fitting_add(by=by, circuit=circuit, **values)


def _hanging(room: Room, hangs: tuple[Any, ...]) -> dict[str, Any]:
    what, number = hangs[0], hangs[1]
    if what == "same":
        source = CircuitFitting.objects.select_related("product").get(
            circuit__room=room, circuit__name=number
        )
        feed = source.product.feeds.get(number=hangs[2])
        return {"same_pieces_as": source, "feed": feed}
    if what == "placeholder":
        _what, pieces, name, watts, lumens = hangs
        return {
            "placeholder": name, "pieces": pieces, "placeholder_w": Decimal(watts),
            "placeholder_lm": Decimal(lumens), "supplied_by": "client", "installed_by": "client",
            "connected_by": "client",
        }  # fmt: skip
    length, lamp, elsewhere = [*hangs[2:], None, None, None][:3]
    values: dict[str, Any] = {
        "product": Product.objects.get(reference=what), "pieces": number,
        "length_m": _metres(length), "arrangement": "grid" if number > 2 else "points",
    }  # fmt: skip
    if lamp:
        values["lamp"] = Product.objects.get(reference=lamp)
    if elsewhere:
        values["room"] = Room.objects.get(project=room.project_id, name=elsewhere)
    return values


def _placed(room: Room, circuit: str) -> dict[str, Any]:
    """Where a circuit of the demo hangs; nothing where its arrangement says enough."""
    hang = PLACES.get((room.name, circuit))
    if hang is None:
        return {}
    return {
        "arrangement": hang.arrangement, "wall": hang.wall, "offset_m": _metres(hang.offset_m),
        "mounting_height_m": _metres(hang.height_m), "tilt_deg": hang.tilt_deg,
    }  # fmt: skip


def _scenes(project: Project, by: Person) -> None:
    for group_name, wanted in plan.SCENES.items():
        group = RoomGroup.objects.get(project=project, name=group_name)
        members = list(
            Circuit.objects.filter(project=project, room__group=group)
            .exclude(load_kind="motor")
            .select_related("room")
        )
        for name, (words, levels) in wanted.items():
            chosen = {
                circuit: levels.get(circuit.name, levels.get(circuit.layer, 0))
                for circuit in members
            }
            fitting = {
                circuit: (100 if level else 0) if circuit.load_kind == "switched" else level
                for circuit, level in chosen.items()
            }
            hours = plan.HOURS.get(group_name, {}).get(name)
            scenes.scene_add(
                by=by, project=project, group=group, name=name, words=words, levels=fitting,
                hours_a_day=Decimal(hours) if hours else None,
            )  # fmt: skip


def _positions(project: Project, by: Person) -> None:
    for room_name, where, is_engraved, group_name in plan.POSITIONS:
        room = Room.objects.select_related("floor", "group", "project").get(
            project=project, name=room_name
        )
        group = (
            RoomGroup.objects.get(project=project, name=group_name) if group_name else room.group
        )
        row = keypads.position_add(
            by=by,
            room=room,
            name=where,
            group=group,
            is_engraved=is_engraved,
            is_outside=where == plan.OUTSIDE,
        )
        _radio(project, row, by)
        keypads.buttons_fill(by=by, row=row, scenes=list(Scene.objects.filter(group=group)))


def _options(project: Project, by: Person) -> None:
    """Two things that the clients may take or leave, one of them counted in."""
    group = options.group_add(
        by=by, project=project, name="On the terrace", is_one_of=False,
        options=["Deck lights along the quay edge", "Two more spikes in the planting"],
    )  # fmt: skip
    deck, spikes = Option.objects.filter(group=group).order_by("position")
    options.option_take(by=by, option=deck, is_in=True)
    terrace = Circuit.objects.filter(project=project, room__name="Slipway terrace")
    options.part_put(
        by=by, option=deck, kind="circuit", part=terrace.get(name="Deck lights").pk
    )  # fmt: skip
    more = circuits.fitting_add(
        by=by, circuit=terrace.select_related("room", "project").get(name="Garden spikes"),
        product=Product.objects.get(reference="SP-5101-GP"), pieces=2, arrangement="points",
    )  # fmt: skip
    options.part_put(by=by, option=spikes, kind="fitting", part=more.pk)


def _radio(project: Project, row: KeypadPosition, by: Person) -> None:
    place, metres, light, masonry, timber = plan.RADIO[row.room.name]
    radio.radio_set(
        by=by, row=row, enclosure=Enclosure.objects.get(project=project, name=place),
        distance_m=Decimal(metres), light_walls=light, masonry_walls=masonry, timber_floors=timber,
    )  # fmt: skip


def _quotes(project: Project, by: Person, *, pictures: bool) -> None:
    """One issued quote with a link for the clients and one for the electrician, and one draft."""
    issued: Quote = quotes.quote_start(by=by, project=project, title="The whole house")
    quotes.quote_change(by=by, quote=issued, discount_share=Decimal("0.02"))
    quotes.line_add(
        by=by, quote=issued, description="Aiming the fittings and setting the scenes, one evening",
        quantity=1, unit_price=Decimal("280.00"), unit_cost=Decimal("163.29"),
    )  # fmt: skip
    if pictures:
        for_client.draw_missing(read_house(project), patience_s=None)
    revision = quotes.quote_issue(by=by, quote=issued)
    links.link_make(
        by=by, revision=revision, for_whom="Imani Calloway and Joss Pereira",
        secret=links.new_secret(), days=60,
    )  # fmt: skip
    links.link_make(
        by=by, revision=revision, for_whom="Tamsin Rook", audience="electrician",
        secret=links.new_secret(), days=120,
    )  # fmt: skip
    draft: Quote = quotes.quote_start(by=by, project=project, title="With a courtesy discount")
    quotes.quote_change(
        by=by,
        quote=draft,
        discount_share=Decimal("0.03"),
        deposit_share=Decimal("0.4"),
        delivery_share=Decimal("0.4"),
    )
