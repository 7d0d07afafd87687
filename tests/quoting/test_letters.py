"""What each letter says: filled from what is frozen, to the right address, with the right paper."""

import re
from decimal import Decimal

import pytest
from django.core import mail
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from base import outbox
from base.models import Business, MailText, Outbox
from base.services import store_file
from consult.models import Room
from quoting import documents
from quoting.documents.fee import keep_fee_receipt
from quoting.letters import KINDS
from quoting.models import Acceptance, LinkSecret, Question, RevisionEvent, RevisionFile
from quoting.services import answers, fees, links, payments, questions, quotes
from tests.conftest import one
from tests.factories import PersonFactory, a_quote

pytestmark = pytest.mark.django_db

SITE = "https://showroom.example/"
OFFICE = "office@pell.example"


@pytest.fixture
def by():
    Business.objects.update_or_create(defaults={"name": "Pell & Orrin", "email": OFFICE})
    return PersonFactory(role="manager", name="Nell Quill")


@pytest.fixture
def revision(by):
    return quotes.quote_issue(by=by, quote=a_quote(by=by))


@pytest.fixture
def link(by, revision):
    return links.link_make(
        by=by, revision=revision, for_whom="Ida Marrow", secret=links.new_secret(),
        email="ida@house.example",
    )  # fmt: skip


def accept(link):
    return answers.offer_accept(
        link=link, name="Ida M.", agrees=True, site=SITE, terms_version="1",
        offer_sha256=link.revision.offer_sha256,
    )  # fmt: skip


def delivered():
    outbox.deliver_due()
    return mail.outbox


def address_in(letter):
    (where,) = re.findall(rf"{re.escape(SITE)}(o/[\w-]+/)", letter.body)
    return f"/{where}"


def test_the_offer_goes_to_the_client_with_an_address_of_its_own(by, revision, link):
    links.link_send(by=by, link=link, site=SITE)
    before = LinkSecret.objects.count()
    (letter,) = delivered()
    assert letter.to == ["ida@house.example"]
    assert letter.subject == f"Your lighting for Granary Yard: offer {revision}"
    until = f"{revision.valid_until.day} {revision.valid_until:%B %Y}"
    for said in ("Dear Ida Marrow", "£646.80", f"holds until {until}", "Pell & Orrin"):
        assert said in letter.body
    assert LinkSecret.objects.count() == before + 1
    assert one(Browser().get(address_in(letter)), "#price")
    assert letter.attachments == []


def test_the_offers_paper_goes_along_only_where_it_was_asked_for(by, revision, link):
    links.link_send(by=by, link=link, site=SITE, with_pdf=True)
    assert delivered() == []
    assert Outbox.objects.get().state == "waiting", "the paper is not made yet"
    documents.keep_documents(str(revision.pk))
    Outbox.objects.update(next_try=timezone.now())
    (letter,) = delivered()
    ((name, content, kind),) = letter.attachments
    assert (name, kind) == (f"{revision.number}-A-proposal.pdf", "application/pdf")
    with revision.files.get(kind="proposal").file.file.open("rb") as file:
        assert content == file.read()


@pytest.mark.parametrize("change", ["revoked", "withdrawn", "superseded"])
def test_an_offer_that_no_longer_holds_is_not_mailed(by, revision, link, change):
    links.link_send(by=by, link=link, site=SITE)
    if change == "revoked":
        links.link_revoke(by=by, link=link)
    else:
        RevisionEvent.objects.create(revision=revision, kind=change)
    assert delivered() == []
    row = Outbox.objects.get()
    assert row.state == "cancelled"
    assert ("no longer works" if change == "revoked" else "withdrawn or replaced") in row.error


def test_money_and_days_are_those_of_the_offer_whatever_the_business_changed(by, revision, link):
    links.link_send(by=by, link=link, site=SITE)
    Business.objects.update(currency="EUR", locale="de_DE")
    (letter,) = delivered()
    assert "£646.80" in letter.body
    assert "€" not in letter.body


def test_a_question_goes_to_the_office_with_where_to_answer(by, revision, link):
    room = Room.objects.get(project=revision.quote.project)
    questions.question_ask(link=link, text="Lower, perhaps?", about=str(room.pk), site=SITE)
    (letter,) = delivered()
    assert letter.to == [OFFICE]
    assert letter.subject == f"Question on {revision}, {room.name}"
    assert f"Ida Marrow asks about {room.name}:\n\nLower, perhaps?" in letter.body
    assert SITE.rstrip("/") + revision.get_absolute_url() in letter.body


def test_an_answer_goes_back_with_the_question(by, revision, link):
    asked = questions.question_ask(link=link, text="Lower?", site=SITE)
    Outbox.objects.all().delete()
    questions.question_answer(by=by, question=asked, answer="Yes, to 1.6 m.", site=SITE)
    (letter,) = delivered()
    assert letter.to == ["ida@house.example"]
    for said in ("Dear Ida Marrow", "you asked about Granary Yard:\nLower?", "Yes, to 1.6 m."):
        assert said in letter.body
    assert "Yes, to 1.6 m." in Browser().get(address_in(letter)).content.decode()


def test_an_answer_waits_for_no_link_that_is_over(by, revision, link):
    asked = questions.question_ask(link=link, text="Lower?", site=SITE)
    Outbox.objects.all().delete()
    questions.question_answer(by=by, question=asked, answer="Yes.", site=SITE)
    links.link_revoke(by=by, link=link)
    assert (delivered(), Outbox.objects.get().state) == ([], "cancelled")


