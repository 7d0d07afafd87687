"""Pages that a link opens: what they show, what they take, and what they never tell."""

import datetime
import uuid

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from base.models import Business
from base.services import store_file
from catalogue.models import Product, ProductPrice
from quoting.issued import read_internal, read_offer
from quoting.models import Acceptance, Link, LinkVisit, RevisionEvent
from quoting.services import links, quotes
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_furnished_quote, a_picture, a_quote

pytestmark = pytest.mark.django_db
CLIENT, ELECTRICIAN = "client", "electrician"


@pytest.fixture
def by():
    return PersonFactory()


@pytest.fixture
def quote(by):
    return a_furnished_quote(by=by)


@pytest.fixture
def revision(by, quote):
    return quotes.quote_issue(by=by, quote=quote)


@pytest.fixture
def web():
    return Client(enforce_csrf_checks=False)


def a_secret(by, revision, audience=CLIENT):
    secret = links.new_secret()
    links.link_make(
        by=by, revision=revision, for_whom="Ida Marrow", secret=secret, audience=audience
    )
    return secret


@pytest.fixture
def secret(by, revision):
    return a_secret(by, revision)


def address(secret, name="offer", *more):
    return reverse(f"quoting:{name}", args=[secret, *more])


def accepting(revision, **changes):
    return {
        "key": str(uuid.uuid4()),
        "name": "Ida Marrow",
        "agrees": "on",
        "offer_sha256": revision.offer_sha256,
        "terms_version": read_offer(revision).terms.version,
        **changes,
    }


# --- what is shown ------------------------------------------------------------------------------
def test_the_page_shows_every_line_room_and_total_without_a_log_in(web, secret, revision):
    page = web.get(address(secret))
    assert page.status_code == 200
    text = one(page, "main").text
    offer = read_offer(revision)
    for line in offer.lines():
        assert (line.client_name or line.description) in text
    for room in offer.rooms:
        assert room.name in text
        assert f"£{room.gross:,.2f}" in text
    for amount in (offer.totals.taxable, offer.totals.tax, offer.totals.gross):
        assert f"£{amount:,.2f}" in text
    assert offer.terms.text in text
    for caution in offer.cautions:
        assert text.count(caution) == 1
    assert "Shelf at 40\xa0%".replace("\xa0", " ") in text.replace("\xa0", " ")


def test_the_printed_sums_add_up_to_the_total(web, secret, revision):
    rows = all_of(web.get(address(secret)), ".sums tbody tr")
    shown = [row.all("td")[-1].text.translate(str.maketrans("−", "-", "£,")) for row in rows]
    pennies = sum(round(float(each) * 100) for each in shown)
    assert pennies == int(read_offer(revision).totals.gross * 100)


def test_the_press_says_that_it_is_an_order_with_an_obligation_to_pay(web, secret):
    page = web.get(address(secret))
    assert one(page, "#answer button.next").text == "Order with an obligation to pay"
    assert "14 days" in one(page, ".conditions").text


def test_the_page_is_the_businesss_own_and_leads_nowhere_into_the_app(web, secret):
    page = web.get(address(secret))
    assert Business.objects.current().name in one(page, "header").text
    assert "Gloaming" not in page.content.decode()
    assert not all_of(page, "script")
    for link in all_of(page, "a"):
        assert link["href"].startswith(("#", "/o/", "mailto:", "tel:"))
    for asked in [*all_of(page, "img"), *all_of(page, "link")]:
        assert (asked.get("src") or asked.get("href")).startswith(("/", "data:,"))


def test_no_cost_supplier_reference_or_note_of_ours_is_shown(web, by, secret, revision):
    internal = read_internal(revision)
    hidden = {f"{line.cost:.2f}" for line in internal.lines if line.cost is not None}
    hidden |= {f"{row.cost:.2f}" for row in ProductPrice.objects.all()}
    hidden |= set(Product.objects.values_list("reference", flat=True))
    hidden |= {line.supplier for line in internal.lines if line.supplier}
    assert {"21.37", "93.21", "7.77"} <= hidden
    pages = [
        web.get(address(secret)).content.decode(),
        web.get(address(a_secret(by, revision, ELECTRICIAN))).content.decode(),
        bytes(revision.offer).decode(),
    ]
    for each in hidden:
        assert not any(each in page for page in pages)


