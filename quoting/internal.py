"""The staff's half of an issue: what stands behind its offer. Frozen values, no Django."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from base.content import Content
from quoting.offer import FORMAT, Party
from quoting.pack import Pack, PackPosition


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCost(Content):
    """What stands behind the line of the same key. ``cost`` is per unit, without tax."""

    key: str
    cost: Decimal | None  # None: not known
    cost_date: date | None = None
    product: str = ""
    supplier: str = ""
    supplier_code: str = ""
    why: str = ""  # where the quantity comes from


@dataclass(frozen=True, slots=True, kw_only=True)
class GoodsChange(Content):
    """How many more of a product are bought, or fewer where ``quantity`` is below 0."""

    product: str
    supplier: str = ""
    name: str
    unit: str = "piece"
    quantity: Decimal
    is_made_to_order: bool = False
    is_personalised: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenGoods(Content):
    """What a choice of the client needs otherwise than the offer as it stands.

    ``options`` are all that are taken in it, by key. ``engraved`` are plates that come or read
    otherwise, ``not_engraved`` the codes of those that go; ``open_sums`` and ``settled_sums`` are
    allowances that come and go.
    """

    options: tuple[str, ...]
    goods: tuple[GoodsChange, ...] = ()
    engraved: tuple[PackPosition, ...] = ()
    not_engraved: tuple[str, ...] = ()
    open_sums: tuple[str, ...] = ()
    settled_sums: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LineOverride(Content):
    """A derived value that a person overruled."""

    key: str
    field: str
    value: str
    derived: str
    reason: str
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Internal(Content):
    """The staff's half of an issue. Costs, margins, commissions: never on paper, link or export."""

    format: int = FORMAT
    number: str
    revision: str
    lines: tuple[LineCost, ...] = ()
    cost_total: Decimal  # of the lines whose cost is known
    margin_total: Decimal  # taxable total and a design fee credited, less cost_total
    margin_share: Decimal | None = None  # of the same without the cost; None where that is 0
    commission: Decimal = Decimal(0)
    trade_discount: Decimal = Decimal(0)  # to a party of the trade; the margins are before both
    introducers: tuple[Party, ...] = ()
    approved_by: str = ""  # who let a discount or a margin pass that needed it
    approval_reason: str = ""
    overrides: tuple[LineOverride, ...] = ()
    option_gap: Decimal = Decimal(0)  # worst summed deltas against the real price of a choice
    design_sha256: str = ""  # of the frozen design that it was derived from
    notes: tuple[str, ...] = ()
    pack: Pack | None = (
        None  # what the electrician's pack says; None: issued before packs were kept
    )
    choices: tuple[ChosenGoods, ...] = ()  # those that were worked out at issue; none before
    units: str = (
        ""  # the planned units as JSON (consult.held): once accepted, they stay where they are
    )
