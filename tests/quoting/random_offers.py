"""Offers that add up, from a few lines or at random, for tests of the money core."""

import random
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from hypothesis import strategies as st

from quoting.grouping import group_totals
from quoting.offer import (
    Business,
    Circuit,
    DocumentAdjustment,
    Line,
    Offer,
    Option,
    OptionGroup,
    Party,
    Project,
    Room,
    Scene,
    SceneLevel,
    Section,
    Stage,
    TaxAmount,
    Terms,
    Totals,
)
from quoting.pricing import Adjustment, PriceLine, price, stages

RATES = (
    None,
    Decimal(0),
    Decimal("0.05"),
    Decimal("0.2"),
    Decimal("0.2"),
    Decimal("0.25"),
    Decimal("0.135"),
)


@dataclass(frozen=True, kw_only=True)
class Spec:
    """A line before it is priced."""

    quantity: Decimal = Decimal(1)
    unit_price: Decimal = Decimal("10.00")
    discount: Decimal = Decimal(0)
    tax_rate: Decimal | None = Decimal("0.2")
    description: str = "Brass wall washer"
    key: str = ""


def an_offer(
    *,
    rooms: list[list[Spec]] | None = None,
    labour: list[Spec] | None = None,
    allowances: tuple[tuple[str, Decimal | None], ...] = (),
    charges: tuple[tuple[str, Decimal | None], ...] = (),
    shares: tuple[str, ...] = ("0.4", "0.4", "0.2"),
    currency: str = "GBP",
    tax_rounding: str = "document",
    **changes: object,
) -> Offer:
    """Return an offer priced from its specs; ``changes`` replace its other entries."""
    parts = [*(rooms if rooms is not None else [[Spec()]]), *([labour] if labour else [])]
    keyed = [
        [(spec.key or f"p{part}-l{index}", spec) for index, spec in enumerate(specs)]
        for part, specs in enumerate(parts)
    ]
    flat = [pair for part in keyed for pair in part]
    priced = price(
        lines=[
            PriceLine(
                key=key,
                quantity=spec.quantity,
                unit_price=spec.unit_price,
                discount=spec.discount,
                tax_rate=spec.tax_rate,
            )
            for key, spec in flat
        ],
        allowances=[Adjustment(amount=Decimal(a), tax_rate=rate) for a, rate in allowances],
        charges=[Adjustment(amount=Decimal(a), tax_rate=rate) for a, rate in charges],
        currency=currency,
        tax_rounding=tax_rounding,
    )
    nets = iter(priced.lines)
    lines = [[_line(key, spec, next(nets).net) for key, spec in part] for part in keyed]
    labels = [str(index) for index, part in enumerate(keyed) for _ in part]
    sums = {each.label: each for each in group_totals(priced=priced, labels=labels).groups}
    nothing = Decimal(0)

    def net(index: int) -> Decimal:
        return sums[str(index)].net if str(index) in sums else nothing

    def gross(index: int) -> Decimal:
        return sums[str(index)].gross if str(index) in sums else nothing

    room_count = len(parts) - bool(labour)
    amounts = (
        stages(total=priced.gross_total, shares=[Decimal(s) for s in shares], currency=currency)
        if priced.gross_total >= 0
        else ()
    )
    values: dict[str, object] = {
        "number": "Q-2031-0007",
        "revision": "A",
        "issued": date(2031, 3, 3),
        "valid_until": date(2031, 4, 2),
        "currency": currency,
        "locale": "en_GB",
        "tax_rounding": tax_rounding,
        "business": Business(
            name="Lantern Wharf Lighting",
            address=("2 Net Loft", "Saltwick"),
            country="GB",
            tax_number="GB000000000",
            email="office@lantern-wharf.example",
        ),
        "client": Party(name="Perpetua Quill", address=("Kiln House",), country="GB"),
        "project": Project(name="Kiln House"),
        "rooms": tuple(
            Room(
                key=f"room-{index}",
                name=f"Room {index}",
                floor="Ground",
                lines=tuple(lines[index]),
                net=net(index),
                gross=gross(index),
                circuits=(Circuit(code=f"G{index}-1", name="Wall lights"),),
                scenes=(
                    Scene(
                        key=f"room-{index}-evening",
                        name="Evening",
                        description="Walls glow, table bright.",
                        levels=(SceneLevel(circuit=f"G{index}-1", level=Decimal("0.35")),),
                    ),
                ),
            )
            for index in range(room_count)
        ),
        "labour": Section(
            title="Labour",
            lines=tuple(lines[room_count]),
            net=net(room_count),
            gross=gross(room_count),
        )
        if labour
        else None,
        "allowances": tuple(
            DocumentAdjustment(reason="Goodwill", amount=each.amount, tax_rate=each.tax_rate)
            for each in priced.allowances
        ),
        "charges": tuple(
            DocumentAdjustment(reason="Carriage", amount=each.amount, tax_rate=each.tax_rate)
            for each in priced.charges
        ),
        "taxes": tuple(
            TaxAmount(rate=each.rate, taxable=each.taxable, tax=each.tax) for each in priced.taxes
        ),
        "totals": Totals(
            net=priced.net_total,
            allowance=priced.allowance_total,
            charge=priced.charge_total,
            taxable=priced.taxable_total,
            tax=priced.tax_total,
            gross=priced.gross_total,
        ),
        "stages": tuple(
            Stage(name=f"Stage {index}", share=Decimal(s), amount=amount)
            for index, (s, amount) in enumerate(zip(shares, amounts, strict=False), start=1)
        ),
        "terms": Terms(version="3", text="Payment by stages.\nGoods stay ours until paid."),
    }
    return Offer(**{**values, **changes})  # type: ignore[arg-type]


