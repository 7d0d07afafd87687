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
