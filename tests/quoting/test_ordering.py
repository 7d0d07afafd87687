"""What to order and to engrave: the frozen lines by supplier, added up, without a cost."""

import uuid
from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import pytest
from django.urls import reverse

from catalogue.models import Product
from consult.models import Circuit, KeypadPosition, Option, OptionGroup, Room
from consult.services import circuits
from quoting.internal import Internal
from quoting.issued import read_internal, read_offer
from quoting.models import Acceptance
from quoting.ordering import ADDED_UP, AS_CHOSEN, AS_OFFERED, NOT_KEPT, to_order
from quoting.services import quotes
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_circuit, a_furnished_quote, a_product, a_quote
from tests.quoting.test_choices_at_issue import an_option
from tests.quoting.test_documents import costs_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="manager")


def accepted(revision, options=()):
    Acceptance.objects.create(
        revision=revision, name="Ida", terms_version="1", options=list(options),
        offer_sha256=revision.offer_sha256, gross_total=revision.gross_total,
    )  # fmt: skip
    return reverse("quoting:orders", args=[revision.pk])


def test_each_product_stands_once_under_its_supplier(by, office_client):
    revision = quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))
    light = Product.objects.get(name="Quiet downlight")
    lists = to_order(offer=read_offer(revision), internal=read_internal(revision), options=())
    named, unnamed = lists.suppliers
    assert (named.supplier, unnamed.supplier) == (light.supplier.name, "")
    assert [(g.product, g.quantity) for g in named.goods] == [(light.reference, Decimal(18))]
    products = {line.key: line.product for line in read_internal(revision).lines}
    bought = [x.quantity for x in read_offer(revision).lines() if products[x.key]]
    every = (*named.goods, *unnamed.goods)
    assert sum(each.quantity for each in every) == sum(bought)
    assert {each.product for each in every} == set(products.values()) - {""}
    Product.objects.update(name="Renamed")
    page = office_client.get(accepted(revision))
    rows = [each.text for each in all_of(page, "main tbody tr")]
    assert any(row.split()[0] == named.goods[0].product and "18" in row for row in rows)
    assert "Quiet downlight" in one(page, "main").text


def test_what_is_engraved_stands_button_by_button(by, office_client):
    revision = quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))
    page = office_client.get(accepted(revision))
    assert "1: Evening" in one(page, "#engrave").text
    assert "Inside the door" in one(page, "#engrave").text
    plain = quotes.quote_issue(by=by, quote=a_quote(by=by))
    assert not all_of(office_client.get(accepted(plain)), "#engrave")


def test_no_cost_stands_on_it(by, office_client):
    revision = quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))
    text = office_client.get(accepted(revision)).content.decode()
    assert costs_of(revision)
    for cost in costs_of(revision):
        assert cost not in text


def test_an_allowance_is_named_as_not_to_be_ordered(by, office_client):
    quote = a_quote(by=by)
    circuits.circuit_add(
        by=by, room=Room.objects.get(), name="Hall pendant",
        fitting={
            "placeholder": "Hall pendant", "allowance": Decimal(450), "placeholder_w": Decimal(40)
        },
    )  # fmt: skip
    page = office_client.get(accepted(quotes.quote_issue(by=by, quote=quote)))
    assert "Hall pendant" in one(page, ".notice.stop").text


@pytest.fixture
def choosable(by):
    """A house with a keypad; out unless chosen: picture lights, a lamp to come, a second keypad."""
    quote = a_furnished_quote(by=by)
    room = Room.objects.first()
    pictures = a_circuit(by=by, room=room, product=a_product(name="Picture light"), name="Pictures")
    Circuit.objects.filter(pk=pictures.pk).update(option=an_option(quote, "Picture lights"))
    lamp = circuits.circuit_add(
        by=by, room=room, name="Lamp",
        fitting={"placeholder": "A lamp", "allowance": Decimal(90), "placeholder_w": Decimal(9)},
    )  # fmt: skip
    Circuit.objects.filter(pk=lamp.pk).update(option=an_option(quote, "Lamp to come"))
    position = KeypadPosition.objects.get()
    KeypadPosition.objects.filter(pk=position.pk).update(
        option=an_option(quote, "Keypad", is_in=True)
    )
    return quote


def lists_of(revision, options):
    return to_order(
        offer=read_offer(revision), internal=read_internal(revision), options=options
    )  # fmt: skip


def bought(lists):
    return {
        (each.supplier, goods.product, goods.unit): goods.quantity
        for each in lists.suppliers
        for goods in each.goods
    }


def test_the_lists_of_every_choice_are_those_of_an_offer_that_stands_so(by, choosable):
    revision = quotes.quote_issue(by=by, quote=choosable)
    keys = {option.name: str(option.pk) for option in Option.objects.all()}
    assert len(keys) == 3
    seen = set()
    for size in range(4):
        for names in combinations(keys, size):
            found = lists_of(revision, [keys[name] for name in names])
            for name, key in keys.items():
                Option.objects.filter(pk=key).update(is_in=name in names)
            again = quotes.quote_start(by=by, project=choosable.project)
            wanted = lists_of(
                quotes.quote_issue(by=by, quote=again), [keys[name] for name in names]
            )
            assert wanted.follows == AS_OFFERED
            assert found.follows == (AS_OFFERED if names == ("Keypad",) else AS_CHOSEN)
            assert bought(found) == bought(wanted)
            assert {each.code for each in found.engraved} == {each.code for each in wanted.engraved}
            assert found.open_sums == wanted.open_sums
            seen.add((tuple(sorted(bought(found).items())), len(found.engraved), found.open_sums))
    assert len(seen) == 8


