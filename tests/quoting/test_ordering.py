"""What to order and to engrave: the frozen lines by supplier, added up, without a cost."""

import uuid
from dataclasses import replace
from decimal import Decimal

import pytest
from django.urls import reverse

from catalogue.models import Product
from consult.models import Circuit, Room
from consult.services import circuits
from quoting.issued import read_internal, read_offer
from quoting.models import Acceptance
from quoting.ordering import to_order
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


def test_what_the_client_chose_otherwise_is_named(by, office_client):
    quote = a_quote(by=by)
    option = an_option(quote, "Picture lights")
    circuit = a_circuit(by=by, room=Room.objects.get(), product=a_product(), name="Pictures")
    Circuit.objects.filter(pk=circuit.pk).update(option=option)
    revision = quotes.quote_issue(by=by, quote=quote)
    page = office_client.get(accepted(revision, [str(option.pk)]))
    assert "Picture lights" in one(page, ".notice.look").text
    assert not to_order(
        offer=read_offer(revision), internal=read_internal(revision), options=[]
    ).chosen_apart


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
