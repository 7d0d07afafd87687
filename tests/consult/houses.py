"""Whole houses as frozen values, without a database: what a rule needs said, the rest by default."""

import datetime
from dataclasses import fields
from decimal import Decimal
from typing import Any

from catalogue.spec import (
    BenchSpec,
    DriverSpec,
    FeedSpec,
    FittingSpec,
    KeypadSpec,
    LimitSpec,
    PriceSpec,
    ProductSpec,
    ReceiverSpec,
    Stock,
)
from consult import planning
from consult.design import (
    ButtonPart,
    CircuitPart,
    Design,
    EnclosurePart,
    FittingPart,
    FloorPart,
    GroupPart,
    LevelPart,
    ObjectPart,
    OpeningPart,
    PositionPart,
    ProjectPart,
    RoomPart,
    ScenePart,
)
from consult.findings import Case, Found, find_all
from consult.pieces import House

DAY = datetime.date(2026, 3, 1)
PLAIN: dict[str, Any] = {"str": "", "int": 0, "bool": False, "Decimal": Decimal(0)}


def made(cls: Any, **values: Any) -> Any:
    """The dataclass with these values; what is not given is empty, none or nothing."""
    given = {}
    for each in fields(cls):
        kind = str(each.type)
        name = getattr(each.type, "__name__", kind)
        if each.name in values:
            given[each.name] = values[each.name]
        elif "None" in kind:
            given[each.name] = None
        elif name.startswith("tuple") or kind.startswith("tuple"):
            given[each.name] = ()
        else:
            given[each.name] = PLAIN[name]
    return cls(**given)


def a_feed(**values: Any) -> FeedSpec:
    given = {
        "id": "f",
        "number": 1,
        "watts": Decimal(8),
        "source_lm": Decimal(800),
        "load_kinds": ("switched", "phase-dimmed"),
        "load_nature": "led",
        "driver_place": "built-in",
    }
    return made(FeedSpec, **{**given, **values})


def a_fitting(ref: str = "lamp", *, feed: Any = None, kind: str = "fitting", **values: Any) -> Any:
    own = {f.name for f in fields(ProductSpec)}
    spec = {k: v for k, v in values.items() if k not in own}
    return made(
        ProductSpec,
        **{
            "id": ref,
            "kind": kind,
            "reference": ref,
            "name": f"The {ref}",
            "unit": "piece",
            "pack_size": 1,
            "order_multiple": 1,
            "feeds": (feed or a_feed(),),
            "fitting": made(FittingSpec, **{"ip_code": "20", **spec}),
            **{k: v for k, v in values.items() if k in own},
        },
    )


def a_receiver(
    ref: str = "unit", *, outputs: int = 4, limits: Any = None, edge: str = "", **values: Any
) -> Any:
    kinds = limits or {"switched": (0, 200), "phase-dimmed": (0, 200)}
    rows = tuple(
        made(
            LimitSpec,
            load_kind=kind,
            load_nature="led",
            min_w=Decimal(low),
            max_w=Decimal(high),
            edge=edge,
        )
        for kind, (low, high) in kinds.items()
    )
    spec = made(
        ReceiverSpec,
        **{"outputs": outputs, "ip_code": "20", "modules": 3, "limits": rows, **values},
    )
    return made(
        ProductSpec, id=ref, kind="receiver", reference=ref, name=f"The {ref}", receiver=spec
    )


def a_driver(ref: str = "driver", **values: Any) -> Any:
    given = {
        "supply_v": Decimal(24),
        "rating_w": Decimal(100),
        "efficiency": Decimal("0.9"),
        "ip_code": "20",
    }
    return made(
        ProductSpec,
        id=ref,
        kind="driver",
        reference=ref,
        name=f"The {ref}",
        driver=made(DriverSpec, **{**given, **values}),
    )


def a_keypad(ref: str = "keypad", **values: Any) -> Any:
    given = {"scene_buttons": 4, "gangs": 1, "back_box_mm": 35, "engraving_chars": 12}
    return made(
        ProductSpec,
        id=ref,
        kind="keypad",
        reference=ref,
        name=f"The {ref}",
        series="Plain",
        finish="white",
        keypad=made(KeypadSpec, **{**given, **values}),
    )


def a_try(load: str = "lamp", receiver: str = "unit", *, day: Any = DAY, **values: Any) -> Any:
    """Something that was tried together, two pieces without flicker unless said."""
    given = {"pieces": 2, "flicker": "none", "tried_on": day}
    return made(BenchSpec, **{"load": load, "receiver": receiver, **given, **values})


def hung(product: str = "lamp", *, pieces: int = 2, **values: Any) -> Any:
    given = {"id": f"row-{product}", "room": "r", "product": product, "pieces": pieces}
    return made(
        FittingPart,
        **{**given, "supplied_by": "showroom", "arrangement": "points", **values},
    )


