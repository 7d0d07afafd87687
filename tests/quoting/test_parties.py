"""Who takes part in a job: frozen by role at issue, shown where it belongs, the introducer nowhere."""

import io
import json
from dataclasses import replace

import openpyxl
import pytest
from django.test import Client
from django.urls import reverse

from consult.services import brief
from quoting import documents
from quoting.exports import csv_table, json_document, ubl_quotation, workbook
from quoting.internal import Internal
from quoting.issued import read_internal, read_offer
from quoting.models import Revision
from quoting.offer import Offer, Party
from quoting.offer_check import check_offer
from quoting.services import answers, links, quotes
from quoting.verifying import verify_all
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_quote
from tests.quoting.random_offers import an_offer
from tests.quoting.readings import texts, ubl_root
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db

ROWS = (
    ("introducer", "Quillon Marsh", "Marsh Introductions", "q@marsh.example", "01632 960 444"),
    ("electrician", "Tansy Holt", "Holt Electrical", "t@holt.example", "01632 960 111"),
    ("site-contact", "Bevis Orme", "", "b@orme.example", "01632 960 222"),
    ("billed", "Ottoline Vane", "Vane Estates", "o@vane.example", "01632 960 333"),
)


@pytest.fixture
def by():
    return PersonFactory(role="manager")


@pytest.fixture
def revision(by):
    quote = a_quote(by=by)
    for role, name, firm, email, phone in ROWS:
        brief.party_add(
            by=by, project=quote.project, role=role, name=name, firm=firm, email=email, phone=phone
        )
    quotes.quote_change(
        by=by, quote=quote, commission_share="0.05", commission_to="Quillon Marsh"
    )  # fmt: skip
    return quotes.quote_issue(by=by, quote=quote)


def test_the_offer_keeps_who_takes_part_by_role_and_who_to_ring_on_the_site(revision):
    kept = [(p.role, p.name, p.firm, p.phone, p.email) for p in read_offer(revision).parties]
    assert kept == [
        ("billed", "Ottoline Vane", "Vane Estates", "", ""),
        ("site-contact", "Bevis Orme", "", "01632 960 222", ""),
        ("electrician", "Tansy Holt", "Holt Electrical", "", ""),
    ]


def test_who_brought_the_job_and_what_for_is_in_the_staffs_half_alone(revision):
    internal = read_internal(revision)
    assert [(p.role, p.name) for p in internal.introducers] == [("introducer", "Quillon Marsh")]
    assert internal.commission > 0
    content = read_offer(revision).to_content()
    said = [
        bytes(revision.offer).decode(),
        text_of(documents.proposal_pdf(revision)),
        text_of(documents.pack_pdf(revision)),
        *(form.write(offer=content).decode() for form in (csv_table, ubl_quotation, json_document)),
    ]
    for text in said:
        for hidden in ("Quillon", "Marsh Introductions", "introducer", "Introducer", "ommission"):
            assert hidden not in text


def test_what_was_frozen_stays_as_it_was_on_the_day(by, revision):
    from consult.brief_models import Party as Row

    before = bytes(revision.offer)
    Row.objects.update(name="Somebody else")
    again = Revision.objects.get(pk=revision.pk)
    assert bytes(again.offer) == before
    assert "Tansy Holt" in text_of(documents.proposal_pdf(again))
    assert list(verify_all()) == []


def test_they_stand_on_paper_on_the_page_and_in_the_files(by, revision):
    proposal, pack = (
        text_of(make(revision)) for make in (documents.proposal_pdf, documents.pack_pdf)
    )  # fmt: skip
    for said in ("Billed to", "Ottoline Vane", "Vane Estates", "Site contact", "01632 960 222"):
        assert said in proposal
    for said in ("SITE CONTACT", "Bevis Orme", "01632 960 222", "Holt Electrical"):
        assert said in pack
    secret = links.new_secret()
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    page = Client().get(reverse("quoting:offer", args=[secret]))
    told = one(page, "#parties + dl")
    assert [each.text for each in told.all("dt")] == ["Billed to", "Site contact", "Electrician"]
    assert "Vane Estates" in told.text
    content = read_offer(revision).to_content()
    notes = texts(ubl_root(ubl_quotation.write(offer=content)), "cbc:Note")
    assert "Billed to: Ottoline Vane, Vane Estates." in notes
    assert "Site contact: Bevis Orme." in notes
    sheet = openpyxl.load_workbook(io.BytesIO(workbook.write(offer=content)))["Totals"]
    rows = {sheet.cell(row, 1).value: sheet.cell(row, 2).value for row in range(1, 12)}
    assert rows["Billed to"] == "Ottoline Vane"
    answers.offer_accept(
        link=link, name="Ida", agrees=True, offer_sha256=revision.offer_sha256,
        terms_version=read_offer(revision).terms.version,
    )  # fmt: skip
    assert "billed to Ottoline Vane, Vane Estates" in text_of(documents.certificate_pdf(revision))


def test_an_offer_with_nobody_else_says_nothing_of_it(by):
    revision = quotes.quote_issue(by=by, quote=a_quote(by=by))
    assert "Who takes part" not in text_of(documents.proposal_pdf(revision))
    secret = links.new_secret()
    links.link_make(by=by, revision=revision, for_whom="Ida", secret=secret)
    assert not all_of(Client().get(reverse("quoting:offer", args=[secret])), "#parties")


def test_payloads_from_before_roles_were_kept_are_read_as_they_are(revision):
    """Without the entries that came later, as they were sealed then."""
    offer, internal = json.loads(bytes(revision.offer)), json.loads(bytes(revision.internal))
    del internal["introducers"]
    for party in (offer["client"], *offer["parties"]):
        del party["firm"]
    del offer["parties"]
    old = Offer.from_content(offer)
    assert old.parties == ()
    assert check_offer(offer=old) == ()
    assert Internal.from_content(internal).introducers == ()


@pytest.mark.parametrize("role", ["introducer", "plumber", ""])
def test_an_offer_names_no_introducer_and_no_role_that_is_none(role):
    offer = an_offer()
    bad = replace(offer, parties=(Party(role=role, name="Quillon"),))
    assert [(fault.code, fault.key) for fault in check_offer(offer=bad)] == [
        ("unknown_word", "Quillon")
    ]
    assert check_offer(offer=replace(offer, parties=(Party(role="builder", name="Q"),))) == ()
