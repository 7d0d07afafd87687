"""The electrician's pack goes out at once, or against the stage paid; a manager lets it go before."""

import uuid
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from base.deeds import Refusal
from base.services import store_file
from quoting.models import PackRelease, QuotingRules, RevisionFile
from quoting.releasing import pack_stand
from quoting.services import links, payments, quotes, variations
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.test_pressed_twice import RULES
from tests.quoting.test_variations import order, two_more

pytestmark = pytest.mark.django_db

SECRET = "of-the-electrician"


@pytest.fixture
def by():
    return PersonFactory(role="manager", name="Nell Quill")


def an_issue(by, deposit="0.4"):
    quote = a_quote(by=by)
    quotes.quote_change(by=by, quote=quote, deposit_share=Decimal(deposit))
    revision = quotes.quote_issue(by=by, quote=quote)
    stored = store_file(content=b"%PDF-1.7 the pack", media_type="application/pdf")
    RevisionFile.objects.get_or_create(
        revision=revision, kind="pack", defaults={"file": stored, "sha256": stored.sha256}
    )
    links.link_make(
        by=by, revision=revision, for_whom="Joss", secret=SECRET, audience="electrician"
    )
    return revision


@pytest.fixture
def after_the_deposit():
    QuotingRules.objects.create(pack_goes="deposit")


def pay(by, revision, amount):
    return payments.payment_enter(
        by=by, revision=revision, amount=Decimal(amount), day=timezone.localdate(), how="cheque"
    )


def given():
    """Whether the link gives the pack, by its page and by the address of the document alike."""
    page = Client().get(reverse("quoting:offer", args=[SECRET]))
    paper = Client().get(reverse("quoting:offer_document", args=[SECRET, "pack"]))
    offered = bool(all_of(page, "a.button.next"))
    assert (paper.status_code, offered) in {(200, True), (403, False)}
    if not offered:
        assert "has not released the pack yet" in one(page, ".notice").text
        assert "has not released the pack yet" in one(paper.content.decode(), ".notice").text
    return offered


def test_without_a_rule_of_its_own_a_business_gives_the_pack_at_once(by, manager_client):
    revision = an_issue(by)
    assert given()
    assert not all_of(manager_client.get(revision.get_absolute_url()), "#pack")


def test_the_pack_waits_for_the_whole_deposit_and_not_for_more(by, after_the_deposit):
    revision = an_issue(by)
    assert not given()
    order(by, revision)
    assert not given()
    pay(by, revision, "258.71")
    assert not given()
    last = pay(by, revision, "0.01")
    assert given()
    payments.payment_undo(by=by, payment=last, reason="bounced")
    assert not given()


def test_an_order_without_a_deposit_is_enough(by, after_the_deposit):
    revision = an_issue(by, deposit="0")
    assert not given()
    order(by, revision)
    assert given()


def test_a_manager_lets_it_go_with_a_reason_that_stays(by, after_the_deposit, manager_client):
    revision = an_issue(by)
    order(by, revision)
    html = manager_client.get(revision.get_absolute_url()).content.decode()
    assert "of the stage Deposit £258.72 is open" in one(html, "#pack").text
    assert all_of(html, "#pack form [name=csrfmiddlewaretoken]")
    assert all_of(html, "#payments form [name=csrfmiddlewaretoken]")
    where = reverse("quoting:pack_release", args=[revision.pk])
    manager_client.post(where, {"reason": "first fix begins", "key": str(uuid.uuid4())})
    assert given()
    html = manager_client.get(revision.get_absolute_url()).content.decode()
    assert "first fix begins" in one(html, "#pack").text
    assert not all_of(html, "#pack form")


def test_a_release_holds_for_the_variations_of_the_order(by, after_the_deposit):
    revision = an_issue(by)
    order(by, revision)
    payments.pack_release(by=by, revision=revision, reason="known")
    two_more(by, revision)
    made = variations.variation_start(by=by, revision=revision)
    assert not pack_stand(quotes.quote_issue(by=by, quote=made)).is_held


