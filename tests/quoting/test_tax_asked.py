"""Tax line by line: many lines treated alike with the evidence, and what is asked before the issue."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from base.deeds import Refusal
from catalogue.models import TaxRate
from quoting.drafting import draft_of
from quoting.issued import read_offer
from quoting.models import ManualLine, Quote, QuoteOverride
from quoting.services import quotes
from quoting.services.treatments import treatment_set
from quoting.tax_asked import tax_questions
from tests.conftest import all_of, logged_in, one
from tests.factories import PersonFactory, a_quote

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return PersonFactory(role="office", name="Nell Quill")


@pytest.fixture
def quote(by):
    quote = a_quote(by=by)
    TaxRate.objects.create(tax_class="reduced", from_day=date(2026, 1, 1), share=Decimal("0.05"))
    quotes.line_add(by=by, quote=quote, description="Aiming", quantity=1, unit_price=Decimal(280))
    return quote


def treat(by, quote, part="all", treatment="reverse_charge", reason="scheme certificate 41"):
    return treatment_set(by=by, quote=quote, part=part, treatment=treatment, reason=reason)


def draft(quote):
    return draft_of(Quote.objects.get(pk=quote.pk))


def asked(quote):
    return list(tax_questions(draft(quote)))


def test_all_lines_take_it_and_the_offer_keeps_the_evidence_of_each(by, quote):
    count = treat(by, quote)
    offer = read_offer(quotes.quote_issue(by=by, quote=Quote.objects.get(pk=quote.pk)))
    lines = list(offer.lines())
    assert count == len(lines) > 2
    assert {(x.tax_rate, x.tax_treatment, x.tax_reason) for x in lines} == {
        (0, "reverse_charge", "scheme certificate 41")
    }


def test_goods_and_labour_are_treated_apart_and_back_again(by, quote):
    treat(by, quote, "labour", "reduced")
    rates = {(x.section == "labour", x.tax_rate) for x in draft(quote).lines}
    assert rates == {(True, Decimal("0.05")), (False, Decimal("0.2"))}
    treat(by, quote, "goods", "zero")
    assert {x.tax_rate for x in draft(quote).lines} == {Decimal("0.05"), Decimal(0)}
    treat(by, quote, "all", "", "")
    assert {x.tax_rate for x in draft(quote).lines} == {Decimal("0.2")}
    assert not QuoteOverride.objects.exists()
    assert ManualLine.objects.get().tax_reason == ""


def test_other_overruled_values_of_the_lines_stay(by, quote):
    line = next(x for x in draft(quote).lines if x.bill)
    quotes.override_set(
        by=by, quote=quote, line_key=line.key, field="unit_price", value="41.50", reason="agreed"
    )
    treat(by, quote)
    treat(by, quote, treatment="", reason="")
    assert [row.field for row in QuoteOverride.objects.all()] == ["unit_price"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("all", "reduced", " "), "on what evidence"),
        (("all", "free", "x"), "Choose one"),
        (("half", "reduced", "x"), "Choose one"),
    ],
)
def test_what_is_wrong_is_refused_and_changes_nothing(by, quote, given, said):
    with pytest.raises(Refusal, match=said):
        treat(by, quote, *given)
    assert not QuoteOverride.objects.exists()


def test_an_issued_quote_is_not_treated_otherwise(by, quote):
    quotes.quote_issue(by=by, quote=quote)
    with pytest.raises(Refusal, match="issued and cannot be changed"):
        treat(by, Quote.objects.get(pk=quote.pk))


def test_a_line_by_hand_is_treated_with_its_evidence_or_refused(by, quote):
    given = {"description": "Blinds", "quantity": 1, "unit_price": Decimal(9)}
    with pytest.raises(Refusal, match="on what evidence"):
        quotes.line_add(by=by, quote=quote, tax_treatment="reduced", **given)
    web, where = logged_in(by), reverse("quoting:line_add", args=[quote.pk])
    typed = {"description": "Blinds", "quantity": "1", "unit_price": "9", "tax_class": "standard"}
    page = web.post(where, {**typed, "tax_treatment": "reduced"})
    assert "on what evidence" in page.content.decode()
    assert one(page, "#line-add input[name=description]")["value"] == "Blinds"
    answer = web.post(where, {**typed, "tax_treatment": "reduced", "tax_reason": "a plan"})
    assert answer.status_code == 302
    line = next(x for x in draft(quote).lines if x.description == "Blinds")
    assert (line.tax_rate, line.tax_reason) == (Decimal("0.05"), "a plan")


def test_nothing_is_asked_of_lines_at_the_standard_rate(quote):
    assert asked(quote) == []


def test_a_reduced_rate_without_evidence_or_on_supply_alone_is_asked_about(by, quote):
    ManualLine.objects.update(tax_class="reduced")
    assert asked(quote) == [
        "'Aiming' is taxed at the reduced rate, and no evidence is recorded for it."
    ]
    treat(by, quote, "all", "reduced")
    assert asked(quote) == []
    quotes.quote_change(by=by, quote=quote, delivery="supply_only")
    (said,) = asked(quote)
    assert "supply only" in said


def test_a_reverse_charge_to_a_consumer_or_on_some_lines_is_asked_about(by, quote):
    treat(by, quote)
    (said,) = asked(quote)
    assert "the client is a consumer" in said
    quotes.quote_change(by=by, quote=quote, is_consumer=False)
    assert asked(quote) == []
    quotes.line_add(by=by, quote=quote, description="Later", quantity=1, unit_price=Decimal(9))
    assert asked(quote) == [
        "Some lines are treated as reverse charge, 'Later' is not. Is that meant?"
    ]


def test_the_page_treats_asks_and_keeps_what_was_typed(by, quote):
    web, where = logged_in(by), reverse("quoting:treatment_set", args=[quote.pk])
    page = web.post(where, {"part": "labour", "treatment": "reduced", "reason": ""})
    assert "on what evidence" in one(page, "#treatments").text
    assert one(page, "#treatments option[selected][value=reduced]")
    assert (
        web.post(where, {"part": "all", "treatment": "reverse_charge", "reason": "c"}).status_code
        == 302
    )
    said = [each.text for each in all_of(web.get(quote.get_absolute_url()), ".notice.look")]
    assert any("the client is a consumer" in each for each in said)
