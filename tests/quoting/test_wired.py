"""After acceptance what is wired is held: a later, cheaper way does not move it."""

import pytest

from consult.derived import planned, read_house
from consult.models import Circuit
from consult.services import circuits
from quoting.services import answers, links, quotes
from tests.factories import PersonFactory, a_product, a_quote, a_receiver

pytestmark = pytest.mark.django_db


def units(project):
    return [
        (u.reference, u.circuits, u.is_held) for u in planned(read_house(project)).control.units
    ]


def test_the_accepted_units_stay_when_a_cheaper_one_comes_up():
    by = PersonFactory()
    quote = a_quote(by=by)
    revision = quotes.quote_issue(by=by, quote=quote)
    ((wired, _circuits, is_held),) = units(quote.project)
    assert not is_held
    cheaper = a_receiver(cost="10.00", sell="20.00")
    assert units(quote.project)[0][0] == cheaper.reference
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=links.new_secret())
    answers.offer_accept(
        link=link, name="Ida", agrees=True, offer_sha256=revision.offer_sha256, terms_version="1"
    )
    assert units(quote.project) == [(wired, ("001.1",), True)]
    room = Circuit.objects.get().room
    circuits.circuit_add(
        by=by, room=room, name="More", load_kind="switched",
        fitting={"product": a_product(), "pieces": 2},
    )  # fmt: skip
    assert units(quote.project)[0][0] == wired


def seats(project):
    return {
        part.circuit: (unit.number, output.number)
        for unit in planned(read_house(project)).control.units
        for output in unit.outputs
        for part in output.parts
    }


def test_circuits_keep_their_outputs_of_the_last_issue_where_it_costs_nothing():
    by = PersonFactory()
    quote = a_quote(by=by, circuits_each=3)
    quotes.quote_issue(by=by, quote=quote)
    issued = seats(quote.project)
    first, *_others = sorted(issued)
    circuits.circuit_remove(by=by, circuit=Circuit.objects.get(number=1))
    assert seats(quote.project) == {code: issued[code] for code in issued if code != first}


def test_what_was_only_issued_gives_way_to_what_costs_less():
    by = PersonFactory()
    quote = a_quote(by=by)
    quotes.quote_issue(by=by, quote=quote)
    cheaper = a_receiver(cost="10.00", sell="20.00")
    ((reference, _circuits, is_held),) = units(quote.project)
    assert (reference, is_held) == (cheaper.reference, False)


def test_an_accepted_issue_is_wired_and_no_longer_only_the_last_one():
    by = PersonFactory()
    quote = a_quote(by=by)
    revision = quotes.quote_issue(by=by, quote=quote)
    assert read_house(quote.project).previous and not read_house(quote.project).held
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=links.new_secret())
    answers.offer_accept(
        link=link, name="Ida", agrees=True, offer_sha256=revision.offer_sha256, terms_version="1"
    )
    house = read_house(quote.project)
    assert house.held and not house.previous