def opened(client, revision):
    """Whether the office's own page gives pack and orders, by its presses and by their addresses."""
    pack = reverse("quoting:revision_file", args=[revision.pk, "pack"])
    lists = reverse("quoting:orders", args=[revision.pk])
    links_on_page = {a["href"] for a in all_of(client.get(revision.get_absolute_url()), "main a")}
    answers = {where: client.get(where) for where in (pack, lists)}
    for where, answer in answers.items():
        assert (answer.status_code, where in links_on_page) in {(200, True), (302, False)}
        if answer.status_code == 302:
            assert answer["Location"] == revision.get_absolute_url() + "#pack"
    assert len({answer.status_code for answer in answers.values()}) == 1
    return answers[pack].status_code == 200


def test_the_offices_own_pack_and_orders_wait_as_the_link_does(
    by, after_the_deposit, office_client
):
    revision = an_issue(by)
    order(by, revision)
    assert not opened(office_client, revision)
    page = office_client.get(revision_file(revision, "pack"), follow=True)
    assert "held back until its stage is paid" in page.content.decode()
    last = pay(by, revision, "258.72")
    assert opened(office_client, revision)
    payments.payment_undo(by=by, payment=last, reason="bounced")
    assert not opened(office_client, revision)
    payments.pack_release(by=by, revision=revision, reason="first fix begins")
    assert opened(office_client, revision)


def revision_file(revision, kind):
    return reverse("quoting:revision_file", args=[revision.pk, kind])


def test_only_the_pack_is_held_of_the_documents(by, after_the_deposit, office_client):
    revision = an_issue(by)
    stored = store_file(content=b"%PDF-1.7 the offer", media_type="application/pdf")
    RevisionFile.objects.get_or_create(
        revision=revision, kind="proposal", defaults={"file": stored, "sha256": stored.sha256}
    )
    assert office_client.get(revision_file(revision, "proposal")).status_code == 200


def test_without_the_rule_pack_and_orders_are_open(by, office_client):
    revision = an_issue(by)
    order(by, revision)
    assert opened(office_client, revision)


@pytest.mark.parametrize("role", ["office", "designer"])
def test_nobody_else_lets_it_go(by, after_the_deposit, role):
    revision = an_issue(by)
    other = PersonFactory(role=role)
    with pytest.raises(Refusal, match="Only a manager"):
        payments.pack_release(by=other, revision=revision, reason="because")
    html = logged_in(other).get(revision.get_absolute_url()).content.decode()
    assert "A manager can let them go" in one(html, "#pack").text
    assert not all_of(html, "#pack form")


def test_what_cannot_be_let_go_is_refused_with_a_sentence(by):
    revision = an_issue(by)
    with pytest.raises(Refusal, match="not held back"):
        payments.pack_release(by=by, revision=revision, reason="because")
    QuotingRules.objects.create(pack_goes="deposit")
    with pytest.raises(Refusal, match="Say why"):
        payments.pack_release(by=by, revision=revision, reason="  ")
    payments.pack_release(by=by, revision=revision, reason="because")
    with pytest.raises(Refusal, match="let go already"):
        payments.pack_release(by=by, revision=revision, reason="again")
    assert PackRelease.objects.count() == 1


def test_a_stranger_lets_nothing_go(by, after_the_deposit, client):
    revision = an_issue(by)
    answer = client.post(reverse("quoting:pack_release", args=[revision.pk]), {"reason": "r"})
    assert answer.status_code == 302
    assert not PackRelease.objects.exists()


def test_the_rule_is_set_on_the_page_of_rules(manager_client):
    form = one(manager_client.get(reverse("quoting:rules")), "form.columns:not([action])")
    assert form.all("[name=pack_goes] option")
    manager_client.post(reverse("quoting:rules"), {**RULES, "pack_goes": "deposit"})
    assert QuotingRules.objects.get().pack_goes == "deposit"
    answer = manager_client.post(
        reverse("quoting:rules"), {**RULES, "seen": "1", "pack_goes": "never"}
    )
    assert answer.status_code == 200
    assert QuotingRules.objects.get().pack_goes == "deposit"