def a_circuit(code: str = "C1", *fittings: Any, **values: Any) -> Any:
    given = {"room": "r", "enclosure": "e", "load_kind": "phase-dimmed", "layer": "ambient"}
    return made(
        CircuitPart,
        **{
            "id": f"key-{code}",
            "code": code,
            "name": "Ceiling",
            "fittings": fittings or (hung(),),
            **given,
            **values,
        },
    )


def a_room(**values: Any) -> Any:
    given = {
        "id": "r",
        "floor": "fl",
        "group": "g",
        "name": "Hall",
        "use": "living",
        "dampness": "dry",
        "length_m": Decimal(5),
        "width_m": Decimal(4),
        "height_m": Decimal("2.4"),
    }
    return made(RoomPart, **{**given, **values})


def open_rooms(
    *, group: str = "h", is_open: bool = True, load_kind: str = "phase-dimmed", **other: Any
) -> House:
    """A hall of 2700 K and Ra 90, open to a landing whose lamp has other values."""
    rooms = [("r", "Hall", "g", "s"), ("s", "Landing", group, "r")]
    return a_house(
        a_circuit("C1", hung("one")),
        a_circuit("C2", hung("two", room="s"), room="s", load_kind=load_kind),
        rooms=tuple(
            a_room(
                id=key,
                name=name,
                group=of,
                openings=(made(OpeningPart, id="o", other=other_key),) if is_open else (),
            )
            for key, name, of, other_key in rooms
        ),
        products=(
            a_fitting("one", feed=a_feed(cct_k=2700, cri=90)),
            a_fitting("two", feed=a_feed(**{"cct_k": 2700, "cri": 90, **other})),
        ),
    )


def a_scene(*levels: tuple[str, int], name: str = "Evening", **values: Any) -> Any:
    parts = tuple(LevelPart(circuit=f"key-{code}", level=level) for code, level in levels)
    given = {"id": name, "group": "g", "name": name, "levels": parts}
    return made(ScenePart, **{**given, **values})


def a_position(code: str = "K1", *, buttons: Any = (), **values: Any) -> Any:
    given = {"id": f"key-{code}", "room": "r", "group": "g", "code": code, "name": "by the door"}
    parts = tuple(
        ButtonPart(number=n, does=does, scene=None, engraving=text)
        for n, (does, text) in enumerate(buttons, start=1)
    )
    return made(PositionPart, **{**given, "height_mm": 1100, "buttons": parts, **values})


def an_object(kind: str, **values: Any) -> Any:
    return made(ObjectPart, id=kind, kind=kind, **values)


def a_house(
    *circuits: Any,
    rooms: Any = None,
    scenes: Any = None,
    positions: Any = None,
    products: Any = (),
    enclosure: Any = None,
    project: Any = None,
    fixed: Any = (),
    radio: Any = (),
    priced: bool = True,
    price_day: datetime.date = DAY,
    bench: Any = (),
) -> House:
    """A house with one sound circuit, one scene over it and one keypad, unless said otherwise."""
    parts = circuits or (a_circuit(),)
    known = {p.id: p for p in (a_fitting(), a_receiver(), a_keypad())}
    known |= {p.id: p for p in products}
    lit = [(c.code, 40) for c in parts if c.load_kind != "motor"]
    return House(
        design=Design(
            project=made(
                ProjectPart,
                **{
                    "id": "p",
                    "nation": "england",
                    "kind_of_work": "renovation",
                    "supply_v": 230,
                    "driver_headroom": Decimal("0.2"),
                    "prices_hold_days": 365,
                    **(project or {}),
                },
            ),
            floors=(made(FloorPart, id="fl", name="Ground", code="0"),),
            groups=(GroupPart(id="g", name="Hall"),),
            enclosures=(
                made(
                    EnclosurePart,
                    **{"id": "e", "name": "Cupboard", "dampness": "dry", **(enclosure or {})},
                ),
            ),
            rooms=(a_room(),) if rooms is None else rooms,
            circuits=parts,
            scenes=(a_scene(*lit),) if scenes is None else scenes,
            positions=(a_position(),) if positions is None else positions,
            options=(),
            fixed=fixed,
            radio=radio,
        ),
        stock=Stock(
            day=DAY,
            currency="GBP",
            products=tuple(known.values()),
            prices=tuple(
                PriceSpec(
                    product=key, from_day=price_day, cost=Decimal(9), sell=Decimal(19), supplier=""
                )
                for key in known
            )
            if priced
            else (),
            norms=(),
            rates=(),
            taxes=(),
            bench=bench,
        ),
    )


def case_of(house: House) -> Case:
    return Case(house=house, plan=planning.plan(house))


def findings(house: House, rule: str) -> list[Found]:
    return [each for each in find_all(case_of(house)) if each.rule == rule]