def test_the_headers_keep_the_address_to_itself(web, secret):
    for response in (
        web.get(address(secret)),
        web.get(address("nothing")),
        web.post(address(secret)),
    ):
        assert response["Referrer-Policy"] == "no-referrer"
        assert response["X-Robots-Tag"] == "noindex, nofollow"
        assert "default-src 'none'" in response["Content-Security-Policy"]
        assert "unsafe" not in response["Content-Security-Policy"]
    assert "no-store" in web.get(address(secret))["Cache-Control"]
    page = web.get(address(secret))
    assert one(page, "meta[name=robots]")["content"] == "noindex, nofollow"


def test_a_visit_is_noted_as_page_and_time_only(web, secret):
    web.get(address(secret))
    assert list(LinkVisit.objects.values_list("page", flat=True)) == ["offer"]
    assert {field.name for field in LinkVisit._meta.fields} == {"id", "link", "at", "page"}


# --- documents and pictures ---------------------------------------------------------------------
def test_documents_are_for_whom_they_are_meant(web, by, revision, secret):
    from quoting.documents import keep_documents

    keep_documents(str(revision.pk))
    electrician = a_secret(by, revision, ELECTRICIAN)
    proposal = web.get(address(secret, "offer_document", "proposal"))
    assert proposal["Content-Type"] == "application/pdf"
    assert b"".join(proposal.streaming_content).startswith(b"%PDF")
    assert web.get(address(electrician, "offer_document", "pack")).status_code == 200
    assert web.get(address(secret, "offer_document", "pack")).status_code == 404
    assert web.get(address(electrician, "offer_document", "proposal")).status_code == 404
    assert web.get(address("nothing", "offer_document", "proposal")).status_code == 404
    assert one(web.get(address(secret)), "main a[href$='proposal.pdf']")


def test_while_a_document_is_missing_there_is_no_way_to_it(web, secret):
    assert not all_of(web.get(address(secret)), "main a[href$='.pdf']")
    assert web.get(address(secret, "offer_document", "proposal")).status_code == 404


def test_only_pictures_of_the_offer_are_given(web, by, quote):
    mark = store_file(content=a_picture(), media_type="image/png")
    other = store_file(content=a_picture() + b"x", media_type="image/png")
    Business.objects.update(mark=mark)
    revision = quotes.quote_issue(by=by, quote=quote)
    secret = a_secret(by, revision)
    given = web.get(address(secret, "offer_picture", mark.sha256))
    assert b"".join(given.streaming_content) == a_picture()
    assert one(web.get(address(secret)), "header img")["src"].endswith(f"{mark.sha256}/")
    assert web.get(address(secret, "offer_picture", other.sha256)).status_code == 404
    assert web.get(address("nothing", "offer_picture", mark.sha256)).status_code == 404


# --- links that show nothing --------------------------------------------------------------------
def tells_nothing(response, revision):
    text = response.content.decode()
    offer = read_offer(revision)
    for each in (offer.client.name, offer.project.name, offer.business.name, offer.number):
        assert each not in text


@pytest.mark.parametrize("wrong", ["nothing", "x" * 43, "é", "%00", "a" * 2000])
def test_a_wrong_address_is_404_and_tells_nothing(web, revision, wrong):
    for name in ("offer", "offer_accept", "offer_decline"):
        call = web.get if name == "offer" else web.post
        response = call(address(wrong, name))
        assert response.status_code == 404
        tells_nothing(response, revision)


