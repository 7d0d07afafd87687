"""The demo is whole, is built once, and none of its costs reaches a client."""

import json
import re

import pytest
from django.core.management import call_command
from django.db import transaction

from catalogue.models import LabourRate, ProductPrice
from consult.comparison import compare
from consult.derived import planned, read_house
from consult.models import (
    Circuit,
    Enclosure,
    KeypadPosition,
    Project,
    Room,
    Scene,
    SwitchingPiece,
)
from quoting.issued import read_offer
from quoting.models import Link, ManualLine, Quote, Revision
from quoting.services import links
from showroom.demo import build, old_sail_loft
from tests.conftest import one

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def built(django_db_setup, django_db_blocker):
    """The demo, built once for all tests here and gone after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        project, made = build.build()
        assert made
        yield project
        transaction.set_rollback(True)


@pytest.fixture
def demo(built, db):
    return Project.objects.get(pk=built.pk)


def costs() -> list[str]:
    """Every cost of the demo as it is stored: a number that stands nowhere else in the demo."""
    prices = [price.cost for price in ProductPrice.objects.all()]
    rates = [rate.cost for rate in LabourRate.objects.all()]
    lines = [line.unit_cost for line in ManualLine.objects.exclude(unit_cost=None)]
    costs = [*prices, *rates, *lines]
    return [f"{cost.normalize():f}" for cost in costs if cost]


def found_in(text: str, wanted: list[str]) -> list[str]:
    """Which of the numbers stand in the text as numbers of their own."""
    return [one for one in wanted if re.search(rf"(?<![\d.,]){re.escape(one)}0*(?![\d])", text)]


def test_the_demo_is_the_whole_house(demo):
    kinds = set(Circuit.objects.values_list("load_kind", flat=True))
    assert Room.objects.count() == len(old_sail_loft.ROOMS) == 11
    assert 43 <= Circuit.objects.count() <= 48
    assert {"motor", "dc-tunable", "dc-rgbw", "analogue-dimmed", "digital-dimmed"} <= kinds
    assert 12 <= KeypadPosition.objects.count() <= 13
    assert Enclosure.objects.count() == 3
    assert Scene.objects.count() >= 20
    assert [quote.is_open for quote in Quote.objects.order_by("created_at")] == [False, True]


def test_a_second_run_changes_nothing(demo):
    before = (Project.objects.get().version, Revision.objects.get().seal, Circuit.objects.count())
    assert build.build() == (demo, False)
    after = (Project.objects.get().version, Revision.objects.get().seal, Circuit.objects.count())
    assert after == before


def test_no_cost_of_the_demo_stands_anywhere_a_client_can_look(demo, client, settings):
    revision = Revision.objects.get()
    shown = bytes(revision.offer).decode()
    page = client.get(f"/o/{build.client_link(demo)}/").content.decode()
    internal = bytes(revision.internal).decode()
    searched = costs()
    assert len(searched) > 150
    assert len(found_in(internal, searched)) > 40, "the search itself must be able to find"
    assert found_in(shown, searched) == []
    assert found_in(page, searched) == []


def test_the_clients_link_opens_although_people_made_more(demo, client):
    first = Link.objects.get(audience="client")
    links.link_make(
        by=None, revision=first.revision, for_whom="A friend", secret=links.new_secret()
    )
    assert client.get(f"/o/{build.client_link(demo)}/").status_code == 200


def test_the_demos_circuits_are_all_served(demo):
    plan = planned(read_house(demo)).control
    assert [(missing.code, missing.reason) for missing in plan.unserved] == []
    assert plan.cost_minor == plan.bound_minor
    assert plan.is_proven


def test_the_demos_comparison_is_priced_to_the_last_piece(demo):
    house = read_house(demo)
    asked = {
        code
        for compared in compare(house, planned(house), led_w=build.DIMMER_LED_W)
        if compared.switches
        for code in compared.switches.items
    }
    assert {"switch-plate-6", "box-1-25", "intermediate-extra"} <= asked
    assert asked <= set(SwitchingPiece.objects.values_list("code", flat=True))


def test_the_command_prints_the_log_ins_and_a_link_that_works(demo, client, capsys):
    call_command("demo")
    said = capsys.readouterr().out
    for _name, email, _role in build.PEOPLE:
        assert email in said
    secret = said.rsplit("/o/", 1)[1].split("/")[0]
    assert links.find_link(secret) is not None
    assert client.get(f"/o/{secret}/").status_code == 200


def test_the_issued_offer_reads_back_as_it_was_frozen(demo):
    revision = Revision.objects.get()
    offer = read_offer(revision)
    assert json.loads(bytes(revision.offer)) == offer.to_content()
    assert len(offer.rooms) == 11
    assert offer.totals.gross == revision.gross_total


def test_the_clients_can_try_an_option_and_see_their_discount(demo, client):
    offer = read_offer(Revision.objects.get())
    ((counted_in, left_out),) = (group.options for group in offer.options)
    assert (counted_in.is_in_base, left_out.is_in_base) == (True, False)
    assert counted_in.gross_delta > 0
    assert left_out.gross_delta > 0
    assert offer.totals.allowance > 0
    where = f"/o/{build.client_link(demo)}/"
    as_offered = one(client.get(where), "#chosen-total").text
    both = {"choice": "1", "option": [counted_in.key, left_out.key]}
    more = one(client.get(where, both), "#chosen-total").text
    assert as_offered == f"£{offer.totals.gross:,.2f}"
    assert more == f"£{offer.totals.gross + left_out.gross_delta:,.2f}"
    assert "Discount" in one(client.get(where), "#price table").text
