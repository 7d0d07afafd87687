"""Products, prices and norms as frozen values. No Django here.

`ProductSpec` holds no money and no supplier, so it may travel to a client; `PriceSpec`, `NormSpec`
and `RateSpec` never do. Unknown figures are None: unknown stays unknown.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from base.content import Content


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedSpec(Content):
    """One separately driven part of a piece. Watts [W] and light [lm] are each, or per metre."""

    id: str
    number: int
    name: str
    watts: Decimal | None
    source_lm: Decimal | None
    luminaire_lm: Decimal | None
    cct_k: int | None
    cct_to_k: int | None
    cri: int | None
    beam_deg: Decimal | None
    load_kinds: tuple[str, ...]
    load_nature: str
    edge: str
    supply_v: Decimal | None
    forward_v: Decimal | None
    current_ma: int | None
    power_factor: Decimal | None
    driver_place: str
    max_run_m: Decimal | None
    ohm_per_m: Decimal | None = None  # of a tape, out and back together


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingSpec(Content):
    ip_code: str
    recess_depth_mm: Decimal | None
    cut_out_mm: Decimal | None
    fire_minutes: int | None
    can_be_covered: bool | None
    weight_kg: Decimal | None
    leakage_ma: Decimal | None
    lowest_level: int | None
    protection_class: str
    lamp_cap: str
    lamp_count: int
    dimming_curve: str = ""  # "" where light follows the level, or "logarithmic"


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverSpec(Content):
    supply_v: Decimal | None
    current_ma: int | None
    forward_from_v: Decimal | None
    forward_to_v: Decimal | None
    rating_w: Decimal
    min_load_w: Decimal
    efficiency: Decimal
    dimmed_by: tuple[str, ...]
    per_device: tuple[tuple[str, int], ...]  # pieces on one breaker, such as ("B10", 12)
    ip_code: str
    modules: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSpec(Content):
    load_kind: str
    load_nature: str
    min_w: Decimal
    max_w: Decimal
    max_pieces: int | None
    edge: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiverSpec(Content):
    outputs: int
    unit_max_w: Decimal | None
    supply_v: Decimal | None
    ip_code: str
    modules: int
    needs_neutral: bool
    limits: tuple[LimitSpec, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeypadSpec(Content):
    scene_buttons: int
    has_dimming: bool
    has_off: bool
    gangs: int
    back_box_mm: int
    is_battery: bool
    engraving_chars: int
    engraving_product: str | None
    radio_range_m: int | None = None  # in the open, as stated


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSpec(Content):
    product: str
    per: str
    quantity: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductSpec(Content):
    id: str
    kind: str
    reference: str
    name: str
    client_name: str
    finish: str
    series: str
    unit: str
    sold_length_m: Decimal | None
    pack_size: int
    cut_step_m: Decimal | None
    waste_share: Decimal
    order_multiple: int
    phase: str
    tax_class: str
    is_made_to_order: bool
    is_discontinued: bool
    picture: str
    feeds: tuple[FeedSpec, ...]
    parts: tuple[PartSpec, ...]
    fitting: FittingSpec | None
    driver: DriverSpec | None
    receiver: ReceiverSpec | None
    keypad: KeypadSpec | None
    photometric: tuple[tuple[int, str, str], ...] = ()  # feed, format, SHA-256 of the file

    @property
    def shown_name(self) -> str:
        return self.client_name or self.name

    def feed(self, feed_id: str | None) -> FeedSpec | None:
        """The feed of this key; without one, the first. None where the product has none."""
        for each in self.feeds:
            if feed_id is None or each.id == feed_id:
                return each
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceSpec(Content):
    """Cost and sell of one product on the pricing day, and who sells it to us."""

    product: str
    from_day: date
    cost: Decimal
    sell: Decimal
    supplier: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NormSpec(Content):
    operation: str
    kind: str
    per: str
    minutes: Decimal
    grade: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RateSpec(Content):
    """Money for an hour of a grade."""

    grade: str
    cost: Decimal
    sell: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxSpec(Content):
    tax_class: str
    share: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSpec(Content):
    """Two products that were tried together, by their keys; `lowest_level` in percent."""

    load: str
    receiver: str
    edge: str
    pieces: int
    lowest_level: int | None
    flicker: str
    tried_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock(Content):
    """What a design needs of the catalogue, as it stands on one day."""

    day: date
    currency: str
    products: tuple[ProductSpec, ...]
    prices: tuple[PriceSpec, ...]
    norms: tuple[NormSpec, ...]
    rates: tuple[RateSpec, ...]
    taxes: tuple[TaxSpec, ...]
    bench: tuple[BenchSpec, ...] = ()  # the newest first