@pytest.mark.parametrize("end", ["revoked", "expired"])
def test_a_link_that_is_over_is_410_for_everything(web, by, revision, secret, end):
    link = Link.objects.get()
    if end == "revoked":
        links.link_revoke(by=by, link=link)
    else:
        Link.objects.update(expires_at=timezone.now() - datetime.timedelta(seconds=1))
    for response in (
        web.get(address(secret)),
        web.get(address(secret, "offer_document", "proposal")),
        web.post(address(secret, "offer_accept"), accepting(revision)),
        web.post(address(secret, "offer_decline"), {"reason": ""}),
    ):
        assert response.status_code == 410
        tells_nothing(response, revision)
    assert not Acceptance.objects.exists()


@pytest.mark.parametrize(
    ("name", "wrong"), [("offer", "post"), ("offer_accept", "get"), ("offer_decline", "get")]
)
def test_another_method_is_405(web, secret, name, wrong):
    assert getattr(web, wrong)(address(secret, name)).status_code == 405


def test_an_answer_needs_no_cookie_since_browsers_name_no_origin_here(secret, revision):
    strict = Client(enforce_csrf_checks=True)
    typed = accepting(revision)
    response = strict.post(address(secret, "offer_accept"), typed, headers={"origin": "null"})
    assert response.status_code == 302
    assert Acceptance.objects.count() == 1
    assert not strict.cookies


# --- accepting ----------------------------------------------------------------------------------
def test_a_client_accepts_by_what_the_page_sends(web, secret, revision):
    page = web.get(address(secret))
    hidden = {each["name"]: each["value"] for each in all_of(page, "#answer input[type=hidden]")}
    typed = {**hidden, "name": "Ida Marrow", "agrees": "on"}
    response = web.post(address(secret, "offer_accept"), typed)
    assert (response.status_code, response["Location"]) == (302, address(secret))
    row = Acceptance.objects.get()
    assert (row.name, row.offer_sha256) == ("Ida Marrow", revision.offer_sha256)
    assert row.gross_total == read_offer(revision).totals.gross
    after = web.get(address(secret))
    assert "Accepted." in one(after, ".notice.good").text
    assert "Ida Marrow" in one(after, ".notice.good").text
    assert not all_of(after, "#answer")


def test_the_same_press_twice_is_one_acceptance(web, secret, revision):
    typed = accepting(revision)
    for _time in range(2):
        assert web.post(address(secret, "offer_accept"), typed).status_code == 302
    assert Acceptance.objects.count() == 1


def test_a_second_acceptance_is_refused_in_words(web, secret, revision):
    web.post(address(secret, "offer_accept"), accepting(revision))
    again = web.post(address(secret, "offer_accept"), accepting(revision, name="Noor Varley"))
    assert again.status_code == 200
    assert "accepted already" in again.content.decode()
    assert Acceptance.objects.get().name == "Ida Marrow"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"agrees": ""}, "Tick that you have read the terms."),
        ({"name": "  "}, "This field is required."),
        ({"name": "x" * 121}, "at most 120"),
        ({"offer_sha256": "0" * 64}, "no longer the one you were shown"),
        ({"offer_sha256": ""}, "Not ordered yet"),
    ],
)
def test_a_faulty_acceptance_changes_nothing(web, secret, revision, change, said):
    page = web.post(address(secret, "offer_accept"), accepting(revision, **change))
    assert page.status_code == 200
    assert said in one(page, "#answer").text
    assert not Acceptance.objects.exists()
    assert not RevisionEvent.objects.exclude(kind="issued").exists()


def test_a_missing_tick_keeps_the_typed_name_and_markup_stays_text(web, secret, revision):
    name = "<b>Ida</b> {{ offer }}"
    page = web.post(address(secret, "offer_accept"), accepting(revision, name=name, agrees=""))
    assert one(page, "#answer input[name=name]")["value"] == name
    assert not all_of(page, "#answer b")
    assert one(page, "#answer input[name=offer_sha256]")["value"] == revision.offer_sha256


def test_other_terms_than_those_shown_are_refused(web, secret, revision):
    typed = accepting(revision, terms_version="9000")
    page = web.post(address(secret, "offer_accept"), typed)
    assert page.status_code == 200
    assert not Acceptance.objects.exists()


