"""Documents made once more: the same words and amounts as on the day, and what is missing is made."""

from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from base.models import Business
from catalogue.models import Product, ProductPrice
from consult.models import Circuit, Client, Project, Room, Scene
from quoting import documents
from quoting.documents import lacking
from quoting.models import Revision, RevisionFile
from quoting.services import answers, links, quotes
from tests.conftest import all_of, logged_in
from tests.factories import PersonFactory, a_furnished_quote
from tests.quoting.agreement import amounts_in
from tests.quoting.test_documents import text_of

pytestmark = pytest.mark.django_db

KINDS = {"proposal", "pack", "certificate"}


@pytest.fixture
def by():
    Business.objects.update_or_create(defaults={"name": "Pell", "terms": "Goods stay ours."})
    return PersonFactory(role="manager")


@pytest.fixture
def accepted(by):
    revision = quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=links.new_secret())
    answers.offer_accept(
        link=link, name="Ida Marrow", agrees=True,
        offer_sha256=revision.offer_sha256, terms_version="1",
    )  # fmt: skip
    return revision


def all_else_moves() -> None:
    """Everything an issue was made from is another thing a year later."""
    Business.objects.update(
        name="Another name", terms="Other terms", tax_number="X1", currency="EUR", locale="de_DE",
        tax_rounding="line", deposit_share="0.9",
    )  # fmt: skip
    for model in (Project, Client, Room, Circuit, Scene, Product):
        model.objects.update(name="Renamed")
    ProductPrice.objects.update(cost="1.11", sell="2.22")


def test_what_was_stored_renders_again_to_the_same_words_and_amounts(accepted):
    documents.keep_documents(str(accepted.pk))
    kept = {each.kind: each.file.file.open("rb").read() for each in accepted.files.all()}
    assert set(kept) == KINDS
    all_else_moves()
    fresh = Revision.objects.get(pk=accepted.pk)
    for kind, make in documents._MAKERS.items():
        then, now = text_of(kept[kind]), text_of(make(fresh))
        assert now == then
        assert len(then) > 500
        assert amounts_in(now) == amounts_in(then)
        assert (f"£{accepted.gross_total:,.2f}" in now) == (kind != "pack")


def test_the_command_makes_what_is_missing_once(accepted):
    assert [each.pk for each in lacking()] == [accepted.pk]
    out = StringIO()
    call_command("make_documents", stdout=out)
    assert out.getvalue().strip() == "3 documents made."
    assert {each.kind for each in RevisionFile.objects.all()} == KINDS
    assert list(lacking()) == []
    again = StringIO()
    call_command("make_documents", stdout=again)
    assert again.getvalue().strip() == "0 documents made."


def test_the_certificate_alone_may_be_what_is_missing(by):
    revision = quotes.quote_issue(by=by, quote=a_furnished_quote(by=by))
    documents.keep_documents(str(revision.pk))
    assert list(lacking()) == []
    link = links.link_make(by=by, revision=revision, for_whom="Ida", secret=links.new_secret())
    answers.offer_accept(
        link=link, name="Ida Marrow", agrees=True,
        offer_sha256=revision.offer_sha256, terms_version="1",
    )  # fmt: skip
    assert [each.pk for each in lacking()] == [revision.pk]


def test_what_is_kept_is_not_made_again(accepted, monkeypatch):
    documents.keep_documents(str(accepted.pk))
    kept = dict(RevisionFile.objects.values_list("kind", "sha256"))

    def made_again(_revision):
        raise AssertionError("it is there already")

    for kind in KINDS:
        monkeypatch.setitem(documents._MAKERS, kind, made_again)
    documents.keep_documents(str(accepted.pk))
    assert dict(RevisionFile.objects.values_list("kind", "sha256")) == kept


def test_the_command_tells_what_cannot_be_made_and_makes_the_rest(accepted, monkeypatch):
    def broken(_revision):
        raise OSError("the disk is full")

    monkeypatch.setitem(documents._MAKERS, "pack", broken)
    told = StringIO()
    with pytest.raises(SystemExit):
        call_command("make_documents", stdout=StringIO(), stderr=told)
    assert told.getvalue().strip() == f"{accepted}: OSError: the disk is full"
    assert {each.kind for each in RevisionFile.objects.all()} == KINDS - {"pack"}


def test_the_office_makes_what_is_missing_in_one_press(accepted, by):
    web, where = logged_in(by), reverse("quoting:documents_make", args=[accepted.pk])
    page = web.get(accepted.get_absolute_url())
    assert [form["action"] for form in all_of(page, f'form[action="{where}"]')] == [where]
    assert web.post(where).status_code == 302
    assert {each.kind for each in RevisionFile.objects.all()} == KINDS
    page = web.get(accepted.get_absolute_url())
    assert all_of(page, f'form[action="{where}"]') == []
    assert web.get(where).status_code == 405


def test_a_stranger_makes_nothing(accepted, client):
    answer = client.post(reverse("quoting:documents_make", args=[accepted.pk]))
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("account_login"))
    assert not RevisionFile.objects.exists()
