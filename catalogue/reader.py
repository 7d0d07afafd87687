"""Catalogue rows become frozen values here, in a constant number of queries."""

import datetime
from collections.abc import Iterable
from threading import Lock

from django.conf import settings
from django.db.models import F, Q, Window
from django.db.models.functions import RowNumber

from catalogue import edition
from catalogue.bench_models import BenchTest
from catalogue.kinds import Kind
from catalogue.models import (
    DriverData,
    Feed,
    FittingData,
    KeypadData,
    LabourNorm,
    LabourRate,
    Part,
    Product,
    ProductPrice,
    ReceiverData,
    TaxRate,
)
from catalogue.spec import (
    BenchSpec,
    DriverSpec,
    FeedSpec,
    FittingSpec,
    KeypadSpec,
    LimitSpec,
    NormSpec,
    PartSpec,
    PriceSpec,
    ProductSpec,
    RateSpec,
    ReceiverSpec,
    Stock,
    TaxSpec,
)

KEPT_AT_MOST = 64
VALUES_AT_MOST = 50_000
_keeping = Lock()
_read_before: dict[object, object] = {}
_kept: dict[tuple[int, frozenset[str], datetime.date, str], Stock] = {}

# Hardware that the plan may choose by itself, so that all of it is read with every design.
CHOSEN_BY_PLAN = (Kind.DRIVER, Kind.RECEIVER, Kind.KEYPAD)


def read_stock(
    *,
    product_ids: Iterable[str],
    day: datetime.date,
    currency: str,
    at_edition: int | None = None,
) -> Stock:
    """The products named, all hardware the plan may choose, what they need with them, and the
    prices, norms and rates of the day.

    Kept in this process while the catalogue's edition stands, where STOCK_IS_KEPT says so: then it
    costs one small query, or none where the edition was read already, as `at_edition`. Parts of parts are followed three deep, which no real product exceeds.
    """
    named = frozenset(str(key) for key in product_ids)
    if not settings.STOCK_IS_KEPT:
        return _read_stock(named, day, currency)
    key = (edition.current() if at_edition is None else at_edition, named, day, currency)
    found = _kept.get(key)
    if found is None:
        found = _read_stock(named, day, currency)
        with _keeping:
            while len(_kept) >= KEPT_AT_MOST:
                del _kept[next(iter(_kept))]
            _kept[key] = found
    return found


def _read_stock(named: frozenset[str], day: datetime.date, currency: str) -> Stock:
    wanted = Q(pk__in=named) | Q(kind__in=CHOSEN_BY_PLAN, is_discontinued=False)
    wanted |= Q(kind__in=(Kind.CABLE, Kind.SERVICE), is_discontinued=False)
    products = {p.pk: p for p in _products(wanted)}
    for _depth in range(3):
        missing = {
            part.part_id
            for product in products.values()
            for part in product.parts.all()
            if part.part_id not in products
        } | {
            product.keypad.engraving_product_id
            for product in products.values()
            if _has(product, "keypad") and product.keypad.engraving_product_id
        } - set(products)
        missing -= set(products)
        if not missing:
            break
        products |= {p.pk: p for p in _products(Q(pk__in=missing))}
    ordered = sorted(products.values(), key=lambda p: str(p.pk))
    return Stock(
        day=day,
        currency=currency,
        products=tuple(_as_before(p.pk, product_spec(p)) for p in ordered),
        prices=tuple(
            _as_before(("price", price.product), price) for price in _prices(ordered, day)
        ),
        norms=_as_before("norms", _norms(day)),
        rates=_as_before("rates", tuple(_as_before(("rate", r.grade), r) for r in _rates(day))),
        taxes=_as_before("taxes", _taxes(day)),
        bench=_as_before("bench", _bench(ordered)),
    )


def _as_before[T](name: object, value: T) -> T:
    """The value that was read before, where it is the same: what was made of it still stands."""
    known = _read_before.get(name)
    if known == value:
        return known  # type: ignore[return-value]
    if len(_read_before) >= VALUES_AT_MOST:
        _read_before.clear()
    _read_before[name] = value
    return value


