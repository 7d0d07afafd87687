"""Pages of quotes and issues: each press works, is refused when it must be, and is closed to strangers."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from quoting.models import Link, ManualLine, Quote, QuoteOverride, Revision
from quoting.services import quotes
from tests.conftest import all_of, one
from tests.factories import PersonFactory, a_project, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def quote():
    return a_quote()


def url(name, *args):
    return reverse(f"quoting:{name}", args=args)


def issued(quote):
    return quotes.quote_issue(by=PersonFactory(role="office"), quote=quote)


def test_one_press_makes_a_draft_of_the_project(office_client, quote):
    answer = office_client.post(url("quote_start", quote.project_id))
    made = Quote.objects.exclude(pk=quote.pk).get()
    assert answer["Location"] == made.get_absolute_url()
    html = office_client.get(made.get_absolute_url())
    assert "£646.80" in one(html, "section[aria-label=Totals]").text


def test_a_draft_is_issued_and_its_page_opens(office_client, quote):
    answer = office_client.post(url("quote_issue", quote.pk))
    revision = Revision.objects.get()
    assert answer["Location"] == revision.get_absolute_url()
    page = office_client.get(revision.get_absolute_url()).content.decode()
    assert f"Quote {revision.number}, issue A" in page


def test_an_issued_quote_refuses_a_line_with_a_sentence_and_keeps_what_was_typed(
    office_client, quote
):
    issued(quote)
    data = {
        "description": "Making good",
        "quantity": "1",
        "unit_price": "80",
        "tax_class": "standard",
    }
    answer = office_client.post(url("line_add", quote.pk), data)
    assert not ManualLine.objects.exists()
    html = answer.content.decode()
    assert "cannot be changed" in html
    assert 'value="Making good"' in html


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("description", "", "required"),
        ("description", "x" * 301, "at most 300"),
        ("quantity", "-1", "Above 0"),
        ("quantity", "0", "Above 0"),
        ("quantity", "NaN", "Give a number"),
        ("quantity", "10000000000", "less than or equal to"),
        ("unit_price", "-3", "greater than or equal to 0"),
        ("unit_price", "free", "Give a number"),
    ],
)
def test_an_absurd_line_is_refused_at_its_field(office_client, quote, field, value, said):
    data = {
        "description": "Making good", "quantity": "1", "unit_price": "80", "tax_class": "standard",
        field: value,
    }  # fmt: skip
    answer = office_client.post(url("line_add", quote.pk), data)
    assert said in answer.content.decode()
    assert not ManualLine.objects.exists()


def test_a_line_is_added_changed_and_removed(office_client, quote):
    data = {
        "description": "Making good",
        "quantity": "2",
        "unit_price": "80,50",
        "tax_class": "standard",
    }
    office_client.post(url("line_add", quote.pk), data)
    line = ManualLine.objects.get()
    assert line.unit_price == Decimal("80.50")
    office_client.post(url("line_change", line.pk), {**data, "quantity": "3", "seen": line.version})
    assert ManualLine.objects.get().quantity == 3
    office_client.post(url("line_remove", line.pk))
    assert not ManualLine.objects.exists()


def test_the_cost_of_a_line_is_neither_shown_nor_lost_while_a_client_may_look(office_client, quote):
    line = quotes.line_add(
        by=PersonFactory(), quote=quote, description="Crane", quantity=1,
        unit_price=Decimal("90"), unit_cost=Decimal("61.37"),
    )  # fmt: skip
    page = url("line_change", line.pk)
    assert "61.37" not in office_client.get(page).content.decode()
    data = {
        "description": "Crane hire",
        "quantity": "1",
        "unit_price": "90",
        "tax_class": "standard",
    }
    office_client.post(page, {**data, "seen": line.version})
    changed = ManualLine.objects.get()
    assert (changed.description, changed.unit_cost) == ("Crane hire", Decimal("61.37"))


def test_a_derived_value_is_overruled_with_a_reason(office_client, quote):
    from quoting.drafting import draft_of

    line = next(x for x in draft_of(quote).lines if x.bill.source == "fitting")
    page = url("override", quote.pk)
    data = {"line": line.key, "field": "discount", "value": "10", "reason": "ex-display"}
    office_client.post(page, data)
    assert QuoteOverride.objects.get().value == "0.1"
    html = office_client.get(quote.get_absolute_url()).content.decode()
    assert "ex-display" in html
    answer = office_client.post(page, {**data, "value": "200"})
    assert "at most 100 %" in answer.content.decode()
    assert QuoteOverride.objects.get().value == "0.1"


def test_the_press_twice_issues_once(office_client, quote):
    key = str(uuid.uuid4())
    for _press in range(2):
        office_client.post(url("quote_issue", quote.pk), {"key": key})
    assert Revision.objects.count() == 1


def test_a_link_is_made_shown_once_and_revoked(office_client, client, quote):
    revision = issued(quote)
    data = {"for_whom": "Ida Marrow", "audience": "client", "days": "30"}
    answer = office_client.post(url("link_make", revision.pk), data)
    address = one(answer, "#address")["value"]
    assert client.get(address).status_code == 200
    assert address not in office_client.get(revision.get_absolute_url()).content.decode()
    office_client.post(url("link_revoke", Link.objects.get().pk))
    assert client.get(address).status_code == 410


def test_the_office_reads_when_a_link_was_opened(office_client, client, quote):
    revision = issued(quote)
    data = {"for_whom": "Ida Marrow", "audience": "client", "days": "30"}
    address = one(office_client.post(url("link_make", revision.pk), data), "#address")["value"]
    for _each in range(3):
        client.get(address)
    page = office_client.get(revision.get_absolute_url())
    assert len(all_of(page, "details.fold ul.plain li")) == 3
    assert "3 visits" in page.content.decode()


@pytest.mark.parametrize(
    "name", ["quote", "quote_issue", "quote_revise", "quote_withdraw", "line_add"]
)
def test_no_such_quote_is_404(office_client, name):
    method = office_client.get if name == "quote" else office_client.post
    assert method(url(name, uuid.uuid4())).status_code == 404


@pytest.mark.parametrize("name", ["quote_issue", "quote_revise", "quote_withdraw", "quote_discard"])
def test_a_press_is_a_post(office_client, quote, name):
    assert office_client.get(url(name, quote.pk)).status_code == 405


def test_a_stranger_sees_and_issues_nothing(client, quote):
    for answer in (client.get(quote.get_absolute_url()), client.post(url("quote_issue", quote.pk))):
        assert answer.status_code == 302
        assert "/account/login/" in answer["Location"]
    assert not Revision.objects.exists()


def test_the_quote_page_asks_the_same_at_five_rooms_and_at_sixty(office_client, queries):
    small, large = a_quote(rooms=5), a_quote(rooms=60)
    office_client.get(small.get_absolute_url())
    office_client.get(large.get_absolute_url())
    few = queries(lambda: office_client.get(small.get_absolute_url()))
    many = queries(lambda: office_client.get(large.get_absolute_url()))
    assert few == many


def test_the_project_says_everywhere_that_it_is_accepted(office_client, quote):
    from quoting.services import answers, links

    revision = issued(quote)
    secret = links.new_secret()
    link = links.link_make(by=None, revision=revision, for_whom="Ida", secret=secret)
    answers.offer_accept(
        link=link, name="Ida", agrees=True, offer_sha256=revision.offer_sha256, terms_version="1"
    )
    region = office_client.get(url("project_region", quote.project_id)).content.decode()
    assert "is accepted" in region
    for page in (url("quotes"), url("of_project", quote.project_id)):
        assert "Accepted" in office_client.get(page).content.decode()


def test_a_quote_is_copied_to_another_project_chosen_on_its_page(office_client, quote):
    other = a_project()
    page = office_client.get(quote.get_absolute_url())
    offered = {
        each["value"]: each.get("selected", "no") for each in all_of(page, "#copy-to option")
    }
    assert set(offered) == {str(quote.project_id), str(other.pk)}
    assert offered[str(quote.project_id)] != "no"
    office_client.post(reverse("quoting:quote_copy", args=[quote.pk]), {"project": str(other.pk)})
    assert Quote.objects.filter(project=other).count() == 1


def test_a_day_stands_in_its_field_as_browsers_read_it_so_that_saving_keeps_it(manager_client):
    quote = a_quote()
    Quote.objects.update(priced_on="2026-03-02", follow_up_on="2026-12-24")
    page = manager_client.get(quote.get_absolute_url())
    for name, day in (("priced_on", "2026-03-02"), ("follow_up_on", "2026-12-24")):
        assert one(page, f"form [name={name}]")["value"] == day
    hours = manager_client.get(reverse("quoting:hours", args=[quote.project_id]))
    assert one(hours, "form [name=day]")["value"] == timezone.localdate().isoformat()
