"""What a client ticks and asks on the page of a link: the server works it out, and keeps it."""

import uuid
from decimal import Decimal

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from base import outbox
from base.models import Business, Outbox
from consult.models import Circuit, Option, OptionGroup, Room
from quoting.issued import read_offer
from quoting.models import Acceptance, Link, Question
from quoting.services import links, questions, quotes
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_circuit, a_product, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    Business.objects.update_or_create(defaults={"name": "Pell", "email": "us@showroom.example"})
    return PersonFactory(role="office")


@pytest.fixture
def revision(by):
    """An offer of 646.80 with picture lights to tick and one of two finishes to choose."""
    quote = a_quote(by=by)
    quotes.quote_change(by=by, quote=quote, deposit_share=Decimal("0.4"))
    room = Room.objects.get()
    extras = OptionGroup.objects.create(project=quote.project, name="Extras")
    lights = Option.objects.create(project=quote.project, group=extras, name="Picture lights")
    circuit = a_circuit(by=by, room=room, product=a_product(name="Picture light"), name="Pictures")
    Circuit.objects.filter(pk=circuit.pk).update(option=lights)
    finish = OptionGroup.objects.create(project=quote.project, name="Finish", is_one_of=True)
    Option.objects.create(project=quote.project, group=finish, name="White", is_in=True)
    Option.objects.create(project=quote.project, group=finish, name="Bronze")
    return quotes.quote_issue(by=by, quote=quote)


@pytest.fixture
def secret(by, revision):
    secret = links.new_secret()
    links.link_make(
        by=by, revision=revision, for_whom="Ida Marrow", secret=secret, email="ida@house.example"
    )
    return secret


@pytest.fixture
def web():
    return Client()


def address(secret, name="offer"):
    return reverse(f"quoting:{name}", args=[secret])


def keys(revision):
    return {o.name: o.key for g in read_offer(revision).options for o in g.options}


def finish_of(revision):
    return next(g.key for g in read_offer(revision).options if g.name == "Finish")


def test_the_total_follows_the_ticks_and_so_do_the_stages(web, secret, revision):
    page = web.get(address(secret))
    assert one(page, "#chosen-total").text == "£646.80"
    named = keys(revision)
    ticked = {
        "choice": "1", "option": named["Picture lights"],
        f"one-{finish_of(revision)}": named["Bronze"],
    }  # fmt: skip
    page = web.get(address(secret), ticked)
    delta = next(
        o.gross_delta
        for g in read_offer(revision).options
        for o in g.options
        if o.name == "Picture lights"
    )
    total = Decimal("646.80") + delta
    assert delta > 0
    assert one(page, "#chosen-total").text == f"£{total:,.2f}"
    stages = [
        Decimal(found.text.split()[0].strip("£").replace(",", ""))
        for found in all_of(page, "#choice dl dd:not(#chosen-total)")
    ]
    assert len(stages) == 2
    assert sum(stages) == total
    sent = {found["value"] for found in all_of(page, "#answer input[name=option]")}
    assert sent == {named["Picture lights"], named["Bronze"]}


@pytest.mark.parametrize("ticked", [{"option": "nonsense"}, {}])
def test_a_choice_that_the_offer_does_not_allow_is_said_and_not_shown(web, secret, ticked):
    page = web.get(address(secret), {"choice": "1", **ticked})
    assert page.status_code == 200
    assert one(page, "#choice [role=alert]").text
    assert one(page, "#chosen-total").text == "£646.80"


def accepting(revision, **values):
    return {
        "name": "Ida Marrow", "agrees": "on", "offer_sha256": revision.offer_sha256,
        "terms_version": "1", "key": str(uuid.uuid4()), **values,
    }  # fmt: skip


def test_the_acceptance_keeps_the_choice_and_its_own_total_whatever_is_sent(web, secret, revision):
    named = keys(revision)
    options = [named["Picture lights"], named["White"]]
    given = accepting(revision, option=options, gross_total="1.00", role="Owner")
    for _press in range(2):
        web.post(address(secret, "offer_accept"), given)
    kept = Acceptance.objects.get()
    assert (kept.options, kept.role) == (sorted(options), "Owner")
    assert kept.gross_total > Decimal("646.80")
    assert {row.to for row in Outbox.objects.filter(name="accepted")} == {
        "us@showroom.example",
        "ida@house.example",
    }
    assert one(web.get(address(secret)), "#chosen-total").text == f"£{kept.gross_total:,.2f}"


def test_a_question_at_a_room_is_mailed_answered_mailed_and_shown(web, by, secret, revision):
    room = read_offer(revision).rooms[0]
    given = {"about": room.key, "text": "Could it be warmer?", "key": str(uuid.uuid4())}
    for _press in range(2):
        web.post(address(secret, "offer_ask"), given)
    asked = Question.objects.get()
    assert (asked.about, asked.about_name) == (room.key, room.name)
    outbox.deliver_due()
    assert mail.outbox[0].to == ["us@showroom.example"]
    assert "Could it be warmer?" in mail.outbox[0].body
    questions.question_answer(
        by=by, question=asked, answer="Yes: 2,700 K.", site="https://rooms.example"
    )
    outbox.deliver_due()
    assert mail.outbox[1].to == ["ida@house.example"]
    assert "Yes: 2,700 K." in mail.outbox[1].body
    line = next(x for x in mail.outbox[1].body.split() if x.startswith("https://rooms.example"))
    page = web.get(line.removeprefix("https://rooms.example"))
    assert "Yes: 2,700 K." in one(page, "#questions").text


@pytest.mark.parametrize("given", [{"text": "  "}, {"text": "x", "about": "no such line"}])
def test_an_absurd_question_is_refused(web, secret, given):
    page = web.post(address(secret, "offer_ask"), given)
    assert page.status_code == 200
    assert not Question.objects.exists()
    assert not Outbox.objects.exists()


def test_a_page_of_questions_that_nobody_answered_is_enough(web, secret):
    for number in range(questions.MOST_OPEN + 2):
        web.post(address(secret, "offer_ask"), {"text": f"Question {number}"})
    assert Question.objects.count() == questions.MOST_OPEN


def test_an_electrician_asks_nothing_there(web, by, revision):
    secret = links.new_secret()
    links.link_make(
        by=by, revision=revision, for_whom="Rook", secret=secret, audience="electrician"
    )
    assert web.post(address(secret, "offer_ask"), {"text": "x"}).status_code == 404


def test_a_letter_with_the_link_opens_the_offer_and_no_secret_rests_in_the_outbox(
    web, by, revision, secret
):
    link = Link.objects.get()
    row = links.link_send(by=by, link=link, site="https://rooms.example")
    assert secret not in str(row.ids)
    outbox.deliver_due()
    (sent,) = mail.outbox
    line = next(x for x in sent.body.split() if x.startswith("https://rooms.example"))
    assert web.get(line.removeprefix("https://rooms.example")).status_code == 200
    assert "646.80" in sent.body


def test_a_letter_whose_link_was_revoked_meanwhile_is_not_sent(by, secret):
    link = Link.objects.get()
    links.link_send(by=by, link=link, site="https://rooms.example")
    links.link_revoke(by=by, link=link)
    outbox.deliver_due()
    assert mail.outbox == []
    assert Outbox.objects.get().state == "cancelled"