def test_an_order_is_told_to_both_each_with_their_own_address(by, revision, link):
    accept(link)
    documents.keep_documents(str(revision.pk))
    told = {letter.to[0]: letter for letter in delivered()}
    assert set(told) == {OFFICE, "ida@house.example"}
    for letter in told.values():
        assert letter.subject == f"Order received: Granary Yard, {revision}"
        assert f"Ida M. ordered what offer {revision} for Granary Yard says" in letter.body
        assert "at £646.80 with tax" in letter.body
        assert [name for name, _c, _k in letter.attachments] == [
            f"{revision.number}-A-certificate.pdf"
        ]
    assert SITE.rstrip("/") + revision.get_absolute_url() in told[OFFICE].body
    assert "/o/" not in told[OFFICE].body
    assert "Accepted." in Browser().get(address_in(told["ida@house.example"])).content.decode()


def test_an_order_tells_what_was_accepted_not_what_was_offered(by, revision, link):
    accepted = Acceptance.objects.create(
        revision=revision, link=link, name="Ida M.", terms_version="1",
        offer_sha256=revision.offer_sha256, gross_total=Decimal("700.01"),
    )  # fmt: skip
    stored = store_file(content=b"%PDF-1.7", media_type="application/pdf")
    RevisionFile.objects.create(
        revision=revision, kind="certificate", file=stored, sha256=stored.sha256
    )
    words, _papers = KINDS_BY_NAME["accepted"].fill({"acceptance": str(accepted.pk), "site": SITE})
    assert words["total"] == "£700.01"


def test_a_no_is_told_to_the_office_with_its_reason(by, revision, link):
    answers.offer_decline(link=link, reason="Too dear.", site=SITE)
    (letter,) = delivered()
    assert letter.to == [OFFICE]
    assert letter.subject == f"Declined: Granary Yard, {revision}"
    assert "Reason: Too dear." in letter.body


def test_a_no_without_a_reason_has_a_dash(by, revision, link):
    answers.offer_decline(link=link, reason=" ", site=SITE)
    assert "Reason: –" in delivered()[0].body


def test_what_a_letter_is_about_may_be_gone(by, revision, link):
    questions.question_ask(link=link, text="Lower?", site=SITE)
    Question.objects.all().delete()
    assert (delivered(), Outbox.objects.get().state) == ([], "cancelled")
    assert "is gone" in Outbox.objects.get().error


KINDS_BY_NAME = {kind.name: kind for kind in KINDS}


@pytest.fixture
def ids(by, revision, link):
    """What each kind of letter is filled from."""
    asked = questions.question_ask(link=link, text="Lower?", site=SITE)
    questions.question_answer(by=by, question=asked, answer="Yes.", site=SITE)
    accepted = accept(link)
    event = RevisionEvent.objects.filter(kind="accepted").get()
    paid = payments.payment_enter(
        by=by, revision=revision, amount=Decimal(1), day=timezone.localdate(), how="card", site=SITE
    )  # fmt: skip
    documents.keep_documents(str(revision.pk))
    fee = fees.fee_set(
        by=by, project=revision.quote.project, words="Design", net=Decimal(9),
        tax_treatment="standard", is_credited=False,
        parts=[(Decimal("0.5"), "at once"), (Decimal("0.5"), "later")],
    )  # fmt: skip
    came = fees.fee_receive(by=by, fee=fee, day=timezone.localdate(), how="card")
    keep_fee_receipt(came)
    of_link = {"link": str(link.pk), "site": SITE}
    return {
        "offer": of_link,
        "question": {"question": str(asked.pk), "site": SITE},
        "answer": {"question": str(asked.pk), "site": SITE},
        "accepted": {"acceptance": str(accepted.pk), **of_link},
        "declined": {"event": str(event.pk), "site": SITE},
        "receipt": {"payment": str(paid.pk), **of_link},
        "payment-due": {"order": str(revision.pk), **of_link},
        "fee-due": {"fee": str(fee.pk), "part": "1", "site": SITE},
        "fee-receipt": {"payment": str(came.pk), "site": SITE},
    }


def test_every_word_that_a_letter_offers_is_filled_and_no_other(ids):
    assert set(ids) == set(KINDS_BY_NAME)
    for name, kind in KINDS_BY_NAME.items():
        words, _papers = kind.fill(ids[name])
        assert set(words) == set(kind.sample), name
        used = set(re.findall(r"{(\w+)}", f"{kind.subject} {kind.body}"))
        assert used <= set(words), name
        assert all(words[each] for each in used), name
        letter = outbox.compose(name, ids[name])
        assert not re.search(r"[{}]", letter.subject + letter.body), name


def test_the_page_of_a_wording_names_the_words_of_that_letter_alone(manager_client):
    page = manager_client.get(reverse("quoting:wording", args=["declined"]))
    said = one(page, "form .soft.small").text
    assert "{reason}" in said
    assert "{answer}" not in said


def test_the_businesss_own_wording_is_used(by, revision, link):
    MailText.objects.create(name="offer", subject="{number} for {who}", body="{total} {until}")
    links.link_send(by=by, link=link, site=SITE)
    (letter,) = delivered()
    assert letter.subject == f"{revision} for Ida Marrow"
    assert letter.body.startswith("£646.80 ")
