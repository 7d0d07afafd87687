"""The offer's shape, and whether it adds up."""

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from quoting.frozen import canonical
from quoting.internal import Internal, LineCost
from quoting.offer import Offer, Totals
from quoting.offer_check import check_offer
from tests.quoting.random_offers import Spec, an_offer, some_groups

TWENTY = Decimal("0.2")


def a_full_offer(**changes: Any) -> Offer:
    return an_offer(
        rooms=[[Spec(unit_price=Decimal("33.33"), quantity=Decimal(3)), Spec()], [Spec()]],
        labour=[Spec(description="First fix", tax_rate=None)],
        allowances=(("5.55", TWENTY),),
        charges=(("12", TWENTY),),
        **{"options": some_groups(), **changes},
    )


def test_an_offer_comes_back_from_its_content() -> None:
    offer = a_full_offer()
    content = offer.to_content()
    assert Offer.from_content(content) == offer
    assert content["rooms"][0]["lines"][0]["unit_price"] == "33.33"
    assert content["format"] == "1"
    assert content["valid_until"] == "2031-04-02"
    assert content["labour"]["lines"][0]["tax_rate"] is None
    canonical(content=content)


def test_internal_comes_back_from_its_content() -> None:
    internal = Internal(
        number="Q-7",
        revision="A",
        cost_total=Decimal("50.10"),
        margin_total=Decimal("49.90"),
        lines=(LineCost(key="a", cost=None), LineCost(key="b", cost=Decimal("50.10"))),
    )
    assert Internal.from_content(internal.to_content()) == internal


@pytest.mark.parametrize(
    ("entry", "bad"),
    [
        ("number", 7),
        ("number", None),
        ("issued", "3 March"),
        ("is_consumer", "yes"),
        ("rooms", {}),
        ("totals", {"net": "1"}),
        ("totals", "12"),
        ("surprise", "new"),
        ("stages", [{"name": "Deposit", "share": 0.5, "amount": "1"}]),
        ("stages", [{"name": "Deposit", "share": "NaN", "amount": "1"}]),
        ("stages", [{"name": "Deposit", "share": "1e2", "amount": "1"}]),
    ],
)
def test_content_that_is_no_offer_is_refused(entry: str, bad: object) -> None:
    content = a_full_offer().to_content() | {entry: bad}
    with pytest.raises(ValueError):
        Offer.from_content(content)


def test_a_missing_entry_is_refused_unless_it_has_a_default() -> None:
    content = a_full_offer().to_content()
    del content["notes"]
    assert Offer.from_content(content) == a_full_offer()
    del content["number"]
    with pytest.raises(ValueError, match="number"):
        Offer.from_content(content)


@pytest.mark.parametrize("bad", [{"number": 7}, {"issued": datetime(2031, 3, 3)}, {"rooms": []}])
def test_values_of_the_wrong_type_are_not_written(bad: dict[str, Any]) -> None:
    with pytest.raises(ValueError):
        replace(a_full_offer(), **bad).to_content()


def test_a_float_is_not_written() -> None:
    offer = a_full_offer()
    with pytest.raises(ValueError, match=r"Totals\.net"):
        replace(offer, totals=replace(offer.totals, net=1.5)).to_content()


def test_an_offer_that_adds_up_has_no_faults() -> None:
    assert check_offer(offer=a_full_offer()) == ()
    assert check_offer(offer=a_full_offer(tax_rounding="document", stages=())) == ()


PENNY = Decimal("0.01")


def first_line(offer: Offer, **changes: Any) -> Offer:
    room = offer.rooms[0]
    line = replace(room.lines[0], **changes)
    return replace(offer, rooms=(replace(room, lines=(line, *room.lines[1:])), *offer.rooms[1:]))


@pytest.mark.parametrize("name", ["net", "allowance", "charge", "taxable", "tax", "gross"])
def test_a_total_a_penny_off_is_found(name: str) -> None:
    offer = a_full_offer()
    totals = replace(offer.totals, **{name: getattr(offer.totals, name) + PENNY})
    (fault,) = check_offer(offer=replace(offer, totals=totals))
    assert (fault.code, fault.key) == ("wrong_total", name)


def test_a_line_room_tax_or_stage_a_penny_off_is_found() -> None:
    offer = a_full_offer()
    line = offer.rooms[0].lines[0]
    room = replace(offer.rooms[1], gross=offer.rooms[1].gross + PENNY)
    tax = replace(offer.taxes[0], tax=offer.taxes[0].tax + PENNY)
    stage = replace(offer.stages[0], amount=offer.stages[0].amount - PENNY)
    for altered, code in (
        (first_line(offer, net=line.net - PENNY), "wrong_net"),
        (replace(offer, rooms=(offer.rooms[0], room)), "wrong_gross"),
        (replace(offer, taxes=(tax, *offer.taxes[1:])), "wrong_tax"),
        (replace(offer, stages=(stage, *offer.stages[1:])), "wrong_stage"),
        (replace(offer, labour=replace(offer.labour, net=Decimal(9))), "wrong_net"),
    ):
        assert code in {fault.code for fault in check_offer(offer=altered)}


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"is_credit": True}, "credit_sign"),
        ({"key": "p0-l1"}, "key_twice"),
        ({"supplied_by": "client"}, "unknown_word"),
        ({"installed_by": "robot"}, "unknown_word"),
        ({"tax_treatment": "magic"}, "unknown_word"),
        ({"discount": Decimal(2)}, "bad_value"),
    ],
)
def test_a_line_that_may_not_go_out_is_found(changes: dict[str, Any], code: str) -> None:
    assert code in {f.code for f in check_offer(offer=first_line(a_full_offer(), **changes))}


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"valid_until": date(2031, 3, 2)}, "dates"),
        ({"format": 2}, "format_unknown"),
        ({"deal_place": "moon"}, "unknown_word"),
        ({"currency": "GBX"}, "bad_value"),
        ({"tax_rounding": "total"}, "bad_value"),
    ],
)
def test_a_document_that_may_not_go_out_is_found(changes: dict[str, Any], code: str) -> None:
    assert code in {fault.code for fault in check_offer(offer=replace(a_full_offer(), **changes))}


def test_totals_name_all_six_amounts() -> None:
    assert list(Totals.__dataclass_fields__) == [
        "net",
        "allowance",
        "charge",
        "taxable",
        "tax",
        "gross",
    ]
