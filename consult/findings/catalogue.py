"""What the catalogue says of the products chosen: sold, priced, efficient, of one colour."""

from collections.abc import Iterator

from django.utils.translation import gettext_lazy as _

from catalogue.spec import ProductSpec
from consult.findings.registry import Case, Found, Hanging, found, published, rule
from engineering.efficacy import DWELLINGS_SOURCE, Nation, against_setting, least_for_dwelling

# Neighbouring whites that differ by less are taken for one: common practice, no source.
ONE_WHITE_K = 300
MOST_NAMED = 4


def _used(case: Case) -> dict[str, ProductSpec]:
    """Every product of the design and the plan, by key."""
    design = case.house.design
    keys = design.product_ids()
    found_in_plan = {unit.reference for unit in case.plan.control.units}
    found_in_plan |= {s.reference for s in case.supplies(case.plan.control.units)}
    found_in_plan |= {c.reference for c in case.plan.keypads.choices if c.reference}
    return {
        product.id: product
        for product in case.house.stock.products
        if product.id in keys or product.reference in found_in_plan
    }


@rule(
    "discontinued",
    title=_("A product that is no longer sold"),
    severity="stop",
    why=_("%(product)s (%(reference)s) is discontinued."),
    mend=_("Take what replaces it, everywhere at once."),
    source="the catalogue",
    place="product",
)
def discontinued(case: Case) -> Iterator[Found]:
    for product in _used(case).values():
        if product.is_discontinued:
            yield found(
                "discontinued",
                about=product.id,
                product=product.shown_name,
                reference=product.reference,
            )


@rule(
    "no-price",
    title=_("A product without a price"),
    severity="look",
    why=_("%(product)s (%(reference)s) has no price of the day."),
    mend=_("Give it a price in the catalogue."),
    source="the catalogue",
    place="product",
)
def no_price(case: Case) -> Iterator[Found]:
    for product in _used(case).values():
        if product.id not in case.house.prices:
            yield found(
                "no-price",
                about=product.id,
                product=product.shown_name,
                reference=product.reference,
            )


@rule(
    "old-price",
    title=_("Prices older than the business allows"),
    severity="look",
    why=_("%(count)s prices are from %(day)s, older than %(allowed)s days: %(products)s"),
    mend=_("Ask for the new list, and type or import the prices with their day."),
    source="the business's own setting",
    place="products",
)
def old_price(case: Case) -> Iterator[Found]:
    allowed = case.house.design.project.prices_hold_days
    by_day: dict[str, list[str]] = {}
    for product in sorted(_used(case).values(), key=lambda each: each.reference):
        price = case.house.prices.get(product.id)
        if price is not None and (case.house.stock.day - price.from_day).days > allowed:
            by_day.setdefault(price.from_day.isoformat(), []).append(product.shown_name)
    for day, names in sorted(by_day.items()):
        shown = ", ".join(dict.fromkeys(names[:MOST_NAMED]))
        yield found(
            "old-price",
            about=day,
            count=len(names),
            day=day,
            allowed=allowed,
            products=shown + (" …" if len(names) > MOST_NAMED else ""),
        )


@rule(
    "efficacy",
    title=_("Fewer lumens per watt than the guidance asks"),
    severity="look",
    why=_(
        "%(product)s gives %(lm_per_w)s light-source lm per circuit-watt; the guidance asks for %(least)s."
    ),
    mend=_("Choose a more efficient source, or ask the building control body."),
    source=published(DWELLINGS_SOURCE),
    place="product",
)
def efficacy(case: Case) -> Iterator[Found]:
    nation = case.house.design.project.nation
    known = nation if nation in {each.value for each in Nation} else Nation.OTHER
    least = least_for_dwelling(nation=Nation(known))
    if least is None:
        return
    seen = set()
    for h in case.hanging:
        source = case.house.product(h.part.lamp) or h.product
        feed = source.feed(None) if h.part.lamp else h.feed
        is_fixed = h.product.kind in {"fitting", "tape"}
        if not is_fixed or feed is None or _is_outdoors(case, h) or source.id in seen:
            continue
        if not feed.watts or not feed.source_lm:
            continue
        watts = float(feed.watts) / _efficiency(case, h)
        made = against_setting(
            source_lm=float(feed.source_lm), circuit_w=watts, setting_lm_per_w=least.value
        )
        if made.is_met is False and made.lm_per_w is not None:
            seen.add(source.id)
            yield found(
                "efficacy",
                about=source.id,
                product=source.shown_name,
                lm_per_w=made.lm_per_w,
                least=least.value,
            )


def _is_outdoors(case: Case, h: Hanging) -> bool:
    room = case.room(h.part.room)
    return room.use == "outdoor" or room.dampness == "outdoor"


def _efficiency(case: Case, h: Hanging) -> float:
    """Of the driver that feeds it: circuit-watts are taken before the driver."""
    if h.feed is None or h.feed.driver_place != "apart":
        return 1.0
    values = [
        float(product.driver.efficiency)
        for supply in case.supplies_of(h.circuit.code)
        if (product := case.house.by_reference.get(supply.reference)) and product.driver
    ]
    return min(values, default=1.0)


@rule(
    "colours-mixed",
    title=_("Different whites side by side"),
    severity="look",
    why=_("%(group)s mixes whites of %(whites)s K."),
    mend=_("Choose one white for rooms open to each other, or mean the difference."),
    place="group",
)
def colours_mixed(case: Case) -> Iterator[Found]:
    design = case.house.design
    for group in design.groups:
        rooms = {room.id for room in design.rooms if room.group == group.id}
        whites = {
            white for h in case.hanging if h.part.room in rooms if (white := one_white(case, h))
        }
        if whites and max(whites) - min(whites) >= ONE_WHITE_K:
            yield found(
                "colours-mixed",
                about=group.id,
                room=next(room.id for room in design.rooms if room.group == group.id),
                group=group.name,
                whites=", ".join(str(white) for white in sorted(whites)),
            )


def one_white(case: Case, h: Hanging) -> int | None:
    """The one white of a row; None where it can be tuned, warms as it dims, or is not known."""
    lamp = case.house.product(h.part.lamp)
    feed = lamp.feed(None) if lamp else h.feed
    if (
        feed is None
        or feed.cct_to_k
        or h.circuit.load_kind
        not in {
            "switched",
            "phase-dimmed",
            "dc-white",
            "analogue-dimmed",
            "digital-dimmed",
        }
    ):
        return None
    return feed.cct_k


@rule(
    "tape-run",
    title=_("A tape longer than one feed carries"),
    severity="note",
    why=_(
        "%(product)s on %(circuit)s: %(length)s m, of which one feed carries %(most)s m: %(runs)s runs with a feed each."
    ),
    mend=_("Plan a cable to each run, or choose a tape that runs further."),
    source="the tape's data sheet",
    place="circuit",
)
def tape_run(case: Case) -> Iterator[Found]:
    for h in case.hanging:
        most = h.feed.max_run_m if h.feed else None
        if h.product.unit != "metre" or not h.part.length_m or not most:
            continue
        if h.part.length_m > most:
            runs = len(h.load.pieces_w) // max(h.part.pieces, 1)
            yield found(
                "tape-run",
                about=h.part.id,
                key=h.circuit.id,
                room=h.circuit.room,
                product=h.product.shown_name,
                circuit=h.circuit.code,
                length=float(h.part.length_m),
                most=float(most),
                runs=runs,
            )