def _bench(products: Iterable[Product]) -> tuple[BenchSpec, ...]:
    """What was tried of these products, the newest first: one query."""
    keys = [product.pk for product in products]
    rows = BenchTest.objects.filter(load__in=keys, receiver__in=keys)
    return tuple(
        BenchSpec(
            load=str(row.load_id),
            receiver=str(row.receiver_id),
            edge=row.edge,
            pieces=row.pieces,
            lowest_level=row.lowest_level,
            flicker=row.flicker,
            tried_on=row.tried_on,
        )
        for row in rows.order_by("-tried_on", "-pieces", "pk")
    )


def _products(wanted: Q) -> Iterable[Product]:
    return (
        Product.objects.filter(wanted)
        .select_related("supplier", "picture", "fitting", "driver", "receiver", "keypad")
        .prefetch_related("feeds", "parts", "receiver__limits", "photometric_files__file")
    )


def _has(product: Product, name: str) -> bool:
    return getattr(product, name, None) is not None


def product_spec(product: Product) -> ProductSpec:
    """The frozen value of a product read with its technical rows."""
    return ProductSpec(
        id=str(product.pk),
        kind=product.kind,
        reference=product.reference,
        name=product.name,
        client_name=product.client_name,
        finish=product.finish,
        series=product.series,
        unit=product.unit,
        sold_length_m=product.sold_length_m,
        pack_size=product.pack_size,
        cut_step_m=product.cut_step_m,
        waste_share=product.waste_share,
        order_multiple=product.order_multiple,
        phase=product.phase,
        tax_class=product.tax_class,
        is_made_to_order=product.is_made_to_order,
        is_discontinued=product.is_discontinued,
        picture=product.picture.sha256 if product.picture else "",
        feeds=tuple(feed_spec(feed) for feed in product.feeds.all()),
        parts=tuple(_part_spec(part) for part in product.parts.all()),
        fitting=_fitting_spec(product.fitting) if _has(product, "fitting") else None,
        driver=_driver_spec(product.driver) if _has(product, "driver") else None,
        receiver=_receiver_spec(product.receiver) if _has(product, "receiver") else None,
        keypad=_keypad_spec(product.keypad) if _has(product, "keypad") else None,
        photometric=tuple(
            (each.feed_number, each.format, each.file.sha256)
            for each in product.photometric_files.all()
        ),
    )


def feed_spec(feed: Feed) -> FeedSpec:
    return FeedSpec(
        id=str(feed.pk),
        number=feed.number,
        name=feed.name,
        watts=feed.watts,
        source_lm=feed.source_lm,
        luminaire_lm=feed.luminaire_lm,
        cct_k=feed.cct_k,
        cct_to_k=feed.cct_to_k,
        cri=feed.cri,
        beam_deg=feed.beam_deg,
        load_kinds=tuple(feed.load_kinds),
        load_nature=feed.load_nature,
        edge=feed.edge,
        supply_v=feed.supply_v,
        forward_v=feed.forward_v,
        current_ma=feed.current_ma,
        power_factor=feed.power_factor,
        driver_place=feed.driver_place,
        max_run_m=feed.max_run_m,
        ohm_per_m=feed.ohm_per_m,
    )


def _fitting_spec(row: FittingData) -> FittingSpec:
    return FittingSpec(
        ip_code=row.ip_code,
        recess_depth_mm=row.recess_depth_mm,
        cut_out_mm=row.cut_out_mm,
        fire_minutes=row.fire_minutes,
        can_be_covered=row.can_be_covered,
        weight_kg=row.weight_kg,
        leakage_ma=row.leakage_ma,
        lowest_level=row.lowest_level,
        protection_class=row.protection_class,
        lamp_cap=row.lamp_cap,
        lamp_count=row.lamp_count,
        dimming_curve=row.dimming_curve,
    )


