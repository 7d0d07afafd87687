"""What changed from one issue to the next."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from hypothesis import given, settings

from quoting.differences import Difference, difference, net_change
from quoting.offer import Offer, Room, SceneLevel, Terms
from tests.quoting.random_offers import Spec, an_offer, offers, some_groups


def in_room(offer: Offer, index: int, **changes: Any) -> Offer:
    rooms = list(offer.rooms)
    rooms[index] = replace(rooms[index], **changes)
    return replace(offer, rooms=tuple(rooms))


def told(rows: tuple[Difference, ...], subject: str) -> list[tuple[object, ...]]:
    return [(r.change, r.key, r.field, r.before, r.after) for r in rows if r.subject == subject]


def test_an_offer_does_not_differ_from_itself() -> None:
    offer = an_offer(options=some_groups(), charges=(("5", None), ("5", None)))
    assert difference(old=offer, new=offer) == ()


def test_a_changed_quantity_moves_line_room_tax_and_totals() -> None:
    old = an_offer(rooms=[[Spec()], [Spec(unit_price=Decimal(5))]])
    new = an_offer(rooms=[[Spec(quantity=Decimal(3))], [Spec(unit_price=Decimal(5))]])
    rows = difference(old=old, new=new)
    assert told(rows, "line") == [
        ("changed", "p0-l0", "quantity", 1, 3),
        ("changed", "p0-l0", "net", 10, 30),
    ]
    assert told(rows, "room") == [
        ("changed", "room-0", "net", 10, 30),
        ("changed", "room-0", "gross", 12, 36),
    ]
    assert ("changed", "totals", "gross", 18, 42) in told(rows, "total")
    assert [row.place for row in rows if row.subject == "line"] == ["Room 0", "Room 0"]
    assert net_change(rows=rows) == 20


def test_lines_and_rooms_come_and_go() -> None:
    old = an_offer(rooms=[[Spec(key="lamp"), Spec(key="tape", unit_price=Decimal(7))]])
    new = an_offer(rooms=[[Spec(key="lamp")], [Spec(key="spike", unit_price=Decimal(40))]])
    rows = difference(old=old, new=new)
    assert told(rows, "line") == [
        ("added", "spike", "net", None, 40),
        ("removed", "tape", "net", 7, None),
    ]
    assert ("added", "room-1", "net", None, 40) in told(rows, "room")
    assert net_change(rows=rows) == 33


def test_a_line_that_moved_to_another_room_is_a_change() -> None:
    old = an_offer(rooms=[[Spec(key="a"), Spec(key="b")], []])
    new = an_offer(rooms=[[Spec(key="a")], [Spec(key="b")]])
    rows = difference(old=old, new=new)
    assert told(rows, "line") == [("changed", "b", "place", "Room 0", "Room 1")]
    assert net_change(rows=rows) == 0


def test_a_price_a_discount_and_a_rate_are_told_apart() -> None:
    old = an_offer(rooms=[[Spec()]])
    new = an_offer(
        rooms=[[Spec(unit_price=Decimal(20), discount=Decimal("0.5"), tax_rate=Decimal("0.05"))]]
    )
    fields = {row.field for row in difference(old=old, new=new) if row.subject == "line"}
    assert fields == {"unit_price", "discount", "tax_rate"}


def with_scene(offer: Offer, **changes: Any) -> Offer:
    room: Room = offer.rooms[0]
    return in_room(offer, 0, scenes=(replace(room.scenes[0], **changes),))


def test_scenes_differ_in_words_and_level_by_level() -> None:
    old = an_offer()
    brighter = SceneLevel(circuit="G0-1", level=Decimal("0.6"))
    another = SceneLevel(circuit="G0-2", level=None)
    new = with_scene(old, description="Brighter.", levels=(brighter, another))
    rows = difference(old=old, new=new)
    assert told(rows, "scene") == [
        ("changed", "room-0-evening", "description", "Walls glow, table bright.", "Brighter.")
    ]
    assert told(rows, "level") == [
        ("changed", "room-0-evening/G0-1", "level", Decimal("0.35"), Decimal("0.6")),
        ("added", "room-0-evening/G0-2", "level", None, None),
    ]
    gone = difference(old=old, new=in_room(old, 0, scenes=()))
    assert told(gone, "scene") == [("removed", "room-0-evening", "", None, None)]


def test_options_charges_stages_terms_and_dates_are_compared() -> None:
    old = an_offer(options=some_groups(), charges=(("5", None),), shares=("1",))
    extras, hall = some_groups()
    dearer = replace(extras.options[0], gross_delta=Decimal("400"))
    new = an_offer(
        options=(replace(extras, options=(dearer,)), hall),
        charges=(("5", None), ("5", None)),
        shares=("0.5", "0.5"),
        terms=Terms(version="4", text="New."),
        valid_until=old.valid_until.replace(day=30),
    )
    rows = difference(old=old, new=new)
    assert ("changed", "spikes", "gross_delta", 360, 400) in told(rows, "option")
    assert ("removed", "shelf", "gross_delta", Decimal("119.99"), None) in told(rows, "option")
    assert told(rows, "adjustment") == [("added", "charge/Carriage/None+", "amount", None, 5)]
    # 10 net, 2 tax, two carriages of 5: 22 in all, half of it in each stage.
    assert ("added", "2", "amount", None, 11) in told(rows, "stage")
    assert ("changed", "1", "amount", 17, 11) in told(rows, "stage")
    assert ("changed", "terms", "version", "3", "4") in told(rows, "terms")
    assert [row[2] for row in told(rows, "document")] == ["valid_until"]


@settings(max_examples=150, deadline=None)
@given(old=offers(), new=offers())
def test_changes_of_lines_add_up_to_the_change_of_the_net(old: Offer, new: Offer) -> None:
    rows = difference(old=old, new=new)
    assert net_change(rows=rows) == new.totals.net - old.totals.net
    back = difference(old=new, new=old)
    assert net_change(rows=back) == -net_change(rows=rows)
    assert len(back) == len(rows)