def test_a_wrong_hash_shows_the_right_one_again(web, secret, revision):
    page = web.post(address(secret, "offer_accept"), accepting(revision, offer_sha256="0" * 64))
    assert one(page, "#answer input[name=offer_sha256]")["value"] == revision.offer_sha256


def test_a_client_declines_with_a_reason(web, secret):
    response = web.post(address(secret, "offer_decline"), {"reason": "Too bright"})
    assert response.status_code == 302
    assert RevisionEvent.objects.get(kind="declined").note == "Too bright"
    page = web.get(address(secret))
    assert "Declined." in one(page, ".notice").text
    assert not all_of(page, "#answer")


def test_too_long_a_reason_is_refused_and_kept(web, secret):
    page = web.post(address(secret, "offer_decline"), {"reason": "x" * 1001})
    assert page.status_code == 200
    assert "x" * 1001 in one(page, "#answer textarea").text
    assert not RevisionEvent.objects.filter(kind="declined").exists()


# --- other states -------------------------------------------------------------------------------
def test_a_superseded_offer_is_read_not_accepted(web, by, quote, revision, secret):
    quotes.quote_revise(by=by, quote=quote)
    quotes.quote_issue(by=by, quote=quote)
    page = web.get(address(secret))
    assert "There is a newer offer." in one(page, ".notice.look").text
    assert not all_of(page, "#answer")
    refused = web.post(address(secret, "offer_accept"), accepting(revision))
    assert "newer offer" in one(refused, ".notice.stop").text
    assert not Acceptance.objects.exists()


def test_a_withdrawn_offer_is_read_not_accepted(web, by, quote, revision, secret):
    quotes.quote_withdraw(by=by, quote=quote)
    page = web.get(address(secret))
    assert "Withdrawn." in one(page, ".notice.stop").text
    web.post(address(secret, "offer_accept"), accepting(revision))
    assert not Acceptance.objects.exists()


def test_an_expired_offer_is_read_not_accepted(web, revision, secret, monkeypatch):
    late = revision.valid_until + datetime.timedelta(days=1)
    monkeypatch.setattr(timezone, "localdate", lambda *_given: late)
    page = web.get(address(secret))
    assert "Expired." in one(page, ".notice.look").text
    web.post(address(secret, "offer_accept"), accepting(revision))
    assert not Acceptance.objects.exists()


# --- the electrician ----------------------------------------------------------------------------
def test_an_electricians_page_has_cautions_and_no_price(web, by, revision):
    page = web.get(address(a_secret(by, revision, ELECTRICIAN)))
    text = page.content.decode()
    assert "not isolation" in text
    assert "BS 7671" in text
    assert "£" not in text
    offer = read_offer(revision)
    for amount in {line.net for line in offer.lines()} | {offer.totals.gross}:
        assert f"{amount:,.2f}" not in text
    assert revision.offer_sha256 not in text


def test_an_electricians_link_cannot_answer_nor_see_the_offer_by_trying(web, by, revision):
    secret = a_secret(by, revision, ELECTRICIAN)
    for name in ("offer_accept", "offer_decline"):
        response = web.post(address(secret, name), accepting(revision, agrees=""))
        assert response.status_code == 404
        assert "£" not in response.content.decode()
    assert not RevisionEvent.objects.exclude(kind="issued").exists()


def test_a_superseded_pack_says_do_not_wire_from_it(web, by, quote, revision):
    secret = a_secret(by, revision, ELECTRICIAN)
    quotes.quote_revise(by=by, quote=quote)
    quotes.quote_issue(by=by, quote=quote)
    assert "Do not wire from it" in one(web.get(address(secret)), ".notice").text


def test_the_page_takes_as_many_queries_at_one_room_as_at_eight(web, by, queries):
    asked = []
    for rooms in (1, 8):
        revision = quotes.quote_issue(by=by, quote=a_quote(by=by, rooms=rooms))
        page = address(a_secret(by, revision))
        asked.append(queries(lambda page=page: web.get(page)))
    assert asked[0] == asked[1]