def _driver_spec(row: DriverData) -> DriverSpec:
    return DriverSpec(
        supply_v=row.supply_v,
        current_ma=row.current_ma,
        forward_from_v=row.forward_from_v,
        forward_to_v=row.forward_to_v,
        rating_w=row.rating_w,
        min_load_w=row.min_load_w,
        efficiency=row.efficiency,
        dimmed_by=tuple(row.dimmed_by),
        per_device=tuple(sorted((str(k), int(v)) for k, v in row.per_device.items())),
        ip_code=row.ip_code,
        modules=row.modules,
    )


def _receiver_spec(row: ReceiverData) -> ReceiverSpec:
    return ReceiverSpec(
        outputs=row.outputs,
        unit_max_w=row.unit_max_w,
        supply_v=row.supply_v,
        ip_code=row.ip_code,
        modules=row.modules,
        needs_neutral=row.needs_neutral,
        limits=tuple(
            LimitSpec(
                load_kind=limit.load_kind,
                load_nature=limit.load_nature,
                min_w=limit.min_w,
                max_w=limit.max_w,
                max_pieces=limit.max_pieces,
                edge=limit.edge,
            )
            for limit in row.limits.all()
        ),
    )


def _keypad_spec(row: KeypadData) -> KeypadSpec:
    engraving = row.engraving_product_id
    return KeypadSpec(
        scene_buttons=row.scene_buttons,
        has_dimming=row.has_dimming,
        has_off=row.has_off,
        gangs=row.gangs,
        back_box_mm=row.back_box_mm,
        is_battery=row.is_battery,
        engraving_chars=row.engraving_chars,
        engraving_product=str(engraving) if engraving else None,
        radio_range_m=row.radio_range_m,
    )


def _part_spec(row: Part) -> PartSpec:
    return PartSpec(product=str(row.part_id), per=row.per, quantity=row.quantity)


def _prices(products: Iterable[Product], day: datetime.date) -> tuple[PriceSpec, ...]:
    """The newest price not after the day, for each product that has one."""
    newest = Window(RowNumber(), partition_by=F("product_id"), order_by=F("from_day").desc())
    rows = (
        ProductPrice.objects.filter(product__in=[p.pk for p in products], from_day__lte=day)
        .annotate(rank=newest)
        .filter(rank=1)
        .order_by("product_id")
    )
    suppliers = {p.pk: p.supplier.name if p.supplier else "" for p in products}
    return tuple(
        PriceSpec(
            product=str(row.product_id),
            from_day=row.from_day,
            cost=row.cost,
            sell=row.sell,
            supplier=suppliers[row.product_id],
        )
        for row in rows
    )


def _norms(day: datetime.date) -> tuple[NormSpec, ...]:
    found: dict[tuple[str, str, str, str], NormSpec] = {}
    for row in LabourNorm.objects.filter(from_day__lte=day).order_by("from_day", "pk"):
        found[row.operation, row.kind, row.per, row.grade] = NormSpec(
            operation=row.operation,
            kind=row.kind,
            per=row.per,
            minutes=row.minutes,
            grade=row.grade,
            source=row.source,
        )
    return tuple(found[key] for key in sorted(found))


def _rates(day: datetime.date) -> tuple[RateSpec, ...]:
    found: dict[str, RateSpec] = {}
    for row in LabourRate.objects.filter(from_day__lte=day).order_by("from_day"):
        found[row.grade] = RateSpec(grade=row.grade, cost=row.cost, sell=row.sell)
    return tuple(found[key] for key in sorted(found))


def _taxes(day: datetime.date) -> tuple[TaxSpec, ...]:
    found: dict[str, TaxSpec] = {}
    for row in TaxRate.objects.filter(from_day__lte=day).order_by("from_day"):
        found[row.tax_class] = TaxSpec(tax_class=row.tax_class, share=row.share)
    return tuple(found[key] for key in sorted(found))