def test_what_was_not_worked_out_is_added_up_option_by_option(by, choosable):
    revision = quotes.quote_issue(by=by, quote=choosable)
    offer, internal = read_offer(revision), read_internal(revision)
    keys = {option.name: str(option.pk) for option in Option.objects.all()}
    base = {keys["Keypad"]}
    single = tuple(x for x in internal.choices if len(base ^ set(x.options)) == 1)
    assert len(single) == 3
    short = replace(internal, choices=single)
    options = [keys["Picture lights"], keys["Lamp to come"]]  # and no keypad: three moves
    added = to_order(offer=offer, internal=short, options=options)
    assert added.follows == ADDED_UP
    known = {frozenset(each.options): each for each in single}
    plain = bought(lists_of(revision, base))
    for moved in keys.values():
        for each in known[frozenset(base ^ {moved})].goods:
            place = (each.supplier, each.product, each.unit)
            plain[place] = plain.get(place, 0) + each.quantity
    assert bought(added) == {place: n for place, n in plain.items() if n > 0}
    assert added.open_sums == ("A lamp",)
    assert added.engraved == ()


def test_one_of_several_is_followed(by):
    quote = a_quote(by=by)
    group = OptionGroup.objects.create(project=quote.project, name="Hall", is_one_of=True)
    plain = an_option(quote, "Plain", group, is_in=True)
    full = an_option(quote, "Full", group)
    for option in (plain, full):
        product = a_product(name=f"{option.name} light")
        circuit = a_circuit(by=by, room=Room.objects.get(), product=product, name=option.name)
        Circuit.objects.filter(pk=circuit.pk).update(option=option)
    revision = quotes.quote_issue(by=by, quote=quote)
    internal = read_internal(revision)

    def names(lists):
        return {goods.name for each in lists.suppliers for goods in each.goods}

    for kept in (internal, replace(internal, choices=internal.choices[-1:])):
        found = to_order(offer=read_offer(revision), internal=kept, options=[str(full.pk)])
        assert found.follows == AS_CHOSEN
        assert "Full light" in names(found)
        assert "Plain light" not in names(found)
    assert "Plain light" in names(lists_of(revision, [str(plain.pk)]))


def test_the_page_follows_what_the_client_chose(by, office_client):
    quote = a_quote(by=by)
    option = an_option(quote, "Picture lights")
    product = a_product(name="Long picture light")
    circuit = a_circuit(by=by, room=Room.objects.get(), product=product, name="Pictures")
    Circuit.objects.filter(pk=circuit.pk).update(option=option)
    revision = quotes.quote_issue(by=by, quote=quote)
    page = office_client.get(accepted(revision, [str(option.pk)]))
    assert "Picture lights. These lists are of what they chose." in one(page, ".notice.note").text
    assert "Long picture light" in one(page, "main").text
    assert not all_of(page, ".notice.look")
    assert not lists_of(revision, []).chosen_apart


def test_an_issue_of_before_names_what_its_lists_lack(by, office_client, monkeypatch):
    quote = a_quote(by=by)
    option = an_option(quote, "Picture lights")
    circuit = a_circuit(by=by, room=Room.objects.get(), product=a_product(), name="Pictures")
    Circuit.objects.filter(pk=circuit.pk).update(option=option)
    revision = quotes.quote_issue(by=by, quote=quote)
    content = read_internal(revision).to_content()
    del content["choices"]
    old = Internal.from_content(content)
    assert to_order(offer=read_offer(revision), internal=old, options=[str(option.pk)]).follows == (
        NOT_KEPT
    )
    monkeypatch.setattr("quoting.views.issues.read_internal", lambda _revision: old)
    page = office_client.get(accepted(revision, [str(option.pk)]))
    assert (
        "Picture lights. What that adds or takes away is not in" in one(page, ".notice.look").text
    )


def test_nobody_orders_what_nobody_accepted(by, office_client, client):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    where = reverse("quoting:orders", args=[revision.pk])
    assert office_client.get(where).status_code == 404
    assert office_client.get(reverse("quoting:orders", args=[uuid.uuid4()])).status_code == 404
    accepted(revision)
    assert office_client.post(where).status_code == 405
    assert client.get(where).status_code == 302


def test_hardware_is_named_without_the_room_that_one_of_it_is_for(by):
    revision = quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))
    offer, internal = read_offer(revision), read_internal(revision)
    room = offer.rooms[0]
    named = tuple(
        replace(line, description=f"{line.description}, {room.name}", client_name=name)
        for line, name in zip(
            room.lines, ("", f"Quiet light, {room.name}", *[""] * 9), strict=False
        )
    )
    meant = replace(offer, rooms=(replace(room, lines=named), *offer.rooms[1:]))
    plain = to_order(offer=offer, internal=internal, options=())
    found = to_order(offer=meant, internal=internal, options=())
    names = [g.name for each in found.suppliers for g in each.goods]
    assert names
    assert not [name for name in names if room.name in name]
    assert len(names) == len([g for each in plain.suppliers for g in each.goods])


def test_what_one_of_several_is_made_for_is_minded_whatever_comes_after(by):
    revision = quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))
    offer, internal = read_offer(revision), read_internal(revision)
    room = next(room for room in offer.rooms if room.lines)
    behind = {line.key: line for line in internal.lines}
    line = next(x for x in room.lines if behind[x.key].product)
    twice = (replace(line, is_made_to_order=True, is_personalised=True), line)
    meant = replace(offer, rooms=(replace(room, lines=twice),), control=None, labour=None)
    (goods,) = [
        g
        for each in to_order(offer=meant, internal=internal, options=()).suppliers
        for g in each.goods
        if g.product == behind[line.key].product
    ]
    assert (goods.is_made_to_order, goods.is_personalised) == (True, True)
    assert goods.quantity == 2 * line.quantity
