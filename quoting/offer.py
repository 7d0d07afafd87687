"""The shape of an issued offer: what a client may see.

An issue is frozen as two payloads. ``Offer`` is client-safe: it is printed, shown on the link,
exported and accepted, and its bytes are what the acceptance is bound to. ``internal.Internal`` holds
costs, margins and suppliers for the same line keys and never leaves the house.

Conventions

* Money is a ``Decimal`` in the document's currency, in whole minor units, except a unit price,
  which may have more decimals. Rates, discounts and shares are from 0 to 1. ``tax_rate`` None
  means exempt or outside the scope, which is not the same as a rate of 0.
* A net is without tax, a gross is with tax. Room and section grosses share out the document's
  tax, so that they, less allowances and plus charges with their tax, add up to the gross total.
* Text is ready for the reader, in the document's locale. Where a value may be unknown it is an
  empty text or None, never a guess.
* ``picture`` and ``mark`` are the SHA-256 (hex) of the stored file's content, or empty.

Use ``to_content()`` and ``from_content()``; freeze with ``quoting.frozen.canonical``. The document
is described for other programs in ``docs/calculations/money.md``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from base.content import Content
from quoting.money import EXACT

#: Raised by one when an entry changes its meaning or goes. A new entry with a default keeps it.
FORMAT = 1

PARTIES_AT_WORK = ("showroom", "client", "electrician", "builder", "joiner", "nobody")
PARTY_ROLES = (
    "client",
    "billed",
    "site-contact",
    "builder",
    "architect",
    "interior-designer",
    "electrician",
    "introducer",
)
TAX_TREATMENTS = ("", "standard", "reduced", "zero", "exempt", "reverse_charge", "outside")
DEAL_PLACES = ("", "premises", "distance", "off_premises")


@dataclass(frozen=True, slots=True, kw_only=True)
class Business(Content):
    """Who offers."""

    name: str
    address: tuple[str, ...] = ()
    country: str = ""  # ISO 3166-1, two letters
    tax_number: str = ""
    company_number: str = ""
    email: str = ""
    phone: str = ""
    web: str = ""
    mark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Party(Content):
    """A person or firm of the job. ``role`` is one of PARTY_ROLES; introducer only in Internal."""

    role: str = "client"
    name: str
    firm: str = ""
    address: tuple[str, ...] = ()
    country: str = ""
    email: str = ""
    phone: str = ""
    tax_number: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Project(Content):
    """What is offered for."""

    name: str
    reference: str = ""
    site_address: tuple[str, ...] = ()
    nation: str = ""
    work: str = ""
    idea: str = ""  # the idea of the whole house, in the designer's words


@dataclass(frozen=True, slots=True, kw_only=True)
class Line(Content):
    """One thing with its price. ``net`` is what ``quoting.pricing.price`` gave for ``key``."""

    key: str  # the bill's stable key, once in an offer
    description: str
    client_name: str = ""  # what the client calls it: never a maker's reference
    quantity: Decimal  # below 0 only where is_credit
    unit: str = "piece"  # piece, metre, hour, set
    unit_price: Decimal
    discount: Decimal = Decimal(0)
    net: Decimal
    tax_rate: Decimal | None
    tax_treatment: str = ""  # one of TAX_TREATMENTS; empty: read it from the rate
    tax_reason: str = ""  # why not the standard rate, and on what evidence
    supplied_by: str = "showroom"  # one of PARTIES_AT_WORK
    installed_by: str = "showroom"
    connected_by: str = "showroom"
    circuits: tuple[str, ...] = ()  # codes it hangs on
    picture: str = ""
    note: str = ""
    is_provisional: bool = False  # a sum allowed for something not chosen yet
    is_credit: bool = False
    is_made_to_order: bool = False
    is_personalised: bool = False  # to the client's own specification, as an engraved plate


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherLine(Content):
    """Something that others supply: printed as 'by others', never in a total."""

    key: str
    description: str
    quantity: Decimal
    unit: str = "piece"
    supplied_by: str
    installed_by: str = ""
    connected_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit(Content):
    """What comes on together, in words."""

    code: str
    name: str
    layer: str = ""
    description: str = ""
    control: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneLevel(Content):
    """How one circuit stands in a scene: ``level`` 0 to 1, or None where it is left as it was."""

    circuit: str
    level: Decimal | None
    colour: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene(Content):
    """A scene, in words and level by level."""

    key: str
    name: str
    group: str = ""
    description: str = ""
    levels: tuple[SceneLevel, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Room(Content):
    """A room with all that is priced in it."""

    key: str
    name: str
    floor: str = ""
    idea: str = ""
    lines: tuple[Line, ...] = ()
    net: Decimal
    gross: Decimal
    by_others: tuple[OtherLine, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    scenes: tuple[Scene, ...] = ()
    cautions: tuple[str, ...] = ()
    pictures: tuple[str, ...] = ()  # the room in its scenes, as worked out
    picture_names: tuple[str, ...] = ()  # the scene of each, in the same order


@dataclass(frozen=True, slots=True, kw_only=True)
class Section(Content):
    """Lines that belong to no room: labour, control hardware, anything general."""

    title: str
    lines: tuple[Line, ...] = ()
    net: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentAdjustment(Content):
    """An allowance (taken off) or a charge (added) on the whole, of one tax rate; never negative."""

    reason: str
    amount: Decimal
    tax_rate: Decimal | None
    tax_treatment: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FeeCredit(Content):
    """A design fee that was paid before, with its tax, and is one of the offer's allowances.

    ``reason``, ``net`` (the allowance's amount), rate and treatment are those of the allowance;
    ``gross`` is what was paid.
    """

    payment: str  # the key of the payment
    words: str
    reason: str
    net: Decimal
    tax_rate: Decimal | None
    tax_treatment: str
    gross: Decimal
    paid_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxAmount(Content):
    """The tax of one rate."""

    rate: Decimal | None
    taxable: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals(Content):
    """``taxable = net - allowance + charge`` and ``gross = taxable + tax``, without a remainder."""

    net: Decimal
    allowance: Decimal
    charge: Decimal
    taxable: Decimal
    tax: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage(Content):
    """A part of the gross total and when it falls due. The amounts add up to it."""

    kind: str = ""  # deposit, delivery, balance; empty in issues of before it was kept
    name: str
    share: Decimal
    amount: Decimal
    due: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option(Content):
    """Something the client may take or leave.

    The deltas say what having it adds to the totals against not having it; in a one-of-several
    group, against the group's base choice, whose own deltas are 0. They were worked out at issue
    (control hardware, labour and tax included) against the base plan; combinations add them up.
    """

    key: str
    name: str
    description: str = ""
    is_in_base: bool = False  # already counted in the offer's totals
    net_delta: Decimal
    tax_delta: Decimal
    gross_delta: Decimal
    picture: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionGroup(Content):
    """Options that stand together. ``choice``: 'any' or 'one' (exactly one of several)."""

    key: str
    name: str
    choice: str = "any"
    options: tuple[Option, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms(Content):
    """The terms as they stood on the day."""

    version: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Change(Content):
    """A line that a variation adds, takes away or changes. A quantity None: not there."""

    what: str
    place: str = ""
    unit: str = "piece"
    before: Decimal | None
    after: Decimal | None
    net_delta: Decimal
    gross_delta: Decimal | None = None  # with tax; None in issues of before it was kept

    @property
    def tax_delta(self) -> Decimal | None:
        if self.gross_delta is None:
            return None
        return EXACT.subtract(self.gross_delta, self.net_delta)


@dataclass(frozen=True, slots=True, kw_only=True)
class Variation(Content):
    """What an offer that changes an order refers to. The offer holds the whole job as changed.

    ``order`` is the issue that was ordered first, ``since`` the one that stands until now, which
    ``ordered_gross`` is the total of, the options that were chosen then included. The changes of
    net, tax and gross are the offer's totals less what was ordered; None in issues of before they
    were kept. The changes line by line add up to ``net_change``, and with tax to ``gross_change``.
    """

    number: int
    order: str
    since: str
    ordered_on: date
    ordered_gross: Decimal
    effect_on_dates: str = ""
    changes: tuple[Change, ...] = ()
    net_change: Decimal | None = None  # after discounts on the whole
    tax_change: Decimal | None = None
    gross_change: Decimal | None = None

    @property
    def tells_tax(self) -> bool:
        """Whether its changes are told with tax: always but in issues of before it was kept."""
        return bool(self.changes) and all(row.gross_delta is not None for row in self.changes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer(Content):
    """All that a client is offered, and nothing else."""

    format: int = FORMAT
    number: str
    revision: str  # letter: A, B, …
    issued: date
    valid_until: date
    currency: str  # ISO 4217
    locale: str
    tax_rounding: str  # 'document' or 'line'
    tax_name: str = "VAT"
    is_consumer: bool = True  # then prices are read with tax in
    deal_place: str = ""  # one of DEAL_PLACES; empty where not recorded
    business: Business
    client: Party
    parties: tuple[Party, ...] = ()  # who else takes part; never an introducer
    project: Project
    rooms: tuple[Room, ...] = ()
    control: Section | None = None
    labour: Section | None = None
    general: Section | None = None
    allowances: tuple[DocumentAdjustment, ...] = ()
    charges: tuple[DocumentAdjustment, ...] = ()
    design_fee: FeeCredit | None = None  # None: none is credited
    further_fees: tuple[FeeCredit, ...] = ()  # more of it, where it was paid in parts
    taxes: tuple[TaxAmount, ...]
    totals: Totals
    stages: tuple[Stage, ...] = ()
    options: tuple[OptionGroup, ...] = ()
    house_scenes: tuple[Scene, ...] = ()
    terms: Terms
    assumptions: tuple[str, ...] = ()
    exclusions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    variation: Variation | None = None  # None: not a change of an order

    def sections(self) -> tuple[Section, ...]:
        """Return the sections that are there, in printing order."""
        return tuple(each for each in (self.control, self.labour, self.general) if each)

    def fees(self) -> tuple[FeeCredit, ...]:
        """Return what of a design fee is credited, payment by payment."""
        return (self.design_fee, *self.further_fees) if self.design_fee else ()

    def lines(self) -> Iterator[Line]:
        """Yield every priced line, in printing order."""
        parts: tuple[Room | Section, ...] = (*self.rooms, *self.sections())
        for part in parts:
            yield from part.lines