def some_groups() -> tuple[OptionGroup, ...]:
    """Return two free options, one of them in, and a group of three of which one is taken."""

    def option(key: str, net: str, tax: str, is_in_base: bool = False) -> Option:
        deltas = Decimal(net), Decimal(tax)
        return Option(
            key=key,
            name=key.title(),
            is_in_base=is_in_base,
            net_delta=deltas[0],
            tax_delta=deltas[1],
            gross_delta=sum(deltas, Decimal(0)),
        )

    return (
        OptionGroup(
            key="extras",
            name="Extras",
            options=(option("spikes", "300.00", "60.00"), option("shelf", "99.99", "20.00", True)),
        ),
        OptionGroup(
            key="hall",
            name="The hall",
            choice="one",
            options=(
                option("plain", "0.00", "0.00", True),
                option("fuller", "450.50", "90.10"),
                option("fullest", "-20.00", "-4.00"),
            ),
        ),
    )


def offers(*, lines: int = 5) -> st.SearchStrategy[Offer]:
    """Return random offers that add up, with at most so many lines in a room.

    Hypothesis draws (and shrinks) the size and a seed; the seed makes the rest. Drawing every
    value would take ten times as long as the quote takes to price.
    """
    return st.builds(
        seeded,
        rooms=st.integers(1, 4),
        lines=st.integers(0, lines),
        seed=st.integers(0, 2**32),
    )


def seeded(*, rooms: int, lines: int, seed: int) -> Offer:
    """Return the offer of a seed: so many rooms of up to so many lines, and all else at random."""
    dice = random.Random(seed)

    def some_specs(count: int) -> list[Spec]:
        return [_spec(dice) for _ in range(dice.randint(0, count))]

    def adjustments() -> tuple[tuple[str, Decimal | None], ...]:
        return tuple(
            (str(dice.choice((0, 1, 5, dice.randint(0, 900)))), dice.choice(RATES))
            for _ in range(dice.choice((0, 0, 1, 2)))
        )

    return an_offer(
        rooms=[some_specs(lines) for _ in range(rooms)],
        labour=some_specs(3),
        allowances=adjustments(),
        charges=adjustments(),
        shares=dice.choice((("1",), ("0.5", "0.5"), ("0.333", "0.333", "0.334"))),
        currency=dice.choice(("GBP", "GBP", "JPY", "KWD")),
        tax_rounding=dice.choice(("document", "line")),
    )


def _spec(dice: random.Random) -> Spec:
    """Return a line: metres or pieces, up to 4 decimals in the price, now and then a credit."""
    return Spec(
        quantity=Decimal(dice.randint(-40, 400)).scaleb(-dice.choice((0, 0, 1, 3))),
        unit_price=Decimal(dice.choice((0, 5, dice.randint(0, 400_000)))).scaleb(
            -dice.choice((0, 2, 2, 4))
        ),
        discount=Decimal(dice.choice((0, 0, 0, 5, 10, 33, 100))).scaleb(-2),
        tax_rate=dice.choice(RATES),
    )


def _line(key: str, spec: Spec, net: Decimal) -> Line:
    return Line(
        key=key,
        description=spec.description,
        quantity=spec.quantity,
        unit_price=spec.unit_price,
        discount=spec.discount,
        net=net,
        tax_rate=spec.tax_rate,
        is_credit=spec.quantity < 0,
    )
